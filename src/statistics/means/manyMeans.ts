import { notEstimable, type PlainReason, type Quantity, type TestResult } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { fUpperTail } from '../numeric/distributions.js'
import { studentisedRangeUpperQuantile, studentisedRangeUpperTail } from '../numeric/studentisedRange.js'
import { differenceError, requireSummary, type SummaryFigures } from './means.js'

/** Analysis of variance of several means. */
export interface VarianceAnalysis extends TestResult {
  /** Of the error; fractional in Welch's form. */
  readonly denominatorDegreesOfFreedom: Quantity
}

/**
 * One-way analysis of variance from number, mean and standard deviation of each group alone: classical with a common
 * variance, or Welch's without.
 *
 * @param groups at least two groups
 * @param options variances ('equal')
 * @returns frozen test; `statistic` is F on `degreesOfFreedom` and `denominatorDegreesOfFreedom`; tagged where a
 * variance cannot be had
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`
 * Sources: Fisher 1925; Welch 1951 (Biometrika 38:330).
 * @example varianceAnalysis([{ n: 3, mean: 1, standardDeviation: 1 }, { n: 3, mean: 3, standardDeviation: 1 }]).statistic // => 6
 */
export const varianceAnalysis = checked(
  'varianceAnalysis',
  (
    groups: readonly SummaryFigures[],
    options: { readonly variances?: 'equal' | 'unequal' } = {},
  ): VarianceAnalysis => {
    const { variances = 'equal' } = options
    groups.forEach(requireSummary)
    const n = groups.reduce((sum, one) => sum + one.n, 0)
    const answer = variances === 'equal' ? classicalF(groups) : welchF(groups)
    const reason = reasonAgainst(groups, variances)
    const none = notEstimable(reason ?? 'values-do-not-vary')
    const usable = reason === undefined && Number.isFinite(answer.statistic)
    return deepFreeze({
      statistic: usable ? answer.statistic : none,
      degreesOfFreedom: groups.length < 2 ? none : groups.length - 1,
      denominatorDegreesOfFreedom: usable ? answer.denominator : none,
      pValue: usable ? fUpperTail(answer.statistic, groups.length - 1, answer.denominator) : none,
      method: methodOf(
        variances === 'equal' ? 'one-way-analysis-of-variance' : 'welch-s-analysis-of-variance',
      ),
      n,
      events: n,
      clusters: n,
      warnings: [],
      reference: 'many-means',
    })
  },
)

/** One pair of groups with its difference, adjusted for the number of pairs. */
export interface PairDifference {
  /** Positions of the two groups, counted from 0; the difference is the first's mean less the second's. */
  readonly first: number
  readonly second: number
  readonly difference: number
  readonly lower: Quantity
  readonly upper: Quantity
  /** Studentised range statistic. */
  readonly statistic: Quantity
  readonly degreesOfFreedom: Quantity
  /** Adjusted for all pairs. */
  readonly pValue: Quantity
}

