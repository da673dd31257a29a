import type { Cohort } from '../cohort/cohort.js'
import { daysPerYear } from '../core/calendar.js'
import { isNumber, notEstimable, type Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { intervalCensoredSurvival, survivalBounds } from '../statistics/intervalCensored.js'
import type { Compared } from './compared.js'
import {
  type FittedRisk,
  type LookIntervals,
  lookIntervals,
  observedFromDelivery,
  risksByDayFound,
  weibullRisks,
} from './lookIntervals.js'

/** Risk by a horizon in one group, by the day of finding and with loosening placed between looks. */
export interface RiskBetweenLooks {
  readonly years: number
  readonly group: string
  /** The day of finding taken for the day of the event; competing events censored. */
  readonly byDayFound: Quantity
  /** Bounds of the non-parametric estimate from the intervals between looks. */
  readonly bounds: { readonly lower: Quantity; readonly upper: Quantity }
  /** Weibull distribution fitted to the intervals between looks. */
  readonly weibull: FittedRisk
}

/** Answer to "does it matter that loosening is found at visits". */
export interface BetweenLooks {
  readonly risks: readonly RiskBetweenLooks[]
  /** Median length of the intervals between looks that held a loosening, in days. */
  readonly medianGapDays: { readonly group: Quantity; readonly against: Quantity }
  /** Restorations left out, since they were observed only from some time after delivery on. */
  readonly lateEntry: number
}

const noneObserved = notEstimable('one group has no restoration that was observed from delivery on')

/** Sets the day of finding against the interval in which loosening must have come, group by group. */
export function betweenLooks(
  cohort: Cohort,
  compared: Compared,
  horizonsYears: readonly number[],
  level: number,
): BetweenLooks {
  const found = observedFromDelivery(compared)
  if (found === undefined) {
    const medianGapDays = { group: noneObserved, against: noneObserved }
    return deepFreeze({ risks: [], medianGapDays, lateEntry: compared.rows.n })
  }
  const { observed, kept } = found
  const intervals = lookIntervals(cohort, observed)
  const turnbull = ([0, 1] as const).map((group) => {
    const own = Array.from(observed.rows.row.keys()).filter((i) => observed.inGroup[i] === group)
    return intervalCensoredSurvival({
      lower: own.map((i) => intervals.lower[i]!),
      upper: own.map((i) => intervals.upper[i]!),
    })
  })
  return deepFreeze({
    risks: horizonsYears.flatMap((years) => {
      const days = years * daysPerYear
      const byDayFound = risksByDayFound(observed, days, level)
      const weibull = weibullRisks(observed, intervals, days, level)
      return ([1, 0] as const).map((group) => {
        const { lower, upper } = survivalBounds(turnbull[group]!, days)
        const bound = (share: number): Quantity => (isNumber(byDayFound[group]) ? share : byDayFound[group])
        return {
          years,
          group: group === 1 ? observed.names.group : observed.names.against,
          byDayFound: byDayFound[group],
          bounds: { lower: bound(1 - upper), upper: bound(1 - lower) },
          weibull: weibull[group],
        }
      })
    }),
    medianGapDays: { group: medianGap(observed, intervals, 1), against: medianGap(observed, intervals, 0) },
    lateEntry: compared.rows.n - kept.length,
  })
}

/**
 * Change of a difference of risks when loosening is placed between looks by Weibull distributions instead of on the day
 * of finding, competing events censored in both.
 *
 * @param weights of the restorations, in their order; default 1 each
 * @returns not estimable where follow-up or events do not suffice
 */
export function shiftBetweenLooks(
  cohort: Cohort,
  compared: Compared,
  horizonYears: number,
  level: number,
  weights?: ArrayLike<number>,
): Quantity {
  const found = observedFromDelivery(compared)
  if (found === undefined) return noneObserved
  const { observed, kept } = found
  const own = weights === undefined ? undefined : kept.map((i) => weights[i]!)
  if (own !== undefined && !hasWeightInBoth(observed, own)) return notEstimable('a group has no weight left')
  const days = horizonYears * daysPerYear
  const [againstFound, groupFound] = risksByDayFound(observed, days, level, own)
  const fitted = weibullRisks(observed, lookIntervals(cohort, observed), days, level, own)
  const [againstFitted, groupFitted] = [fitted[0].estimate, fitted[1].estimate]
  if (!isNumber(groupFound)) return groupFound
  if (!isNumber(againstFound)) return againstFound
  if (!isNumber(groupFitted)) return groupFitted
  if (!isNumber(againstFitted)) return againstFitted
  return groupFitted - againstFitted - (groupFound - againstFound)
}

function hasWeightInBoth({ inGroup }: Compared, weights: readonly number[]): boolean {
  return [0, 1].every((group) => weights.some((weight, i) => weight > 0 && inGroup[i] === group))
}

function medianGap({ rows, inGroup }: Compared, { lower, upper }: LookIntervals, group: number): Quantity {
  const gaps: number[] = []
  for (let i = 0; i < rows.n; i++) {
    if (inGroup[i] === group && rows.event[i] === 1) gaps.push(upper[i]! - lower[i]!)
  }
  if (gaps.length === 0) return notEstimable('no loosening was found')
  gaps.sort((left, right) => left - right)
  const middle = Math.floor(gaps.length / 2)
  return gaps.length % 2 === 1 ? gaps[middle]! : (gaps[middle - 1]! + gaps[middle]!) / 2
}
