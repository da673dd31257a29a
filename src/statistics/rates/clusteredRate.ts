import { NumericalError } from '../../core/errors.js'
import {
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { anyClusterRepeats, clusterSizes, ratioVariance, sumByCluster, total } from '../kernel/clustering.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type NumberColumn, requireLevel, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { clusterCritical, fewClusters, requirePositive } from '../numeric/counts.js'
import { fewClustersWarning, oneCluster } from '../proportions/clusteredProportion.js'
import type { Limits } from '../proportions/proportionLimits.js'
import { garwoodLimits } from './rateLimits.js'
import { scaled } from './rates.js'

/** Settings of a rate whose rows come in clusters. */
export interface ClusteredRateOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Amount of time at risk that the rate is given per, such as 100; default 1. */
  readonly per?: number
}

/** A rate whose interval allows for rows of one cluster being alike. */
export interface ClusteredRate extends Estimate {
  /** Total time at risk in the unit of the input. */
  readonly timeAtRisk: number
  /** Robust variance of the log rate over that of independent events. */
  readonly designEffect: Quantity
  /** Garwood's interval, which takes events as independent, for comparison. */
  readonly naive: Interval
}

/** Fewest events from which the log rate is taken as normal. */
const enoughEvents = 5

/** Design effect below which clusters do not differ at all, so that their spread says nothing about precision. */
const leastDesignEffect = 1e-12

/** What a rate rests on, summed by cluster. */
interface RateCounts {
  readonly n: number
  readonly clusters: number
  readonly repeats: boolean
  readonly events: number
  readonly time: number
  readonly designEffect: number
}

/**
 * Rate of events per amount of time at risk, where rows of one cluster (a patient) are alike. Where a cluster
 * repeats: log rate with cluster-robust variance and the factor C/(C − 1), Student's t on C − 1 degrees of freedom
 * below 30 clusters; fewer than 5 events: Garwood's limits on events and time divided by the design effect (at
 * least 1); no events: Garwood's limit on the time divided by the mean number of rows per cluster; clusters that do
 * not differ at all: Garwood, warned. One cluster: no interval. Where no cluster repeats: Garwood.
 *
 * @param event events of each row, whole numbers
 * @param timeAtRisk time at risk of each row, zero or more, any unit
 * @param cluster label of each row's cluster
 * @param options level (0.95), per (1)
 * @returns frozen estimate in events per `per` units of time; `naive` holds Garwood's interval
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `not-a-count`, `not-positive`,
 * `level-out-of-range`
 * Sources: Rao and Scott 1999 (Stat Med 18:1373); Garwood 1936.
 * @example clusteredRate([1, 0, 0, 1], [2, 3, 4, 1], [1, 2, 3, 4], { per: 100 }).estimate // => 20
 */
export const clusteredRate = checked(
  'clusteredRate',
  (
    event: NumberColumn,
    timeAtRisk: NumberColumn,
    cluster: CodeColumn,
    options: ClusteredRateOptions = {},
  ): ClusteredRate => {
    const { level = 0.95, per = 1 } = options
    requireLevel(level)
    requirePositive('per', per)
    requireSameLength({ event, timeAtRisk, cluster })
    requireNonNegative('timeAtRisk', timeAtRisk)
    requireWholeEvents(event)
    const counts = rateCounts(event, timeAtRisk, cluster)
    const { n, clusters, events, time } = counts
    const limits = time === 0 ? undefined : limitsOf(counts, level)
    const missing = time === 0 ? 'no-time-at-risk' : 'one-cluster'
    const inUnits = ([lower, upper]: Limits): Interval => ({
      lower: scaled(lower, 1, per),
      upper: scaled(upper, 1, per),
    })
    const naive = garwoodLimits(events, level)
    return deepFreeze({
      estimate: scaled(events, time, per),
      interval: limits === undefined ? noInterval(missing) : inUnits(limits),
      level,
      method: limits === undefined ? methodOf('none') : intervalMethod(counts),
      ...(events > 0 && clusters > 1 && time > 0
        ? { standardError: { value: Math.sqrt(counts.designEffect / events), scale: 'log rate' } }
        : {}),
      n,
      events,
      clusters,
      timeAtRisk: time,
      designEffect: designEffectOf(counts),
      naive: time === 0 ? noInterval(missing) : inUnits([naive[0] / time, naive[1] / time]),
      warnings: time === 0 ? [] : warningsOf(counts),
      reference: 'clustered-rate',
    })
  },
)

