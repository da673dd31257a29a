import { type Warning, warning } from '../../core/estimate.js'
import type { Codes } from '../kernel/codes.js'

/** Clusters below which the reference distribution is Student's t with clusters − 1 degrees of freedom. */
export const fewClusters = 30

/** Rows of each cluster, so that they can be walked cluster by cluster. */
export function rowsByCluster(clusters: Codes): readonly Int32Array[] {
  const sizes = new Int32Array(clusters.count)
  for (const cluster of clusters.codes) sizes[cluster]!++
  const rows = Array.from(sizes, (size) => new Int32Array(size))
  sizes.fill(0)
  clusters.codes.forEach((cluster, row) => {
    rows[cluster]![sizes[cluster]!++] = row
  })
  return rows
}

/** What the number of clusters says about intervals that rest on the spread between them. */
export function clusterWarnings(count: number, coefficients: number): readonly Warning[] {
  if (count < 2) {
    return [warning('one-cluster')]
  }
  const warnings: Warning[] = []
  if (count < fewClusters) {
    warnings.push(warning('few-clusters', { clusters: count, degreesOfFreedom: count - 1 }))
  }
  if (count <= coefficients) {
    warnings.push(warning('fewer-clusters-than-coefficients', { clusters: count, coefficients }))
  }
  return warnings
}
