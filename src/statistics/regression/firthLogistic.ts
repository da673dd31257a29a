import {
  type FittedModel,
  type Interval,
  notEstimable,
  type Quantity,
  unbounded,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { compensatedSum, type NumberColumn, requireZeroOne } from '../numeric/columns.js'
import { chiSquareQuantile, chiSquareUpperTail } from '../numeric/distributions.js'
import {
  type CholeskyFactor,
  choleskyFactor,
  invertFactored,
  logDeterminantFactored,
  matrixRows,
  multiply,
  solveFactored,
} from '../numeric/matrix.js'
import { brentRoot } from '../numeric/roots.js'
import { type RegressionCoefficient, waldCoefficient, withRatio } from './coefficients.js'
import type { Covariates } from './design.js'
import { binomialFamily, type RowTerms } from './family.js'
import { type GeneralisedLinearOptions, type PreparedModel, prepareModel } from './generalisedLinear.js'
import { covarianceInInputUnits, inInputUnits } from './standardise.js'
import { evaluate, predictorAt, type WorkingProblem } from './workingProblem.js'

/** Penalised log-likelihood with its gradient and the expected information, in standardised coefficients. */
export interface PenalisedPoint {
  /** Log-likelihood plus half the logarithm of the determinant of the information. */
  readonly value: number
  readonly gradient: Float64Array
  readonly information: Float64Array
  readonly factor: CholeskyFactor
}

/** Where the penalised fit ended. */
export interface PenalisedFit {
  readonly coefficients: Float64Array
  readonly point: PenalisedPoint
  readonly converged: boolean
  readonly iterations: number
}

const maximumIterations = 500

/**
 * Maximises the logistic likelihood times the root of the determinant of its information (Firth 1993: Jeffreys'
 * prior), by quasi-Newton steps with halving that start from the information.
 *
 * @param held multiples of the coefficients whose sum stays as `start` has it; the penalty stays that of the whole
 *   model
 */
function maximisePenalised(problem: WorkingProblem, start: Float64Array, held?: Float64Array): PenalisedFit {
  let at = start
  let point = penalisedPoint(problem, at)
  let inverse = invertFactored(point.factor)
  let idle = 0
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = ascent(inverse, point.gradient, held)
    const size = step.reduce((most, move) => Math.max(most, Math.abs(move)), 0)
    const next = halved(problem, at, point, step, size)
    if (next === undefined) return ended(at, point, size, iteration)
    idle = next.point.value > point.value ? 0 : idle + 1
    inverse =
      updatedInverse(inverse, next.at, at, point.gradient, next.point.gradient) ??
      invertFactored(next.point.factor)
    at = next.at
    point = next.point
    if (size < 1e-10 || idle > 4) {
      return ended(at, point, size, iteration)
    }
  }
  return { coefficients: at, point, converged: false, iterations: maximumIterations }
}

/** A short last step is a maximum only where the likelihood is more than a rounded zero. */
function ended(at: Float64Array, point: PenalisedPoint, size: number, iterations: number): PenalisedFit {
  return { coefficients: at, point, converged: size < 1e-5 && Number.isFinite(point.value), iterations }
}

/** Step up the gradient; where a sum is held, the one that leaves the sum alone (Lagrange). */
function ascent(inverse: Float64Array, gradient: Float64Array, held?: Float64Array): Float64Array {
  const width = gradient.length
  const step = multiply(inverse, gradient, width, width, 1)
  if (held === undefined) return step
  const along = multiply(inverse, held, width, width, 1)
  const share = dot(held, step) / dot(held, along)
  return step.map((move, j) => move - share * along[j]!)
}

/**
 * Broyden, Fletcher, Goldfarb and Shanno's update of the inverse of minus the second derivative, which the penalty
 * makes differ from the information; undefined where the step shows no curvature.
 */
function updatedInverse(
  inverse: Float64Array,
  next: Float64Array,
  last: Float64Array,
  lastGradient: Float64Array,
  nextGradient: Float64Array,
): Float64Array | undefined {
  const width = next.length
  const move = next.map((value, j) => value - last[j]!)
  const fall = lastGradient.map((value, j) => value - nextGradient[j]!)
  const curvature = dot(move, fall)
  if (!(curvature > 1e-12 * Math.sqrt(dot(move, move) * dot(fall, fall)))) return undefined
  const reached = multiply(inverse, fall, width, width, 1)
  const factor = (1 + dot(fall, reached) / curvature) / curvature
  return inverse.map((value, cell) => {
    const [i, j] = [Math.floor(cell / width), cell % width]
    return (
      value + factor * move[i]! * move[j]! - (reached[i]! * move[j]! + move[i]! * reached[j]!) / curvature
    )
  })
}

