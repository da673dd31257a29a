import {
  type Contrast,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  quantityOf,
  type TestResult,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalCritical, requireAmount, requireCount, requirePositive } from '../numeric/counts.js'
import {
  binomialCdf,
  binomialLogPmf,
  binomialUpperTail,
  chiSquareUpperTail,
} from '../numeric/distributions.js'
import type { EventTime } from '../proportions/mantelHaenszel.js'
import { exactLimits, type Limits, midPLimits } from '../proportions/proportionLimits.js'
import { type ContrastNames, unnamedGroups } from '../proportions/twoProportions.js'

/** Interval methods of a rate ratio. */
export type RateRatioMethod = 'exact' | 'mid-p' | 'log-wald'

/** Settings of a contrast of two rates. */
export interface RateContrastOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Names of the groups; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
}

const methodNames: Readonly<Record<RateRatioMethod, MethodName>> = {
  exact: methodOf('conditional-exact'),
  'mid-p': methodOf('conditional-mid-p-exact'),
  'log-wald': methodOf('wald-on-the-log-ratio'),
}

const noTime = 'group-without-time-at-risk'
const noEvents = 'no-event-in-either-group'

/**
 * Ratio of two independent Poisson rates, the group's over the reference's.
 *
 * @param group events and time at risk of the group
 * @param against events and time at risk of the reference, in the same unit
 * @param options level (0.95), method ('exact'), comparator
 * @returns frozen contrast; unbounded where only the reference has no events, not estimable where both have none
 * @throws NumericalError `not-a-count`, `not-an-amount`, `level-out-of-range`
 * Sources: Przyborowski and Wilenski 1940; Rothman and Greenland 1998 (conditional binomial limits).
 * @example rateRatio({ events: 41, timeAtRisk: 28010 }, { events: 15, timeAtRisk: 19017 }).interval.upper // => 3.6093
 */
export const rateRatio = checked(
  'rateRatio',
  (
    group: EventTime,
    against: EventTime,
    options: RateContrastOptions & { readonly method?: RateRatioMethod } = {},
  ): Contrast => {
    const { level = 0.95, method = 'exact' } = options
    requireGroups(group, against, level)
    const missing = group.timeAtRisk === 0 || against.timeAtRisk === 0
    const [x1, x2] = [group.events, against.events]
    const timeRatio = against.timeAtRisk / group.timeAtRisk
    const value = Math.sqrt(1 / x1 + 1 / x2)
    return deepFreeze({
      ...commonPart(group, against, level, options.comparator),
      estimate: missing ? notEstimable(noTime) : quantityOf((x1 / x2) * timeRatio, noEvents),
      interval: missing ? noInterval(noTime) : ratioInterval(x1, x2, timeRatio, method, level),
      method: methodNames[method],
      ...(x1 > 0 && x2 > 0 ? { standardError: { value, scale: 'log rate ratio' } } : {}),
      reference: 'rate-comparison',
    })
  },
)

function ratioInterval(
  x1: number,
  x2: number,
  timeRatio: number,
  method: RateRatioMethod,
  level: number,
): Interval {
  if (method === 'log-wald') {
    if (x1 === 0 || x2 === 0) return noInterval('group-without-event')
    const factor = Math.exp(normalCritical(level) * Math.sqrt(1 / x1 + 1 / x2))
    return { lower: ((x1 / x2) * timeRatio) / factor, upper: (x1 / x2) * timeRatio * factor }
  }
  const n = x1 + x2
  if (n === 0) return { lower: 0, upper: quantityOf(Number.POSITIVE_INFINITY, noEvents) }
  const [lower, upper] = oddsLimits(x1, x2, (x) =>
    (method === 'exact' ? exactLimits : midPLimits)(x, n, level),
  )
  return {
    lower: quantityOf(lower * timeRatio, noEvents),
    upper: quantityOf(upper * timeRatio, noEvents),
  }
}

/** Limits of odds from those of a share and of its complement, mirrored so that both keep their digits. */
function oddsLimits(x1: number, x2: number, limitsOf: (x: number) => Limits): Limits {
  const [lower, upper] = limitsOf(x1)
  const [otherLower, otherUpper] = limitsOf(x2)
  return [lower / otherUpper, upper / otherLower]
}

/** Conditional exact limits of a rate ratio from events and times that may be effective, that is fractional. */
export function effectiveRateRatioLimits(group: EventTime, against: EventTime, level: number): Limits {
  const n = group.events + against.events
  if (n === 0) return [0, Number.POSITIVE_INFINITY]
  const timeRatio = against.timeAtRisk / group.timeAtRisk
  const [lower, upper] = oddsLimits(group.events, against.events, (x) => exactLimits(x, n, level))
  return [lower * timeRatio, upper * timeRatio]
}

/**
 * Difference of two independent Poisson rates, the group's less the reference's, with Wald's interval.
 *
 * @param group events and time at risk of the group
 * @param against events and time at risk of the reference, in the same unit
 * @param options level (0.95), comparator, per (1)
 * @returns frozen contrast per `per` units of time
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-positive`, `level-out-of-range`
 * Source: Rothman and Greenland 1998.
 * @example rateDifference({ events: 41, timeAtRisk: 28010 }, { events: 15, timeAtRisk: 19017 }, { per: 1000 }).estimate // => 0.674995
 */
