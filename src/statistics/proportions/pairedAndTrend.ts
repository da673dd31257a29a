import {
  type Contrast,
  notEstimable,
  type Quantity,
  quantityOf,
  type TestResult,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireFinite, requireLevel, requireSameLength } from '../numeric/columns.js'
import { requireCount, requireEventsAmong } from '../numeric/counts.js'
import { binomialCdf, binomialLogPmf, chiSquareUpperTail } from '../numeric/distributions.js'
import { exactLimits } from './proportionLimits.js'
import { type ContrastNames, unnamedGroups } from './twoProportions.js'

/** Trend of proportions over ordered groups, with the departure from it. */
export interface TrendTest extends TestResult {
  /** Signed root of the statistic: positive where the proportion rises with the score. */
  readonly z: Quantity
  /** The statistic times (N − 1)/N, as the conditional form has it. */
  readonly statisticNMinus1: Quantity
  /** Pearson chi-square of the whole table. */
  readonly overallStatistic: Quantity
  /** What the line leaves of it. */
  readonly departureStatistic: Quantity
  readonly departureDegreesOfFreedom: Quantity
}

/**
 * Cochran and Armitage's test for a linear trend of a proportion over ordered groups.
 *
 * @param events events of each group
 * @param n units of each group; groups without units are left out
 * @param scores position of each group, such as a dose
 * @returns frozen test on one degree of freedom; tagged where outcome or score does not vary
 * @throws NumericalError `unequal-length`, `not-finite`, `not-a-count`, `more-events-than-units`
 * Sources: Cochran 1954; Armitage 1955.
 * @example trendTest([83, 90, 129, 70], [86, 93, 136, 82], [1, 2, 3, 4]).statistic // => 8.2249
 */
export const trendTest = checked(
  'trendTest',
  (events: readonly number[], n: readonly number[], scores: readonly number[]): TrendTest => {
    requireSameLength({ events, n, scores })
    requireFinite('scores', scores)
    for (const [i, count] of events.entries()) requireEventsAmong(count, n[i]!)
    const kept = n.flatMap((size, i) => (size > 0 ? [{ x: events[i]!, size, score: scores[i]! }] : []))
    const total = kept.reduce((sum, one) => sum + one.size, 0)
    const all = kept.reduce((sum, one) => sum + one.x, 0)
    const p = all / total
    const mean = kept.reduce((sum, one) => sum + one.score * (one.size / total), 0)
    let spread = 0
    let product = 0
    for (const one of kept) {
      spread += one.size * (one.score - mean) ** 2
      product += one.size * (one.x / one.size - p) * (one.score - mean)
    }
    const binomial = p * ((total - all) / total)
    const slope = product / spread
    let overall = 0
    let departure = 0
    for (const one of kept) {
      const residual = one.x / one.size - p
      overall += (one.size * residual ** 2) / binomial
      departure += (one.size * (residual - slope * (one.score - mean)) ** 2) / binomial
    }
    const z = product / Math.sqrt(spread * binomial)
    const reason = 'outcome-or-score-does-not-vary'
    const quantity = (value: number): Quantity => (Number.isFinite(value) ? value : notEstimable(reason))
    return deepFreeze({
      statistic: quantity(z * z),
      degreesOfFreedom: 1,
      pValue: quantity(Number.isFinite(z) ? chiSquareUpperTail(z * z, 1) : Number.NaN),
      z: quantity(z),
      statisticNMinus1: quantity((z * z * (total - 1)) / total),
      overallStatistic: quantity(overall),
      departureStatistic: quantity(departure),
      departureDegreesOfFreedom: kept.length < 2 ? notEstimable(reason) : kept.length - 2,
      method: methodOf('cochran-armitage-trend'),
      n: total,
      events: all,
      clusters: total,
      warnings: [],
      reference: 'trend-of-proportions',
    })
  },
)

/** Comparison of two yes-or-no outcomes of the same units. */
export interface PairedTest extends TestResult {
  /** Chi-square with the continuity correction, at least 0. */
  readonly correctedStatistic: Quantity
  readonly correctedPValue: Quantity
  /** Exact binomial P value, two-sided. */
  readonly exactPValue: Quantity
  /** Two-sided mid-P value. */
  readonly midPValue: Quantity
  /** Conditional odds ratio first / second with its exact interval. */
  readonly oddsRatio: Contrast
}

/**
 * McNemar's test of paired proportions, from the pairs that disagree.
 *
 * @param firstOnly pairs with the event only in the first
 * @param secondOnly pairs with the event only in the second
 * @param options level (0.95) of the odds ratio, comparator
 * @returns frozen test on one degree of freedom; tagged where no pair disagrees
 * @throws NumericalError `not-a-count`, `level-out-of-range`
 * Sources: McNemar 1947; Edwards 1948 (correction); Fagerland, Lydersen and Laake 2013 (mid-P).
 * @example pairedTest(5, 1).exactPValue // => 0.21875
 */
export const pairedTest = checked(
  'pairedTest',
  (
    firstOnly: number,
    secondOnly: number,
    options: { readonly level?: number; readonly comparator?: ContrastNames } = {},
  ): PairedTest => {
    const { level = 0.95, comparator = unnamedGroups } = options
    requireCount('firstOnly', firstOnly)
    requireCount('secondOnly', secondOnly)
    requireLevel(level)
    const n = firstOnly + secondOnly
    const reason = 'no-pair-differs'
    const quantity = (value: number): Quantity => (n === 0 ? notEstimable(reason) : value)
    const difference = Math.abs(firstOnly - secondOnly)
    const statistic = difference ** 2 / n
    const corrected = Math.max(0, difference - 1) ** 2 / n
    const fewer = Math.min(firstOnly, secondOnly)
    const tail = n === 0 ? 1 : binomialCdf(fewer, n, 0.5)
    const below = n === 0 ? 0 : binomialCdf(fewer - 1, n, 0.5) + 0.5 * Math.exp(binomialLogPmf(fewer, n, 0.5))
    const counts = { n, events: n, clusters: n }
    const [lower, upper] = n === 0 ? [0, 1] : exactLimits(firstOnly, n, level)
    const [otherLower, otherUpper] = n === 0 ? [0, 1] : exactLimits(secondOnly, n, level)
    const oddsRatio: Contrast = {
      estimate: quantityOf(firstOnly / secondOnly, reason),
      interval: {
        lower: quantityOf(lower / otherUpper, reason),
        upper: quantityOf(upper / otherLower, reason),
      },
      level,
      method: methodOf('conditional', 'exact'),
      ...counts,
      warnings: [],
      comparator: { group: comparator.group, against: comparator.against },
      reference: 'paired-proportions',
    }
    return deepFreeze({
      statistic: quantity(statistic),
      degreesOfFreedom: 1,
      pValue: quantity(n === 0 ? Number.NaN : chiSquareUpperTail(statistic, 1)),
      correctedStatistic: quantity(corrected),
      correctedPValue: quantity(n === 0 ? Number.NaN : chiSquareUpperTail(corrected, 1)),
      exactPValue: quantity(Math.min(1, 2 * tail)),
      midPValue: quantity(Math.min(1, 2 * below)),
      oddsRatio,
      method: methodOf('mcnemar-chi-square'),
      ...counts,
      warnings: [],
      reference: 'paired-proportions',
    })
  },
)
