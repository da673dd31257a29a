import { type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import { innermostIntervals, orderIntervals } from './innermostIntervals.js'
import { maximumMass } from './innermostMass.js'
import { checkIntervals, type IntervalTimes } from './intervalTimes.js'

/** Mass of events in one interval (lower, upper], or at one time where both are equal. */
export interface MassInterval {
  readonly lower: number
  /** Infinity stands as `unbounded`: mass known only to lie after `lower`. */
  readonly upper: Quantity
  readonly mass: number
  /** Share without the event after the interval; inside it the share is known only to lie between its ends. */
  readonly survivalAfter: number
}

/** Non-parametric estimate from interval-censored times. */
export interface IntervalCensoredEstimate {
  readonly intervals: readonly MassInterval[]
  readonly logLikelihood: number
  /** Largest miss of the conditions of the maximum, relative to the number of rows. */
  readonly excess: number
  readonly n: number
  readonly events: number
  readonly iterations: number
  readonly converged: boolean
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Options of the non-parametric estimate. */
export interface IntervalCensoredOptions {
  /** Weight of every row, zero or more, such as the times that a bootstrap drew its cluster; default 1. */
  readonly weights?: NumberColumn
}

/** Mass below which an interval counts as empty. */
const emptyMass = 1e-8

/**
 * Share without the event over time where each event is known only to lie in an interval: the non-parametric
 * maximum-likelihood estimate, as mass per innermost interval.
 *
 * @param times intervals (lower, upper]; `upper` Infinity where right censored, equal to `lower` where the time is known
 * @param options weights default 1: a patient bootstrap passes the number of draws of each row's cluster
 * @returns intervals with mass, in order. Within an interval of mass only bounds are known
 * @throws NumericalError `reversed-interval`, `not-finite`, `negative`, `unequal-length`, `no-rows`
 *
 * Sources: Peto (1973); Turnbull (1976); computation Wellner and Zhan (1997), Gentleman and Geyer (1994).
 *
 * @example intervalCensoredSurvival({ lower: [0, 1, 2], upper: [2, 3, Infinity] }).intervals[0].mass // => 0.5
 */
export const intervalCensoredSurvival = checked(
  'intervalCensoredSurvival',
  (times: IntervalTimes, options: IntervalCensoredOptions = {}): IntervalCensoredEstimate => {
    const rows = checkIntervals(times, options.weights)
    const innermost = innermostIntervals(orderIntervals(rows), rows.weight)
    const fit = maximumMass(innermost)
    let survival = 1
    const intervals: MassInterval[] = []
    fit.mass.forEach((mass, k) => {
      if (mass < emptyMass) return
      survival = Math.max(0, survival - mass)
      const upper = innermost.right[k]!
      intervals.push({
        lower: innermost.left[k]!,
        upper: upper === Number.POSITIVE_INFINITY ? { state: 'unbounded', direction: 'above' } : upper,
        mass,
        survivalAfter: survival < emptyMass ? 0 : survival,
      })
    })
    return deepFreeze({
      intervals,
      logLikelihood: fit.logLikelihood,
      excess: fit.excess,
      n: rows.n,
      events: rows.events,
      iterations: fit.iterations,
      converged: fit.converged,
      method: methodOf('non-parametric-maximum-likelihood-for-interval-censored-times'),
      warnings: [
        ...(rows.events === 0 ? [warning('no-event-known')] : []),
        ...(fit.converged ? [] : [warning('maximum-not-reached')]),
      ],
      reference: 'turnbull',
    })
  },
)

/** Bounds of the share without the event at a time: equal outside intervals of mass. */
export interface SurvivalBounds {
  readonly time: number
  readonly lower: number
  readonly upper: number
}

/**
 * Share without the event at a time, as bounds, since mass lies somewhere within its interval.
 *
 * @example survivalBounds(intervalCensoredSurvival({ lower: [0, 1, 2], upper: [2, 3, Infinity] }), 1.5).upper // => 1
 */
export const survivalBounds = checked(
  'survivalBounds',
  (estimate: IntervalCensoredEstimate, time: number): SurvivalBounds => {
    const ends = estimate.intervals.map(({ upper }) =>
      typeof upper === 'number' ? upper : Number.POSITIVE_INFINITY,
    )
    const starts = estimate.intervals.map(({ lower }) => lower)
    const masses = estimate.intervals.map(({ mass }) => mass)
    return Object.freeze({ time, ...boundsOfMass(starts, ends, masses, time) })
  },
)

/** Bounds of the share without the event at a time, from masses of ascending intervals. */
export function boundsOfMass(
  starts: ArrayLike<number>,
  ends: ArrayLike<number>,
  masses: ArrayLike<number>,
  time: number,
): { readonly lower: number; readonly upper: number } {
  let fallen = 0
  let perhaps = 0
  let total = 0
  for (let k = 0; k < masses.length; k++) {
    const mass = masses[k]!
    total += mass
    if (ends[k]! <= time) fallen += mass
    // Mass in (start, end] may have fallen as soon as the start is past.
    if (starts[k]! < time || ends[k]! <= time) perhaps += mass
  }
  // Shares below rounding of the total are none.
  const share = (gone: number): number => (total - gone < 1e-8 ? 0 : Math.min(1, total - gone))
  return { lower: share(perhaps), upper: fallen === 0 ? 1 : share(fallen) }
}
