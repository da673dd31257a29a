import { normalCritical } from '../numeric/counts.js'
import {
  gammaQuantile,
  gammaUpperQuantile,
  poissonCdf,
  poissonLogPmf,
  poissonUpperTail,
} from '../numeric/distributions.js'
import { brentRoot } from '../numeric/roots.js'
import type { Limits } from '../proportions/proportionLimits.js'

/** Interval methods for one rate. */
export type RateMethod = 'garwood' | 'mid-p' | 'log-wald' | 'byar' | 'wald'

/** Limits of the expected count, or undefined where the method has none (no events). */
export const countLimitsBy: Readonly<
  Record<RateMethod, (events: number, level: number) => Limits | undefined>
> = {
  garwood: garwoodLimits,
  'mid-p': midPLimits,
  'log-wald': (events, level) => {
    if (events === 0) return undefined
    const factor = Math.exp(normalCritical(level) / Math.sqrt(events))
    return [events / factor, events * factor]
  },
  byar: byarLimits,
  wald: (events, level) => {
    const half = normalCritical(level) * Math.sqrt(events)
    return [events - half, events + half]
  },
}

/** Garwood's (1936) limits of a Poisson mean; the count may be fractional, as an effective number of events is. */
export function garwoodLimits(events: number, level: number): Limits {
  const tail = (1 - level) / 2
  return [
    events === 0 ? 0 : gammaQuantile(tail, events),
    events === 0 ? -Math.log(tail) : gammaUpperQuantile(tail, events + 1),
  ]
}

function midPLimits(events: number, level: number): Limits {
  const tail = (1 - level) / 2
  if (events === 0) return [0, -Math.log(2 * tail)]
  const [least, most] = garwoodLimits(events, level)
  const half = (mean: number): number => 0.5 * Math.exp(poissonLogPmf(events, mean))
  return [
    brentRoot((mean) => Math.log((poissonUpperTail(events, mean) + half(mean)) / tail), least, most),
    brentRoot((mean) => Math.log((poissonCdf(events - 1, mean) + half(mean)) / tail), least, most),
  ]
}

/** Byar's approximation to the exact limits (Rothman and Boice 1979). */
function byarLimits(events: number, level: number): Limits | undefined {
  if (events === 0) return undefined
  const critical = normalCritical(level)
  const next = events + 1
  return [
    events * (1 - 1 / (9 * events) - critical / (3 * Math.sqrt(events))) ** 3,
    next * (1 - 1 / (9 * next) + critical / (3 * Math.sqrt(next))) ** 3,
  ]
}
