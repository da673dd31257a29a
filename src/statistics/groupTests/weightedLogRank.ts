import type { RiskSet } from '../kernel/riskSet.js'
import { choleskyFactor, solveFactored } from '../numeric/matrix.js'

/**
 * How the log-rank family weights the event times: all alike; by the number at risk (Gehan 1965, Breslow 1970); by its
 * root (Tarone and Ware 1977); by a product-limit-like curve up to and including the time (Peto and Peto 1972), also
 * times n/(n + 1) (Andersen et al. 1982); or by S(t−)^rho · (1 − S(t−))^gamma (Fleming and Harrington 1991).
 */
export type LogRankWeighting =
  | 'log-rank'
  | 'gehan-breslow'
  | 'tarone-ware'
  | 'peto-peto'
  | 'modified-peto-peto'
  | { readonly rho: number; readonly gamma: number }

/** Observed and expected events of each group, the weighted differences, and their covariance, over all strata. */
export interface LogRankSums {
  readonly observed: Float64Array
  readonly expected: Float64Array
  readonly difference: Float64Array
  /** Row-major, groups × groups; hypergeometric, so that tied events need no correction. */
  readonly covariance: Float64Array
}

/** Sums the log-rank family over the event times of all strata. */
export function logRankSums(risk: RiskSet, weighting: LogRankWeighting): LogRankSums {
  const { groups } = risk
  const sums: LogRankSums = {
    observed: new Float64Array(groups),
    expected: new Float64Array(groups),
    difference: new Float64Array(groups),
    covariance: new Float64Array(groups * groups),
  }
  for (let s = 0; s < risk.strata; s++) {
    const weightAt = runningWeight(weighting)
    for (let cell = risk.start[s]!; cell < risk.start[s + 1]!; cell++) addCell(risk, cell, weightAt, sums)
  }
  return sums
}

function addCell(
  risk: RiskSet,
  cell: number,
  weightAt: (events: number, atRisk: number) => number,
  sums: LogRankSums,
): void {
  const { groups, cells } = risk
  let events = 0
  let atRisk = 0
  for (let g = 0; g < groups; g++) {
    events += risk.events[g * cells + cell]!
    atRisk += risk.atRisk[g * cells + cell]!
  }
  if (events === 0) return
  const weight = weightAt(events, atRisk)
  const spread =
    atRisk > 1 ? (weight * weight * events * (atRisk - events)) / (atRisk * atRisk * (atRisk - 1)) : 0
  for (let g = 0; g < groups; g++) {
    const own = risk.atRisk[g * cells + cell]!
    const observed = risk.events[g * cells + cell]!
    const expected = (events * own) / atRisk
    sums.observed[g]! += observed
    sums.expected[g]! += expected
    sums.difference[g]! += weight * (observed - expected)
    if (own === 0 || spread === 0) continue
    sums.covariance[g * groups + g]! += spread * own * (atRisk - own)
    for (let h = 0; h < groups; h++) {
      if (h !== g) sums.covariance[g * groups + h]! -= spread * own * risk.atRisk[h * cells + cell]!
    }
  }
}

/** Weight of the next event time of a stratum; times must be handed in ascending order. */
function runningWeight(weighting: LogRankWeighting): (events: number, atRisk: number) => number {
  if (weighting === 'log-rank') return () => 1
  if (weighting === 'gehan-breslow') return (_events, atRisk) => atRisk
  if (weighting === 'tarone-ware') return (_events, atRisk) => Math.sqrt(atRisk)
  let curve = 1
  if (weighting === 'peto-peto' || weighting === 'modified-peto-peto') {
    return (events, atRisk) => {
      curve *= 1 - events / (atRisk + 1)
      return weighting === 'peto-peto' ? curve : (curve * atRisk) / (atRisk + 1)
    }
  }
  const { rho, gamma } = weighting
  return (events, atRisk) => {
    const weight = curve ** rho * (1 - curve) ** gamma
    curve *= (atRisk - events) / atRisk
    return weight
  }
}

/**
 * Chi-square of scores that sum to zero: the last one is left out, and so is each that depends on those before it.
 *
 * @param covariance row-major, one row per score
 */
export function scoreChiSquare(
  scores: Float64Array,
  covariance: Float64Array,
): { readonly statistic: number; readonly rank: number } {
  const groups = scores.length
  const size = groups - 1
  const reduced = new Float64Array(size * size)
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++) reduced[i * size + j] = covariance[i * groups + j]!
  const factor = choleskyFactor(reduced, size)
  const part = scores.subarray(0, size)
  const solved = solveFactored(factor, part)
  return {
    statistic: part.reduce((sum, value, i) => sum + value * solved[i]!, 0),
    rank: size - factor.dependent.length,
  }
}
