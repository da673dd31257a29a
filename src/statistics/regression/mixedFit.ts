import { gaussHermite } from '../numeric/gaussHermite.js'
import { choleskyFactor, invertFactored, solveFactored } from '../numeric/matrix.js'
import { type ClusterPosterior, type MarginalPoint, marginalPoint } from './marginalLikelihood.js'
import { type WorkingFit, withoutHeld } from './reweighting.js'
import type { WorkingProblem } from './workingProblem.js'

/** Where the marginal likelihood of a random-intercept model has its maximum, in standardised coefficients. */
export interface MixedMaximum {
  /** Coefficients and, last, the standard deviation between clusters. */
  readonly parameters: Float64Array
  /** Inverse observed information of the parameters, row-major; the spread has none at the boundary. */
  readonly covariance: Float64Array
  readonly logLikelihood: number
  /** Maximum without any spread. */
  readonly logLikelihoodWithoutSpread: number
  readonly posteriors: readonly ClusterPosterior[]
  /** Whether the maximum lies at no spread at all. */
  readonly atBoundary: boolean
  readonly converged: boolean
  readonly iterations: number
}

const maximumIterations = 200

/** Spread on the scale of the linear predictor beyond which the likelihood is taken to rise without end. */
const largestSpread = 15

/** Step in standardised parameters below which the score, not the value, decides. */
const shortStep = 0.05

/**
 * Share of the log-likelihood that quadrature may get wrong: near the maximum the value must not keep the iteration
 * from the root of the score, which carries an error of its own.
 */
const quadratureError = 1e-6

/** Maximises the marginal likelihood by Newton steps, damped where the information is not positive. */
export function maximiseMarginal(
  problem: WorkingProblem,
  plain: WorkingFit,
  groups: readonly Int32Array[],
  points: number,
): MixedMaximum {
  const rule = gaussHermite(points)
  const evaluateAt = (parameters: Float64Array): MarginalPoint =>
    marginalPoint(problem, groups, rule, parameters)
  const held = Uint8Array.from([...plain.held, 0])
  const starts = [0.5, 2].map((spread) =>
    climb(evaluateAt, Float64Array.from([...plain.coefficients, spread]), held),
  )
  const best = starts.reduce((one, other) => (other.point.value > one.point.value + 1e-9 ? other : one))
  const size = held.length
  const spread = Math.abs(best.at[size - 1]!)
  const rises = best.point.value > plain.logLikelihood + 1e-9
  const atBoundary = !rises || spread < 1e-4
  const shared = { logLikelihoodWithoutSpread: plain.logLikelihood, atBoundary, iterations: best.iterations }
  if (atBoundary) {
    const parameters = Float64Array.from([...plain.coefficients, 0])
    return {
      ...shared,
      parameters,
      covariance: padded(plain),
      logLikelihood: plain.logLikelihood,
      posteriors: evaluateAt(parameters).posteriors,
      converged: plain.converged,
    }
  }
  // The likelihood is the same for either sign of the spread; the effects are not.
  const parameters = Float64Array.from(best.at)
  parameters[size - 1] = spread
  const point = best.at[size - 1]! < 0 ? evaluateAt(parameters) : best.point
  const factor = choleskyFactor(withoutHeld(point.information, held), size)
  return {
    ...shared,
    parameters,
    covariance: invertFactored(factor),
    logLikelihood: point.value,
    posteriors: point.posteriors,
    converged: best.converged && spread < largestSpread,
  }
}

interface Climb {
  readonly at: Float64Array
  readonly point: MarginalPoint
  readonly converged: boolean
  readonly iterations: number
}

function climb(
  evaluateAt: (parameters: Float64Array) => MarginalPoint,
  start: Float64Array,
  held: Uint8Array,
): Climb {
  let at = start
  let point = evaluateAt(at)
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = ascent(point, held)
    const size = step.reduce((most, move) => Math.max(most, Math.abs(move)), 0)
    const next = halved(evaluateAt, at, point, step, size)
    if (next === undefined) return { at, point, converged: size < 1e-5, iterations: iteration }
    const small = size < 1e-9
    at = next.at
    point = next.point
    const runaway = Math.abs(at[at.length - 1]!) > largestSpread
    if (small || runaway) return { at, point, converged: small, iterations: iteration }
  }
  return { at, point, converged: false, iterations: maximumIterations }
}

/** Newton's step where the information is positive, else one damped until it is. */
function ascent(point: MarginalPoint, held: Uint8Array): Float64Array {
  const size = held.length
  const expectedDependent = held.reduce((sum, one) => sum + one, 0)
  const diagonal = Math.max(
    ...Array.from({ length: size }, (_, j) => Math.abs(point.information[j * size + j]!)),
  )
  for (let damping = 0; ; damping = damping === 0 ? 1e-3 : damping * 4) {
    const information = withoutHeld(point.information, held)
    if (damping > 0) {
      for (let j = 0; j < size; j++) if (held[j] === 0) information[j * size + j]! += damping * diagonal
    }
    const factor = choleskyFactor(information, size)
    if (factor.dependent.length === expectedDependent || damping > 1e6) {
      const step = solveFactored(factor, point.gradient)
      return step.map((move, j) => (held[j] === 1 ? 0 : move))
    }
  }
}

function halved(
  evaluateAt: (parameters: Float64Array) => MarginalPoint,
  at: Float64Array,
  point: MarginalPoint,
  step: Float64Array,
  size: number,
): { readonly at: Float64Array; readonly point: MarginalPoint } | undefined {
  const error = size < shortStep ? quadratureError : 1e-12
  const rounding = error * (Math.abs(point.value) + 1)
  for (let share = Math.min(1, 3 / size); share > 1e-10; share /= 2) {
    const nextAt = at.map((value, j) => value + share * step[j]!)
    const nextPoint = evaluateAt(nextAt)
    if (nextPoint.value >= point.value - rounding) return { at: nextAt, point: nextPoint }
  }
  return undefined
}

/** Covariance of the fit without spread, an empty row and column added for the spread. */
function padded(plain: WorkingFit): Float64Array {
  const width = plain.coefficients.length
  const inverse = invertFactored(choleskyFactor(withoutHeld(plain.information, plain.held), width))
  const covariance = new Float64Array((width + 1) ** 2)
  for (let i = 0; i < width; i++) {
    for (let j = 0; j < width; j++) covariance[i * (width + 1) + j] = inverse[i * width + j]!
  }
  return covariance
}
