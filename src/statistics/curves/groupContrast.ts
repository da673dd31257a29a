import {
  type Interval,
  noInterval,
  notEstimable,
  type PlainReason,
  type Quantity,
} from '../../core/estimate.js'
import type { RiskSet } from '../kernel/riskSet.js'
import { criticalValue, pValueOf, type ResolvedCurveOptions } from './curveOptions.js'
import { type ClusteredRows, clustersOfStrata } from './influence.js'
import { sumOfSquares } from './influenceTotals.js'

/** An estimate of one group that can be set against that of another. */
export interface GroupEstimate {
  readonly stratum: number
  readonly value: Quantity
  readonly variance: number
  /** Influence of each cluster; undefined where the groups are taken as independent. */
  readonly totals: Float64Array | undefined
  readonly n: number
}

/** What a contrast of two groups gives. */
export interface GroupContrast {
  readonly estimate: Quantity
  readonly interval: Interval
  /** Standard error of the difference, or of the logarithm of the ratio; undefined where there is no estimate. */
  readonly deviation: number | undefined
  readonly pValue: Quantity
  readonly clusters: number
}

/**
 * Difference or ratio of two groups' estimates. Where influences are known they are summed over each cluster's rows
 * in both groups before squaring, so that patients who hold both kinds are allowed for. Ratios have their interval on
 * the log scale (delta method).
 */
export function groupContrast(
  estimate: GroupEstimate,
  against: GroupEstimate,
  asRatio: boolean,
  risk: RiskSet,
  rows: ClusteredRows | undefined,
  options: ResolvedCurveOptions,
): GroupContrast {
  const clusters =
    rows === undefined
      ? estimate.n + against.n
      : clustersOfStrata(risk, rows, [estimate.stratum, against.stratum])
  const pair = pairOf(estimate, against, asRatio)
  if (typeof pair === 'string') {
    const absent = notEstimable(pair)
    return { estimate: absent, interval: noInterval(pair), deviation: undefined, pValue: absent, clusters }
  }
  const { value, deviation } = pair
  const critical = criticalValue(options, clusters)
  const { lower, upper } = symmetricInterval(value, deviation, critical)
  const back = (limit: Quantity): Quantity => (asRatio && typeof limit === 'number' ? Math.exp(limit) : limit)
  return {
    estimate: asRatio ? Math.exp(value) : value,
    interval: { lower: back(lower), upper: back(upper) },
    deviation,
    pValue:
      deviation > 0 && critical !== undefined
        ? pValueOf(options, clusters, value / deviation)
        : notEstimable('contrast-without-standard-error'),
    clusters,
  }
}

/** Difference, or difference of logs, with its standard error; or the reason why there is none. */
function pairOf(
  estimate: GroupEstimate,
  against: GroupEstimate,
  asRatio: boolean,
): { readonly value: number; readonly deviation: number } | PlainReason {
  if (typeof estimate.value !== 'number' || typeof against.value !== 'number') {
    return 'group-without-estimate'
  }
  if (asRatio && !(estimate.value > 0 && against.value > 0)) return 'ratio-of-zero'
  const scale = asRatio ? 1 / estimate.value : 1
  const scaleAgainst = asRatio ? 1 / against.value : 1
  const { totals } = estimate
  const variance =
    totals === undefined
      ? estimate.variance * scale ** 2 + against.variance * scaleAgainst ** 2
      : sumOfSquares(totals.map((own, c) => own * scale - against.totals![c]! * scaleAgainst))
  return {
    value: asRatio ? Math.log(estimate.value / against.value) : estimate.value - against.value,
    deviation: Math.sqrt(variance),
  }
}

/** Interval symmetric about its centre; none where one cluster allows no critical value, or nothing varied. */
export function symmetricInterval(
  centre: Quantity,
  deviation: number,
  critical: number | undefined,
): Interval {
  if (typeof centre !== 'number') return { lower: centre, upper: centre }
  if (critical === undefined) return noInterval('one-patient')
  if (!(deviation > 0)) return noInterval('no-counted-event-no-variance')
  return { lower: centre - critical * deviation, upper: centre + critical * deviation }
}
