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
  readonly iterations: number
  readonly converged: boolean
}

/**
 * Maximises a concave log-likelihood by Newton's method with step halving.
 *
 * @param evaluate value, gradient and information at a parameter vector; must not keep the vector
 * @param start starting parameters; unchanged
 * @param options.maxIterations default 50; options.tolerance is the relative change of the value together with the
 *   Newton decrement below which the iteration ends, default 1e-13
 */
export function newtonMaximum<P extends LikelihoodPoint>(
  evaluate: (parameters: Float64Array) => P,
  start: ArrayLike<number>,
  options: { readonly maxIterations?: number; readonly tolerance?: number } = {},
): Maximum<P> {
  const { maxIterations = 50, tolerance = 1e-13 } = options
  let at: Float64Array = Float64Array.from(start)
  let point = evaluate(at)
  let factor = choleskyFactor(point.information, at.length)
  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    const step = solveFactored(factor, point.gradient)
    const decrement = dot(step, point.gradient)
    if (decrement < tolerance * (Math.abs(point.value) + 1e-3)) {
      const last = moved(at, step, 1)
      const lastPoint = evaluate(last)
      const better = lastPoint.value >= point.value
      const finalPoint = better ? lastPoint : point
      return {
        at: better ? last : at,
        point: finalPoint,
        factor: choleskyFactor(finalPoint.information, at.length),
        iterations: iteration,
        converged: true,
      }
    }
    let share = 1
    let next = moved(at, step, share)
    let nextPoint = evaluate(next)
    while (!(nextPoint.value >= point.value) && share > 1e-10) {
      share /= 2
      next = moved(at, step, share)
      nextPoint = evaluate(next)
    }
    if (!(nextPoint.value >= point.value))
      return { at, point, factor, iterations: iteration, converged: false }
    at = next
    point = nextPoint
    factor = choleskyFactor(point.information, at.length)
  }
  return { at, point, factor, iterations: maxIterations, converged: false }
}

function moved(from: Float64Array, step: Float64Array, share: number): Float64Array {
  return Float64Array.from(from, (value, i) => value + share * step[i]!)
}

function dot(left: ArrayLike<number>, right: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < left.length; i++) sum += left[i]! * right[i]!
  return sum
}