/** Coefficients moved until their held sum has the given value, by the least loss that the information foresees. */
function movedTo(
  fit: { readonly coefficients: Float64Array; readonly point: PenalisedPoint },
  held: Float64Array,
  value: number,
): Float64Array {
  const along = solveFactored(fit.point.factor, held)
  const share = (value - dot(held, fit.coefficients)) / dot(held, along)
  return fit.coefficients.map((one, j) => one + share * along[j]!)
}

function dot(left: Float64Array, right: Float64Array): number {
  return left.reduce((sum, value, j) => sum + value * right[j]!, 0)
}

/** Step in standardised coefficients that no single iteration exceeds. */
const longestStep = 5

function halved(
  problem: WorkingProblem,
  at: Float64Array,
  point: PenalisedPoint,
  step: Float64Array,
  size: number,
): { readonly at: Float64Array; readonly point: PenalisedPoint } | undefined {
  const rounding = 1e-13 * (Math.abs(point.value) + 1)
  for (let share = Math.min(1, longestStep / size); share > 1e-10; share /= 2) {
    const nextAt = at.map((value, j) => value + share * step[j]!)
    const nextPoint = penalisedPoint(problem, nextAt)
    if (nextPoint.value >= point.value - rounding) return { at: nextAt, point: nextPoint }
  }
  return undefined
}

function penalisedPoint(problem: WorkingProblem, coefficients: Float64Array): PenalisedPoint {
  const plain = evaluate(problem, coefficients)
  const factor = choleskyFactor(plain.information, coefficients.length, 1e-14)
  const inverse = invertFactored(factor)
  const gradient = plain.gradient
  addPenaltyGradient(problem, coefficients, inverse, gradient)
  const singular = factor.dependent.length > 0
  const value = singular ? Number.NEGATIVE_INFINITY : plain.value + logDeterminantFactored(factor) / 2
  return { value, gradient, information: plain.information, factor }
}

/** Every row adds its leverage times (½ − mean) to its own residual. */
function addPenaltyGradient(
  problem: WorkingProblem,
  coefficients: Float64Array,
  inverse: Float64Array,
  gradient: Float64Array,
): void {
  const { width, rows, values } = problem.design
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  for (let row = 0; row < rows; row++) {
    if (problem.weights[row] === 0) continue
    const start = row * width
    problem.family.evaluate(problem.response[row]!, predictorAt(problem, coefficients, row), terms)
    const leverage = problem.weights[row]! * terms.weight * rowQuadratic(inverse, values, start, width)
    const pull = leverage * (0.5 - terms.mean)
    for (let j = 0; j < width; j++) gradient[j]! += pull * values[start + j]!
  }
}

function rowQuadratic(matrix: Float64Array, values: Float64Array, start: number, width: number): number {
  let sum = 0
  for (let i = 0; i < width; i++) {
    let inner = 0
    for (let j = 0; j < width; j++) inner += matrix[i * width + j]! * values[start + j]!
    sum += inner * values[start + i]!
  }
  return sum
}

/** Options of {@link firthLogisticRegression}. */
export interface FirthLogisticOptions
  extends Pick<
    GeneralisedLinearOptions,
    'cluster' | 'weights' | 'offset' | 'interactions' | 'baselines' | 'level'
  > {
  /** `profile`: limits and P values of the penalised likelihood ratio. `wald`: from the standard error, for speed. */
  readonly interval?: 'profile' | 'wald'
}

/** What a penalised logistic regression answers. */
export interface FirthLogisticFit extends FittedModel {
  /** `statistic` is the signed root of the penalised likelihood ratio where limits are profiled. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Inverse information at the penalised estimate. */
  readonly covariance: readonly (readonly number[])[]
  /** Log-likelihood plus half the log determinant of the information, in the units of the input. */
  readonly penalisedLogLikelihood: number
}

/**
 * Estimates log odds ratios by Firth's penalised likelihood, which stays finite under separation and is less biased
 * than maximum likelihood where events are few.
 *
 * @param eventObserved 1 where the event was observed, 0 where it was not
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param options limits (default `profile`), clusters (counted, and warned about: the interval takes rows as
 *   independent), weights, offset, interactions, baselines, level (default 0.95)
 * @returns coefficients in log odds with odds ratios; profile limits hold one coefficient and maximise the penalised
 *   likelihood of the whole model over the rest
 * @throws NumericalError as logisticRegression does, but never for separation
 * @see Firth (1993) Biometrika 80:27–38; Heinze and Schemper (2002) Statistics in Medicine 21:2409–2419
 * @example firthLogisticRegression([0, 0, 0, 1, 1, 1], { late: [0, 0, 0, 1, 1, 1] }).coefficients[1].ratio // => 49
 */
