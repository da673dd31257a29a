import { type LogRankResult, type LogRankWeighting, logRank } from '../../statistics/groupTests/comparison.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { labelsOf, survivalColumns } from './columnRoles.js'

const powers = [0, 0.5, 1, 2]

/** Every weighting that the cases name, under their keys. */
const weightings: readonly (readonly [string, LogRankWeighting])[] = [
  ['logrank', 'log-rank'],
  ['gehan_breslow', 'gehan-breslow'],
  ['tarone_ware', 'tarone-ware'],
  ['peto_peto', 'peto-peto'],
  ['peto_peto_modified', 'modified-peto-peto'],
  ...powers.flatMap((rho) => powers.map((gamma) => [`fh_rho${rho}_gamma${gamma}`, { rho, gamma }] as const)),
]

function logRankFamily(reference: ReferenceCase): unknown {
  const { table, time, event, group, entry } = survivalColumns(reference)
  const { strata, scores, group_order: order } = reference.options
  const options = {
    entry,
    strata: typeof strata === 'string' ? labelsOf(table, strata) : undefined,
    scores: Array.isArray(scores) ? scores.map(Number) : undefined,
  }
  const results = weightings.map(
    ([key, weighting]) =>
      [key, logRank(time, event, inOrder(group ?? [], order), { ...options, weighting })] as const,
  )
  const bySame = new Map(results)
  return {
    n: results[0]![1].groups.map((one) => one.n),
    ...Object.fromEntries(results.map(([key, result]) => [key, valuesOf(result)])),
    survdiff_rho1_chisq: bySame.get('fh_rho1_gamma0')!.statistic,
  }
}

/** Groups by their place in the order that the case gives, where it gives one for all of them. */
function inOrder(group: ArrayLike<string> | ArrayLike<number>, order: unknown): typeof group {
  if (!Array.isArray(order)) return group
  const places = order.map(String)
  const placed = Array.from(group as ArrayLike<string | number>, (label) => places.indexOf(String(label)))
  return placed.includes(-1) ? group : placed
}

function valuesOf(result: LogRankResult): Record<string, unknown> {
  return {
    weighted_O_minus_E: result.groups.map((one) => one.weightedDifference),
    variance_matrix: result.covariance,
    chisq: result.statistic,
    df: result.degreesOfFreedom,
    p: result.pValue,
    observed: result.groups.map((one) => one.observed),
    expected: result.groups.map((one) => one.expected),
    z_group1: result.standardizedDifference,
    peto_one_step_hr_1_vs_2: result.oneStepHazardRatio?.estimate,
    sum_O_minus_E_sq_over_E: result.sumOverExpected,
    trend_scores: result.trend?.scores,
    trend_z: result.trend?.standardized,
    trend_chisq: result.trend?.statistic,
    trend_p: result.trend?.pValue,
  }
}

/** Kinds of logrank.json. */
export const logRankMethods: Readonly<Record<string, ReferenceMethod>> = { log_rank: logRankFamily }
