import { isNumber, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { coxRegression } from '../hazardModels/cox.js'
import type { CoxFit, HazardRatio } from '../hazardModels/coxResult.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesAsSeen } from '../kernel/codes.js'
import { type NumberColumn, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { type RegressionCoefficient, withRatio } from './coefficients.js'
import type { Covariates, DesignOptions } from './design.js'

/** Options of {@link conditionalLogisticRegression}. */
export interface ConditionalLogisticOptions extends DesignOptions {
  /**
   * `exact`: the conditional likelihood itself. `efron`, `breslow`: its approximations, for sets with very many
   * cases; the same where every set has one case. Default `exact`.
   */
  readonly likelihood?: 'exact' | 'efron' | 'breslow'
  /** Default `wald`; `profile` inverts the likelihood-ratio test. */
  readonly interval?: 'wald' | 'profile'
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** What a conditional logistic regression answers. */
export interface ConditionalLogisticFit {
  readonly coefficients: readonly RegressionCoefficient[]
  readonly covariance: readonly (readonly Quantity[])[]
  readonly logLikelihood: number
  /** With all coefficients at 0. */
  readonly logLikelihoodAtZero: number
  readonly level: number
  readonly method: MethodName
  readonly n: number
  readonly events: number
  /** Matched sets. */
  readonly clusters: number
  /** Sets that hold both a case and a control: the only ones that the exact likelihood hears. */
  readonly informativeSets: number
  readonly converged: boolean
  readonly iterations: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Estimates log odds ratios within matched sets by conditional logistic regression, each set with a baseline of its
 * own that drops out.
 *
 * @param caseObserved 1 for a case, 0 for a control
 * @param covariates columns of one length; one that never varies within a set cannot be estimated and is tagged
 * @param sets matched set of every row, such as patient or clinic; rows of one set need not lie together
 * @param options likelihood, limits, interactions, baselines, level; see {@link ConditionalLogisticOptions} for
 *   their defaults
 * @throws NumericalError `not-zero-one`, `unequal-length`, `not-finite`, `missing-cluster`, `constant-covariate`,
 *   `collinear-covariate`, `exact-too-large`
 * @see Breslow and Day (1980), chapter 7; recursion of Gail, Lubin and Rubinstein (1981) for the exact likelihood
 * @example conditionalLogisticRegression([1, 0, 1, 0, 0, 1], { late: [1, 0, 1, 0, 1, 0] }, ['a', 'a', 'b', 'b', 'c', 'c']).coefficients[0].ratio // => 2
 */
export const conditionalLogisticRegression = checked(
  'conditionalLogisticRegression',
  (
    caseObserved: NumberColumn,
    covariates: Covariates,
    sets: CodeColumn,
    options: ConditionalLogisticOptions = {},
  ): ConditionalLogisticFit => {
    const { likelihood = 'exact', interval: limits = 'wald', level = 0.95, interactions, baselines } = options
    requireSameLength({ caseObserved, sets })
    requireZeroOne('caseObserved', caseObserved)
    const index = codesAsSeen('sets', sets)
    const fit = coxRegression(
      { time: new Float64Array(caseObserved.length).fill(1), event: caseObserved },
      covariates,
      {
        ties: likelihood,
        strata: Array.from(index.codes, String),
        interval: limits,
        level,
        ...(interactions !== undefined && { interactions }),
        ...(baselines !== undefined && { baselines }),
      },
    )
    const informative = informativeSets(caseObserved, index.codes, index.count)
    return deepFreeze({
      coefficients: fit.hazardRatios.map(coefficientOf),
      covariance: fit.covariance,
      logLikelihood: fit.logLikelihood,
      logLikelihoodAtZero: fit.logLikelihoodAtZero,
      level,
      method: methodOf('conditional-logistic-regression', `${likelihood}-likelihood`, `${limits}-limits`),
      n: fit.n,
      events: fit.events,
      clusters: index.count,
      informativeSets: informative,
      converged: fit.converged,
      iterations: fit.iterations,
      warnings: warningsOf(fit, index.count - informative),
      reference: 'conditional-logistic',
    })
  },
)

/** The likelihood of matched sets is that of a Cox model with every row at risk at one time, sets as strata. */
function coefficientOf(one: HazardRatio): RegressionCoefficient {
  const { lower, upper } = one.interval
  return withRatio({
    name: one.name,
    estimate: one.logHazardRatio,
    standardError: one.modelStandardError,
    interval: { lower: logarithm(lower), upper: logarithm(upper) },
    statistic: one.statistic,
    pValue: one.pValue,
  })
}

function logarithm(limit: Quantity): Quantity {
  if (!isNumber(limit)) return limit
  return limit > 0 ? Math.log(limit) : { state: 'unbounded', direction: 'below' }
}

function informativeSets(caseObserved: NumberColumn, index: Int32Array, count: number): number {
  const cases = new Uint8Array(count)
  const controls = new Uint8Array(count)
  index.forEach((set, row) => {
    if (caseObserved[row] === 1) cases[set] = 1
    else controls[set] = 1
  })
  return cases.reduce((sum, has, set) => sum + (has & controls[set]!), 0)
}

function warningsOf(fit: CoxFit, silent: number): readonly Warning[] {
  const named = fit.warnings.map((one) => {
    if (one.code !== 'no-variation-at-risk') return one
    const names = fit.hazardRatios.filter((ratio) => !isNumber(ratio.estimate)).map((ratio) => ratio.name)
    return warning('no-variation-within-sets', { names })
  })
  if (silent === 0) return named
  return [...named, warning('sets-without-comparison', { sets: silent })]
}
