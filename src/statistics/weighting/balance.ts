import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import {
  type NumberColumn,
  requireFinite,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import { type Covariates, isCategory, orderedLevels } from '../regression/design.js'
import { requireBothGroups } from './propensityScores.js'

/** Means of one column in both groups and how far they lie apart. */
export interface BalanceSide {
  readonly meanTreated: number
  readonly meanUntreated: number
  /** Difference of means over the root of the mean of both groups' unweighted variances. */
  readonly standardisedDifference: Quantity
  /** Variance in the treated over that in the untreated; for columns of 0 and 1 it says nothing new. */
  readonly varianceRatio: Quantity
}

/** Balance of one column before and after weighting. */
export interface BalanceRow {
  /** Covariate, or `covariate=level` for each level of a category. */
  readonly name: string
  /** Whether the column holds only 0 and 1. */
  readonly binary: boolean
  readonly before: BalanceSide
  readonly after: BalanceSide
}

/** Balance of all covariates. */
export interface CovariateBalance {
  readonly rows: readonly BalanceRow[]
  /** Largest standardised difference in absolute size. */
  readonly largestBefore: Quantity
  readonly largestAfter: Quantity
  /** Columns whose difference after weighting is 0.1 or more. */
  readonly unbalanced: readonly string[]
  readonly n: number
  readonly reference: string
}

/** Difference from which a covariate counts as out of balance. */
export const balanceThreshold = 0.1

/**
 * Balance of covariates between two groups before and after weighting, as standardised mean differences and variance
 * ratios (Austin 2009).
 *
 * The denominator is the same before and after: the root of the mean of both groups' unweighted variances, with n − 1
 * for numbers and p(1 − p) for columns of 0 and 1, so that weighting cannot look good by inflating it. Every level of
 * a category has a row.
 *
 * @param treated 1 in the group of interest, 0 in the other
 * @param covariates columns by name, complete; texts are categories
 * @param weights zero or more, one per row; default 1 each, and `after` equals `before`
 * @throws NumericalError `one-group`, `not-zero-one`, `unequal-length`, `not-finite`, `negative`, `missing-level`,
 *   `weights-all-zero`
 * @example covariateBalance([1, 1, 0, 0], { age: [50, 60, 40, 50] }).rows[0].before.standardisedDifference // => 1.414
 */
export const covariateBalance = checked(
  'covariateBalance',
  (treated: NumberColumn, covariates: Covariates, weights?: NumberColumn): CovariateBalance => {
    requireSameLength({ treated, weights, ...covariates })
    requireZeroOne('treated', treated)
    requireBothGroups(treated)
    if (weights !== undefined) requireWeights(treated, weights)
    const rows = Object.entries(covariates).flatMap(([name, column]) => {
      if (!isCategory(column)) {
        requireFinite(name, column)
        return [balanceRow(name, column, treated, weights)]
      }
      return categoryRows(name, column, treated, weights)
    })
    return Object.freeze({
      rows: Object.freeze(rows),
      largestBefore: largest(rows.map((row) => row.before)),
      largestAfter: largest(rows.map((row) => row.after)),
      unbalanced: Object.freeze(
        rows.filter(({ after }) => !(sizeOf(after) < balanceThreshold)).map(({ name }) => name),
      ),
      n: treated.length,
      reference: 'balance',
    })
  },
)

function categoryRows(
  name: string,
  column: readonly string[],
  treated: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
): readonly BalanceRow[] {
  const levels = orderedLevels(column)
  if (levels.includes('')) {
    throw new NumericalError({
      code: 'missing-level',
      problem: `covariate ${name} is empty in ${column.filter((level) => level === '').length} of ${column.length} rows.`,
      expected: 'a level in every row.',
      mend: `leave out rows without ${name}, give them a level of their own, or impute them, before the call.`,
    })
  }
  const indicator = new Float64Array(column.length)
  return levels.map((level) => {
    for (let row = 0; row < indicator.length; row++) indicator[row] = column[row] === level ? 1 : 0
    return balanceRow(`${name}=${level}`, indicator, treated, weights)
  })
}

/** Sum of weights, their squares, mean and squares about the mean of one group. */
interface Moments {
  readonly weight: number
  readonly weightSquares: number
  readonly mean: number
  readonly squares: number
}

function balanceRow(
  name: string,
  column: ArrayLike<number>,
  treated: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
): BalanceRow {
  let binary = true
  for (let row = 0; row < column.length; row++) {
    if (column[row] !== 0 && column[row] !== 1) binary = false
  }
  const plain = momentsByGroup(column, treated, undefined)
  const spread = (varianceOf(plain[1], binary) + varianceOf(plain[0], binary)) / 2
  const before = side(plain, spread, binary)
  const after =
    weights === undefined ? before : side(momentsByGroup(column, treated, weights), spread, binary)
  return Object.freeze({ name, binary, before, after })
}

/** Moments of the untreated and the treated, in two passes so that a small spread far from zero keeps its digits. */
function momentsByGroup(
  column: ArrayLike<number>,
  treated: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
): readonly [Moments, Moments] {
  const weight = [0, 0]
  const weightSquares = [0, 0]
  const sum = [0, 0]
  for (let row = 0; row < column.length; row++) {
    const group = treated[row]!
    const w = weights === undefined ? 1 : weights[row]!
    weight[group]! += w
    weightSquares[group]! += w * w
    sum[group]! += w * column[row]!
  }
  const mean = [sum[0]! / weight[0]!, sum[1]! / weight[1]!]
  const squares = [0, 0]
  for (let row = 0; row < column.length; row++) {
    const group = treated[row]!
    squares[group]! += (weights === undefined ? 1 : weights[row]!) * (column[row]! - mean[group]!) ** 2
  }
  const of = (group: number): Moments => ({
    weight: weight[group]!,
    weightSquares: weightSquares[group]!,
    mean: mean[group]!,
    squares: squares[group]!,
  })
  return [of(0), of(1)]
}

/** Variance of a group: p(1 − p) for 0 and 1, else unbiased for weights that are not repetitions (n − 1 at equal ones). */
function varianceOf({ weight, weightSquares, mean, squares }: Moments, binary: boolean): number {
  if (binary) return mean * (1 - mean)
  // Rounding of the mean alone must not pass for a spread.
  if (squares <= (4 * Number.EPSILON * mean) ** 2 * weight) return 0
  const freedom = weight - weightSquares / weight
  return freedom > 1e-12 * weight ? squares / freedom : 0
}

function side(
  [untreated, treated]: readonly [Moments, Moments],
  spread: number,
  binary: boolean,
): BalanceSide {
  const variances = [varianceOf(treated, binary), varianceOf(untreated, binary)] as const
  return Object.freeze({
    meanTreated: treated.mean,
    meanUntreated: untreated.mean,
    standardisedDifference: standardised(treated.mean, untreated.mean, spread),
    varianceRatio: variances[1] > 0 ? variances[0] / variances[1] : notEstimable('untreated-alike'),
  })
}

function standardised(treated: number, untreated: number, spread: number): Quantity {
  if (spread > 0) return (treated - untreated) / Math.sqrt(spread)
  const alike =
    Math.abs(treated - untreated) <= 8 * Number.EPSILON * Math.max(Math.abs(treated), Math.abs(untreated))
  return alike ? 0 : notEstimable('groups-alike-within')
}

function largest(sides: readonly BalanceSide[]): Quantity {
  let most = 0
  for (const { standardisedDifference } of sides) {
    if (typeof standardisedDifference !== 'number') return standardisedDifference
    most = Math.max(most, Math.abs(standardisedDifference))
  }
  return most
}

function sizeOf({ standardisedDifference }: BalanceSide): number {
  return typeof standardisedDifference === 'number'
    ? Math.abs(standardisedDifference)
    : Number.POSITIVE_INFINITY
}

function requireWeights(treated: ArrayLike<number>, weights: ArrayLike<number>): void {
  requireNonNegative('weights', weights)
  const sums = [0, 0]
  for (let row = 0; row < weights.length; row++) sums[treated[row]!]! += weights[row]!
  if (sums.every((sum) => sum > 0)) return
  throw new NumericalError({
    code: 'weights-all-zero',
    problem: 'one group is left without any weight.',
    expected: 'positive weights in both groups.',
    mend: 'check the weights.',
  })
}
