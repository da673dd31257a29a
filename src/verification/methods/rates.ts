import type { Quantity } from '../../core/estimate.js'
import {
  type RateRatioMethod,
  rateDifference,
  rateRatio,
  rateTest,
} from '../../statistics/rates/rateComparison.js'
import type { RateMethod } from '../../statistics/rates/rateLimits.js'
import { rate, rateInterval } from '../../statistics/rates/rates.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { levelOf, limitsOrState, numbersOf, percentages } from './plainValues.js'

export const rateMethods: Readonly<Record<string, ReferenceMethod>> = {
  'rate.exact_limits': exactLimits,
  'rate.one': oneRate,
  'rate.two': twoRates,
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
  const limits = (method: RateMethod): unknown =>
    limitsOrState(rateInterval(events, time, { level: levelOf(reference), method, per, clip: false }))
  return {
    rate: rate(events, time, { per }).estimate,
    exact_garwood: limits('garwood'),
    mid_p: limits('mid-p'),
    wald_unclipped: limits('wald'),
    log_wald: limits('log-wald'),
    byar: limits('byar'),
  }
}

function twoRates(reference: ReferenceCase): unknown {
  const { data } = reference
  const level = levelOf(reference)
  const per = Number(reference.options.per ?? 1)
  const group = { events: Number(data.events1), timeAtRisk: Number(data.exposure1) }
  const against = { events: Number(data.events2), timeAtRisk: Number(data.exposure2) }
  const limits = (method: RateRatioMethod): unknown =>
    limitsOrState(rateRatio(group, against, { level, method }).interval)
  const test = rateTest(group, against)
  const difference = rateDifference(group, against, { level, per })
  return {
    rate1: rate(group.events, group.timeAtRisk, { per }).estimate,
    rate2: rate(against.events, against.timeAtRisk, { per }).estimate,
    rate_ratio: rateRatio(group, against).estimate,
    rr_exact_ci: limits('exact'),
    rr_mid_p_ci: limits('mid-p'),
    rr_log_wald_ci: limits('log-wald'),
    p_exact_min_likelihood: test.pValue,
    p_exact_doubled: test.pDoubled,
    p_exact_greater: test.pGreater,
    p_exact_less: test.pLess,
    p_midp_doubled: test.midPDoubled,
    score_chisq: test.scoreStatistic,
    score_p: test.scorePValue,
    rate_difference: difference.estimate,
    rd_wald: limitsOrState(difference.interval),
  }
}
