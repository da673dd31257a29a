import { NumericalError, UsageError } from '../../core/errors.js'
import {
  type FittedModel,
  notEstimable,
  type PlainReason,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { outerProducts } from '../hazardModels/coxRobust.js'
import {
  clusterCodes,
  clusterDegreesOfFreedom,
  type FewClusters,
  fewClustersWarning,
} from '../hazardModels/coxTests.js'
import {
  type CheckedIntervals,
  checkIntervals,
  type IntervalTimes,
} from '../intervalCensored/intervalTimes.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type NumberColumn, requireLevel, requireSameLength } from '../numeric/columns.js'
import { choleskyFactor, invertFactored, sandwich } from '../numeric/matrix.js'
import { type LikelihoodPoint, type Maximum, newtonMaximum } from '../numeric/optimise.js'
import { type RegressionCoefficient, waldCoefficient } from './coefficients.js'
import { type Covariates, type DesignOptions, expandCovariates } from './design.js'
import {
  extremeValueFamily,
  fillIntervalTerms,
  type IntervalTerms,
  type LifetimeFamily,
  logisticFamily,
  normalFamily,
} from './lifetimeFamily.js'
import {
  addOuterProduct,
  covarianceInInputUnits,
  inInputUnits,
  mirrorUpper,
  type StandardisedDesign,
  standardiseDesign,
} from './standardise.js'

/** Distribution of the time to event. */
export type LifetimeDistribution = 'exponential' | 'weibull' | 'log-logistic' | 'log-normal'

/** Options of a parametric regression. */
export interface ParametricOptions extends DesignOptions {
  /** Case weight of every row; default 1. A patient bootstrap passes the number of draws of each row's cluster. */
  readonly weights?: NumberColumn
  /** Label of the cluster of every row; with it the variance is summed over clusters. */
  readonly cluster?: CodeColumn
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Reference below 30 clusters; default `student-t` with clusters − 1 degrees of freedom. */
  readonly fewClusters?: FewClusters
}

/** What a parametric regression answers. */
export interface ParametricFit extends FittedModel {
  readonly distribution: LifetimeDistribution
  /** Coefficients of log time, intercept first; `ratio` is the ratio of times. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Scale of log time; 1 for the exponential. A Weibull's shape is 1 / scale. */
  readonly scale: Quantity
  readonly logScale: Quantity
  readonly logScaleStandardError: Quantity
  /** Covariance of the coefficients and, but for the exponential, the log scale. */
  readonly covariance: readonly (readonly number[])[]
  /** Log-likelihood in the density of time. */
  readonly logLikelihood: number
  /** Log-likelihood with the intercept alone. */
  readonly logLikelihoodAtNull: number
  /** Rows whose event happened by some time. */
  readonly events: number
}

/** Standard distributions by the distribution of time. */
export const lifetimeFamilies: Readonly<Record<LifetimeDistribution, LifetimeFamily>> = {
  exponential: extremeValueFamily,
  weibull: extremeValueFamily,
  'log-logistic': logisticFamily,
  'log-normal': normalFamily,
}

/**
 * Estimates how covariates stretch or shorten the time to event when that time is known only to lie in an interval:
 * accelerated failure time regression, log T = intercept + x β + scale · W, by maximum likelihood.
 *
 * @param times intervals (lower, upper]; `upper` Infinity where right censored, `lower` 0 where left censored, both
 *   equal where the time is known
 * @param covariates columns by name; texts are categories. An intercept is always there
 * @param options level default 0.95; weights default 1; clusters default none (variance from the information);
 *   fewClusters default `student-t`
 * @throws NumericalError `event-at-zero`, `constant-covariate`, `collinear-covariate`, `reversed-interval`,
 *   `not-finite`, `unequal-length`
 *
 * Source: Kalbfleisch and Prentice (2002), chapters 2 and 3.
 *
 * @example parametricRegression({ lower: [1, 2, 4], upper: [1, 2, 4] }, {}, 'exponential').coefficients[0].estimate // => 0.8473
 */
export const parametricRegression = checked(
  'parametricRegression',
  (
    times: IntervalTimes,
    covariates: Covariates,
    distribution: LifetimeDistribution,
    options: ParametricOptions = {},
  ): ParametricFit => {
    const { level = 0.95, cluster: clusters, weights } = options
    requireLevel(level)
    const family = lifetimeFamilies[distribution]
    if (family === undefined) throw unknownDistribution()
    requireSameLength({ lower: times.lower, ...covariates, clusters, weights })
    const rows = checkIntervals(times, weights)
    requirePositiveTimes(rows)
    const matrix = expandCovariates(covariates, rows.rows, options)
    const design = standardiseDesign(matrix, true, rows.weight)
    const fixed = distribution === 'exponential'
    const likelihood = parametricLikelihood(rows, design, family, fixed)
    const fit = maximised(rows, design, likelihood.evaluate, fixed)
    const width = design.width + (fixed ? 0 : 1)
    const robust = clusters === undefined ? undefined : clusterCodes(clusters, rows.weight)
    const bread = invertFactored(fit.factor)
    const scores =
      robust === undefined ? undefined : summed(likelihood.scores(fit.at), robust.codes, robust.count, width)
    const covariance = scores === undefined ? bread : sandwich(bread, outerProducts(scores, width), width)
    const sizes = { n: rows.n, events: rows.events, clusters: robust?.present ?? rows.n }
    const few =
      robust === undefined
        ? undefined
        : clusterDegreesOfFreedom(sizes.clusters, options.fewClusters ?? 'student-t')
    const whole = covarianceInInputUnits(mapWithScale(design, fixed), covariance, width)
    const state = fitState(rows, fit, sizes.clusters === 1 && robust !== undefined)
    return deepFreeze({
      distribution,
      ...estimates(design, fit, whole, width, fixed, state, {
        level,
        degreesOfFreedom: few ?? Number.POSITIVE_INFINITY,
      }),
      covariance: Array.from({ length: width }, (_, i) =>
        Array.from(whole.subarray(i * width, (i + 1) * width)),
      ),
      logLikelihood: fit.point.value,
      logLikelihoodAtNull: nullLikelihood(rows, design, family, fixed, fit),
      level,
      method: methodOf(
        `${distribution}-accelerated-failure-time-regression`,
        ...(robust === undefined ? [] : methodOf('variance-robust-by-cluster')),
      ),
      ...sizes,
      iterations: fit.iterations,
      converged: state.reason === undefined,
      warnings: [
        ...(state.warning === undefined ? [] : [state.warning]),
        ...(few === undefined || few < 1 ? [] : [fewClustersWarning(sizes.clusters)]),
      ],
      reference: 'parametric-interval-censored',
    })
  },
)

/** Why a fit cannot be read, where it cannot. */
interface FitState {
  readonly reason: PlainReason | undefined
  readonly errorReason: PlainReason | undefined
  readonly warning: Warning | undefined
}

function fitState(rows: CheckedIntervals, fit: Maximum<LikelihoodPoint>, oneCluster: boolean): FitState {
  if (rows.events === 0) {
    const reason = 'no-event-known'
    return {
      reason,
      errorReason: reason,
      warning: warning('no-event-known'),
    }
  }
  const flat = fit.factor.dependent.length > 0 || fit.step.some((step) => Math.abs(step) > 1e-2)
  if (!fit.converged || flat) {
    const reason = 'no-maximum'
    return { reason, errorReason: reason, warning: warning('no-maximum') }
  }
  if (oneCluster) {
    const reason = 'one-cluster'
    return {
      reason: undefined,
      errorReason: reason,
      warning: warning('one-cluster'),
    }
  }
  return { reason: undefined, errorReason: undefined, warning: undefined }
}

function estimates(
  design: StandardisedDesign,
  fit: Maximum<LikelihoodPoint>,
  covariance: Float64Array,
  width: number,
  fixed: boolean,
  state: FitState,
  reference: { readonly level: number; readonly degreesOfFreedom: number },
): Pick<ParametricFit, 'coefficients' | 'scale' | 'logScale' | 'logScaleStandardError'> {
  const coefficients = inInputUnits(design, fit.at.slice(0, design.width))
  const error = (j: number): number =>
    state.errorReason === undefined ? Math.sqrt(covariance[j * width + j]!) : Number.NaN
  const none = notEstimable(fixed ? 'scale-of-one' : (state.errorReason ?? 'no-standard-error'))
  const logScale = fixed ? 0 : fit.at[design.width]!
  const unknown = state.reason === undefined ? undefined : notEstimable(state.reason)
  return {
    coefficients: design.names.map((name, j) =>
      waldCoefficient(
        name,
        unknown ?? coefficients[j]!,
        error(j),
        reference,
        state.errorReason ?? 'no-standard-error',
      ),
    ),
    scale: unknown ?? Math.exp(logScale),
    logScale: fixed ? none : (unknown ?? logScale),
    logScaleStandardError: fixed || state.errorReason !== undefined ? none : error(design.width),
  }
}

/** Standardised coefficients to those of the input, the log scale left as it is. */
function mapWithScale(design: StandardisedDesign, fixed: boolean): Float64Array {
  if (fixed) return design.map
  const width = design.width + 1
  const map = new Float64Array(width * width)
  for (let i = 0; i < design.width; i++) {
    for (let j = 0; j < design.width; j++) map[i * width + j] = design.map[i * design.width + j]!
  }
  map[width * width - 1] = 1
  return map
}

function maximised(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  evaluate: (parameters: Float64Array) => LikelihoodPoint,
  fixed: boolean,
): Maximum<LikelihoodPoint> {
  const start = new Float64Array(design.width + (fixed ? 0 : 1))
  const { centre, spread } = typicalLogTime(rows)
  start[0] = centre
  if (!fixed) start[design.width] = Math.log(spread)
  return newtonMaximum(evaluate, start, { maxIterations: 200 })
}

/** Mean and standard deviation of log times, each row at the middle of what is known of it. */
function typicalLogTime(rows: CheckedIntervals): { readonly centre: number; readonly spread: number } {
  let total = 0
  let sum = 0
  let square = 0
  for (let row = 0; row < rows.rows; row++) {
    const weight = rows.weight === undefined ? 1 : rows.weight[row]!
    const [lower, upper] = [rows.lower[row]!, rows.upper[row]!]
    const middle = upper === Number.POSITIVE_INFINITY ? lower : (lower + upper) / 2
    if (weight === 0 || !(middle > 0)) continue
    const log = Math.log(middle)
    total += weight
    sum += weight * log
    square += weight * log * log
  }
  if (total === 0) return { centre: 0, spread: 1 }
  const centre = sum / total
  return { centre, spread: Math.sqrt(Math.max(square / total - centre * centre, 1e-4)) }
}

function nullLikelihood(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  family: LifetimeFamily,
  fixed: boolean,
  fit: Maximum<LikelihoodPoint>,
): number {
  const withoutCovariates = design.width === 1
  if (rows.events === 0 || withoutCovariates) return fit.point.value
  const empty = standardiseDesign(
    { names: [], rows: rows.rows, values: new Float64Array(0) },
    true,
    rows.weight,
  )
  return maximised(rows, empty, parametricLikelihood(rows, empty, family, fixed).evaluate, fixed).point.value
}

function summed(scores: Float64Array, codes: Int32Array, clusters: number, width: number): Float64Array {
  const sums = new Float64Array(clusters * width)
  for (let i = 0; i < scores.length; i++)
    sums[codes[Math.floor(i / width)]! * width + (i % width)]! += scores[i]!
  return sums
}

function requirePositiveTimes(rows: CheckedIntervals): void {
  const row = rows.upper.indexOf(0)
  if (row < 0) return
  throw new NumericalError({
    code: 'event-at-zero',
    problem: `an event is known to have happened at time 0, first in row ${row + 1} of ${rows.rows}.`,
    expected: 'events after time 0, since these distributions give time 0 no probability.',
    mend: 'give such a row the interval from 0 to the first time at which the event could be seen.',
  })
}

function unknownDistribution(): UsageError {
  return new UsageError({
    code: 'unknown-distribution',
    problem: 'there is no such distribution of time to event.',
    expected: `one of ${Object.keys(lifetimeFamilies).join(', ')}.`,
    mend: 'choose one of these.',
  })
}

/** Log-likelihood of an accelerated failure time model; parameters are coefficients and then, unless fixed, log scale. */
export interface ParametricLikelihood {
  evaluate(parameters: Float64Array): LikelihoodPoint
  /** Scores of every row, row-major, weights included. */
  scores(parameters: Float64Array): Float64Array
}

/** The likelihood of checked intervals, ends taken as logarithms of time (Kalbfleisch and Prentice 2002, chapter 3). */
function parametricLikelihood(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  family: LifetimeFamily,
  scaleFixed: boolean,
): ParametricLikelihood {
  const from = rows.lower.map((time) => Math.log(time))
  const to = rows.upper.map((time) => Math.log(time))
  const size = design.width + (scaleFixed ? 0 : 1)
  const pass = (parameters: Float64Array, visit: RowVisitor): void =>
    walkRows(rows, design, family, scaleFixed, from, to, parameters, visit)
  return {
    evaluate(parameters) {
      let value = 0
      const gradient = new Float64Array(size)
      const curvature = new Float64Array(size * size)
      const outer = new Float64Array(size * size)
      const row = new Float64Array(size)
      pass(parameters, (part) => {
        value += part.weight * part.value
        fillScore(row, design, part, scaleFixed)
        for (let j = 0; j < size; j++) gradient[j]! += part.weight * row[j]!
        addOuterProduct(outer, row, 0, size, part.weight)
        addCurvature(curvature, design, part, scaleFixed, size)
      })
      const information = mirrorUpper(curvature, size)
      // Far from the maximum the likelihood may not be concave; the outer products then point uphill.
      const definite = choleskyFactor(information, size).dependent.length === 0
      return {
        value: Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY,
        gradient,
        information: definite ? information : mirrorUpper(outer, size),
      }
    },
    scores(parameters) {
      const scores = new Float64Array(rows.rows * size)
      const row = new Float64Array(size)
      pass(parameters, (part) => {
        fillScore(row, design, part, scaleFixed)
        for (let j = 0; j < size; j++) scores[part.row * size + j] = part.weight * row[j]!
      })
      return scores
    },
  }
}

/** One row: its likelihood, and derivatives in the linear predictor and the log scale. */
interface RowPart {
  row: number
  weight: number
  value: number
  predictor: number
  logScale: number
  predictorPredictor: number
  predictorLogScale: number
  logScaleLogScale: number
}

type RowVisitor = (part: RowPart) => void

function walkRows(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  family: LifetimeFamily,
  scaleFixed: boolean,
  from: Float64Array,
  to: Float64Array,
  parameters: Float64Array,
  visit: RowVisitor,
): void {
  const { width, values } = design
  const scale = scaleFixed ? 1 : Math.exp(parameters[width]!)
  const terms: IntervalTerms = { value: 0, lower: 0, upper: 0, lowerLower: 0, upperUpper: 0, lowerUpper: 0 }
  const part: RowPart = {
    row: 0,
    weight: 1,
    value: 0,
    predictor: 0,
    logScale: 0,
    predictorPredictor: 0,
    predictorLogScale: 0,
    logScaleLogScale: 0,
  }
  for (let row = 0; row < rows.rows; row++) {
    part.weight = rows.weight === undefined ? 1 : rows.weight[row]!
    if (part.weight === 0) continue
    let predictor = 0
    for (let j = 0; j < width; j++) predictor += parameters[j]! * values[row * width + j]!
    const known = from[row] === to[row]
    const low = (from[row]! - predictor) / scale
    const high = known ? low : (to[row]! - predictor) / scale
    fillIntervalTerms(family, low, high, terms)
    part.row = row
    part.value = terms.value - (known ? Math.log(scale) + from[row]! : 0)
    fillRowPart(part, terms, low, high, scale, known)
    visit(part)
  }
}

/** Chain rule from the ends w = (log t − predictor) / scale. Infinite ends carry no derivative. */
function fillRowPart(
  part: RowPart,
  terms: IntervalTerms,
  low: number,
  high: number,
  scale: number,
  known: boolean,
): void {
  const a = Number.isFinite(low) ? low : 0
  const b = Number.isFinite(high) ? high : 0
  const slope = a * terms.lower + b * terms.upper
  const second = terms.lowerLower + 2 * terms.lowerUpper + terms.upperUpper
  const mixed = a * (terms.lowerLower + terms.lowerUpper) + b * (terms.upperUpper + terms.lowerUpper)
  part.predictor = -(terms.lower + terms.upper) / scale
  part.logScale = -slope - (known ? 1 : 0)
  part.predictorPredictor = second / (scale * scale)
  part.predictorLogScale = (mixed + terms.lower + terms.upper) / scale
  part.logScaleLogScale =
    a * a * terms.lowerLower + 2 * a * b * terms.lowerUpper + b * b * terms.upperUpper + slope
}

function fillScore(
  score: Float64Array,
  design: StandardisedDesign,
  part: RowPart,
  scaleFixed: boolean,
): void {
  const { width, values } = design
  for (let j = 0; j < width; j++) score[j] = part.predictor * values[part.row * width + j]!
  if (!scaleFixed) score[width] = part.logScale
}

/** Takes the second derivatives of one row from the upper triangle of the information. */
function addCurvature(
  information: Float64Array,
  design: StandardisedDesign,
  part: RowPart,
  scaleFixed: boolean,
  size: number,
): void {
  const { width, values } = design
  const start = part.row * width
  for (let i = 0; i < width; i++) {
    const scaled = -part.weight * part.predictorPredictor * values[start + i]!
    for (let j = i; j < width; j++) information[i * size + j]! += scaled * values[start + j]!
    if (!scaleFixed)
      information[i * size + width]! -= part.weight * part.predictorLogScale * values[start + i]!
  }
  if (!scaleFixed) information[width * size + width]! -= part.weight * part.logScaleLogScale
}
