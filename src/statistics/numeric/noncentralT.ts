import { chiScaleMean } from './chiScale.js'
import { normalCdf } from './distributions.js'

/** P(T ≤ t) of the noncentral t distribution. */
export function noncentralTCdf(t: number, degreesOfFreedom: number, noncentrality: number): number {
  return chiScaleMean((u) => normalCdf(t * u - noncentrality), degreesOfFreedom, 0, stepFor(t))
}

/** P(T > t) of the noncentral t distribution. */
export function noncentralTUpperTail(t: number, degreesOfFreedom: number, noncentrality: number): number {
  return chiScaleMean((u) => normalCdf(noncentrality - t * u), degreesOfFreedom, 0, stepFor(t))
}

/** The normal probability passes from 0 to 1 within about 1/|t| of log u; the step has to see that. */
function stepFor(t: number): number {
  return 0.4 / Math.max(1, Math.abs(t))
}
