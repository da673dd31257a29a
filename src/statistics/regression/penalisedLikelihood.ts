import {
  type CholeskyFactor,
  choleskyFactor,
  invertFactored,
  logDeterminantFactored,
  solveFactored,
} from '../numeric/matrix.js'
import type { RowTerms } from './family.js'
import { withoutHeld } from './reweighting.js'
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
 * prior), by scoring steps with halving.
 *
 * @param held index of a coefficient that stays as `start` has it; the penalty stays that of the whole model
 */
export function maximisePenalised(problem: WorkingProblem, start: Float64Array, held?: number): PenalisedFit {
  const fixed = new Uint8Array(start.length)
  if (held !== undefined) fixed[held] = 1
  let at = start
  let point = penalisedPoint(problem, at)
  let idle = 0
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = solveFactored(
      choleskyFactor(withoutHeld(point.information, fixed), at.length),
      point.gradient,
    )
    if (held !== undefined) step[held] = 0
    const size = step.reduce((most, move) => Math.max(most, Math.abs(move)), 0)
    const next = halved(problem, at, point, step, size)
    if (next === undefined) return { coefficients: at, point, converged: size < 1e-5, iterations: iteration }
    idle = next.point.value > point.value ? 0 : idle + 1
    at = next.at
    point = next.point
    if (size < 1e-10 || idle > 4) {
      return { coefficients: at, point, converged: size < 1e-5, iterations: iteration }
    }
  }
  return { coefficients: at, point, converged: false, iterations: maximumIterations }
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
  const rounding = 1e-14 * (Math.abs(point.value) + 1)
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
