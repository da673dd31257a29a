import { type Quantity, unbounded } from '../../core/estimate.js'

/** Log-likelihood with one parameter held and the others at their best, and its slope in that parameter. */
export interface ProfilePoint {
  readonly value: number
  readonly slope: number
}

/** Where and how far to look for a profile-likelihood limit. */
export interface ProfileSearch {
  readonly profile: (parameter: number) => ProfilePoint
  /** Parameter at the maximum. */
  readonly at: number
  /** Log-likelihood at the maximum. */
  readonly maximum: number
  /** First distance to try, such as a standard error times the normal quantile. */
  readonly distance: number
  /** Square root of the fall of twice the log-likelihood that marks the limit: the normal quantile of the level. */
  readonly root: number
  readonly direction: 'above' | 'below'
  /** Distance from the maximum beyond which the likelihood counts as flat. */
  readonly farthest: number
}

const iterations = 100

/**
 * Limit of a profile-likelihood interval: the parameter at which the signed root of the likelihood ratio reaches
 * the quantile, by Newton's method on that root, kept inside a bracket. `unbounded` where the likelihood never falls
 * so far.
 */
export function profileLimit(search: ProfileSearch): Quantity {
  const { profile, at, maximum, root, direction, farthest } = search
  const sign = direction === 'above' ? 1 : -1
  const evaluated = (distance: number): { excess: number; slope: number } => {
    const point = profile(at + sign * distance)
    const fall = Math.sqrt(Math.max(0, 2 * (maximum - point.value)))
    return { excess: fall - root, slope: fall > 0 ? (-sign * point.slope) / fall : 0 }
  }
  let inside = 0
  let outside = Number.POSITIVE_INFINITY
  let distance = Math.min(search.distance, farthest / 2)
  for (let iteration = 0; iteration < iterations; iteration++) {
    const { excess, slope } = evaluated(distance)
    if (excess < 0) inside = distance
    else outside = distance
    const newton = slope > 0 ? distance - excess / slope : Number.NaN
    if (Math.abs(newton - distance) <= 1e-13 * (Math.abs(at) + distance)) return at + sign * newton
    const allowed = newton > inside && newton < outside && newton < 4 * distance + search.distance
    const next = allowed
      ? newton
      : outside === Number.POSITIVE_INFINITY
        ? 2 * distance
        : (inside + outside) / 2
    if (next > farthest) return unbounded(direction)
    if (outside < Number.POSITIVE_INFINITY && outside - inside <= 1e-14 * (Math.abs(at) + outside))
      return at + sign * next
    distance = next
  }
  return at + sign * distance
}
