import type { Cohort } from '../cohort/cohort.js'
import { restorationStatus } from '../cohort/selection.js'
import { HoldfastError } from '../core/errors.js'
import { type Estimate, isNumber, notEstimable, type Quantity } from '../core/estimate.js'
import { parametricRegression } from '../statistics/regression/parametric.js'
import { parametricSurvival } from '../statistics/regression/parametricSurvival.js'
import { kaplanMeierByGroup } from '../statistics/survival.js'
import { survivalAt } from '../statistics/survivalAt.js'
import { type Compared, subsetCompared } from './compared.js'

/** Interval (lower, upper] in days in which the endpoint came; upper infinite where it had not. */
export interface LookIntervals {
  readonly lower: Float64Array
  readonly upper: Float64Array
}

/** Restorations observed from delivery on, with their positions among those given; undefined where a group is empty. */
export function observedFromDelivery(
  compared: Compared,
): { readonly observed: Compared; readonly kept: readonly number[] } | undefined {
  const { rows } = compared
  const kept = Array.from(rows.row.keys()).filter(
    (i) => rows.entryDays === undefined || rows.entryDays[i] === 0,
  )
  const observed = subsetCompared(compared, kept)
  return observed === undefined ? undefined : { observed, kept }
}

/**
 * The endpoint came after the last clear look, and at the latest on the day on which it was found, or was first noticed
 * where that is recorded. A competing event leaves only that it had not come by the last clear look. An event found on
 * the day of delivery came within half a day.
 */
export function lookIntervals(cohort: Cohort, { rows }: Compared): LookIntervals {
  const lower = new Float64Array(rows.n)
  const upper = new Float64Array(rows.n).fill(Number.POSITIVE_INFINITY)
  rows.row.forEach((row, i) => {
    const end = rows.timeDays[i]!
    const clear = Math.min(cohort.lastClearDays[row]!, end)
    if (rows.status[i] === restorationStatus.endpoint) {
      const onset = cohort.onsetDays[row]!
      const found = Math.max(end, 0.5)
      lower[i] = clear
      upper[i] = onset > clear && onset < found ? onset : found
    } else lower[i] = rows.status[i] === restorationStatus.competing ? clear : end
  })
  return { lower, upper }
}

/** A risk with its interval. */
export type FittedRisk = Pick<Estimate, 'estimate' | 'interval'>

/** Risks by the day of finding, competing events censored: comparator, then group. */
export function risksByDayFound(
  { rows, inGroup }: Compared,
  days: number,
  level: number,
  weights?: readonly number[],
): readonly [Quantity, Quantity] {
  const curves = kaplanMeierByGroup(rows.timeDays, rows.event, inGroup, {
    level,
    ...(weights === undefined ? {} : { weights }),
  })
  const risk = (curve: (typeof curves)[number]): Quantity => {
    const { survival } = survivalAt(curve, [days])[0]!
    return isNumber(survival) ? 1 - survival : survival
  }
  return [risk(curves[0]!), risk(curves[1]!)]
}

/** Events in each group from which its Weibull distribution has a shape of its own; fewest events in all for any. */
const ownShape = 10

/** Weibull risks from the intervals: comparator, then group; each of its own shape where events suffice. */
export function weibullRisks(
  observed: Compared,
  intervals: LookIntervals,
  days: number,
  level: number,
  weights?: readonly number[],
): readonly [FittedRisk, FittedRisk] {
  const { rows, inGroup } = observed
  const events = [0, 0]
  for (let i = 0; i < rows.n; i++) events[inGroup[i]!]! += rows.event[i]!
  if (events.includes(0)) return bothAbsent('one group has no event')
  if (events[0]! + events[1]! < ownShape) return bothAbsent(`fewer than ${ownShape} events`)
  const separate = Math.min(...events) >= ownShape
  const fitted = (group: 0 | 1): FittedRisk => {
    const kept = Array.from(rows.row.keys()).filter((i) => !separate || inGroup[i] === group)
    const covariates = separate ? {} : { tightening: kept.map((i) => inGroup[i]!) }
    const regression = parametricRegression(
      { lower: kept.map((i) => intervals.lower[i]!), upper: kept.map((i) => intervals.upper[i]!) },
      covariates,
      'weibull',
      {
        level,
        clusters: kept.map((i) => rows.patient[i]!),
        ...(weights === undefined ? {} : { weights: kept.map((i) => weights[i]!) }),
      },
    )
    return asRisk(parametricSurvival(regression, { tightening: group }, [days])[0]!)
  }
  try {
    return [fitted(0), fitted(1)]
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return bothAbsent(thrown.problem)
    throw thrown
  }
}

/** Share without the event as share with it. */
function asRisk(answer: {
  readonly survival: Quantity
  readonly interval: Estimate['interval']
}): FittedRisk {
  const less = (one: Quantity): Quantity => (isNumber(one) ? 1 - one : one)
  return {
    estimate: less(answer.survival),
    interval: { lower: less(answer.interval.upper), upper: less(answer.interval.lower) },
  }
}

function bothAbsent(reason: string): readonly [FittedRisk, FittedRisk] {
  const none = notEstimable(reason)
  const risk = { estimate: none, interval: { lower: none, upper: none } }
  return [risk, risk]
}
