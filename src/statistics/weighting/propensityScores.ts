import { NumericalError } from '../../core/errors.js'
import type { Quantity, Warning } from '../../core/estimate.js'
import { notEstimable, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { logisticRegression } from '../regression/logistic.js'

/** Options of propensity scores. */
export interface PropensityScoreOptions extends DesignOptions {
  /** How much each row counts; default 1. */
  readonly weights?: NumberColumn
}

/** Probabilities of the treatment given what came before it. */
export interface PropensityScores {
  /** One per row, in the order of the rows. */
  readonly scores: readonly number[]
  /** Log odds by name, the intercept first. */
  readonly coefficients: readonly { readonly name: string; readonly estimate: Quantity }[]
  /** Probability that a treated row has a higher score than an untreated one, ties counting half. */
  readonly concordance: Quantity
  readonly n: number
  readonly treated: number
  readonly converged: boolean
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Propensity scores by logistic regression, maximum likelihood (Rosenbaum and Rubin 1983).
 *
 * @param treated 1 in the group of interest, 0 in the other; both must occur
 * @param covariates what came before the choice, complete; texts are categories
 * @param options interactions, baselines and rowWeights; default none
 * @throws NumericalError `one-group`, `not-zero-one`, `unequal-length`, `not-finite`, `missing-level`,
 *   `constant-covariate`, `collinear-covariate`, `single-level`; each names its column
 * @example propensityScores([0, 1, 1, 0], { late: [0, 0, 1, 1] }).scores[0] // => 0.5
 */
export const propensityScores = checked(
  'propensityScores',
  (treated: NumberColumn, covariates: Covariates, options: PropensityScoreOptions = {}): PropensityScores => {
    requireSameLength({ treated, ...covariates })
    requireZeroOne('treated', treated)
    requireBothGroups(treated)
    const { weights: rowWeights, ...design } = options
    const fit = logisticRegression(treated, covariates, {
      ...design,
      ...(rowWeights === undefined ? {} : { weights: rowWeights }),
    })
    const warnings = [...fit.warnings]
    if (!fit.converged) {
      warnings.push(warning('propensity-model-not-converged'))
    }
    return Object.freeze({
      scores: fit.fittedMeans,
      coefficients: Object.freeze(
        fit.coefficients.map(({ name, estimate }) => Object.freeze({ name, estimate })),
      ),
      concordance: concordanceOf(treated, fit.fittedMeans),
      n: treated.length,
      treated: fit.events,
      converged: fit.converged,
      method: methodOf('logistic-regression', 'maximum-likelihood'),
      warnings: Object.freeze(warnings),
      reference: 'propensity-weights',
    })
  },
)

/** Refuses columns in which one of the two groups does not occur. */
export function requireBothGroups(treated: ArrayLike<number>): void {
  let ones = 0
  for (let row = 0; row < treated.length; row++) ones += treated[row]!
  if (ones > 0 && ones < treated.length) return
  throw new NumericalError({
    code: 'one-group',
    problem: `${ones} of ${treated.length} rows are treated.`,
    expected: 'rows of both groups.',
    mend: 'check how the groups were derived; one group has nothing to be compared with.',
  })
}

/** Share of pairs of a treated and an untreated row in which the treated one scores higher, ties half. */
export function concordanceOf(treated: ArrayLike<number>, scores: ArrayLike<number>): Quantity {
  const untreated = Float64Array.from(scores)
    .filter((_, row) => treated[row] === 0)
    .sort()
  const ones = scores.length - untreated.length
  if (ones === 0 || untreated.length === 0) return notEstimable('group-empty')
  let won = 0
  for (let row = 0; row < scores.length; row++) {
    if (treated[row] !== 1) continue
    const score = scores[row]!
    const below = countBelow(untreated, score, false)
    won += below + 0.5 * (countBelow(untreated, score, true) - below)
  }
  return won / (ones * untreated.length)
}

/** Entries of a sorted column below a value, or not above it. */
function countBelow(sorted: Float64Array, value: number, orEqual: boolean): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >>> 1
    const entry = sorted[middle]!
    if (entry < value || (orEqual && entry === value)) low = middle + 1
    else high = middle
  }
  return low
}
