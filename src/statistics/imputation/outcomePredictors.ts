import {
  type NumberColumn,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import { ascendingOrder } from '../numeric/order.js'

/** Outcome of every row, which the imputation of covariates must know of. */
export interface ImputationOutcome {
  /** Time at risk from origin. */
  readonly timeDays: NumberColumn
  /** 1 where the event was observed. */
  readonly eventObserved: NumberColumn
  /** Time at which the row came under observation; default 0. */
  readonly entryDays?: NumberColumn
}

/**
 * Nelson–Aalen cumulative hazard of all rows together at the time of each: with the event indicator it carries what
 * the outcome says about a covariate (White and Royston 2009). Ties count as events of one time.
 */
export function cumulativeHazardOfRows(outcome: ImputationOutcome): Float64Array {
  const { timeDays, eventObserved, entryDays } = outcome
  const rows = requireSameLength({ timeDays, eventObserved, entryDays })
  requireNonNegative('timeDays', timeDays)
  requireZeroOne('eventObserved', eventObserved)
  if (entryDays !== undefined) requireNonNegative('entryDays', entryDays)
  const byTime = ascendingOrder(timeDays)
  const byEntry = entryDays === undefined ? undefined : ascendingOrder(entryDays)
  const hazard = new Float64Array(rows)
  let entered = byEntry === undefined ? rows : 0
  let sum = 0
  for (let first = 0; first < rows; ) {
    const time = timeDays[byTime[first]!]!
    while (byEntry !== undefined && entered < rows && entryDays![byEntry[entered]!]! < time) entered++
    let events = 0
    let last = first
    for (; last < rows && timeDays[byTime[last]!] === time; last++) events += eventObserved[byTime[last]!]!
    const atRisk = entered - first
    if (events > 0 && atRisk > 0) sum += events / atRisk
    for (; first < last; first++) hazard[byTime[first]!] = sum
  }
  return hazard
}
