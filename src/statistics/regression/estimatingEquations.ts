import type { FittedModel, Quantity, Warning } from '../../core/estimate.js'
import { isNumber, notEstimable, type PlainReason, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn, Codes } from '../kernel/codes.js'
import { compensatedSum, type NumberColumn, requireZeroOne } from '../numeric/columns.js'
import { clusterWarnings, fewClusters } from './clusters.js'
import { type RegressionCoefficient, waldCoefficient } from './coefficients.js'
import { type CountOptions, exposureOffset, requireCounts } from './counts.js'
import type { Covariates } from './design.js'
import { type EquationFit, solveEquations, type WorkingCorrelation } from './equationSolver.js'
import { fittedCoefficients, fitWarnings, separationReason } from './estimability.js'
import { binomialFamily, poissonFamily } from './family.js'
import { type SmallSampleFactor, smallSampleFactor } from './fitVariance.js'
import { prepareModel } from './generalisedLinear.js'
import { fitReweighted } from './reweighting.js'
import { covarianceInInputUnits } from './standardise.js'

/** Options of {@link estimatingEquations}. */
export interface EstimatingEquationOptions
  extends Pick<CountOptions, 'exposure' | 'offset' | 'interactions' | 'baselines' | 'level'> {
  /** `logistic` for events coded 0 and 1, `poisson` for counts; default `logistic`. */
  readonly model?: 'logistic' | 'poisson'
  /** Correlation assumed within clusters while weighting; default `independence`. */
  readonly correlation?: WorkingCorrelation
  /** Divisor of the moment estimates of scale and correlation: rows, or rows less coefficients; default `rows`. */
  readonly divisor?: 'rows' | 'residual-degrees-of-freedom'
  /** Factor on the robust variance; default `none`. */
  readonly smallSample?: SmallSampleFactor
}

/** What generalised estimating equations answer. */
export interface EstimatingEquationFit extends FittedModel {
  /** Population-averaged coefficients with robust intervals. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Robust covariance of the coefficients in their order. */
  readonly covariance: readonly (readonly Quantity[])[]
  /** Standard errors that hold only if the working correlation is the true one. */
  readonly modelStandardErrors: readonly Quantity[]
  readonly correlation: WorkingCorrelation
  /** Correlation of two rows of one cluster. */
  readonly withinClusterCorrelation: Quantity
  /** Mean square of the Pearson residuals. */
  readonly scale: Quantity
}

/**
 * Estimates population-averaged log odds or log rate ratios from clustered rows by generalised estimating
 * equations, with the sandwich variance that holds whatever the true correlation.
 *
 * @param response events coded 0 and 1, or counts
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param cluster patient, clinic or operator of every row; rows of one cluster need not lie together
 * @param options model, correlation, divisor, exposure, offset, smallSample, interactions, baselines, level; see
 *   {@link EstimatingEquationOptions} for their defaults
 * @throws NumericalError as logisticRegression and poissonRegression do, and `missing-cluster`
 * @see Liang and Zeger (1986) Biometrika 73:13–22; scale and correlation by moments over all pairs
 * @example estimatingEquations([1, 0, 1, 0, 0, 0], {}, ['a', 'a', 'b', 'b', 'c', 'c']).coefficients[0].ratio // => 0.5
 */
export const estimatingEquations = checked(
  'estimatingEquations',
  (
    response: NumberColumn,
    covariates: Covariates,
    cluster: CodeColumn,
    options: EstimatingEquationOptions = {},
  ): EstimatingEquationFit => {
    const { model = 'logistic', correlation = 'independence', level = 0.95, divisor = 'rows' } = options
    if (model === 'logistic') requireZeroOne('response', response)
    else requireCounts('response', response)
    const full = { ...options, ...exposureOffset(response, options), cluster }
    const prepared = prepareModel(
      response,
      covariates,
      model === 'logistic' ? binomialFamily : poissonFamily,
      full,
    )
    const { problem } = prepared
    const groups = prepared.clusters!
    const { width, names, rows } = problem.design
    const start = fitReweighted(problem)
    const solved = solveEquations(problem, start, groups, {
      correlation,
      freed: divisor === 'rows' ? 0 : width,
    })
    const fit = {
      ...start,
      coefficients: solved.coefficients,
      converged: start.converged && solved.converged,
    }
    const { estimates, separated } = fittedCoefficients(problem, fit)
    const factor = smallSampleFactor(options.smallSample ?? 'none', groups.count, rows, width)
    const robust = covarianceInInputUnits(problem.design.map, solved.robust, width).map(
      (value) => value * factor,
    )
    const naive = covarianceInInputUnits(problem.design.map, solved.naive, width)
    const reason = reasonWithout(groups, fit.converged, start.recessions.length > 0)
    const degreesOfFreedom = groups.count < fewClusters ? groups.count - 1 : Number.POSITIVE_INFINITY
    const errorOf = (covariance: Float64Array, j: number): number =>
      groups.count < 2 ? Number.NaN : Math.sqrt(covariance[j * width + j]!)
    return deepFreeze({
      coefficients: names.map((name, j) =>
        waldCoefficient(name, estimates[j]!, errorOf(robust, j), { level, degreesOfFreedom }, reason),
      ),
      covariance: estimates.map((row, i) =>
        estimates.map((column, j) => known(row, column, robust[i * width + j]!, reason)),
      ),
      modelStandardErrors: estimates.map((one, j) =>
        known(one, one, Math.sqrt(naive[j * width + j]!), reason),
      ),
      correlation,
      withinClusterCorrelation: correlationOf(solved, correlation, fit.converged),
      scale: fit.converged ? solved.scale : notEstimable(reason),
      level,
      method: methodOf(
        'generalised-estimating-equations',
        model,
        `${correlation}-working-correlation`,
        'robust-variance',
      ),
      n: rows,
      events: compensatedSum(problem.response),
      clusters: groups.count,
      converged: fit.converged,
      iterations: start.iterations + solved.iterations,
      warnings: [
        ...warningsOf(solved, correlation),
        ...fitWarnings(problem, fit, separated),
        ...clusterWarnings(groups.count, width),
      ],
      reference: 'estimating-equations',
    })
  },
)

function known(row: Quantity, column: Quantity, value: number, reason: PlainReason): Quantity {
  return isNumber(row) && isNumber(column) && Number.isFinite(value) ? value : notEstimable(reason)
}

function correlationOf(solved: EquationFit, correlation: WorkingCorrelation, converged: boolean): Quantity {
  if (correlation === 'independence') return 0
  if (!converged) return notEstimable('not-converged')
  return solved.pairs > 0 ? solved.correlation : notEstimable('no-cluster-repeats')
}

function warningsOf(solved: EquationFit, correlation: WorkingCorrelation): readonly Warning[] {
  const warnings: Warning[] = []
  if (correlation === 'exchangeable' && solved.pairs === 0) {
    warnings.push(warning('no-pairs'))
  }
  if (solved.cutShort !== undefined) {
    warnings.push(
      warning('correlation-cut-short', {
        moments: solved.cutShort,
        rows: solved.largestCluster,
        used: solved.correlation,
      }),
    )
  }
  if (solved.converged && !solved.settled) {
    warnings.push(warning('correlation-unsettled', { used: solved.correlation }))
  }
  return warnings
}

function reasonWithout(groups: Codes, converged: boolean, separated: boolean): PlainReason {
  if (!converged) return 'not-converged'
  if (separated) return separationReason
  return groups.count < 2 ? 'one-cluster' : 'no-more-rows-than-coefficients'
}
