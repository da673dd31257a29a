import type { Quantity } from '../../core/estimate.js'
import type { RateMethod } from '../../statistics/rateLimits.js'
import { rate, rateInterval } from '../../statistics/rates.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { levelOf, limitsOf, numbersOf, percentages } from './plainValues.js'

export const rateMethods: Readonly<Record<string, ReferenceMethod>> = {
  'rate.exact_limits': exactLimits,
  'rate.one': oneRate,
}

/** `lower` and `upper` at the level of the case; with a number at the end, at that many per cent. */
function exactLimits(reference: ReferenceCase): unknown {
  const counts = numbersOf(reference.data.count)
  const limits = (level: number, end: string): Record<string, readonly Quantity[]> => {
    const intervals = counts.map((count) => rateInterval(count, 1, { level }))
    return {
      [`lower${end}`]: intervals.map((one) => one.lower),
      [`upper${end}`]: intervals.map((one) => one.upper),
    }
  }
  const byPercent = percentages.map((percent) => limits(percent / 100, String(percent)))
  return Object.assign(limits(levelOf(reference), ''), ...byPercent)
}

function oneRate(reference: ReferenceCase): unknown {
  const events = Number(reference.data.events)
  const time = Number(reference.data.exposure)
  const per = Number(reference.options.per ?? 1)
  const limits = (method: RateMethod): unknown => {
    const interval = rateInterval(events, time, { level: levelOf(reference), method, per, clip: false })
    return typeof interval.lower === 'number' ? limitsOf(interval) : interval.lower
  }
  return {
    rate: rate(events, time, { per }).estimate,
    exact_garwood: limits('garwood'),
    mid_p: limits('mid-p'),
    wald_unclipped: limits('wald'),
    log_wald: limits('log-wald'),
    byar: limits('byar'),
  }
}
