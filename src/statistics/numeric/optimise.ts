import { type CholeskyFactor, choleskyFactor, solveFactored } from './matrix.js'

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
    const last = decrement <= Math.min(tolerance * (Math.abs(point.value) + 1e-3), largestDecrement)
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

function moved(from: Float64Array, step: Float64Array, share: number): Float64Array {
  return Float64Array.from(from, (value, i) => value + share * step[i]!)
}

function dot(left: ArrayLike<number>, right: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < left.length; i++) sum += left[i]! * right[i]!
  return sum
}
