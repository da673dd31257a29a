import { NumericalError } from '../../core/errors.js'
import {
  type Contrast,
  type Interval,
  noInterval,
  type Quantity,
  quantityOf,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { agreementOfCounts, anyClusterRepeats, type ClusterCounts, total } from '../kernel/clustering.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type NumberColumn, requireLevel, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { clusterCritical, fewClusters, normalCritical } from '../numeric/counts.js'
import { type EffectiveGroup, effectiveGroup, fewClustersWarning } from './clusteredProportion.js'
import type { Limits } from './proportionLimits.js'
import { hybridDifferenceLimits, scoreRatioLimits } from './scoreLimits.js'
import { type ContrastNames, riskDifference, riskRatio, unnamedGroups } from './twoProportions.js'

/** Settings of a contrast of two groups whose rows come in clusters. */
export interface ClusteredContrastOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Names of the groups coded 1 and 0; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
}

/** A contrast whose interval allows for rows of one cluster being alike, across the two groups too. */
export interface ClusteredContrast extends Contrast {
  /** Clusters with rows in both groups. */
  readonly sharedClusters: number
  /** The interval that takes rows as independent, for comparison. */
  readonly naive: Interval
}

/** Rows of the two groups summed by cluster; position i is the same cluster in all four columns. */
interface TwoGroups {
  readonly group: ClusterCounts
  readonly against: ClusterCounts
  readonly clusters: number
  readonly shared: number
  readonly repeats: boolean
}

/**
 * Difference of two proportions, the group's less the reference's, where rows of one cluster (a patient) are alike,
 * within and across groups. Where a cluster repeats: cluster-robust variance of the binomial model with
 * independence working correlation, no small-sample factor, Student's t on C − 1 degrees of freedom below 30
 * clusters. Where a group has no events or all, or clusters do not differ: Newcombe's hybrid of the two
 * cluster-aware limits, warned. A group of one cluster: no interval. Where no cluster repeats: Newcombe.
 *
 * @param event 0 or 1 for each row
 * @param group 1 where the row belongs to the group, 0 where to the reference
 * @param cluster label of each row's cluster
 * @param options level (0.95), comparator
 * @throws NumericalError `unequal-length`, `not-zero-one`, `level-out-of-range`
 * Sources: Liang and Zeger 1986 (Biometrika 73:13); Newcombe 1998 (Stat Med 17:873).
 * @example clusteredRiskDifference([1, 0, 1, 0], [1, 1, 0, 0], [1, 2, 3, 4]).estimate // => 0
 */
export const clusteredRiskDifference = checked(
  'clusteredRiskDifference',
  (
    event: NumberColumn,
    group: NumberColumn,
    cluster: CodeColumn,
    options: ClusteredContrastOptions = {},
  ): ClusteredContrast => {
    const groups = readGroups(event, group, cluster, options)
    return contrastOf(groups, options, differenceKind)
  },
)

/**
 * Ratio of two proportions, the group's over the reference's, where rows of one cluster (a patient) are alike, within
 * and across groups. As `clusteredRiskDifference` on the log scale (the Poisson model with robust variance); where a
 * group has no events or all, Koopman's score interval on the effective sample sizes (clusters as n for that group).
 *
 * @param event 0 or 1 for each row
 * @param group 1 where the row belongs to the group, 0 where to the reference
 * @param cluster label of each row's cluster
 * @param options level (0.95), comparator
 * @throws NumericalError `unequal-length`, `not-zero-one`, `level-out-of-range`
 * Sources: Zou and Donner 2013 (Stat Methods Med Res 22:661); Koopman 1984.
 * @example clusteredRiskRatio([1, 0, 1, 0], [1, 1, 0, 0], [1, 2, 3, 4]).estimate // => 1
 */
export const clusteredRiskRatio = checked(
  'clusteredRiskRatio',
  (
    event: NumberColumn,
    group: NumberColumn,
    cluster: CodeColumn,
    options: ClusteredContrastOptions = {},
  ): ClusteredContrast => {
    const groups = readGroups(event, group, cluster, options)
    return contrastOf(groups, options, ratioKind)
  },
)

