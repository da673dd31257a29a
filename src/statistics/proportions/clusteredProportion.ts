import {
  type Estimate,
  type Interval,
  isNumber,
  noInterval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import {
  agreementOfCounts,
  anyClusterRepeats,
  type ClusterAgreement,
  type ClusterCounts,
  countByCluster,
  total,
} from '../kernel/clustering.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type NumberColumn, requireLevel } from '../numeric/columns.js'
import { clusterCritical, fewClusters, normalCritical } from '../numeric/counts.js'
import { exactLimits, type Limits, wilsonLimits } from './proportionLimits.js'

/** Settings of estimates whose rows come in clusters. */
export interface ClusterOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** An estimate whose interval allows for rows of one cluster being alike, with what that cost. */
export interface ClusteredEstimate extends Estimate {
  /** Variance over the variance of independent rows; below 1 it is shown as it is and not used. */
  readonly designEffect: Quantity
  /** Independent rows that would tell as much. */
  readonly effectiveSampleSize: Quantity
  /** Intraclass correlation by analysis of variance. */
  readonly intraclassCorrelation: Quantity
  /** The interval that takes rows as independent, for comparison. */
  readonly naive: Interval
}

/** A group as an interval method needs it: share, size that counts, critical value. */
export interface EffectiveGroup {
  readonly p: number
  /** Independent rows that would tell as much; clusters where there are no or all events. */
  readonly size: number
  readonly critical: number
  readonly repeats: boolean
  readonly standardError: number | undefined
  readonly limits: Limits | undefined
  readonly method: MethodName
  readonly warnings: readonly Warning[]
}

/**
 * Proportion of rows with the event, where rows of one cluster (a patient) are alike. Where a cluster repeats: ratio
 * estimator with the factor C/(C − 1), and Wilson's score interval on the effective sample size N / max(1, design
 * effect), with Student's t on C − 1 degrees of freedom below 30 clusters. No events, or all: exact limit with
 * clusters as n. One cluster: no interval. Where no cluster repeats: Wilson's score interval, exact at the ends.
 *
 * @param event 0 or 1 for each row
 * @param cluster label of each row's cluster
 * @param options level (0.95)
 * @returns frozen estimate; `naive` holds the interval of independent rows (exact where there are no or all events)
 * @throws NumericalError `unequal-length`, `not-zero-one`, `level-out-of-range`
 * Sources: Rao and Scott 1992 (Biometrics 48:577); Wilson 1927; Clopper and Pearson 1934.
 * @example clusteredProportion([0, 0, 0, 0], [1, 1, 2, 3]).interval.upper // => 0.7076
 */
export const clusteredProportion = checked(
  'clusteredProportion',
  (event: NumberColumn, cluster: CodeColumn, options: ClusterOptions = {}): ClusteredEstimate => {
    const { level = 0.95 } = options
    requireLevel(level)
    const counts = countByCluster(event, cluster)
    const agreement = agreementOfCounts(counts)
    const events = total(counts.events)
    const { n, clusters } = agreement
    const common = {
      level,
      n,
      events,
      clusters,
      intraclassCorrelation: agreement.intraclassCorrelation,
      reference: 'clustered-proportion',
    }
    if (n === 0) {
      const none = notEstimable('no-rows')
      return deepFreeze({
        ...common,
        estimate: none,
        designEffect: none,
        interval: noInterval(none),
        method: methodOf('none'),
        effectiveSampleSize: none,
        naive: noInterval(none),
        warnings: [],
      })
    }
    const group = effectiveGroup(counts, agreement, level)
    return deepFreeze({
      ...common,
      estimate: group.p,
      interval: intervalOf(group.limits),
      method: group.method,
      ...(group.standardError === undefined
        ? {}
        : { standardError: { value: group.standardError, scale: 'proportion' } }),
      designEffect: group.repeats ? agreement.designEffect : 1,
      effectiveSampleSize: group.limits === undefined ? notEstimable('one-cluster') : group.size,
      naive: intervalOf(naiveLimits(events, n, level)),
      warnings: group.warnings,
    })
  },
)

/** Share, effective size and limits of one group of rows in clusters; at least one row. */
export function effectiveGroup(
  counts: ClusterCounts,
  agreement: ClusterAgreement,
  level: number,
): EffectiveGroup {
  const events = total(counts.events)
  const { n, clusters } = agreement
  const p = events / n
  const repeats = anyClusterRepeats(counts.sizes)
  const common = { p, repeats, critical: normalCritical(level), standardError: undefined, warnings: [] }
  if (repeats && clusters === 1) {
    return { ...common, size: 1, limits: undefined, method: methodOf('none'), warnings: [oneCluster()] }
  }
  if (events === 0 || events === n) {
    const limits = exactLimits(events === 0 ? 0 : clusters, clusters, level)
    const method = methodOf('clopper-pearson-exact', ...(repeats ? methodOf('clusters-as-n') : []))
    return { ...common, size: clusters, limits, method, warnings: [noVariation(events, n, clusters)] }
  }
  if (!repeats) {
    const limits = wilsonLimits(p, n, common.critical)
    const standardError = Math.sqrt((p * (1 - p)) / n)
    return { ...common, size: n, limits, standardError, method: methodOf('wilson-score') }
  }
  const { designEffect, standardError } = agreement
  const size = n / (isNumber(designEffect) ? Math.max(1, designEffect) : 1)
  const few = clusters < fewClusters
  const critical = clusterCritical(level, clusters)
  return {
    ...common,
    size,
    critical,
    limits: wilsonLimits(p, size, critical),
    method: methodOf('wilson-score-on-the-effective-sample-size', ...(few ? methodOf('t-reference') : [])),
    standardError: isNumber(standardError) ? standardError : undefined,
    warnings: few ? [fewClustersWarning(clusters)] : [],
  }
}

/** The interval of independent rows: Wilson's, or the exact one where there are no or all events. */
function naiveLimits(events: number, n: number, level: number): Limits {
  if (events === 0 || events === n) return exactLimits(events, n, level)
  return wilsonLimits(events / n, n, normalCritical(level))
}

function intervalOf(limits: Limits | undefined): Interval {
  if (limits === undefined) return noInterval('one-cluster')
  return { lower: limits[0], upper: limits[1] }
}

/** Warning that the rows come from a single cluster. */
export function oneCluster(): Warning {
  return warning('one-cluster')
}

/** Warning that Student's t was used because clusters are few. */
export function fewClustersWarning(clusters: number): Warning {
  return warning('few-clusters', { clusters, degreesOfFreedom: clusters - 1 })
}

function noVariation(events: number, n: number, clusters: number): Warning {
  const code = events === 0 ? 'no-events' : 'all-events'
  return clusters === n
    ? warning(code, { rows: n })
    : warning(`${code}-among-clusters`, { rows: n, clusters })
}
