import {
  detectableHazardRatio,
  effectiveSize,
  eventsForLogRank,
  inflatedSize,
  plannedDesignEffect,
  sizeForZeroEvents,
  sizesForTwoProportions,
  timeForTwoRates,
} from '../../statistics/planning/index.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { numberOf, numbersOf } from './columns.js'

export const planningMethods: Readonly<Record<string, ReferenceMethod>> = {
  'planning.events': events,
  'planning.detectable': detectable,
  'planning.proportions': proportions,
  'planning.design_effect': designEffect,
  'planning.rates': rates,
  'planning.zero_events': zeroEvents,
}

function errors(reference: ReferenceCase): { alpha: number; power: number } {
  return {
    alpha: numberOf(reference, 'alpha_two_sided', 0.05),
    power: numberOf(reference, 'power', 0.8),
  }
}

function comparison(reference: ReferenceCase): { alpha: number; power: number; allocation: number } {
  return { ...errors(reference), allocation: numberOf(reference, 'allocation', 0.5) }
}

function events(reference: ReferenceCase): unknown {
  const planned = eventsForLogRank(numberOf(reference, 'hr'), comparison(reference))
  return { events: planned.events, events_ceiling: planned.eventsRoundedUp }
}

function detectable(reference: ReferenceCase): unknown {
  const ratio = detectableHazardRatio(numberOf(reference, 'events'), comparison(reference))
  return { hr_above_1: ratio.above, hr_below_1: ratio.below }
}

function proportions(reference: ReferenceCase): unknown {
  const planned = sizesForTwoProportions(numberOf(reference, 'p1'), numberOf(reference, 'p2'), {
    ...errors(reference),
    ratio: numberOf(reference, 'ratio_n2_over_n1', 1),
  })
  return {
    n1_pooled: planned.first,
    n1_pooled_ceiling: planned.firstRoundedUp,
    n1_continuity_fleiss: planned.firstWithContinuity,
    n1_continuity_ceiling: planned.firstWithContinuityRoundedUp,
    n1_unpooled: planned.firstUnpooled,
  }
}

function designEffect(reference: ReferenceCase): unknown {
  const independent = numberOf(reference, 'n_independent')
  const effect = plannedDesignEffect(numberOf(reference, 'mean_cluster_size'), numberOf(reference, 'icc'), {
    coefficientOfVariation: numberOf(reference, 'cluster_size_cv', 0),
  })
  return {
    deff: effect.equal,
    n_inflated: inflatedSize(independent, { designEffect: effect.equal }).size,
    deff_unequal: effect.unequal,
    effective_sample_size_of_n: effectiveSize(independent, effect.equal),
  }
}

function rates(reference: ReferenceCase): unknown {
  const planned = timeForTwoRates(numberOf(reference, 'rate1'), numberOf(reference, 'rate2'), {
    ...errors(reference),
    ratio: numberOf(reference, 'ratio', 1),
  })
  return {
    exposure_per_arm_wald_difference: planned.timeForDifference,
    exposure_per_arm_log_ratio: planned.timeForLogRatio,
    events_total_log_ratio: planned.eventsForLogRatio,
  }
}

function zeroEvents(reference: ReferenceCase): unknown {
  const level = numberOf(reference, 'conf', 0.95)
  const planned = Array.from(numbersOf(reference, 'p'), (risk) => sizeForZeroEvents(risk, { level }))
  return {
    exact_one_sided: planned.map((one) => one.exact),
    approx: planned.map((one) => one.ruleOfThree),
  }
}
