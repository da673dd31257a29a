import { type CoxDesign, prepareCox } from '../statistics/regression/coxDesign.js'
import type { TimesAtRisk } from '../statistics/regression/timesAtRisk.js'
import { type GriddedRows, griddedRows } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** Rows of a clinic with every covariate known, as the model takes them. */
export interface ModelRows {
  /** Positions among the rows of the clinic. */
  readonly kept: readonly number[]
  readonly times: TimesAtRisk
  /** One column of 0 and 1 for each coefficient, the group first. */
  readonly columns: Readonly<Record<string, Float64Array>>
  readonly block: Int32Array
  readonly patient: Int32Array
  readonly events: number
}

/** Names of the coefficients: the group, then each level of a covariate but its first. */
export function coefficientNames(protocol: Protocol): readonly string[] {
  return [
    protocol.groups.group,
    ...protocol.model.covariates.flatMap(({ field, levels }) =>
      levels.slice(1).map((level) => `${field}=${level}`),
    ),
  ]
}

/** Rows on the grid of the model with the columns of its coefficients. */
export function modelRows(rows: SiteRows, protocol: Protocol, plan: SitePlan): ModelRows {
  const gridded = griddedRows(rows, protocol, plan)
  const { covariates } = protocol.model
  const kept = Array.from({ length: rows.n }, (_one, row) => row).filter((row) =>
    covariates.every(({ levels }, c) => rows.covariates[c]![row]! < levels.length),
  )
  const indicator = (is: (row: number) => boolean): Float64Array =>
    Float64Array.from(kept, (row) => (is(row) ? 1 : 0))
  const names = coefficientNames(protocol)
  const made = [
    indicator((row) => gridded.group[row] === 1),
    ...covariates.flatMap(({ levels }, c) =>
      levels.slice(1).map((_level, l) => indicator((row) => rows.covariates[c]![row] === l + 1)),
    ),
  ]
  const event = Uint8Array.from(kept, (row) => (gridded.status[row] === 1 ? 1 : 0))
  return {
    kept,
    times: timesOf(gridded, kept, event),
    columns: Object.fromEntries(names.map((name, j) => [name, made[j]!])),
    block: Int32Array.from(kept, (row) => gridded.block[row]!),
    patient: Int32Array.from(kept, (row) => rows.patient[row]!),
    events: event.reduce((sum, one) => sum + one, 0),
  }
}

/** Intervals start at −1 for those at risk from delivery, so that an event on day 0 counts. */
function timesOf(gridded: GriddedRows, kept: readonly number[], event: Uint8Array): TimesAtRisk {
  const stop = Float64Array.from(kept, (row) => gridded.timeDays[row]!)
  if (kept.every((row) => gridded.entryDays[row] === 0)) return { time: stop, event }
  const start = Float64Array.from(kept, (row) =>
    gridded.entryDays[row] === 0 ? -1 : gridded.entryDays[row]!,
  )
  return { start, stop, event }
}

/** The rows in the order of the risk sets, strata apart. */
export function modelDesign(model: ModelRows): CoxDesign {
  return prepareCox(model.times, model.columns, { strata: model.block })
}
