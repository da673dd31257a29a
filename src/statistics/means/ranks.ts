import { notEstimable, type PlainReason, type Quantity, type TestResult } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type NumberColumn, requireFinite, requireSameLength } from '../numeric/columns.js'
import { chiSquareUpperTail, normalUpperTail } from '../numeric/distributions.js'
import { drawnSumP, signedSumP } from '../numeric/permutationTails.js'

/** A rank test with its exact P value and the two normal ones. */
export interface RankTest extends TestResult {
  /** From the permutation distribution of the midranks, ties kept; tagged where it would take too long. */
  readonly exactPValue: Quantity
  /** Normal, variance corrected for ties, with the continuity correction of ½. */
  readonly correctedPValue: Quantity
  /** Normal, variance corrected for ties, without continuity correction. */
  readonly normalPValue: Quantity
  readonly hasTies: boolean
}

/** Mann and Whitney's test with the share of pairs in which the first is larger. */
export interface TwoSampleRankTest extends RankTest {
  /** Chance that a value of the first sample exceeds one of the second, half for ties. */
  readonly superiority: Quantity
}

const tooLong = 'too-many-permutations'
const allAlike = 'values-do-not-vary'

/**
 * Mann and Whitney's (Wilcoxon's rank-sum) test that neither of two independent samples tends to larger values.
 * `statistic` is U of the first: pairs in which it is larger, ties half. `pValue` is the exact one where it can be
 * had, else the corrected normal one.
 *
 * @param first values of the first sample
 * @param second values of the second sample
 * @returns frozen test; tagged where a sample is empty or all values are alike
 * @throws NumericalError `not-finite`
 * Sources: Mann and Whitney 1947; Lehmann 1975; Streitberg and Röhmel 1986 (exact with ties: sums at least as far
 * from their mean).
 * @example rankSumTest([0.8, 0.83, 1.89], [1.15, 0.88, 0.9, 0.74]).statistic // => 6
 */
export const rankSumTest = checked(
  'rankSumTest',
  (first: ArrayLike<number>, second: ArrayLike<number>): TwoSampleRankTest => {
    requireFinite('first', first)
    requireFinite('second', second)
    const [m, n] = [first.length, second.length]
    const values = Float64Array.from([...Array.from(first), ...Array.from(second)])
    const { doubled, tieSum } = midranks(values)
    let observed = 0
    for (let i = 0; i < m; i++) observed += doubled[i]!
    const u = observed / 2 - (m * (m + 1)) / 2
    const all = m + n
    const variance = ((m * n) / 12) * (all + 1 - tieSum / (all * (all - 1)))
    const empty = m === 0 || n === 0
    const reason = empty ? 'group-empty' : allAlike
    const testable = !empty && variance > 0
    return deepFreeze({
      ...rankTestOf(
        u,
        testable ? { distance: Math.abs(u - (m * n) / 2), variance } : undefined,
        testable ? () => drawnSumP(doubled, m, observed) : undefined,
        reason,
      ),
      statistic: empty ? notEstimable(reason) : u,
      superiority: empty ? notEstimable(reason) : u / (m * n),
      hasTies: tieSum > 0,
      method: methodOf('mann-whitney'),
      n: all,
      events: all,
      clusters: all,
      warnings: [],
      reference: 'ranks',
    })
  },
)

/**
 * Wilcoxon's signed-rank test that paired differences lie evenly about zero. Differences of zero are dropped before
 * ranking. `statistic` is the sum of the ranks of positive differences (first less second).
 *
 * @param first values of the first of each pair
 * @param second values of the second of each pair
 * @returns frozen test; n counts the differences kept; tagged where none is
 * @throws NumericalError `unequal-length`, `not-finite`
 * Sources: Wilcoxon 1945; Pratt 1959 discusses zeros, which are dropped here as Wilcoxon did.
 * @example signedRankTest([5, 3, 8, 9], [1, 4, 6, 2]).statistic // => 9
 */