/** What differs between a difference and a ratio. */
interface ContrastKind {
  readonly scale: string
  readonly robustMethod: MethodName
  readonly fallbackMethod: MethodName
  readonly estimate: (p1: number, p2: number) => Quantity
  /** Standard error from the clusters' influence on each proportion. */
  readonly standardError: (
    p1: number,
    influence1: Float64Array,
    p2: number,
    influence2: Float64Array,
  ) => number
  readonly robust: (p1: number, p2: number, half: number) => Limits
  readonly fallback: (one: EffectiveGroup, two: EffectiveGroup, critical: number) => Limits
  readonly independent: typeof riskDifference | typeof riskRatio
}

const differenceKind: ContrastKind = {
  scale: 'risk difference',
  robustMethod: methodOf('difference', 'cluster-robust-variance'),
  fallbackMethod: methodOf('newcombe-hybrid-of-cluster-aware-limits'),
  estimate: (p1, p2) => p1 - p2,
  standardError: (_p1, influence1, _p2, influence2) =>
    Math.sqrt(influence1.reduce((sum, u, i) => sum + (u - influence2[i]!) ** 2, 0)),
  robust: (p1, p2, half) => [Math.max(-1, p1 - p2 - half), Math.min(1, p1 - p2 + half)],
  fallback: (one, two) => hybridDifferenceLimits(one.p, one.limits!, two.p, two.limits!),
  independent: riskDifference,
}

const ratioKind: ContrastKind = {
  scale: 'log risk ratio',
  robustMethod: methodOf('log-ratio', 'cluster-robust-variance'),
  fallbackMethod: methodOf('koopman-score-on-effective-sample-sizes'),
  estimate: (p1, p2) => quantityOf(p1 / p2, 'no-event-in-either-group'),
  standardError: (p1, influence1, p2, influence2) =>
    Math.sqrt(influence1.reduce((sum, u, i) => sum + (u / p1 - influence2[i]! / p2) ** 2, 0)),
  robust: (p1, p2, half) => [(p1 / p2) * Math.exp(-half), (p1 / p2) * Math.exp(half)],
  fallback: (one, two, critical) =>
    scoreRatioLimits({ p1: one.p, n1: one.size, p2: two.p, n2: two.size }, critical, 1),
  independent: riskRatio,
}

function contrastOf(
  groups: TwoGroups,
  options: ClusteredContrastOptions,
  kind: ContrastKind,
): ClusteredContrast {
  const { level = 0.95, comparator = unnamedGroups } = options
  const counts = [groups.group, groups.against].map((one) => ({
    events: total(one.events),
    n: total(one.sizes),
  }))
  const [one, two] = [counts[0]!, counts[1]!]
  const naive = kind.independent(one, two, { level, comparator })
  const common = {
    level,
    n: one.n + two.n,
    events: one.events + two.events,
    clusters: groups.clusters,
    sharedClusters: groups.shared,
    comparator: { group: comparator.group, against: comparator.against },
    naive: naive.interval,
    reference: 'clustered-comparison',
  }
  if (one.n === 0 || two.n === 0 || !groups.repeats) {
    const { estimate, interval, method, standardError, warnings } = naive
    const error = standardError === undefined ? {} : { standardError }
    return deepFreeze({ ...common, estimate, interval, method, ...error, warnings })
  }
  const [p1, p2] = [one.events / one.n, two.events / two.n]
  const answer = clusteredLimits(groups, p1, p2, level, kind)
  return deepFreeze({ ...common, estimate: kind.estimate(p1, p2), ...answer })
}

interface LimitsAnswer {
  readonly interval: Interval
  readonly method: MethodName
  readonly standardError?: { readonly value: number; readonly scale: string }
  readonly warnings: readonly Warning[]
}

