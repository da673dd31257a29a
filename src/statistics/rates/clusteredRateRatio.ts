import { NumericalError } from '../../core/errors.js'
import {
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
import { ratioVariance, total } from '../kernel/clustering.js'
import { type CodeColumn, type Codes, codesOf } from '../kernel/codes.js'
import { type NumberColumn, requireLevel, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { clusterCritical, fewClusters } from '../numeric/counts.js'
import type { ClusteredContrast, ClusteredContrastOptions } from '../proportions/clusteredComparison.js'
import { fewClustersWarning } from '../proportions/clusteredProportion.js'
import { unnamedGroups } from '../proportions/twoProportions.js'
import { effectiveRateRatioLimits, rateRatio } from './rateComparison.js'

/** One group's events, times and rows by cluster; position i is the same cluster in both groups. */
interface RateSide {
  readonly events: Float64Array
  readonly times: Float64Array
  readonly sizes: Float64Array
}

const noTime = 'group-without-time-at-risk'
const oneOnly = 'group-of-one-cluster'

/**
 * Ratio of two rates, the group's over the reference's, where rows of one cluster (a patient) are alike, within and
 * across groups. Where a cluster repeats: log ratio with the cluster-robust variance of the Poisson model, no
 * small-sample factor, Student's t on C − 1 degrees of freedom below 30 clusters. Where a group has no events:
 * conditional exact limits on events and times divided by each group's design effect (at least 1; the mean number of
 * rows per cluster for the group without events), warned. A group of one cluster: no interval. Where no cluster
 * repeats: conditional exact.
 *
 * @param event events of each row, whole numbers
 * @param timeAtRisk time at risk of each row, any unit
 * @param group 1 where the row belongs to the group, 0 where to the reference
 * @param cluster label of each row's cluster
 * @param options level (0.95), comparator
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `not-a-count`, `not-zero-one`,
 * `level-out-of-range`
 * Sources: Liang and Zeger 1986; Przyborowski and Wilenski 1940.
 * @example clusteredRateRatio([2, 0, 1, 0], [2, 2, 3, 3], [1, 1, 0, 0], [1, 2, 3, 4]).estimate // => 3
 */
export const clusteredRateRatio = checked(
  'clusteredRateRatio',
  (
    event: NumberColumn,
    timeAtRisk: NumberColumn,
    group: NumberColumn,
    cluster: CodeColumn,
    options: ClusteredContrastOptions = {},
  ): ClusteredContrast => {
    const { level = 0.95, comparator = unnamedGroups } = options
    requireLevel(level)
    requireSameLength({ event, timeAtRisk, group, cluster })
    requireNonNegative('timeAtRisk', timeAtRisk)
    requireColumns(event, group)
    const coded = codesOf('cluster', cluster)
    const one = sideOf(event, timeAtRisk, coded, (row) => group[row] === 1)
    const two = sideOf(event, timeAtRisk, coded, (row) => group[row] === 0)
    const [first, second] = [totalsOf(one), totalsOf(two)]
    const naive = rateRatio(first, second, { level, comparator })
    const rows = one.sizes.map((size, i) => size + two.sizes[i]!)
    const common = {
      level,
      n: event.length,
      events: first.events + second.events,
      clusters: rows.length,
      sharedClusters: one.sizes.filter((size, i) => size > 0 && two.sizes[i]! > 0).length,
      comparator: { group: comparator.group, against: comparator.against },
      naive: naive.interval,
      estimate: naive.estimate,
      reference: 'clustered-comparison',
    }
    if (first.timeAtRisk === 0 || second.timeAtRisk === 0) {
      return deepFreeze({ ...common, interval: noInterval(noTime), method: methodOf('none'), warnings: [] })
    }
    if (rows.every((size) => size === 1)) {
      const { interval, method, standardError } = naive
      return deepFreeze({
        ...common,
        interval,
        method,
        ...(standardError === undefined ? {} : { standardError }),
        warnings: [],
      })
    }
    return deepFreeze({ ...common, ...robustAnswer(one, two, rows.length, level) })
  },
)

interface RateAnswer {
  readonly interval: Interval
  readonly method: MethodName
  readonly standardError?: { readonly value: number; readonly scale: string }
  readonly warnings: readonly Warning[]
}

function robustAnswer(one: RateSide, two: RateSide, clusters: number, level: number): RateAnswer {
  if (present(one) < 2 || present(two) < 2) {
    return { interval: noInterval(oneOnly), method: methodOf('none'), warnings: [warning(oneOnly)] }
  }
  const [first, second] = [totalsOf(one), totalsOf(two)]
  const [influence1, influence2] = [influenceOf(one), influenceOf(two)]
  const value = Math.sqrt(influence1.reduce((sum, u, i) => sum + (u - influence2[i]!) ** 2, 0))
  if (first.events > 0 && second.events > 0 && value > 1e-12) {
    const few = clusters < fewClusters
    const spread = clusterCritical(level, clusters) * value
    const ratio = first.events / first.timeAtRisk / (second.events / second.timeAtRisk)
    return {
      interval: { lower: ratio * Math.exp(-spread), upper: ratio * Math.exp(spread) },
      method: methodOf('log-rate-ratio', 'cluster-robust-variance', ...(few ? methodOf('t-reference') : [])),
      standardError: { value, scale: 'log rate ratio' },
      warnings: few ? [fewClustersWarning(clusters)] : [],
    }
  }
  const [inflation1, inflation2] = [inflationOf(one), inflationOf(two)]
  const [lower, upper] = effectiveRateRatioLimits(
    { events: first.events / inflation1, timeAtRisk: first.timeAtRisk / inflation1 },
    { events: second.events / inflation2, timeAtRisk: second.timeAtRisk / inflation2 },
    level,
  )
  const limit = (bound: number): Quantity => quantityOf(bound, 'no-event-in-either-group')
  return {
    interval: { lower: limit(lower), upper: limit(upper) },
    method: methodOf('conditional-exact-on-effective-events-and-times'),
    warnings: [warning('group-rates-without-variation')],
  }
}

/** Design effect of a group's rate, at least 1; rows per cluster where it has no events. */
function inflationOf(side: RateSide): number {
  const pick = (column: Float64Array): Float64Array => column.filter((_, i) => side.sizes[i]! > 0)
  const { events, timeAtRisk } = totalsOf(side)
  if (events === 0) return total(side.sizes) / present(side)
  const variance = ratioVariance(pick(side.events), pick(side.times))
  return Math.max(1, (variance * timeAtRisk * timeAtRisk) / events)
}

/** Each cluster's share in the error of the log rate: (d − λ t) / D. */
function influenceOf(side: RateSide): Float64Array {
  const { events, timeAtRisk } = totalsOf(side)
  return side.events.map((d, i) => d / events - side.times[i]! / timeAtRisk)
}

function sideOf(
  event: NumberColumn,
  timeAtRisk: NumberColumn,
  { codes, levels }: Codes,
  belongs: (row: number) => boolean,
): RateSide {
  const column = (): Float64Array => new Float64Array(levels.length)
  const side = { events: column(), times: column(), sizes: column() }
  for (let row = 0; row < codes.length; row++) {
    if (!belongs(row)) continue
    const cluster = codes[row]!
    side.events[cluster]! += event[row]!
    side.times[cluster]! += timeAtRisk[row]!
    side.sizes[cluster]! += 1
  }
  return side
}

function totalsOf(side: RateSide) {
  return { events: total(side.events), timeAtRisk: total(side.times) }
}

function present(side: RateSide): number {
  return side.sizes.filter((size) => size > 0).length
}

function requireColumns(event: NumberColumn, group: NumberColumn): void {
  for (let row = 0; row < event.length; row++) {
    const whole = Number.isSafeInteger(event[row]) && event[row]! >= 0
    if (whole && (group[row] === 0 || group[row] === 1)) continue
    throw new NumericalError({
      code: whole ? 'not-zero-one' : 'not-a-count',
      problem: `column ${whole ? 'group' : 'event'} cannot be read, first in row ${row + 1} of ${event.length}.`,
      expected: whole
        ? '1 for rows of the group and 0 for rows of the reference.'
        : 'a whole number of events.',
      mend: whole ? 'leave out rows of neither.' : 'code event as 0 and 1, or as the number of events.',
    })
  }
}