function rateCounts(event: NumberColumn, timeAtRisk: NumberColumn, cluster: CodeColumn): RateCounts {
  const coded = codesOf('cluster', cluster)
  const events = sumByCluster(event, coded)
  const times = sumByCluster(timeAtRisk, coded)
  const sizes = clusterSizes(coded)
  const allEvents = total(events)
  const time = total(times)
  const repeats = anyClusterRepeats(sizes)
  const variance = ratioVariance(events, times)
  const robust = (variance * time * time) / allEvents
  return {
    n: event.length,
    clusters: sizes.length,
    repeats,
    events: allEvents,
    time,
    designEffect: repeats ? robust : 1,
  }
}

/** Limits per unit of time, or undefined where clusters repeat and there is only one. */
function limitsOf(counts: RateCounts, level: number): Limits | undefined {
  const { events, time, clusters, n } = counts
  if (!counts.repeats) return perTime(garwoodLimits(events, level), time)
  if (clusters === 1) return undefined
  if (events === 0) return perTime(garwoodLimits(0, level), (time * clusters) / n)
  if (events < enoughEvents) {
    const inflation = Math.max(1, counts.designEffect)
    return perTime(garwoodLimits(events / inflation, level), time / inflation)
  }
  if (counts.designEffect < leastDesignEffect) return perTime(garwoodLimits(events, level), time)
  const spread = clusterCritical(level, clusters) * Math.sqrt(counts.designEffect / events)
  return [(events / time) * Math.exp(-spread), (events / time) * Math.exp(spread)]
}

function perTime(limits: Limits, time: number): Limits {
  return [limits[0] / time, limits[1] / time]
}

function intervalMethod(counts: RateCounts): MethodName {
  if (!counts.repeats) return methodOf('garwood-exact-poisson')
  if (counts.events === 0) return methodOf('garwood-exact-poisson', 'clusters-as-n')
  if (counts.events < enoughEvents) return methodOf('garwood-on-events-and-time-divided-by-the-design-effect')
  if (counts.designEffect < leastDesignEffect) return methodOf('garwood-exact-poisson')
  const robust = methodOf('log-rate', 'cluster-robust-variance')
  return counts.clusters < fewClusters ? methodOf(...robust, 't-reference') : robust
}

function designEffectOf(counts: RateCounts): Quantity {
  if (counts.events === 0) return notEstimable('no-event-observed')
  if (counts.time === 0) return notEstimable('no-time-at-risk')
  if (counts.repeats && counts.clusters === 1) return notEstimable('one-cluster')
  return counts.designEffect
}

function warningsOf(counts: RateCounts): readonly Warning[] {
  const { events, clusters, n } = counts
  if (!counts.repeats) return []
  if (clusters === 1) return [oneCluster()]
  if (events === 0) {
    return [warning('no-events-in-clusters', { rows: n, clusters })]
  }
  if (events < enoughEvents) {
    return [warning('few-events', { events, enough: enoughEvents })]
  }
  if (counts.designEffect < leastDesignEffect) {
    return [warning('no-variation')]
  }
  return clusters < fewClusters ? [fewClustersWarning(clusters)] : []
}

function requireWholeEvents(event: NumberColumn): void {
  for (let row = 0; row < event.length; row++) {
    if (!Number.isSafeInteger(event[row]) || event[row]! < 0) {
      throw new NumericalError({
        code: 'not-a-count',
        problem: `column event holds something other than a count, first in row ${row + 1} of ${event.length}.`,
        expected: 'a whole number of events, zero or more, in every row.',
        mend: 'code event as 0 and 1, or as the number of events.',
      })
    }
  }
}