export const signedRankTest = checked(
  'signedRankTest',
  (first: NumberColumn, second: NumberColumn): RankTest => {
    requireSameLength({ first, second })
    requireFinite('first', first)
    requireFinite('second', second)
    const differences = Float64Array.from(first, (value, i) => value - second[i]!).filter((d) => d !== 0)
    const n = differences.length
    const { doubled, tieSum } = midranks(differences.map(Math.abs))
    let positive = 0
    for (let i = 0; i < n; i++) if (differences[i]! > 0) positive += doubled[i]!
    const v = positive / 2
    const variance = (n * (n + 1) * (2 * n + 1)) / 24 - tieSum / 48
    const reason = 'no-pair-differs'
    return deepFreeze({
      ...rankTestOf(
        v,
        n > 0 ? { distance: Math.abs(v - (n * (n + 1)) / 4), variance } : undefined,
        n > 0 ? () => signedSumP(doubled, positive) : undefined,
        reason,
      ),
      statistic: n === 0 ? notEstimable(reason) : v,
      hasTies: tieSum > 0,
      method: methodOf('wilcoxon-signed-rank'),
      n,
      events: n,
      clusters: n,
      warnings: [],
      reference: 'ranks',
    })
  },
)

/**
 * Kruskal and Wallis's test that none of several independent samples tends to larger values, corrected for ties.
 *
 * @param value value of each row
 * @param group label of each row's sample
 * @returns frozen test; `statistic` is H; tagged where there are fewer than two samples or all values are alike
 * @throws NumericalError `unequal-length`, `not-finite`
 * Source: Kruskal and Wallis 1952.
 * @example manyRankSumsTest([1, 2, 3, 4, 5, 6], [1, 1, 2, 2, 3, 3]).statistic // => 4.5714
 */
export const manyRankSumsTest = checked(
  'manyRankSumsTest',
  (value: NumberColumn, group: CodeColumn): TestResult => {
    requireSameLength({ value, group })
    requireFinite('value', value)
    const { codes, levels } = codesOf('group', group)
    const n = value.length
    const { doubled, tieSum } = midranks(Float64Array.from(value))
    const sums = new Float64Array(levels.length)
    const sizes = new Float64Array(levels.length)
    for (let row = 0; row < n; row++) {
      sums[codes[row]!]! += doubled[row]! / 2 - (n + 1) / 2
      sizes[codes[row]!]! += 1
    }
    const between = sums.reduce((total, sum, i) => total + (sum * sum) / sizes[i]!, 0)
    const correction = 1 - tieSum / (n * n * n - n)
    const statistic = (12 * between) / (n * (n + 1)) / correction
    const degreesOfFreedom = levels.length - 1
    const reason = levels.length < 2 ? 'fewer-than-two-groups' : allAlike
    const testable = levels.length >= 2 && correction > 0
    const none = notEstimable(reason)
    return deepFreeze({
      statistic: testable ? statistic : none,
      degreesOfFreedom: levels.length < 2 ? none : degreesOfFreedom,
      pValue: testable ? chiSquareUpperTail(statistic, degreesOfFreedom) : none,
      method: methodOf('kruskal-wallis'),
      n,
      events: n,
      clusters: n,
      warnings: [],
      reference: 'ranks',
    })
  },
)

function rankTestOf(
  statistic: number,
  normal: { readonly distance: number; readonly variance: number } | undefined,
  exact: (() => number | undefined) | undefined,
  reason: PlainReason,
) {
  const none = notEstimable(reason)
  const degreesOfFreedom = notEstimable('no-degrees-of-freedom')
  if (normal === undefined || exact === undefined || !Number.isFinite(statistic)) {
    return { degreesOfFreedom, pValue: none, exactPValue: none, correctedPValue: none, normalPValue: none }
  }
  const { distance, variance } = normal
  const error = Math.sqrt(variance)
  const correctedPValue = Math.min(1, 2 * normalUpperTail(Math.max(0, distance - 0.5) / error))
  const listed = exact()
  return {
    degreesOfFreedom,
    pValue: listed ?? correctedPValue,
    exactPValue: listed ?? notEstimable(tooLong),
    correctedPValue,
    normalPValue: 2 * normalUpperTail(distance / error),
  }
}

/** Twice the midrank of each value, and Σ(t³ − t) over ties of t values. */
function midranks(values: Float64Array): { readonly doubled: Float64Array; readonly tieSum: number } {
  const order = Int32Array.from(values, (_, i) => i).sort((a, b) => values[a]! - values[b]!)
  const doubled = new Float64Array(values.length)
  let tieSum = 0
  for (let first = 0; first < order.length; ) {
    let last = first
    while (last + 1 < order.length && values[order[last + 1]!] === values[order[first]!]) last++
    for (let i = first; i <= last; i++) doubled[order[i]!] = first + last + 2
    const size = last - first + 1
    tieSum += size * (size * size - 1)
    first = last + 1
  }
  return { doubled, tieSum }
}
