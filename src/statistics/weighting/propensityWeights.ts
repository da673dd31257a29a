import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf, term } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireFinite, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { requireBothGroups } from './propensityScores.js'

/**
 * In whom the effect is: in all (`average`), in the treated, in the untreated, or in those who might have had either
 * (`overlap`).
 */
export type TargetPopulation = 'average' | 'treated' | 'untreated' | 'overlap'

/** Options of propensity weights. */
export interface PropensityWeightOptions {
  /** Default 'average'. */
  readonly target?: TargetPopulation
  /** Weights of the average effect times the share of their group, so that they keep near 1; default false. */
  readonly stabilised?: boolean
  /** Rows whose score lies outside these bounds get weight 0; default none. */
  readonly trimScores?: readonly [number, number]
  /** Weights above this quantile of their group are cut to it; default none. */
  readonly truncateAt?: number
}

/** What the weights of one group come to. */
export interface GroupWeights {
  readonly rows: number
  readonly sum: number
  readonly largest: number
  /** Kish's effective sample size, (Σw)² / Σw². */
  readonly effectiveSize: Quantity
}

/** Propensity weights. */
export interface PropensityWeights {
  /** One per row, in the order of the rows. */
  readonly weights: readonly number[]
  readonly target: TargetPopulation
  readonly treated: GroupWeights
  readonly untreated: GroupWeights
  /** Rows set to 0 by trimming, and rows whose weight was cut. */
  readonly trimmed: number
  readonly truncated: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Weight above which a stabilised weight counts as extreme. */
export const extremeWeight = 10

/**
 * Weights that make two groups alike in what the scores were made of: inverse probability for the average effect
 * (Robins 1986), odds for the effect in the treated or untreated, and the probability of the other group for the
 * effect in the overlap (Li, Morgan and Zaslavsky 2018).
 *
 * Scores of 0 or 1 leave weights of the average effect without a bound and are refused unless trimmed away.
 *
 * @param treated 1 in the group of interest, 0 in the other
 * @param scores propensity scores, from 0 to 1
 * @param options target 'average'; stabilised false; trimScores none; truncateAt none
 * @throws NumericalError `one-group`, `not-zero-one`, `unequal-length`, `not-finite`, `score-out-of-range`,
 *   `no-overlap`, `weights-all-zero`, `share-out-of-range`
 * @example propensityWeights([1, 0, 1, 0], [0.5, 0.5, 0.8, 0.2]).weights[2] // => 1.25
 */
export const propensityWeights = checked(
  'propensityWeights',
  (treated: NumberColumn, scores: NumberColumn, options: PropensityWeightOptions = {}): PropensityWeights => {
    const { target = 'average', stabilised = false, trimScores, truncateAt } = options
    requireScores(treated, scores)
    if (trimScores !== undefined) requireBounds(trimScores)
    const [lowest, highest] = trimScores ?? [0, 1]
    const weights = new Float64Array(treated.length)
    let trimmed = 0
    for (let row = 0; row < weights.length; row++) {
      const score = scores[row]!
      if (score < lowest || score > highest) trimmed++
      else weights[row] = weightOf(target, treated[row] === 1, score)
    }
    requireBounded(weights, target)
    if (stabilised && target === 'average') stabilise(weights, treated)
    const truncated = truncateAt === undefined ? 0 : truncate(weights, treated, truncateAt)
    const groups = [1, 0].map((group) => groupWeights(weights, treated, group))
    requireAnyWeight(groups)
    return Object.freeze({
      weights: Object.freeze(Array.from(weights)),
      target,
      treated: groups[0]!,
      untreated: groups[1]!,
      trimmed,
      truncated,
      method: methodName(target, stabilised, trimScores, truncateAt),
      warnings: Object.freeze(warningsOf(weights, treated, target, stabilised)),
      reference: 'propensity-weights',
    })
  },
)

function weightOf(target: TargetPopulation, isTreated: boolean, score: number): number {
  switch (target) {
    case 'average':
      return isTreated ? 1 / score : 1 / (1 - score)
    case 'treated':
      return isTreated ? 1 : score / (1 - score)
    case 'untreated':
      return isTreated ? (1 - score) / score : 1
    case 'overlap':
      return isTreated ? 1 - score : score
  }
}

/** Share of the rows that the trimming leaves, by group, times each weight. */
function stabilise(weights: Float64Array, treated: ArrayLike<number>): void {
  let kept = 0
  let keptTreated = 0
  for (let row = 0; row < weights.length; row++) {
    if (weights[row] === 0) continue
    kept++
    keptTreated += treated[row]!
  }
  const share = kept === 0 ? 0 : keptTreated / kept
  for (let row = 0; row < weights.length; row++) weights[row]! *= treated[row] === 1 ? share : 1 - share
}

function truncate(weights: Float64Array, treated: ArrayLike<number>, quantile: number): number {
  if (!(quantile > 0 && quantile < 1)) throw shareOutOfRange('truncateAt', quantile)
  let cut = 0
  for (const group of [0, 1]) {
    const own = weights.filter((weight, row) => treated[row] === group && weight > 0).sort()
    if (own.length === 0) continue
    const at = quantile * (own.length - 1)
    const below = Math.floor(at)
    const above = Math.min(below + 1, own.length - 1)
    const most = own[below]! + (at - below) * (own[above]! - own[below]!)
    for (let row = 0; row < weights.length; row++) {
      if (treated[row] !== group || weights[row]! <= most) continue
      weights[row] = most
      cut++
    }
  }
  return cut
}

/** Sum, largest and effective number of the weights of one group. */
export function groupWeights(
  weights: ArrayLike<number>,
  treated: ArrayLike<number>,
  group: number,
): GroupWeights {
  let rows = 0
  let sum = 0
  let squares = 0
  let largest = 0
  for (let row = 0; row < treated.length; row++) {
    if (treated[row] !== group) continue
    const weight = weights[row]!
    if (weight > 0) rows++
    sum += weight
    squares += weight * weight
    if (weight > largest) largest = weight
  }
  const effectiveSize = squares > 0 ? (sum * sum) / squares : notEstimable('weights-all-zero')
  return Object.freeze({ rows, sum, largest, effectiveSize })
}

function warningsOf(
  weights: Float64Array,
  treated: ArrayLike<number>,
  target: TargetPopulation,
  stabilised: boolean,
): Warning[] {
  if (target === 'overlap') return []
  const steady = Float64Array.from(weights)
  if (target === 'average' && !stabilised) stabilise(steady, treated)
  const extreme = steady.filter((weight) => weight > extremeWeight).length
  if (extreme === 0) return []
  return [warning('extreme-weights', { weights: extreme, most: extremeWeight })]
}

function methodName(
  target: TargetPopulation,
  stabilised: boolean,
  trimScores: readonly [number, number] | undefined,
  truncateAt: number | undefined,
): MethodName {
  const [lowest, highest] = trimScores ?? []
  return methodOf(
    'propensity-weights',
    `${target}-target`,
    ...(stabilised && target === 'average' ? methodOf('stabilised') : []),
    ...(lowest === undefined || highest === undefined ? [] : [term('scores-trimmed', { lowest, highest })]),
    ...(truncateAt === undefined ? [] : [term('truncated-at-quantile', { quantile: truncateAt })]),
  )
}

function requireScores(treated: ArrayLike<number>, scores: ArrayLike<number>): void {
  requireSameLength({ treated, scores })
  requireZeroOne('treated', treated)
  requireBothGroups(treated)
  requireFinite('scores', scores)
  for (let row = 0; row < scores.length; row++) {
    if (scores[row]! >= 0 && scores[row]! <= 1) continue
    throw new NumericalError({
      code: 'score-out-of-range',
      problem: `column scores leaves the range from 0 to 1, first in row ${row + 1} of ${scores.length}.`,
      expected: 'probabilities of the treatment.',
      mend: 'pass the scores of a propensity model.',
    })
  }
}

/** Weights beyond this come of scores that are 0 or 1 but for rounding. */
const boundless = 1e8

function requireBounded(weights: Float64Array, target: TargetPopulation): void {
  const unbounded = weights.filter((weight) => !(weight < boundless)).length
  if (unbounded === 0) return
  throw new NumericalError({
    code: 'no-overlap',
    problem: `${unbounded} rows have a score of 0 or 1 against their group, so that weights for the ${target} effect have no bound.`,
    expected: 'scores that leave each row a chance of either group.',
    mend: 'use the overlap effect, trim the scores, or leave out the covariate that decides the group.',
  })
}

function requireAnyWeight(groups: readonly GroupWeights[]): void {
  if (groups.every(({ sum }) => sum > 0)) return
  throw new NumericalError({
    code: 'weights-all-zero',
    problem: 'one group is left without any weight.',
    expected: 'rows of both groups between the bounds of the scores.',
    mend: 'trim less; where the scores separate the groups there is nothing to compare.',
  })
}

function requireBounds([lowest, highest]: readonly [number, number]): void {
  if (!(lowest >= 0 && highest <= 1 && lowest < highest)) throw shareOutOfRange('trimScores', lowest)
}

function shareOutOfRange(name: string, value: number): NumericalError {
  return new NumericalError({
    code: 'share-out-of-range',
    problem: `${name} has ${value}.`,
    expected: 'shares between 0 and 1, the lower bound first.',
    mend: `check ${name}, such as [0.05, 0.95] or 0.99.`,
  })
}
