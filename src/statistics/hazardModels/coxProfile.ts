import type { Interval, Quantity } from '../../core/estimate.js'
import { normalUpperQuantile } from '../numeric/distributions.js'
import { type LikelihoodPoint, type Maximum, newtonMaximum } from '../numeric/optimise.js'
import { type ProfilePoint, profileLimit } from '../numeric/profileLimit.js'
import type { CoxCore } from './coxFit.js'

/** Linear predictor, in units of e, beyond which a partial likelihood counts as flat. */
const farthestPredictor = 200

/**
 * Profile-likelihood limits of one log hazard ratio (Venzon and Moolgavkar 1988), in scaled units: the values that
 * the likelihood-ratio test of the level does not reject. A side on which the likelihood never falls is unbounded.
 */
export function profileInterval(core: CoxCore, index: number, level: number): Interval {
  const limit = (direction: 'above' | 'below'): Quantity => limitOf(core, index, level, direction)
  return { lower: limit('below'), upper: limit('above') }
}

function limitOf(core: CoxCore, index: number, level: number, direction: 'above' | 'below'): Quantity {
  const root = normalUpperQuantile((1 - level) / 2)
  const width = Math.max(core.design.spread[index]!, 1e-300)
  const usual = root * Math.sqrt(core.covariance[index * core.coefficients.length + index]!)
  return profileLimit({
    profile: heldProfile(core.evaluate, core.coefficients, index, (restricted, start) =>
      newtonMaximum(restricted, start),
    ),
    at: core.coefficients[index]!,
    maximum: core.point.value,
    distance: core.monotone[index] ? 1 / width : Math.min(usual, farthestPredictor / width / 4),
    root,
    direction,
    farthest: farthestPredictor / width,
  })
}

/**
 * The profile of one coefficient: it is held, the others maximise. They start from where the last call left them.
 *
 * @param at all coefficients at the maximum
 */
export function heldProfile<P extends LikelihoodPoint>(
  evaluate: (coefficients: Float64Array) => P,
  at: Float64Array,
  index: number,
  maximise: (
    restricted: (rest: Float64Array) => P & { slope: number },
    start: Float64Array,
  ) => Maximum<P & { slope: number }>,
): (held: number) => ProfilePoint {
  const size = at.length
  const others = Array.from({ length: size }, (_, j) => j).filter((j) => j !== index)
  let start = Float64Array.from(others, (j) => at[j]!)
  return (held) => {
    const whole = new Float64Array(size)
    whole[index] = held
    const restricted = (rest: Float64Array): P & { slope: number } => {
      others.forEach((j, i) => {
        whole[j] = rest[i]!
      })
      const point = evaluate(whole)
      return {
        ...point,
        gradient: Float64Array.from(others, (j) => point.gradient[j]!),
        information: Float64Array.from(
          others.flatMap((a) => others.map((b) => point.information[a * size + b]!)),
        ),
        slope: point.gradient[index]!,
      }
    }
    const maximum = maximise(restricted, start)
    start = Float64Array.from(maximum.at)
    return { value: maximum.point.value, slope: maximum.point.slope }
  }
}
