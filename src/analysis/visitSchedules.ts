import type { Cohort } from '../cohort/cohort.js'
import { type Estimate, isNumber, notEstimable, type Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { clusteredRateRatio } from '../statistics/clusteredRateRatio.js'
import type { Compared } from './compared.js'

/** How often the schedule asked for a look that would have shown the endpoint, in each group. */
export interface VisitSchedules {
  readonly looksPerYear: { readonly group: Quantity; readonly against: Quantity }
  /** Scheduled looks per year in the group over those in the comparator. */
  readonly ratio: Estimate
  /** The ratio lies outside 0.8 to 1.25, and its interval does not hold 1. */
  readonly differ: boolean
}

/** Ratio of scheduled looks beyond which schedules count as different. */
const unlikeSchedules = 1.25

/** Sets the schedules of looks of both groups against each other. */
export function visitSchedules(cohort: Cohort, compared: Compared, level: number): VisitSchedules {
  const { rows, inGroup, names } = compared
  const { scheduledLooks } = cohort.visitCounts()
  const looks = Float64Array.from(rows.row, (row) => scheduledLooks[row]!)
  const {
    naive: _naive,
    sharedClusters: _shared,
    ...ratio
  } = clusteredRateRatio(looks, rows.yearsAtRisk, inGroup, rows.patient, { level, comparator: names })
  const { estimate, interval } = ratio
  const unlike = isNumber(estimate) && (estimate > unlikeSchedules || estimate < 1 / unlikeSchedules)
  const apart =
    (isNumber(interval.lower) && interval.lower > 1) || (isNumber(interval.upper) && interval.upper < 1)
  return deepFreeze({
    looksPerYear: { group: perYear(compared, looks, 1), against: perYear(compared, looks, 0) },
    ratio,
    differ: unlike && apart,
  })
}

function perYear({ rows, inGroup }: Compared, looks: Float64Array, group: number): Quantity {
  let sum = 0
  let years = 0
  for (let i = 0; i < rows.n; i++) {
    if (inGroup[i] !== group) continue
    sum += looks[i]!
    years += rows.yearsAtRisk[i]!
  }
  return years > 0 ? sum / years : notEstimable('no time at risk')
}
