import { innermostIntervals, orderIntervals } from './innermostIntervals.js'
import { maximumMass } from './innermostMass.js'
import { boundsOfMass } from './intervalCensored.js'
import { checkIntervals, type IntervalTimes } from './intervalTimes.js'
import { type CodeColumn, codesOf } from './kernel/codes.js'
import { drawClusterWeights, type Replicate, type ResamplingTask } from './resampling.js'

/** What a thread needs to prepare bootstrap replicates of interval-censored shares. */
export interface IntervalCensoredBootstrapInput {
  readonly times: IntervalTimes
  /** Label of the cluster of every row. */
  readonly cluster: CodeColumn
  /** Times at which the share without the event is wanted. */
  readonly horizons: readonly number[]
  /** Group of every row; default one group. Clusters are drawn for all groups together. */
  readonly groups?: CodeColumn
}

/**
 * Prepares bootstrap replicates of the non-parametric interval-censored estimate: whole clusters are drawn with
 * replacement, and each replicate gives, by group in ascending order of labels and then by horizon, the lower and the
 * upper bound of the share without the event; NaN for a group that a draw leaves empty. Ends are ordered once.
 */
export function prepareIntervalCensoredBootstrap(input: unknown): Replicate {
  const { times, cluster: clusters, horizons, groups } = input as IntervalCensoredBootstrapInput
  const rows = checkIntervals(times)
  const order = orderIntervals(rows)
  const cluster = codesOf('cluster', clusters)
  const group = groups === undefined ? undefined : codesOf('groups', groups)
  const groupCount = group?.levels.length ?? 1
  const counts = new Float64Array(cluster.levels.length)
  const weights = new Float64Array(rows.rows)
  return (stream) => {
    drawClusterWeights(stream, counts)
    const values = new Float64Array(groupCount * horizons.length * 2).fill(Number.NaN)
    for (let one = 0; one < groupCount; one++) {
      for (let row = 0; row < weights.length; row++) {
        weights[row] = (group?.codes[row] ?? 0) === one ? counts[cluster.codes[row]!]! : 0
      }
      const innermost = innermostIntervals(order, weights)
      if (innermost.total === 0) continue
      const { mass } = maximumMass(innermost)
      horizons.forEach((time, i) => {
        const bounds = boundsOfMass(innermost.left, innermost.right, mass, time)
        values[(one * horizons.length + i) * 2] = bounds.lower
        values[(one * horizons.length + i) * 2 + 1] = bounds.upper
      })
    }
    return values
  }
}

/** The bootstrap of interval-censored shares as a task for `replicateTask`; its width is 2 · groups · horizons. */
export const intervalCensoredBootstrapTask = (input: IntervalCensoredBootstrapInput): ResamplingTask => {
  return { module: import.meta.url, prepare: 'prepareIntervalCensoredBootstrap', input }
}
