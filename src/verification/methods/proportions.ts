import { type ContingencyStatistic, contingencyTest } from '../../statistics/proportions/contingency.js'
import {
  pooledOddsRatio,
  pooledRiskDifference,
  pooledRiskRatio,
} from '../../statistics/proportions/mantelHaenszel.js'
import { fisherTest, type OddsRatioMethod, oddsRatio } from '../../statistics/proportions/oddsRatio.js'
import type { ProportionMethod } from '../../statistics/proportions/proportionLimits.js'
import { proportion, zeroEventLimits } from '../../statistics/proportions/proportions.js'
import { homogeneityTest, stratifiedTest } from '../../statistics/proportions/stratifiedTests.js'
import {
  type DifferenceMethod,
  type EventCount,
  type RatioMethod,
  riskDifference,
  riskRatio,
} from '../../statistics/proportions/twoProportions.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { levelOf, limitsOf, limitsOrState, numbersOf, percentages } from './plainValues.js'

export const proportionMethods: Readonly<Record<string, ReferenceMethod>> = {
  'proportion.one': oneProportion,
  'proportion.zero': zeroEvents,
  'proportion.two': twoProportions,
  'proportion.strata': strata,
  'table.chi_square': chiSquareTable,
}

function oneProportion(reference: ReferenceCase): unknown {
  const x = Number(reference.data.x)
  const n = Number(reference.data.n)
  const level = levelOf(reference)
  const limits = (method: ProportionMethod): readonly unknown[] =>
    limitsOf(proportion(x, n, { level, method, clip: false }).interval)
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
  const asked = [...new Set([...percentages, Math.round(1e10 * levelOf(reference)) / 1e8])]
  return Object.assign({ approx_3_over_n: ruleOfThree }, ...asked.map(limits))
}

function twoProportions(reference: ReferenceCase): unknown {
  const { data } = reference
  const level = levelOf(reference)
  const group = { events: Number(data.x1), n: Number(data.n1) }
  const against = { events: Number(data.x2), n: Number(data.n2) }
  const difference = (method: DifferenceMethod): unknown =>
    limitsOrState(riskDifference(group, against, { level, method, clip: false }).interval)
  const ratio = (method: RatioMethod): unknown =>
    limitsOrState(riskRatio(group, against, { level, method }).interval)
  const odds = (method: OddsRatioMethod) => oddsRatio(group, against, { level, method })
  return {
    p1: proportion(group.events, group.n).estimate,
    p2: proportion(against.events, against.n).estimate,
    risk_difference: riskDifference(group, against).estimate,
    rd_wald_unclipped: difference('wald'),
    rd_newcombe_hybrid_score: difference('newcombe'),
    rd_newcombe_hybrid_score_cc: difference('newcombe-corrected'),
    rd_mee: difference('score'),
    rd_miettinen_nurminen: difference('miettinen-nurminen'),
    risk_ratio: riskRatio(group, against).estimate,
    rr_katz_log: ratio('log-wald'),
    rr_koopman_score: ratio('score'),
    rr_miettinen_nurminen: ratio('miettinen-nurminen'),
    odds_ratio: odds('woolf').estimate,
    or_woolf: limitsOrState(odds('woolf').interval),
    or_haldane_anscombe: odds('half-added').estimate,
    or_haldane_anscombe_ci: limitsOrState(odds('half-added').interval),
    or_conditional: conditionalOdds(group, against, odds),
    ...chiSquares(group, against),
  }
}

function conditionalOdds(
  group: EventCount,
  against: EventCount,
  odds: (method: OddsRatioMethod) => ReturnType<typeof oddsRatio>,
): unknown {
  const fisher = fisherTest(group, against)
  return {
    conditional_mle: odds('exact').estimate,
    exact_ci: limitsOf(odds('exact').interval),
    mid_p_ci: limitsOf(odds('mid-p').interval),
    median_unbiased: odds('median-unbiased').estimate,
    fisher_two_sided_min_likelihood: fisher.pValue,
    fisher_two_sided_doubled: fisher.pDoubled,
    fisher_greater: fisher.pGreater,
    fisher_less: fisher.pLess,
    midp_two_sided_doubled: fisher.midPDoubled,
  }
}

function chiSquares(group: EventCount, against: EventCount): Record<string, unknown> {
  const table = [group, against].map(({ events, n }) => [events, n - events])
  const test = (statistic: ContingencyStatistic) => contingencyTest(table, { statistic })
  return {
    chisq_pearson: test('pearson').statistic,
    chisq_pearson_p: test('pearson').pValue,
    chisq_yates: test('yates').statistic,
    chisq_yates_p: test('yates').pValue,
    chisq_N_minus_1: test('n-minus-1').statistic,
    g_likelihood_ratio: test('likelihood-ratio').statistic,
    g_p: test('likelihood-ratio').pValue,
  }
}

/** Strata are rows of a, b (group with and without event) and c, d (reference). */
function strata(reference: ReferenceCase): unknown {
  const rows = reference.data.strata as readonly (readonly number[])[]
  const columns = (reference.data.columns as readonly string[] | undefined) ?? ['a', 'b', 'c', 'd']
  const read = (row: readonly number[], name: string): number => Number(row[columns.indexOf(name)])
  const all = rows.map((row) => ({
    group: { events: read(row, 'a'), n: read(row, 'a') + read(row, 'b') },
    against: { events: read(row, 'c'), n: read(row, 'c') + read(row, 'd') },
  }))
  const level = levelOf(reference)
  const odds = pooledOddsRatio(all, { level })
  const ratio = pooledRiskRatio(all, { level })
  const robins = pooledRiskDifference(all, { level, variance: 'greenland-robins' })
  const sato = pooledRiskDifference(all, { level, variance: 'sato' })
  const [plain, corrected] = [false, true].map((correction) => stratifiedTest(all, { correction }))
  const [day, tarone] = [false, true].map((withTarone) => homogeneityTest(all, { tarone: withTarone }))
  const sum = (side: 'group' | 'against'): EventCount => ({
    events: all.reduce((count, one) => count + one[side].events, 0),
    n: all.reduce((count, one) => count + one[side].n, 0),
  })
  const none = { state: 'not-estimable' }
  return {
    mh_or: odds.estimate,
    mh_or_ci_rbg: limitsOrState(odds.interval),
    mh_or_se_log: odds.standardError?.value ?? none,
    cmh_chisq_no_cc: plain!.statistic,
    cmh_p_no_cc: plain!.pValue,
    cmh_chisq_cc: corrected!.statistic,
    cmh_p_cc: corrected!.pValue,
    mh_rr: ratio.estimate,
    mh_rr_ci_greenland_robins: limitsOrState(ratio.interval),
    mh_rr_se_log: ratio.standardError?.value ?? none,
    mh_rd: robins.estimate,
    mh_rd_se_greenland_robins: robins.standardError?.value ?? none,
    mh_rd_se_sato: sato.standardError?.value ?? none,
    breslow_day: day!.statistic,
    breslow_day_tarone: tarone!.statistic,
    breslow_day_df: day!.degreesOfFreedom,
    breslow_day_p: day!.pValue,
    breslow_day_tarone_p: tarone!.pValue,
    crude_or: oddsRatio(sum('group'), sum('against')).estimate,
    crude_rr: riskRatio(sum('group'), sum('against')).estimate,
  }
}

function chiSquareTable(reference: ReferenceCase): unknown {
  const test = contingencyTest(reference.data.table as readonly (readonly number[])[])
  return { statistic: test.statistic, df: test.degreesOfFreedom, p: test.pValue }
}