export const firthLogisticRegression = checked(
  'firthLogisticRegression',
  (
    eventObserved: NumberColumn,
    covariates: Covariates,
    options: FirthLogisticOptions = {},
  ): FirthLogisticFit => {
    const { level = 0.95, interval: limits = 'profile' } = options
    requireZeroOne('eventObserved', eventObserved)
    const prepared = prepareModel(eventObserved, covariates, binomialFamily, options)
    const { problem } = prepared
    const { width, names, map, rows } = problem.design
    const fit = maximisePenalised(problem, evenOdds(problem))
    const estimates = inInputUnits(problem.design, fit.coefficients)
    const covariance = covarianceInInputUnits(map, invertFactored(fit.point.factor), width)
    const scales = names.reduce((sum, _, j) => sum + Math.log(map[j * width + j]!), 0)
    const wald = names.map((name, j) => {
      const estimate: Quantity = fit.converged ? estimates[j]! : notEstimable('not-converged')
      const reference = { level, degreesOfFreedom: Number.POSITIVE_INFINITY }
      return waldCoefficient(name, estimate, Math.sqrt(covariance[j * width + j]!), reference, notConverged)
    })
    const profiled = limits === 'profile' && fit.converged
    return deepFreeze({
      coefficients: profiled ? wald.map((one, j) => profiledCoefficient(prepared, one, j, fit, level)) : wald,
      covariance: matrixRows(covariance, width),
      penalisedLogLikelihood: fit.point.value - scales,
      level,
      method: methodOf('logistic-regression', 'firth-s-penalised-likelihood', `${limits}-limits`),
      n: rows,
      events: compensatedSum(problem.response),
      clusters: prepared.clusters?.count ?? rows,
      converged: fit.converged,
      iterations: fit.iterations,
      warnings: warningsOf(prepared, fit),
      reference: 'firth-logistic',
    })
  },
)

/** Start: the constant term makes up for the mean offset, so that the fitted probabilities lie inside their range. */
function evenOdds(problem: WorkingProblem): Float64Array {
  const start = new Float64Array(problem.design.width)
  start[0] = -compensatedSum(problem.offset) / problem.offset.length
  return start
}

const manyMaxima = 'several-maxima'
const notConverged = 'not-converged'

function profiledCoefficient(
  prepared: PreparedModel,
  wald: RegressionCoefficient,
  j: number,
  fit: PenalisedFit,
  level: number,
): RegressionCoefficient {
  const profile = profileOf(prepared, j, fit)
  const estimate = wald.estimate as number
  const error = wald.standardError as number
  const allowed = chiSquareQuantile(level, 1)
  const limit = (side: -1 | 1): Quantity => {
    const beyond = (distance: number): number => profile.loss(estimate + side * distance) - allowed
    let near = 0
    let far = error * Math.sqrt(allowed)
    while (beyond(far) < 0 && far < 1e6 * error) {
      near = far
      far *= 1.6
    }
    if (far >= 1e6 * error) return unbounded(side < 0 ? 'below' : 'above')
    if (!(beyond(near) < 0 && beyond(far) >= 0)) return notEstimable(manyMaxima)
    return estimate + side * brentRoot(beyond, near, far, 1e-11)
  }
  const interval: Interval = { lower: limit(-1), upper: limit(1) }
  const ratio = Math.max(0, profile.loss(0))
  return withRatio({
    name: wald.name,
    estimate,
    standardError: error,
    interval,
    statistic: Math.sign(estimate) * Math.sqrt(ratio),
    pValue: chiSquareUpperTail(ratio, 1),
  })
}

/** Twice the penalised log-likelihood lost by holding a coefficient at a value. */
interface Profile {
  loss(value: number): number
}

/**
 * A coefficient in the units of the input is a sum of multiples of the standardised ones. The penalised likelihood may
 * have more than one maximum: each fit starts from the last one and from the estimate, and the better stands.
 */
function profileOf(prepared: PreparedModel, j: number, fit: PenalisedFit): Profile {
  const { problem } = prepared
  const { map, width } = problem.design
  const held = map.subarray(j * width, (j + 1) * width)
  let last = fit
  return {
    loss(value) {
      const starts = last === fit ? [fit] : [last, fit]
      const ends = starts.map((start) => maximisePenalised(problem, movedTo(start, held, value), held))
      last = ends.reduce((best, one) => (one.point.value > best.point.value ? one : best))
      return 2 * (fit.point.value - last.point.value)
    },
  }
}

function warningsOf(prepared: PreparedModel, fit: PenalisedFit): readonly Warning[] {
  const warnings: Warning[] = []
  if (prepared.clusters !== undefined && prepared.clusters.count < prepared.problem.design.rows) {
    warnings.push(warning('clusters-ignored'))
  }
  if (!fit.converged) {
    warnings.push(warning('penalised-not-converged', { iterations: fit.iterations }))
  }
  return warnings
}
