import {
  type Contrast,
  type FittedModel,
  type Interval,
  isNumber,
  noInterval,
  notEstimable,
  type Quantity,
  type TestResult,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { requireLevel } from '../numeric/columns.js'
import { chiSquareUpperTail, normalUpperQuantile } from '../numeric/distributions.js'
import { choleskyFactor, invertFactored, logDeterminantFactored } from '../numeric/matrix.js'
import { type LikelihoodPoint, type Maximum, quasiNewtonMaximum } from '../numeric/optimise.js'
import { profileLimit } from '../numeric/profileLimit.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { type CoxDesign, comparatorsOf, prepareCox } from './coxDesign.js'
import { estimableDesign } from './coxFit.js'
import { exponential } from './coxHazardRatios.js'
import { type LikelihoodSettings, partialLikelihood, tiedEvents } from './coxLikelihood.js'
import { heldProfile } from './coxProfile.js'
import { chiSquareTest, clusterCodes } from './coxTests.js'
import { fillRisk, productPosition, walkRiskSets } from './riskSums.js'
import { type RowOptions, refuseWeights, type TimesAtRisk } from './timesAtRisk.js'

/** Options of a Firth-penalised Cox regression. */
export interface FirthOptions extends Omit<RowOptions, 'weights'>, DesignOptions {
  /** Default `efron`. */
  readonly ties?: 'efron' | 'breslow'
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Cluster of every row: counted, and warned of, since the interval takes rows for independent. */
  readonly cluster?: CodeColumn
}

/** Penalised hazard ratio of one covariate; P comes from the penalised likelihood ratio. */
export interface PenalisedHazardRatio extends Contrast {
  readonly name: string
  readonly logHazardRatio: Quantity
  readonly pValue: Quantity
}

/** What a Firth-penalised Cox regression answers. */
export interface FirthFit extends FittedModel {
  readonly hazardRatios: readonly PenalisedHazardRatio[]
  readonly penalisedLogLikelihood: number
  readonly penalisedLogLikelihoodAtZero: number
  readonly likelihoodRatioTest: TestResult
  /** Largest modified score at the estimate; near 0 where it was found. */
  readonly largestScore: number
}

/** Scaled linear predictor beyond which a limit counts as unbounded. */
const farthestPredictor = 200

/**
 * Hazard ratios by Cox regression with Firth's penalty, which are finite where a covariate separates the events from
 * the rest, with profile limits of the penalised likelihood.
 *
 * @param options ties default `efron`; level default 0.95; strata, offset, interactions, baselines, clusters default
 *   none. Rows count as independent; give clusters to have that said
 * @returns hazard ratios; `not-estimable` where a covariate varies within no risk set
 * @throws NumericalError and UsageError as `coxRegression`
 *
 * Sources: Firth (1993); Heinze and Schemper (2001).
 *
 * @example firthCoxRegression({ time: [1, 2, 3, 4], event: [1, 1, 0, 0] }, { x: [1, 1, 0, 0] }).hazardRatios[0].logHazardRatio // => 2.0223
 */
export const firthCoxRegression = checked(
  'firthCoxRegression',
  (times: TimesAtRisk, covariates: Covariates, options: FirthOptions = {}): FirthFit => {
    const { ties = 'efron', level = 0.95, cluster: clusters } = options
    requireLevel(level)
    refuseWeights(options, 'Firth-penalised regression')
    const whole = prepareCox(times, covariates, options, { clusters })
    const design = estimableDesign(whole, ties)
    const evaluate = firthLikelihood(design, { ties })
    const zero = new Float64Array(design.size)
    const atZero = evaluate(zero)
    const maximum = quasiNewtonMaximum(evaluate, zero, { startPoint: atZero })
    const sizes = {
      n: whole.rows.n,
      events: whole.rows.events,
      clusters: clusters === undefined ? whole.rows.n : clusterCodes(clusters, undefined).present,
      warnings: firthWarnings(whole, design, maximum.converged, clusters !== undefined),
      reference: 'firth-cox',
    }
    const comparators = comparatorsOf(covariates, options)
    const method: MethodName = methodOf('cox-regression-with-firth-penalty', 'profile-penalised-likelihood')
    const ratios = whole.names.map((name) => ({
      name,
      comparator: comparators.get(name) ?? { group: `${name} + 1`, against: name },
      level,
      method,
      ...sizes,
      ...penalisedAnswers(design, evaluate, maximum, design.names.indexOf(name), level),
    }))
    const inInput = design.scale.reduce((sum, scale) => sum + Math.log(scale), 0)
    const statistic =
      design.size === 0 ? notEstimable(noVariation) : Math.max(0, 2 * (maximum.point.value - atZero.value))
    return deepFreeze({
      hazardRatios: ratios,
      penalisedLogLikelihood: design.size === 0 ? maximum.point.unpenalised : maximum.point.value + inInput,
      penalisedLogLikelihoodAtZero: design.size === 0 ? atZero.unpenalised : atZero.value + inInput,
      likelihoodRatioTest: chiSquareTest(
        statistic,
        design.size,
        methodOf('penalised-likelihood-ratio-test'),
        sizes,
      ),
      largestScore: maximum.point.gradient.reduce(
        (most, one, j) => Math.max(most, Math.abs(one) * design.scale[j]!),
        0,
      ),
      level,
      method,
      ...sizes,
      iterations: maximum.iterations,
      converged: maximum.converged,
    })
  },
)

const noVariation = 'covariate-does-not-vary-at-risk'

type PenalisedAnswers = Pick<
  PenalisedHazardRatio,
  'estimate' | 'interval' | 'standardError' | 'logHazardRatio' | 'pValue'
>

function penalisedAnswers(
  design: CoxDesign,
  evaluate: (coefficients: Float64Array) => PenalisedPoint,
  maximum: Maximum<PenalisedPoint>,
  index: number,
  level: number,
): PenalisedAnswers {
  const none = notEstimable(noVariation)
  if (index < 0)
    return { estimate: none, interval: noInterval(noVariation), logHazardRatio: none, pValue: none }
  const scale = design.scale[index]!
  const at = maximum.at[index]!
  const error = Math.sqrt(invertFactored(maximum.factor)[index * design.size + index]!)
  const profile = heldProfile(evaluate, maximum.at, index, (restricted, start) =>
    quasiNewtonMaximum(restricted, start),
  )
  const root = normalUpperQuantile((1 - level) / 2)
  const farthest = farthestPredictor / Math.max(design.spread[index]!, 1e-300)
  const limit = (direction: 'above' | 'below'): Quantity =>
    profileLimit({
      profile,
      at,
      maximum: maximum.point.value,
      distance: root * error,
      root,
      direction,
      farthest,
    })
  const [below, above] = [limit('below'), limit('above')]
  const interval: Interval = { lower: exponential(below, scale), upper: exponential(above, scale) }
  const ratio = Math.max(0, 2 * (maximum.point.value - profile(0).value))
  return {
    estimate: exponential(at, scale),
    interval,
    standardError: { value: error / scale, scale: 'log hazard ratio' },
    logHazardRatio: at / scale,
    pValue: chiSquareUpperTail(ratio, 1),
  }
}

function firthWarnings(
  whole: CoxDesign,
  design: CoxDesign,
  converged: boolean,
  clustered: boolean,
): readonly Warning[] {
  const warnings: Warning[] = []
  if (whole.rows.events === 0) warnings.push(warning('no-event-to-compare'))
  const apart = whole.names.filter((name) => !design.names.includes(name))
  if (apart.length > 0 && whole.rows.events > 0) {
    warnings.push(warning('no-variation-at-risk', { names: apart }))
  }
  if (!converged) warnings.push(warning('no-penalised-maximum-found'))
  if (clustered) {
    warnings.push(warning('interval-takes-rows-as-independent'))
  }
  return Object.freeze(warnings)
}

/** Logarithm of a limit of a penalised hazard ratio. */
export function logLimit(limit: Quantity): Quantity {
  return isNumber(limit) ? Math.log(limit) : limit
}

/** Penalised likelihood at a point; `gradient` is the modified score, `information` that of the plain likelihood. */
export interface PenalisedPoint extends LikelihoodPoint {
  readonly unpenalised: number
}

/**
 * Log partial likelihood plus half the log determinant of its information (Firth 1993; Heinze and Schemper 2001),
 * with the modified score: the derivative of the penalty needs the third moments of the risk sets against the inverse
 * information, which one more pass gives.
 */
export function firthLikelihood(
  design: CoxDesign,
  settings: LikelihoodSettings,
): (coefficients: Float64Array) => PenalisedPoint {
  const plain = partialLikelihood(design, settings)
  const { size } = design
  return (coefficients) => {
    const point = plain(coefficients)
    const factor = choleskyFactor(point.information, size)
    const unpenalised = point.value
    if (factor.dependent.length > 0) return { ...point, unpenalised, value: Number.NEGATIVE_INFINITY }
    const slope = penaltySlope(design, settings, coefficients, invertFactored(factor))
    return {
      value: unpenalised + 0.5 * logDeterminantFactored(factor),
      gradient: point.gradient.map((one, j) => one + slope[j]!),
      information: point.information,
      unpenalised,
    }
  }
}

/**
 * Half the trace of inverse information times the derivative of the information in each coefficient. Within a risk
 * set that is half the mean of (x − x̄) · (x − x̄)ᵀV(x − x̄), so beside the usual sums those of q = xᵀVx and of q x
 * suffice: the columns of an extended design (x, q).
 */
function penaltySlope(
  design: CoxDesign,
  settings: LikelihoodSettings,
  coefficients: Float64Array,
  inverse: Float64Array,
): Float64Array {
  const { size, order } = design
  const wide = size + 1
  const x = withQuadraticForm(design, inverse)
  const predictor = new Float64Array(order.row.length)
  const risk = new Float64Array(order.row.length)
  const weight = settings.weight ?? design.weight
  fillRisk(design, coefficients, predictor, risk, weight)
  const slope = new Float64Array(size)
  const mean = new Float64Array(wide)
  walkRiskSets(design, x, wide, risk, 2, (k, atRisk, withEvent) => {
    const tied = tiedEvents(design, settings, weight, k)
    for (let step = 0; step < tied.steps; step++) {
      const taken = step / tied.steps
      const denominator = atRisk[0]! - taken * withEvent[0]!
      const moment = (at: number): number => (atRisk[at]! - taken * withEvent[at]!) / denominator
      for (let j = 0; j < wide; j++) mean[j] = moment(1 + j)
      addThirdMoment(slope, 0.5 * tied.mean, mean, moment, inverse, size)
    }
  })
  return slope
}

/** Adds factor · mean of (x_a − x̄_a)(x − x̄)ᵀV(x − x̄) for every covariate a. */
function addThirdMoment(
  slope: Float64Array,
  factor: number,
  mean: Float64Array,
  moment: (position: number) => number,
  inverse: Float64Array,
  size: number,
): void {
  const wide = size + 1
  for (let a = 0; a < size; a++) {
    let third = moment(productPosition(wide, size, a)) - mean[a]! * mean[size]!
    for (let b = 0; b < size; b++) {
      let projected = 0
      for (let c = 0; c < size; c++) projected += inverse[b * size + c]! * mean[c]!
      const covariance = moment(productPosition(wide, Math.max(a, b), Math.min(a, b))) - mean[a]! * mean[b]!
      third -= 2 * projected * covariance
    }
    slope[a]! += factor * third
  }
}

/** Covariates of every place with xᵀVx as one more column, row-major. */
function withQuadraticForm(design: CoxDesign, inverse: Float64Array): Float64Array {
  const { size, x } = design
  const places = design.order.row.length
  const wide = size + 1
  const extended = new Float64Array(places * wide)
  for (let place = 0; place < places; place++) {
    let form = 0
    for (let a = 0; a < size; a++) {
      const value = x[place * size + a]!
      extended[place * wide + a] = value
      for (let b = 0; b < size; b++) form += value * inverse[a * size + b]! * x[place * size + b]!
    }
    extended[place * wide + size] = form
  }
  return extended
}
