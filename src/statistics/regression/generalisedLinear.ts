import { NumericalError } from '../../core/errors.js'
import type { FittedModel, Quantity, Warning } from '../../core/estimate.js'
import { isNumber, notEstimable, type PlainReason } from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { type CodeColumn, type Codes, codesAsSeen, eachItsOwn } from '../kernel/codes.js'
import {
  asDoubles,
  compensatedSum,
  type NumberColumn,
  requireFinite,
  requireLevel,
  requireNonNegative,
  requireSameLength,
} from '../numeric/columns.js'
import { clusterWarnings, fewClusters } from './clusters.js'
import { type RegressionCoefficient, type WaldReference, waldCoefficient } from './coefficients.js'
import { type Covariates, type DesignMatrix, type DesignOptions, expandCovariates } from './design.js'
import { fittedCoefficients, fitWarnings, separationReason } from './estimability.js'
import type { Family } from './family.js'
import {
  modelCovariance,
  robustCovariance,
  type SmallSampleFactor,
  smallSampleFactor,
} from './fitVariance.js'
import { devianceOf, fittedMeans, nullDevianceOf, pearsonOf } from './goodnessOfFit.js'
import type { WorkingFit } from './reweighting.js'
import { standardiseDesign } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Options that all generalised linear regressions share. */
export interface GeneralisedLinearOptions extends DesignOptions {
  /** Patient of every row; intervals then allow for rows of one patient being alike. Default: rows independent. */
  readonly cluster?: CodeColumn
  /**
   * `model`: inverse information. `robust`: sandwich over clusters, or over rows where there are none.
   * `over-dispersed`: inverse information times the Pearson dispersion. Default: `robust` where clusters are given,
   * else `model`.
   */
  readonly variance?: 'model' | 'robust' | 'over-dispersed'
  /** Factor on the robust variance; default `none`. */
  readonly smallSample?: SmallSampleFactor
  /** How much each row counts, zero or more; default 1. Use `robust` with weights that are not repetitions. */
  readonly weights?: NumberColumn
  /** Known part of the linear predictor; default 0. */
  readonly offset?: NumberColumn
  /** Whether the model has a constant term; default true. */
  readonly intercept?: boolean
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** What a generalised linear regression answers. */
export interface GeneralisedLinearFit extends FittedModel {
  readonly coefficients: readonly RegressionCoefficient[]
  /** Covariance of the coefficients in their order, by the variance named. */
  readonly covariance: readonly (readonly Quantity[])[]
  readonly variance: 'model' | 'robust' | 'over-dispersed'
  readonly logLikelihood: Quantity
  readonly deviance: Quantity
  /** Deviance of the model that has the constant and the offset only. */
  readonly nullDeviance: Quantity
  readonly residualDegreesOfFreedom: number
  /** Akaike's information criterion. */
  readonly akaike: Quantity
  readonly pearsonChiSquare: Quantity
  /** Pearson chi-square over its degrees of freedom. */
  readonly dispersion: Quantity
  /** Fitted mean of every row. */
  readonly fittedMeans: readonly number[]
}

/** A model ready to fit. */
export interface PreparedModel {
  readonly problem: WorkingProblem
  readonly design: DesignMatrix
  readonly clusters: Codes | undefined
}

/** What tells one regression from another. */
export interface RegressionKind {
  readonly method: MethodName
  readonly reference: string
  /** Parameters of the distribution that were estimated besides the coefficients. */
  readonly extraParameters: number
  readonly warnings: readonly Warning[]
}

/** Checks the columns of a regression and sets them up in standardised form. */
export function prepareModel(
  response: NumberColumn,
  covariates: Covariates,
  family: Family,
  options: GeneralisedLinearOptions,
): PreparedModel {
  const { offset, weights, cluster: clusters, intercept = true, level = 0.95 } = options
  requireLevel(level)
  const rows = requireSameLength({ response, offset, weights, clusters })
  if (rows === 0) throw noRows()
  if (offset !== undefined) requireFinite('offset', offset)
  if (weights !== undefined) requireNonNegative('weights', weights)
  const design = expandCovariates(covariates, rows, options)
  const counted = weights === undefined ? new Float64Array(rows).fill(1) : asDoubles(weights)
  if (!counted.some((weight) => weight > 0)) throw noRows()
  const problem: WorkingProblem = {
    design: standardiseDesign(design, intercept, weights === undefined ? undefined : counted),
    response: asDoubles(response),
    offset: offset === undefined ? new Float64Array(rows) : asDoubles(offset),
    weights: counted,
    family,
  }
  return {
    problem,
    design,
    clusters: clusters === undefined ? undefined : codesAsSeen('cluster', clusters),
  }
}

/** Puts a fit into the shape of the answer. */
export function describeFit(
  prepared: PreparedModel,
  fit: WorkingFit,
  kind: RegressionKind,
  options: GeneralisedLinearOptions,
): GeneralisedLinearFit {
  const { problem, clusters } = prepared
  const { width, names, rows } = problem.design
  const { level = 0.95, variance = clusters === undefined ? 'model' : 'robust' } = options
  const { estimates, separated } = fittedCoefficients(problem, fit)
  const deviance = devianceOf(problem, fit)
  const pearson = pearsonOf(problem, fit)
  const spare = rows - width
  const dispersion = spare > 0 ? pearson / spare : Number.NaN
  const covariance = covarianceOf(prepared, fit, variance, options, dispersion)
  const reference: WaldReference = { level, degreesOfFreedom: degreesOf(variance, clusters, spare) }
  const reason = reasonWithout(variance, clusters, fit)
  const orNone = (value: number): Quantity =>
    Number.isFinite(value) && fit.converged ? value : notEstimable(reason)
  return deepFreeze({
    coefficients: names.map((name, j) =>
      waldCoefficient(name, estimates[j]!, Math.sqrt(covariance[j * width + j]!), reference, reason),
    ),
    covariance: quantityRows(covariance, estimates, reason),
    variance,
    logLikelihood: orNone(fit.logLikelihood),
    deviance: orNone(deviance),
    nullDeviance: nullDevianceOf(problem, options.intercept ?? true),
    residualDegreesOfFreedom: spare,
    akaike: orNone(2 * (width + kind.extraParameters) - 2 * fit.logLikelihood),
    pearsonChiSquare: orNone(pearson),
    dispersion: orNone(dispersion),
    fittedMeans: fittedMeans(problem, fit),
    level,
    method: kind.method,
    n: rows,
    events: compensatedSum(problem.response),
    clusters: clusters?.count ?? rows,
    converged: fit.converged,
    iterations: fit.iterations,
    warnings: [
      ...kind.warnings,
      ...fitWarnings(problem, fit, separated),
      ...(clusters !== undefined && variance === 'robust' ? clusterWarnings(clusters.count, width) : []),
    ],
    reference: kind.reference,
  })
}

function covarianceOf(
  prepared: PreparedModel,
  fit: WorkingFit,
  variance: GeneralisedLinearFit['variance'],
  options: GeneralisedLinearOptions,
  dispersion: number,
): Float64Array {
  const { problem } = prepared
  const { width, rows } = problem.design
  if (variance === 'model') return modelCovariance(problem, fit)
  if (variance === 'over-dispersed') return modelCovariance(problem, fit).map((value) => value * dispersion)
  const clusters = prepared.clusters ?? eachItsOwn(rows)
  if (clusters.count < 2) return new Float64Array(width * width).fill(Number.NaN)
  const factor = smallSampleFactor(options.smallSample ?? 'none', clusters.count, rows, width)
  return robustCovariance(problem, fit, clusters, factor)
}

function degreesOf(
  variance: GeneralisedLinearFit['variance'],
  clusters: Codes | undefined,
  spare: number,
): number {
  if (variance === 'over-dispersed') return spare
  if (variance === 'robust' && clusters !== undefined && clusters.count < fewClusters)
    return clusters.count - 1
  return Number.POSITIVE_INFINITY
}

function reasonWithout(
  variance: GeneralisedLinearFit['variance'],
  clusters: Codes | undefined,
  fit: WorkingFit,
): PlainReason {
  if (!fit.converged) return 'not-converged'
  if (fit.recessions.length > 0) return separationReason
  if (variance === 'robust' && clusters?.count === 1) return 'one-cluster'
  return 'no-more-rows-than-coefficients'
}

function quantityRows(
  covariance: Float64Array,
  estimates: readonly Quantity[],
  reason: PlainReason,
): readonly (readonly Quantity[])[] {
  const width = estimates.length
  return estimates.map((row, i) =>
    estimates.map((column, j) => {
      const value = covariance[i * width + j]!
      return isNumber(row) && isNumber(column) && Number.isFinite(value) ? value : notEstimable(reason)
    }),
  )
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'there is no row to fit.',
    expected: 'at least one row that counts.',
    mend: 'check the selection that led to these columns.',
  })
}
