import {
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { betaQuantile, betaUpperQuantile, chiSquareUpperQuantile } from '../numeric/distributions.js'
import type { MetaAnalysis } from './inverseVariance.js'
import type { PooledEffect } from './pooledEffect.js'

/** A pooled proportion or rate on its natural scale, with what it was made from. */
export interface SingleArmMetaAnalysis {
  /** Pooled value on the natural scale; under a random intercept, that of the middle study. */
  readonly pooled: Estimate
  /** The same on the scale of pooling; absent where no study, or every unit, had the event. */
  readonly onScale?: PooledEffect
  readonly tauSquared: Quantity
  /** Interval for the value of a new study, on the natural scale. */
  readonly predictionInterval: Interval
  /** The whole inverse-variance analysis, absent under a random intercept. */
  readonly analysis?: MetaAnalysis
  readonly converged: boolean
  readonly iterations: number
}

/** The studies of one group taken together. */
export interface SingleArmSums {
  readonly events: number
  /** Units, or time at risk. */
  readonly size: number
  /** Units, or studies where only their time at risk is known. */
  readonly n: number
  readonly studies: number
  readonly level: number
}

/** Exact limits where no unit, or every one, had the event: the studies as one. */
export function oneSidedProportion(sums: SingleArmSums): SingleArmMetaAnalysis {
  const { events, size, level } = sums
  const tail = (1 - level) / 2
  const none = events === 0
  const interval = none
    ? { lower: 0, upper: betaUpperQuantile(tail, 1, size) }
    : { lower: betaQuantile(tail, size, 1), upper: 1 }
  return extreme(none ? 0 : 1, interval, sums, none)
}

/** Studies that each have no event or nothing else drive the random intercept's variance to infinity. */
export function allOrNothing(sums: SingleArmSums): SingleArmMetaAnalysis {
  const reason = 'studies-all-or-nothing'
  const absent = notEstimable(reason)
  return Object.freeze({
    pooled: Object.freeze({
      estimate: absent,
      interval: noInterval(reason),
      level: sums.level,
      method: methodOf('logistic-model-with-a-random-intercept'),
      n: sums.n,
      events: sums.events,
      clusters: sums.n,
      warnings: Object.freeze([warning('all-or-nothing')]),
      reference: 'meta-proportions',
    }),
    tauSquared: absent,
    predictionInterval: noInterval(reason),
    converged: false,
    iterations: 0,
  })
}

/** Exact upper limit where no study has an event: the studies as one. */
export function noEventsRate(sums: SingleArmSums): SingleArmMetaAnalysis {
  const upper = chiSquareUpperQuantile((1 - sums.level) / 2, 2) / (2 * sums.size)
  return extreme(0, { lower: 0, upper }, sums, true)
}

function extreme(
  estimate: number,
  interval: Interval,
  sums: SingleArmSums,
  none: boolean,
): SingleArmMetaAnalysis {
  const reason = none ? 'no-study-with-event' : 'every-unit-with-event'
  return Object.freeze({
    pooled: Object.freeze({
      estimate,
      interval: Object.freeze(interval),
      level: sums.level,
      method: methodOf('exact-limits-of-all-studies-together'),
      n: sums.n,
      events: sums.events,
      clusters: sums.n,
      warnings: Object.freeze([warning(reason)]),
      reference: 'meta-proportions',
    }),
    tauSquared: notEstimable(reason),
    predictionInterval: noInterval(reason),
    converged: true,
    iterations: 0,
  })
}
