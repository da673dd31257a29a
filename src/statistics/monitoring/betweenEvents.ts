import { mean as meanOfList, sum } from 'simple-statistics'
import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import { requireNonNegative } from '../numeric/columns.js'

/** Options of a chart of what lies between events. */
export interface BetweenEventsOptions {
  /** Tail beyond each probability limit; default 0.00135, as three standard deviations of a normal. */
  readonly tail?: number
  /** Gaps that fix the centre line, from the first; default all. */
  readonly baseline?: number
}

/** A chart of cases between events. */
export interface CasesBetweenChart {
  /** Mean number of cases without the event before each event. */
  readonly mean: number
  /** Risk of the event per case that goes with it: 1 / (mean + 1). */
  readonly risk: number
  readonly standardDeviation: number
  /** Three standard deviations from the mean, the lower limit at least 0. */
  readonly lowerLimit: number
  readonly upperLimit: number
  /** Limits with the tail's probability of a geometric distribution beyond each. */
  readonly lowerProbabilityLimit: Quantity
  readonly upperProbabilityLimit: Quantity
  /** Gaps above the upper limit of three standard deviations, counted from 1: unusually long, an improvement. */
  readonly above: readonly number[]
  /** Gaps above the upper probability limit. */
  readonly aboveProbabilityLimit: readonly number[]
  /** Gaps below the lower probability limit: events unusually close together. */
  readonly belowProbabilityLimit: readonly number[]
  readonly n: number
  readonly events: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** A chart of days between events. */
export interface DaysBetweenChart {
  readonly meanDays: number
  /** Limits with the tail's probability of an exponential distribution beyond each. */
  readonly lowerLimitDays: number
  readonly upperLimitDays: number
  /** Median of the exponential distribution: the centre line. */
  readonly medianDays: number
  /** Gaps beyond each limit, counted from 1. */
  readonly above: readonly number[]
  readonly below: readonly number[]
  /** Chance that the latest stretch without an event, if given, would be as long by chance alone. */
  readonly chanceOfLatest: Quantity
  readonly events: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

const reference = 'between-events-chart'

/**
 * Chart of the number of cases without the event before each event, for events too rare to plot as proportions
 * (Benneyan 2001): geometric, with limits at three standard deviations and by probability.
 *
 * @param gaps whole numbers of cases, 0 or more, one per event in order
 * @param options tail 0.00135; baseline all gaps
 * @throws NumericalError `no-gaps`, `not-finite`, `negative`, `share-out-of-range`, `baseline-not-usable`
 * @example casesBetweenChart([12, 35, 7]).mean // => 18
 */
export const casesBetweenChart = checked(
  'casesBetweenChart',
  (gaps: ArrayLike<number>, options: BetweenEventsOptions = {}): CasesBetweenChart => {
    const { tail, used } = settledOf(gaps, options)
    const mean = meanOf(gaps, used)
    const risk = 1 / (mean + 1)
    const standardDeviation = Math.sqrt(mean * (mean + 1))
    const lowerLimit = Math.max(0, mean - 3 * standardDeviation)
    const upperLimit = mean + 3 * standardDeviation
    const lower = geometricQuantile(tail, risk)
    const upper = geometricQuantile(1 - tail, risk)
    return Object.freeze({
      mean,
      risk,
      standardDeviation,
      lowerLimit,
      upperLimit,
      lowerProbabilityLimit: lower,
      upperProbabilityLimit: upper,
      above: positions(gaps, (gap) => gap > upperLimit),
      aboveProbabilityLimit: positions(gaps, (gap) => typeof upper === 'number' && gap > upper),
      belowProbabilityLimit: positions(gaps, (gap) => typeof lower === 'number' && gap < lower),
      n: totalOf(gaps) + gaps.length,
      events: gaps.length,
      warnings: Object.freeze(warningsOf(used)),
      reference,
    })
  },
)

/**
 * Chart of the days between events, exponential where events come at a constant rate, with probability limits.
 *
 * @param days days between one event and the next, 0 or more, in order
 * @param options tail 0.00135; baseline all gaps; latestDays, days since the last event, default none
 * @throws NumericalError `no-gaps`, `not-finite`, `negative`, `share-out-of-range`, `baseline-not-usable`
 * @example daysBetweenChart([10, 30, 20]).medianDays // => 13.863
 */
export const daysBetweenChart = checked(
  'daysBetweenChart',
  (
    days: ArrayLike<number>,
    options: BetweenEventsOptions & { readonly latestDays?: number } = {},
  ): DaysBetweenChart => {
    const { tail, used } = settledOf(days, options)
    const meanDays = meanOf(days, used)
    const lowerLimitDays = -meanDays * Math.log1p(-tail)
    const upperLimitDays = -meanDays * Math.log(tail)
    const { latestDays } = options
    if (latestDays !== undefined) requireNonNegative('latestDays', [latestDays])
    return Object.freeze({
      meanDays,
      lowerLimitDays,
      upperLimitDays,
      medianDays: meanDays * Math.LN2,
      above: positions(days, (gap) => gap > upperLimitDays),
      below: positions(days, (gap) => gap < lowerLimitDays),
      chanceOfLatest: chanceOf(latestDays, meanDays),
      events: days.length,
      warnings: Object.freeze(warningsOf(used)),
      reference,
    })
  },
)

function chanceOf(latestDays: number | undefined, meanDays: number): Quantity {
  if (latestDays === undefined) return notEstimable('days-not-given')
  if (meanDays === 0) return notEstimable('events-on-one-day')
  return Math.exp(-latestDays / meanDays)
}

/** Smallest number of cases before an event whose lower tail reaches the probability. */
function geometricQuantile(probability: number, risk: number): Quantity {
  if (risk === 1) return 0
  const cases = Math.log1p(-probability) / Math.log1p(-risk) - 1
  return Math.max(0, Math.ceil(cases - 1e-12 * Math.max(1, Math.abs(cases))))
}

function settledOf(
  gaps: ArrayLike<number>,
  { tail = 0.00135, baseline }: BetweenEventsOptions,
): { tail: number; used: number } {
  if (gaps.length === 0) {
    throw new NumericalError({
      code: 'no-gaps',
      problem: 'there are no gaps between events.',
      expected: 'at least one.',
      mend: 'wait for two events, or use a chart of all cases.',
    })
  }
  requireNonNegative('gaps', gaps)
  if (!(tail > 0 && tail < 0.5)) {
    throw new NumericalError({
      code: 'share-out-of-range',
      problem: `the tail is ${tail}.`,
      expected: 'a probability between 0 and one half.',
      mend: 'use 0.00135.',
    })
  }
  const used = baseline ?? gaps.length
  if (!(Number.isInteger(used) && used >= 1 && used <= gaps.length)) {
    throw new NumericalError({
      code: 'baseline-not-usable',
      problem: `the baseline holds ${used} of ${gaps.length} gaps.`,
      expected: 'a whole number from 1 to the number of gaps.',
      mend: 'leave the baseline out to use all gaps.',
    })
  }
  return { tail, used }
}

function positions(gaps: ArrayLike<number>, beyond: (gap: number) => boolean): readonly number[] {
  const found: number[] = []
  for (let i = 0; i < gaps.length; i++) if (beyond(gaps[i]!)) found.push(i + 1)
  return Object.freeze(found)
}

function meanOf(gaps: ArrayLike<number>, used: number): number {
  return meanOfList(Array.from(gaps).slice(0, used))
}

function totalOf(gaps: ArrayLike<number>): number {
  return sum(Array.from(gaps))
}

function warningsOf(used: number): readonly Warning[] {
  if (used >= 15) return []
  return [warning('few-gaps', { gaps: used })]
}
