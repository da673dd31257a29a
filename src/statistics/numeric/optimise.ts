import { type CholeskyFactor, choleskyFactor, invertFactored, multiply, solveFactored } from './matrix.js'

/** Value, gradient and information (minus the second derivative, row-major) of a log-likelihood at a point. */
export interface LikelihoodPoint {
  readonly value: number
  readonly gradient: Float64Array
  readonly information: Float64Array
}

/** Where Newton's iteration ended. */
export interface Maximum<P extends LikelihoodPoint> {
  readonly at: Float64Array
  readonly point: P
  readonly factor: CholeskyFactor
  /** Last Newton step; not small in a direction in which the likelihood rises without end. */
  readonly step: Float64Array
  readonly iterations: number
  readonly converged: boolean
}

/** Newton decrement (squared step in standard errors) above which the iteration never ends, however large the value. */
const largestDecrement = 1e-10

/**
 * Newton decrement below which the iteration always ends: one last step then leaves less than rounding, and a
 * likelihood that rises without end is left while its step is still long enough to tell.
 */
const leastDecrement = 1e-13

/** Fall of the value, relative to its size, that rounding alone may bring about. */
const roundingShare = 1e-12

/**
 * Maximises a concave log-likelihood by Newton's method with step halving.
 *
 * @param evaluate value, gradient and information at a parameter vector; must not keep the vector
 * @param start starting parameters; unchanged
 * @param options.maxIterations default 50; options.tolerance is the Newton decrement, relative to the value, below
 *   which one last step ends the iteration, default 1e-13 and never above a decrement of 1e-10
 */
export function newtonMaximum<P extends LikelihoodPoint>(
  evaluate: (parameters: Float64Array) => P,
  start: ArrayLike<number>,
  options: { readonly maxIterations?: number; readonly tolerance?: number; readonly startPoint?: P } = {},
): Maximum<P> {
  const { maxIterations = 50, tolerance = 1e-13, startPoint } = options
  let at: Float64Array = Float64Array.from(start)
  let point = startPoint ?? evaluate(at)
  let factor = choleskyFactor(point.information, at.length)
  let step = solveFactored(factor, point.gradient)
  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    const decrement = dot(step, point.gradient)
    const wanted = Math.min(tolerance * (Math.abs(point.value) + 1e-3), largestDecrement)
    const last = decrement <= Math.max(wanted, leastDecrement)
    const next = raised(evaluate, at, point, step)
    if (next === undefined) return { at, point, factor, step, iterations: iteration, converged: last }
    at = next.at
    point = next.point
    factor = choleskyFactor(point.information, at.length)
    if (last) return { at, point, factor, step, iterations: iteration, converged: true }
    step = solveFactored(factor, point.gradient)
  }
  return { at, point, factor, step, iterations: maxIterations, converged: false }
}

/** The point a step away, or half of it and so on until the value does not fall; undefined where it always falls. */
function raised<P extends LikelihoodPoint>(
  evaluate: (parameters: Float64Array) => P,
  from: Float64Array,
  point: P,
  step: Float64Array,
): { readonly at: Float64Array; readonly point: P } | undefined {
  const least = point.value - roundingShare * Math.abs(point.value)
  for (let share = 1; share > 1e-10; share /= 2) {
    const at = moved(from, step, share)
    const next = evaluate(at)
    if (next.value >= least && next.value < Number.POSITIVE_INFINITY) return { at, point: next }
  }
  return undefined
}

/**
 * Maximises a log-likelihood whose information is only an approximation of its curvature, such as a penalised one, by
 * the quasi-Newton method of Broyden, Fletcher, Goldfarb and Shanno (1970), started from the information.
 *
 * @param options as `newtonMaximum`; maxIterations default 500, tolerance default 1e-22
 */
export function quasiNewtonMaximum<P extends LikelihoodPoint>(
  evaluate: (parameters: Float64Array) => P,
  start: ArrayLike<number>,
  options: { readonly maxIterations?: number; readonly tolerance?: number; readonly startPoint?: P } = {},
): Maximum<P> {
  const { maxIterations = 500, tolerance = 1e-22, startPoint } = options
  let at: Float64Array = Float64Array.from(start)
  let point = startPoint ?? evaluate(at)
  const inverse = invertFactored(choleskyFactor(point.information, at.length))
  let step = multiply(inverse, point.gradient, at.length, at.length, 1)
  let iteration = 1
  for (; iteration <= maxIterations; iteration++) {
    if (dot(step, point.gradient) <= tolerance * (Math.abs(point.value) + 1e-3)) break
    const next = raised(evaluate, at, point, step)
    if (next === undefined) break
    const change = next.at.map((value, i) => value - at[i]!)
    const turn = next.point.gradient.map((value, i) => point.gradient[i]! - value)
    at = next.at
    point = next.point
    updateInverse(inverse, change, turn)
    step = multiply(inverse, point.gradient, at.length, at.length, 1)
  }
  const factor = choleskyFactor(point.information, at.length)
  const converged = dot(step, point.gradient) <= Math.max(tolerance, 1e-12) * (Math.abs(point.value) + 1e-3)
  return { at, point, factor, step, iterations: Math.min(iteration, maxIterations), converged }
}

/** Updates an inverse curvature in place by one change of the parameters and of the (falling) gradient. */
function updateInverse(inverse: Float64Array, change: Float64Array, turn: Float64Array): void {
  const size = change.length
  const along = dot(change, turn)
  if (!(along > 0)) return
  const bent = multiply(inverse, turn, size, size, 1)
  const factor = (1 + dot(turn, bent) / along) / along
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      inverse[i * size + j]! +=
        factor * change[i]! * change[j]! - (bent[i]! * change[j]! + change[i]! * bent[j]!) / along
    }
  }
}

function moved(from: Float64Array, step: Float64Array, share: number): Float64Array {
  return Float64Array.from(from, (value, i) => value + share * step[i]!)
}

function dot(left: ArrayLike<number>, right: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < left.length; i++) sum += left[i]! * right[i]!
  return sum
}
