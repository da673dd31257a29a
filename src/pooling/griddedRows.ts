import { entryInterval, exitInterval } from './fineCounts.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** Rows with their times moved to the ends of the intervals in which they fall. */
export interface GriddedRows {
  /** End of the interval of the exit. */
  readonly timeDays: Float64Array
  /** End of the interval before that of the entry; 0 where at risk from delivery. */
  readonly entryDays: Float64Array
  readonly status: Uint8Array
  readonly block: Int32Array
  readonly group: Uint8Array
}

/** Position among a block's ends of the interval that holds a fine interval. */
export function coarseInterval(ends: readonly number[], fine: number): number {
  let at = 0
  while (at < ends.length - 1 && ends[at]! < fine) at++
  return at
}

/**
 * Rows on the grid of the plan: exits at the end of their interval, late entries at its start. Whatever is computed of
 * these rows can be computed of the shared counts too.
 */
export function griddedRows(rows: SiteRows, protocol: Protocol, plan: SitePlan): GriddedRows {
  const timeDays = new Float64Array(rows.n)
  const entryDays = new Float64Array(rows.n)
  const block = new Int32Array(rows.n)
  for (let row = 0; row < rows.n; row++) {
    block[row] = plan.grouping.blockOf[rows.stratum[row]!]!
    const ends = plan.ends[block[row]!]!
    const exit = coarseInterval(ends, exitInterval(protocol.gridDays, rows.timeDays[row]!))
    timeDays[row] = protocol.gridDays[ends[exit]!]!
    const fine = entryInterval(protocol.gridDays, rows.entryDays[row]!)
    const entry = fine === 0 ? 0 : coarseInterval(ends, fine)
    entryDays[row] = entry === 0 ? 0 : protocol.gridDays[ends[entry - 1]!]!
  }
  return {
    timeDays,
    entryDays,
    block,
    status: rows.status.map((one) => (one === 2 && plan.grouping.foldCompeting ? 0 : one)),
    group: plan.grouping.mergeGroups ? new Uint8Array(rows.n) : rows.group,
  }
}
