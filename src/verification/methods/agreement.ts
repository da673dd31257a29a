import { clusterAgreement } from '../../statistics/kernel/clustering.js'
import {
  type MeanContrast,
  meanDifference,
  pairedMeanDifference,
  summaryFigures,
} from '../../statistics/means/means.js'
import { manyRankSumsTest, rankSumTest, signedRankTest } from '../../statistics/means/ranks.js'
import { pairedTest, trendTest } from '../../statistics/proportions/pairedAndTrend.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { levelOf, limitsOrState, numbersOf } from './plainValues.js'

export const agreementMethods: Readonly<Record<string, ReferenceMethod>> = {
  'clustered.proportion': clusteredBinary,
  'trend.proportions': trend,
  'paired.mcnemar': paired,
  'ranks.mann_whitney': rankSums,
  'ranks.signed': signedRanks,
  'ranks.kruskal_wallis': manyRankSums,
  'means.t': means,
}

function clusteredBinary(reference: ReferenceCase): unknown {
  const table = reference.table()
  const event = table.numbers(String(reference.options.outcome))
  const one = clusterAgreement(event, table.texts(String(reference.options.cluster)))
  return {
    clusters: one.clusters,
    N: one.n,
    p: one.proportion,
    msb: one.meanSquareBetween,
    msw: one.meanSquareWithin,
    n0: one.adjustedClusterSize,
    icc_anova: one.intraclassCorrelation,
    icc_fleiss_cuzick: one.intraclassCorrelationFleissCuzick,
    weighted_mean_cluster_size: one.weightedMeanClusterSize,
    deff_from_icc: one.designEffectFromCorrelation,
    variance_ratio_linearised: one.ratioVariance,
    deff_ratio_estimator: one.designEffect,
    se_ratio: one.standardError,
    se_binomial: one.binomialStandardError,
  }
}

function trend(reference: ReferenceCase): unknown {
  const { x, n, scores } = reference.data
  const positions = scores === undefined ? numbersOf(x).map((_, i) => i + 1) : numbersOf(scores)
  const test = trendTest(numbersOf(x), numbersOf(n), positions)
  return {
    z: test.z,
    chisq: test.statistic,
    p_two_sided: test.pValue,
    chisq_N_minus_1: test.statisticNMinus1,
    overall_chisq: test.overallStatistic,
    departure_chisq: test.departureStatistic,
    departure_df: test.departureDegreesOfFreedom,
  }
}

function paired(reference: ReferenceCase): unknown {
  const test = pairedTest(Number(reference.data.b), Number(reference.data.c))
  return {
    chisq: test.statistic,
    p: test.pValue,
    chisq_cc: test.correctedStatistic,
    p_cc: test.correctedPValue,
    p_exact: test.exactPValue,
    p_mid: test.midPValue,
    conditional_or: test.oddsRatio.estimate,
  }
}

function rankSums(reference: ReferenceCase): unknown {
  const test = rankSumTest(numbersOf(reference.data.x), numbersOf(reference.data.y))
  return {
    U: test.statistic,
    p_exact: test.exactPValue,
    p_normal_cc: test.correctedPValue,
    p_normal_no_cc: test.normalPValue,
    has_ties: test.hasTies,
  }
}

function signedRanks(reference: ReferenceCase): unknown {
  const test = signedRankTest(numbersOf(reference.data.x), numbersOf(reference.data.y))
  return {
    V: test.statistic,
    p_exact: test.exactPValue,
    p_normal_cc: test.correctedPValue,
    p_normal_no_cc: test.normalPValue,
  }
}

function manyRankSums(reference: ReferenceCase): unknown {
  const { value, group } = reference.data
  const test = manyRankSumsTest(numbersOf(value), group as readonly (string | number)[])
  return { H: test.statistic, df: test.degreesOfFreedom, p: test.pValue }
}

function means(reference: ReferenceCase): unknown {
  const level = levelOf(reference)
  const [x, y] = [numbersOf(reference.data.x), numbersOf(reference.data.y)]
  const [first, second] = [summaryFigures(x), summaryFigures(y)]
  const values = (one: MeanContrast): unknown => ({
    t: one.statistic,
    df: one.degreesOfFreedom,
    p: one.pValue,
    ci: limitsOrState(one.interval),
  })
  return {
    welch: values(meanDifference(first, second, { level, variances: 'unequal' })),
    pooled: values(meanDifference(first, second, { level, variances: 'equal' })),
    ...(x.length === y.length ? { paired: values(pairedMeanDifference(x, y, { level })) } : {}),
  }
}