/** All pairs of groups. */
export interface PairwiseDifferences {
  readonly pairs: readonly PairDifference[]
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * All pairwise differences of means with simultaneous intervals and adjusted P values, from number, mean and standard
 * deviation alone: Tukey's with a common variance (Kramer's form where sizes differ), or Games and Howell's without.
 *
 * @param groups at least two groups
 * @param options level (0.95, of all pairs together), variances ('equal')
 * @returns frozen pairs in the order of the groups
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`
 * Sources: Tukey 1953; Kramer 1956; Games and Howell 1976.
 * @example pairwiseDifferences([{ n: 3, mean: 1, standardDeviation: 1 }, { n: 3, mean: 3, standardDeviation: 1 }]).pairs[0].pValue // => 0.0705
 */
export const pairwiseDifferences = checked(
  'pairwiseDifferences',
  (
    groups: readonly SummaryFigures[],
    options: { readonly level?: number; readonly variances?: 'equal' | 'unequal' } = {},
  ): PairwiseDifferences => {
    const { level = 0.95, variances = 'equal' } = options
    groups.forEach(requireSummary)
    requireLevel(level)
    const reason = reasonAgainst(groups, variances)
    const { within, denominator } = classicalF(groups)
    const pairs = groups.flatMap((_, first) =>
      groups.slice(first + 1).map((_other, offset): PairDifference => {
        const second = first + 1 + offset
        const [one, two] = [groups[first]!, groups[second]!]
        const own = differenceError(one, two, 'unequal')
        const error = variances === 'equal' ? Math.sqrt(within * (1 / one.n + 1 / two.n)) : own.error
        const degreesOfFreedom = variances === 'equal' ? denominator : own.degreesOfFreedom
        const difference = one.mean - two.mean
        const answer = rangeAnswer(difference, error, degreesOfFreedom, groups.length, level, reason)
        return { first, second, difference, ...answer }
      }),
    )
    return deepFreeze({
      pairs,
      level,
      method: methodOf(variances === 'equal' ? 'tukey-kramer' : 'games-howell'),
      reference: 'many-means',
    })
  },
)

function rangeAnswer(
  difference: number,
  error: number,
  degreesOfFreedom: number,
  groups: number,
  level: number,
  reason: PlainReason | undefined,
) {
  if (reason !== undefined || !(error > 0)) {
    const none = notEstimable(reason ?? 'values-do-not-vary')
    return { lower: none, upper: none, statistic: none, degreesOfFreedom: none, pValue: none }
  }
  const statistic = (Math.abs(difference) / error) * Math.SQRT2
  const half = (studentisedRangeUpperQuantile(1 - level, groups, degreesOfFreedom) * error) / Math.SQRT2
  return {
    lower: difference - half,
    upper: difference + half,
    statistic,
    degreesOfFreedom,
    pValue: studentisedRangeUpperTail(statistic, groups, degreesOfFreedom),
  }
}

function classicalF(groups: readonly SummaryFigures[]) {
  const n = groups.reduce((sum, one) => sum + one.n, 0)
  const grand = groups.reduce((sum, one) => sum + (one.n / n) * one.mean, 0)
  const denominator = n - groups.length
  const between = groups.reduce((sum, one) => sum + one.n * (one.mean - grand) ** 2, 0)
  const within = groups.reduce((sum, one) => sum + (one.n - 1) * one.standardDeviation ** 2, 0) / denominator
  return { statistic: between / (groups.length - 1) / within, denominator, within }
}

function welchF(groups: readonly SummaryFigures[]) {
  const k = groups.length
  const weights = groups.map((one) => one.n / one.standardDeviation ** 2)
  const all = weights.reduce((sum, weight) => sum + weight, 0)
  const centre = groups.reduce((sum, one, i) => sum + (weights[i]! / all) * one.mean, 0)
  const between = groups.reduce((sum, one, i) => sum + weights[i]! * (one.mean - centre) ** 2, 0)
  const spread = groups.reduce((sum, one, i) => sum + (1 - weights[i]! / all) ** 2 / (one.n - 1), 0)
  const scale = 1 + (2 * (k - 2) * spread) / (k * k - 1)
  return { statistic: between / (k - 1) / scale, denominator: (k * k - 1) / (3 * spread) }
}

function reasonAgainst(
  groups: readonly SummaryFigures[],
  variances: 'equal' | 'unequal',
): PlainReason | undefined {
  if (groups.length < 2) return 'fewer-than-two-groups'
  if (groups.some((one) => one.n === 0)) return 'group-empty'
  const alone = groups.filter((one) => one.n === 1).length
  if (variances === 'unequal' && alone > 0) return 'group-too-small-for-variance'
  if (variances === 'equal' && alone === groups.length) return 'groups-too-small-for-variance'
  if (variances === 'unequal' && groups.some((one) => one.standardDeviation === 0)) {
    return 'group-does-not-vary'
  }
  return undefined
}
