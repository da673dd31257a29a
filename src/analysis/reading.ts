import { type Interval, isNumber } from '../core/estimate.js'
import type { EstimandScale } from './variant.js'

/**
 * What an interval allows to be said, against the smallest difference that matters. "Fewer" and "more" are events in
 * the group asked about.
 *
 * - `fewer-that-matters`, `more-that-matters`: the whole interval lies beyond what matters
 * - `fewer`, `more`: the whole interval lies on one side, part of it beyond what matters
 * - `fewer-but-little`, `more-but-little`: on one side, and none of it beyond what matters
 * - `little-either-way`: both sides, and none of it beyond what matters
 * - `fewer-possible`, `more-possible`: both sides; what matters is possible in that direction only
 * - `open`: what matters is possible in both directions
 * - `none`: there is no interval
 */
export type Reading =
  | 'fewer-that-matters'
  | 'fewer'
  | 'fewer-but-little'
  | 'fewer-possible'
  | 'little-either-way'
  | 'open'
  | 'more-possible'
  | 'more-but-little'
  | 'more'
  | 'more-that-matters'
  | 'none'

/** Values that a reading claims: below and above in the direction of more events, open where it claims nothing. */
export interface Claim {
  readonly above: number
  readonly below: number
}

/**
 * Reads an interval against the smallest difference that matters. An end at the very margin counts as beyond it, an
 * end at no difference as on the other side, so that nothing is claimed that the interval does not bear.
 *
 * @param interval limits of a difference (0: alike) with more events above
 * @param smallest smallest difference that matters, above 0; undefined where none was named on this scale, and then only
 *   the side is read
 */
export function readingOf(interval: Interval, smallest: number | undefined): Reading {
  const lower = limitOf(interval.lower, Number.NEGATIVE_INFINITY)
  const upper = limitOf(interval.upper, Number.POSITIVE_INFINITY)
  if (lower === undefined || upper === undefined) return 'none'
  if (smallest === undefined) {
    if (upper < 0) return 'fewer'
    return lower > 0 ? 'more' : 'open'
  }
  if (upper < 0)
    return upper < -smallest ? 'fewer-that-matters' : lower > -smallest ? 'fewer-but-little' : 'fewer'
  if (lower > 0) return lower > smallest ? 'more-that-matters' : upper < smallest ? 'more-but-little' : 'more'
  const fewer = lower <= -smallest
  const more = upper >= smallest
  if (fewer && more) return 'open'
  if (fewer) return 'fewer-possible'
  return more ? 'more-possible' : 'little-either-way'
}

/** The differences that a reading leaves possible, so that a study can tell whether it was true. */
export function claimOf(reading: Reading, smallest: number): Claim {
  const all = { above: Number.NEGATIVE_INFINITY, below: Number.POSITIVE_INFINITY }
  switch (reading) {
    case 'fewer-that-matters':
      return { ...all, below: -smallest }
    case 'fewer':
      return { ...all, below: 0 }
    case 'fewer-but-little':
      return { above: -smallest, below: 0 }
    case 'fewer-possible':
      return { ...all, below: smallest }
    case 'little-either-way':
      return { above: -smallest, below: smallest }
    case 'more-possible':
      return { ...all, above: -smallest }
    case 'more-but-little':
      return { above: 0, below: smallest }
    case 'more':
      return { ...all, above: 0 }
    case 'more-that-matters':
      return { ...all, above: smallest }
    case 'open':
    case 'none':
      return all
  }
}

/**
 * An interval on the scale of its contrast as one of a difference with more events above: ratios by their logarithm,
 * the restricted mean (time free) turned round.
 */
export function inDirectionOfEvents(interval: Interval, scale: EstimandScale): Interval {
  if (scale === 'restricted-mean-difference') {
    return { lower: negated(interval.upper), upper: negated(interval.lower) }
  }
  if (scale.endsWith('ratio')) return { lower: logOf(interval.lower), upper: logOf(interval.upper) }
  return interval
}

/** The smallest difference that matters on the same scale: for ratios the size of its logarithm. */
export function smallestInDirection(smallest: number, scale: EstimandScale): number {
  return scale.endsWith('ratio') ? Math.abs(Math.log(smallest)) : smallest
}

function limitOf(limit: Interval['lower'], infinite: number): number | undefined {
  if (isNumber(limit)) return limit
  return limit.state === 'unbounded' ? infinite : undefined
}

function negated(limit: Interval['lower']): Interval['lower'] {
  if (isNumber(limit)) return limit === 0 ? 0 : -limit
  if (limit.state !== 'unbounded') return limit
  return { state: 'unbounded', direction: limit.direction === 'above' ? 'below' : 'above' }
}

function logOf(limit: Interval['lower']): Interval['lower'] {
  if (!isNumber(limit)) return limit
  return limit > 0 ? Math.log(limit) : { state: 'unbounded', direction: 'below' }
}