export const rateDifference = checked(
  'rateDifference',
  (
    group: EventTime,
    against: EventTime,
    options: RateContrastOptions & { readonly per?: number } = {},
  ): Contrast => {
    const { level = 0.95, per = 1 } = options
    requireGroups(group, against, level)
    requirePositive('per', per)
    const missing = group.timeAtRisk === 0 || against.timeAtRisk === 0
    const difference = (group.events / group.timeAtRisk - against.events / against.timeAtRisk) * per
    const value =
      per *
      Math.hypot(Math.sqrt(group.events) / group.timeAtRisk, Math.sqrt(against.events) / against.timeAtRisk)
    const half = normalCritical(level) * value
    return deepFreeze({
      ...commonPart(group, against, level, options.comparator),
      estimate: missing ? notEstimable(noTime) : difference,
      interval: missing ? noInterval(noTime) : { lower: difference - half, upper: difference + half },
      method: methodOf('wald'),
      ...(missing ? {} : { standardError: { value, scale: 'rate difference' } }),
      reference: 'rate-comparison',
    })
  },
)

/** Test that two rates are equal, with its one- and two-sided exact forms. */
export interface RateTest extends TestResult {
  /** Probability of as few events in the group, or fewer, given the total. */
  readonly pLess: Quantity
  /** Probability of as many events in the group, or more, given the total. */
  readonly pGreater: Quantity
  /** Twice the smaller of the two, at most 1. */
  readonly pDoubled: Quantity
  /** Twice the smaller of the two with half of the observed count's probability, at most 1. */
  readonly midPDoubled: Quantity
  /** Score chi-square on one degree of freedom, not exact. */
  readonly scoreStatistic: Quantity
  readonly scorePValue: Quantity
}

/**
 * Exact conditional test that two Poisson rates are equal; `pValue` sums the probabilities of all splits of the
 * events no more probable than the one observed (relative slack 1e-7 for ties). The score test stands beside it.
 *
 * @param group events and time at risk of the group
 * @param against events and time at risk of the reference, in the same unit
 * @returns frozen test; `statistic` is the number of events in the group; tagged where a group has no time
 * @throws NumericalError `not-a-count`, `not-an-amount`
 * Source: Przyborowski and Wilenski 1940.
 * @example rateTest({ events: 11, timeAtRisk: 800 }, { events: 21, timeAtRisk: 3011 }).pValue // => 0.0796686
 */
export const rateTest = checked('rateTest', (group: EventTime, against: EventTime): RateTest => {
  requireGroups(group, against, 0.95)
  const time = group.timeAtRisk + against.timeAtRisk
  const n = group.events + against.events
  const common = {
    statistic: group.events,
    degreesOfFreedom: notEstimable('no-degrees-of-freedom'),
    method: methodOf('conditional-exact', 'splits-no-more-probable'),
    n,
    events: n,
    clusters: n,
    warnings: [],
    reference: 'rate-comparison',
  }
  if (group.timeAtRisk === 0 || against.timeAtRisk === 0) {
    const none = notEstimable(noTime)
    const all = { pValue: none, pLess: none, pGreater: none, pDoubled: none, midPDoubled: none }
    return deepFreeze({ ...common, ...all, scoreStatistic: none, scorePValue: none })
  }
  const share = group.timeAtRisk / time
  const other = against.timeAtRisk / time
  const x = group.events
  const pLess = binomialCdf(x, n, share)
  const pGreater = binomialUpperTail(x - 1, n, share)
  const half = 0.5 * Math.exp(binomialLogPmf(x, n, share))
  const score =
    n === 0 ? undefined : (group.events * other - against.events * share) ** 2 / (n * share * other)
  const noScore = notEstimable(noEvents)
  return deepFreeze({
    ...common,
    pValue: minimumLikelihoodP(x, n, share),
    pLess,
    pGreater,
    pDoubled: Math.min(1, 2 * Math.min(pLess, pGreater)),
    midPDoubled: Math.min(
      1,
      2 * Math.min(binomialCdf(x - 1, n, share) + half, binomialUpperTail(x, n, share) + half),
    ),
    scoreStatistic: score ?? noScore,
    scorePValue: score === undefined ? noScore : chiSquareUpperTail(score, 1),
  })
})

/** Two-sided binomial P value: all counts no more probable than the one observed. */
export function minimumLikelihoodP(x: number, n: number, share: number): number {
  const threshold = binomialLogPmf(x, n, share) + 1e-7
  const mode = Math.min(n, Math.floor((n + 1) * share))
  const right = firstBelow(mode, n, (k) => binomialLogPmf(k, n, share) <= threshold)
  const left = -firstBelow(-mode, 0, (k) => binomialLogPmf(-k, n, share) <= threshold)
  if (right <= left + 1) return 1
  return Math.min(1, (right > n ? 0 : binomialUpperTail(right - 1, n, share)) + binomialCdf(left, n, share))
}

/** Smallest whole number from a start to an end for which a condition that then stays true is true; end + 1 if none. */
function firstBelow(start: number, end: number, condition: (k: number) => boolean): number {
  let low = start
  let high = end + 1
  while (low < high) {
    const middle = Math.floor((low + high) / 2)
    if (condition(middle)) high = middle
    else low = middle + 1
  }
  return low
}

function requireGroups(group: EventTime, against: EventTime, level: number): void {
  for (const one of [group, against]) {
    requireCount('events', one.events)
    requireAmount('timeAtRisk', one.timeAtRisk)
  }
  requireLevel(level)
}

function commonPart(
  group: EventTime,
  against: EventTime,
  level: number,
  comparator: ContrastNames = unnamedGroups,
) {
  const n = group.events + against.events
  return {
    level,
    n,
    events: n,
    clusters: n,
    warnings: [],
    comparator: { group: comparator.group, against: comparator.against },
  }
}
