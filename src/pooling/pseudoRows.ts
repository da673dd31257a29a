import type { SharedBlock, SiteSummary } from './summarySchema.js'

/**
 * One row for each restoration counted in the tables, with the times of the grids. Which entry belongs to which exit is
 * not known and does not matter: risk sets depend on how many enter and leave, not on who.
 */
export interface PseudoRows {
  readonly n: number
  readonly timeDays: Float64Array
  readonly entryDays: Float64Array
  readonly status: Uint8Array
  readonly group: readonly string[]
  /** Clinic and block of strata. */
  readonly stratum: Int32Array
  readonly lateEntries: boolean
}

interface Column {
  time: number[]
  entry: number[]
  status: number[]
  group: string[]
  stratum: number[]
}

/** Unfolds the tables of summaries; `wanted` chooses groups. */
export function pseudoRows(
  summaries: readonly SiteSummary[],
  wanted: (group: string) => boolean = () => true,
): PseudoRows {
  const rows: Column = { time: [], entry: [], status: [], group: [], stratum: [] }
  let stratum = 0
  for (const { blocks } of summaries) {
    for (const block of blocks) {
      for (const table of block.groups) if (wanted(table.group)) unfold(block, table, stratum, rows)
      stratum++
    }
  }
  return {
    n: rows.time.length,
    timeDays: Float64Array.from(rows.time),
    entryDays: Float64Array.from(rows.entry),
    status: Uint8Array.from(rows.status),
    group: rows.group,
    stratum: Int32Array.from(rows.stratum),
    lateEntries: rows.entry.some((day) => day > 0),
  }
}

function unfold(
  block: SharedBlock,
  table: SharedBlock['groups'][number],
  stratum: number,
  rows: Column,
): void {
  const ends = block.intervalEndsDays
  // Latest entries first, each to the latest exits: an entry can always be given an exit no earlier than itself.
  const waiting: number[] = []
  for (let i = ends.length - 1; i >= 0; i--) {
    for (let k = 0; k < table.entered[i]!; k++) waiting.push(i)
  }
  let next = 0
  for (let i = ends.length - 1; i >= 0; i--) {
    const exits = [table.censored[i]!, table.endpoint[i]!, table.competing[i]!]
    exits.forEach((count, status) => {
      for (let k = 0; k < count; k++) {
        const entered = next < waiting.length && waiting[next]! <= i ? waiting[next++]! : 0
        rows.time.push(ends[i]!)
        rows.entry.push(entered === 0 ? 0 : ends[entered - 1]!)
        rows.status.push(status)
        rows.group.push(table.group)
        rows.stratum.push(stratum)
      }
    })
  }
}
