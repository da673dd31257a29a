import {
  type CholeskyFactor,
  choleskyFactor,
  invertFactored,
  logDeterminantFactored,
  multiply,
  solveFactored,
} from '../numeric/matrix.js'
import type { RowTerms } from './family.js'
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
export function maximisePenalised(
  problem: WorkingProblem,
  start: Float64Array,
  held?: Float64Array,
): PenalisedFit {
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
export function movedTo(
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