function clusteredLimits(
  groups: TwoGroups,
  p1: number,
  p2: number,
  level: number,
  kind: ContrastKind,
): LimitsAnswer {
  const { clusters } = groups
  if (present(groups.group) < 2 || present(groups.against) < 2) {
    const code = 'group-of-one-cluster'
    return { interval: noInterval(code), method: methodOf('none'), warnings: [warning(code)] }
  }
  const few = clusters < fewClusters
  const fewWarnings = few ? [fewClustersWarning(clusters)] : []
  const critical = clusterCritical(level, clusters)
  const value = kind.standardError(p1, influence(groups.group), p2, influence(groups.against))
  const atEnd = p1 === 0 || p1 === 1 || p2 === 0 || p2 === 1
  if (!atEnd && value > 1e-12) {
    const [lower, upper] = kind.robust(p1, p2, critical * value)
    return {
      interval: { lower, upper },
      method: few ? methodOf(...kind.robustMethod, 't-reference') : kind.robustMethod,
      standardError: { value, scale: kind.scale },
      warnings: fewWarnings,
    }
  }
  return fallbackLimits(groups, level, kind)
}

/** Where the robust variance says nothing of a group, its limits come from its own cluster-aware interval. */
function fallbackLimits(groups: TwoGroups, level: number, kind: ContrastKind): LimitsAnswer {
  const [one, two] = [groups.group, groups.against].map((counts) => {
    const own = withoutEmpty(counts)
    return effectiveGroup(own, agreementOfCounts(own), level)
  }) as [EffectiveGroup, EffectiveGroup]
  const warnings = [warning('group-without-variation')]
  const critical = Math.max(one.critical, two.critical, normalCritical(level))
  const [lower, upper] = kind.fallback(one, two, critical)
  const limit = (value: number): Quantity => quantityOf(value, 'no-event-in-either-group')
  return { interval: { lower: limit(lower), upper: limit(upper) }, method: kind.fallbackMethod, warnings }
}

/** Each cluster's share in the error of a proportion: (s − n P) / N. */
function influence(counts: ClusterCounts): Float64Array {
  const n = total(counts.sizes)
  const p = total(counts.events) / n
  return counts.events.map((s, i) => (s - counts.sizes[i]! * p) / n)
}

function present(counts: ClusterCounts): number {
  return counts.sizes.reduce((sum, size) => sum + (size > 0 ? 1 : 0), 0)
}

function withoutEmpty(counts: ClusterCounts): ClusterCounts {
  const kept = (_value: number, i: number): boolean => counts.sizes[i]! > 0
  return { events: counts.events.filter(kept), sizes: counts.sizes.filter(kept) }
}

function readGroups(
  event: NumberColumn,
  group: NumberColumn,
  cluster: CodeColumn,
  options: ClusteredContrastOptions,
): TwoGroups {
  requireLevel(options.level ?? 0.95)
  requireSameLength({ event, group, cluster })
  requireZeroOne('event', event)
  requireGroupColumn(group)
  const { codes, levels } = codesOf('cluster', cluster)
  const column = (): Float64Array => new Float64Array(levels.length)
  const sides = [0, 1].map(() => ({ events: column(), sizes: column() }))
  for (let row = 0; row < codes.length; row++) {
    const side = sides[group[row]!]!
    side.events[codes[row]!]! += event[row]!
    side.sizes[codes[row]!]! += 1
  }
  const [against, treated] = [sides[0]!, sides[1]!]
  const both = treated.sizes.map((size, i) => size + against.sizes[i]!)
  const shared = treated.sizes.reduce((sum, size, i) => sum + (size > 0 && against.sizes[i]! > 0 ? 1 : 0), 0)
  return { group: treated, against, clusters: levels.length, shared, repeats: anyClusterRepeats(both) }
}

function requireGroupColumn(group: NumberColumn): void {
  for (let row = 0; row < group.length; row++) {
    if (group[row] !== 0 && group[row] !== 1) {
      throw new NumericalError({
        code: 'not-zero-one',
        problem: `column group holds something other than 0 and 1, first in row ${row + 1} of ${group.length}.`,
        expected: '1 for rows of the group and 0 for rows of the reference.',
        mend: 'leave out rows of neither, and code the rest as 0 and 1.',
      })
    }
  }
}
