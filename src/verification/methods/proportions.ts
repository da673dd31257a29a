import type { ProportionMethod } from '../../statistics/proportionLimits.js'
import { proportion, proportionInterval, zeroEventLimits } from '../../statistics/proportions.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { levelOf, limitsOf, numbersOf, percentages } from './plainValues.js'

export const proportionMethods: Readonly<Record<string, ReferenceMethod>> = {
  'proportion.one': oneProportion,
  'proportion.zero': zeroEvents,
}

function oneProportion(reference: ReferenceCase): unknown {
  const x = Number(reference.data.x)
  const n = Number(reference.data.n)
  const level = levelOf(reference)
  const limits = (method: ProportionMethod): readonly unknown[] =>
    limitsOf(proportionInterval(x, n, { level, method, clip: false }))
  return {
    estimate: proportion(x, n).estimate,
    wald_unclipped: limits('wald'),
    wald_cc_unclipped: limits('wald-corrected'),
    wilson: limits('wilson'),
    wilson_cc: limits('wilson-corrected'),
    clopper_pearson: limits('exact'),
    mid_p: limits('mid-p'),
    likelihood_ratio: limits('likelihood-ratio'),
    agresti_coull_unclipped: limits('agresti-coull'),
    jeffreys_equal_tailed: limits('jeffreys'),
    jeffreys_boundary_modified: limits('jeffreys-modified'),
  }
}

/** The level stands in per cent at the end of the keys of the exact limits. */
function zeroEvents(reference: ReferenceCase): unknown {
  const sizes = numbersOf(reference.data.n)
  const limits = (percent: number): Record<string, readonly number[]> => {
    const all = sizes.map((n) => zeroEventLimits(n, { level: percent / 100 }))
    return {
      [`exact_one_sided_${percent}`]: all.map((one) => one.exactOneSided),
      [`clopper_pearson_upper_two_sided_${percent}`]: all.map((one) => one.exactTwoSided),
    }
  }
  const ruleOfThree = sizes.map((n) => zeroEventLimits(n).ruleOfThree)
  return Object.assign({ approx_3_over_n: ruleOfThree }, ...percentages.map(limits))
}
