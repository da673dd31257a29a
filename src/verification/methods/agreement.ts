import { clusterAgreement } from '../../statistics/clustering.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'

export const agreementMethods: Readonly<Record<string, ReferenceMethod>> = {
  'clustered.proportion': clusteredBinary,
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
