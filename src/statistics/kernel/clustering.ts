import { notEstimable, type PlainReason, type Quantity } from '../../core/estimate.js'
import { type NumberColumn, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { checked } from './checked.js'
import { type CodeColumn, type Codes, codesOf } from './codes.js'

/** Events and rows of each cluster. */
export interface ClusterCounts {
  /** Events of each cluster. */
  readonly events: Float64Array
  /** Rows of each cluster. */
  readonly sizes: Float64Array
}

/** How far the rows of one cluster resemble each other in a yes-or-no outcome, and what that costs in precision. */
export interface ClusterAgreement {
  readonly n: number
  readonly clusters: number
  readonly proportion: Quantity
  /** Mean square between clusters. */
  readonly meanSquareBetween: Quantity
  /** Mean square within clusters. */
  readonly meanSquareWithin: Quantity
  /** (N − Σn²/N) / (C − 1). */
  readonly adjustedClusterSize: Quantity
  /** Intraclass correlation by analysis of variance; may be negative. */
  readonly intraclassCorrelation: Quantity
  /** Intraclass correlation of Fleiss and Cuzick (1979). */
  readonly intraclassCorrelationFleissCuzick: Quantity
  /** Σn²/N, the size of the cluster that a row chosen at random belongs to. */
  readonly weightedMeanClusterSize: Quantity
  /** 1 + (Σn²/N − 1) · intraclass correlation. */
  readonly designEffectFromCorrelation: Quantity
  /** Variance of the proportion as a ratio of sums, with the factor C / (C − 1). */
  readonly ratioVariance: Quantity
  /** That variance over the binomial one. */
  readonly designEffect: Quantity
  /** Standard error by the ratio of sums. */
  readonly standardError: Quantity
  /** Standard error as if rows were independent. */
  readonly binomialStandardError: Quantity
}

/** Sums a 0/1 column within clusters. */
export function countByCluster(event: NumberColumn, cluster: CodeColumn): ClusterCounts {
  requireSameLength({ event, cluster })
  requireZeroOne('event', event)
  const coded = codesOf('cluster', cluster)
  return { events: sumByCluster(event, coded), sizes: clusterSizes(coded) }
}

/** Sums a column of numbers within clusters, in the order of the clusters' labels. */
export function sumByCluster(column: NumberColumn, { codes, levels }: Codes): Float64Array {
  const sums = new Float64Array(levels.length)
  for (let row = 0; row < codes.length; row++) sums[codes[row]!]! += column[row]!
  return sums
}

/** Rows of each cluster. */
export function clusterSizes({ codes, levels }: Codes): Float64Array {
  const sizes = new Float64Array(levels.length)
  for (let row = 0; row < codes.length; row++) sizes[codes[row]!]! += 1
  return sizes
}

/** Sum of a column over clusters. */
export function total(column: Float64Array): number {
  return column.reduce((sum, value) => sum + value, 0)
}

/** Whether any cluster holds more than one row. */
export function anyClusterRepeats(sizes: Float64Array): boolean {
  return sizes.some((size) => size > 1)
}

/**
 * C/(C − 1) Σ (sᵢ − P nᵢ)² / N²: variance of a ratio of sums over clusters, such as a proportion (amounts are rows)
 * or a rate (amounts are times at risk). Rao and Scott 1992; Cochran 1977, section 6.
 */
export function ratioVariance(events: Float64Array, amounts: Float64Array): number {
  const clusters = events.length
  const all = total(amounts)
  const ratio = total(events) / all
  let sum = 0
  for (let i = 0; i < clusters; i++) sum += ((events[i]! - ratio * amounts[i]!) / all) ** 2
  return (clusters / (clusters - 1)) * sum
}

/**
 * Intraclass correlation and design effect of a yes-or-no outcome in clusters.
 *
 * @param event 0 or 1 for each row
 * @param cluster label of each row's cluster
 * @returns frozen quantities; those that need two clusters, a repeat, or both outcomes are tagged where they lack
 * @throws NumericalError `unequal-length`, `not-zero-one`
 * Sources: Ridout, Demétrio and Firth 1999 (Biometrics 55:137); Fleiss and Cuzick 1979; Rao and Scott 1992.
 * @example clusterAgreement([1, 1, 0, 0], [1, 1, 2, 2]).intraclassCorrelation // => 1
 */
export const clusterAgreement = checked(
  'clusterAgreement',
  (event: NumberColumn, cluster: CodeColumn): ClusterAgreement => {
    return agreementOfCounts(countByCluster(event, cluster))
  },
)

/** Intraclass correlation and design effect from the counts of clusters. */
export function agreementOfCounts(counts: ClusterCounts): ClusterAgreement {
  const { events, sizes } = counts
  const clusters = sizes.length
  const n = total(sizes)
  const p = total(events) / n
  const squares = sizes.reduce((sum, size) => sum + size * size, 0)
  let between = 0
  let within = 0
  for (let i = 0; i < clusters; i++) {
    const size = sizes[i]!
    const s = events[i]!
    between += size * (s / size - p) ** 2
    within += (s * (size - s)) / size
  }
  const msb = between / (clusters - 1)
  const msw = within / (n - clusters)
  const n0 = (n - squares / n) / (clusters - 1)
  const correlation = (msb - msw) / (msb + (n0 - 1) * msw)
  const binomial = (p * (1 - p)) / n
  const variance = ratioVariance(events, sizes)
  const reason = reasonFor(clusters, n, p)
  const quantity = (value: number): Quantity => quantityOrReason(value, reason)
  return Object.freeze({
    n,
    clusters,
    proportion: n === 0 ? notEstimable('no-rows') : p,
    meanSquareBetween: quantity(msb),
    meanSquareWithin: quantity(msw),
    adjustedClusterSize: quantity(n0),
    intraclassCorrelation: quantity(correlation),
    intraclassCorrelationFleissCuzick: quantity(1 - within / ((n - clusters) * p * (1 - p))),
    weightedMeanClusterSize: quantity(squares / n),
    designEffectFromCorrelation: quantity(1 + (squares / n - 1) * correlation),
    ratioVariance: quantity(variance),
    designEffect: quantity(variance / binomial),
    standardError: quantity(Math.sqrt(variance)),
    binomialStandardError: quantity(Math.sqrt(binomial)),
  })
}

function quantityOrReason(value: number, reason: PlainReason): Quantity {
  return Number.isFinite(value) ? value : notEstimable(reason)
}

function reasonFor(clusters: number, n: number, p: number): PlainReason {
  if (n === 0) return 'no-rows'
  if (clusters === 1) return 'one-cluster'
  if (p === 0 || p === 1) return 'outcome-does-not-vary'
  if (n === clusters) return 'no-cluster-repeats'
  return 'outcome-does-not-vary'
}
