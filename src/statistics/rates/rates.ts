import {
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  quantityOf,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { requireAmount, requireCount, requirePositive } from '../numeric/counts.js'
import { countLimitsBy, type RateMethod } from './rateLimits.js'

/** Settings of a rate. */
export interface RateOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Interval method; default 'garwood'. */
  readonly method?: RateMethod
  /** Amount of time at risk that the rate is given per, such as 100; default 1. */
  readonly per?: number
  /** Cut a lower limit below 0, as that of Wald may be; default true. */
  readonly clip?: boolean
}

const methodNames: Readonly<Record<RateMethod, MethodName>> = {
  garwood: methodOf('garwood-exact-poisson'),
  'mid-p': methodOf('mid-p-exact-poisson'),
  'log-wald': methodOf('wald-on-the-log-rate'),
  byar: methodOf('byar'),
  wald: methodOf('wald'),
}

/**
 * Confidence interval of a Poisson rate: events over time at risk, per an amount of time.
 *
 * @param events number of events, a whole number
 * @param timeAtRisk total time at risk in any unit; 0 gives limits tagged not estimable
 * @param options level (0.95), method ('garwood'), per (1), clip (true)
 * @returns frozen interval; the log and Byar types have none without events
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-positive`, `level-out-of-range`
 * Sources: Garwood 1936; Ulm 1990; Rothman and Boice 1979 (Byar).
 * @example rateInterval(17, 1345.5, { per: 100 }).upper // => 2.0229
 */
export const rateInterval = checked(
  'rateInterval',
  (events: number, timeAtRisk: number, options: RateOptions = {}): Interval => {
    const { level = 0.95, method = 'garwood', per = 1, clip = true } = options
    requireCount('events', events)
    requireAmount('timeAtRisk', timeAtRisk)
    requirePositive('per', per)
    requireLevel(level)
    if (timeAtRisk === 0) return noInterval('no-time-at-risk')
    const limits = countLimitsBy[method](events, level)
    if (limits === undefined) return noInterval('no-event-observed')
    const lower = clip ? Math.max(0, limits[0]) : limits[0]
    return deepFreeze({
      lower: scaled(lower, timeAtRisk, per),
      upper: scaled(limits[1], timeAtRisk, per),
    })
  },
)

/**
 * Rate of independent units: events over time at risk, per an amount of time, with its confidence interval. Where
 * patients repeat, use `clusteredRate`.
 *
 * @param events number of events, a whole number
 * @param timeAtRisk total time at risk in any unit
 * @param options level (0.95), method ('garwood'), per (1), clip (true), n (units behind the events; default events)
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-positive`, `level-out-of-range`
 * Source: as for `rateInterval`.
 * @example rate(17, 1345.5, { per: 100 }).estimate // => 1.2635
 */
export const rate = checked(
  'rate',
  (events: number, timeAtRisk: number, options: RateOptions & { readonly n?: number } = {}): Estimate => {
    const { n = events, ...limits } = options
    const { level = 0.95, method = 'garwood', per = 1 } = limits
    const interval = rateInterval(events, timeAtRisk, limits)
    requireCount('n', n)
    return deepFreeze({
      estimate: scaled(events, timeAtRisk, per),
      interval,
      level,
      method: methodNames[method],
      ...(events > 0 ? { standardError: { value: 1 / Math.sqrt(events), scale: 'log rate' } } : {}),
      n,
      events,
      clusters: n,
      warnings: [],
      reference: 'rate',
    })
  },
)

/** A count per amount of time at risk. */
export function scaled(count: number, timeAtRisk: number, per: number): Quantity {
  if (timeAtRisk === 0) return notEstimable('no-time-at-risk')
  return quantityOf((count / timeAtRisk) * per, 'rate-out-of-range')
}
