import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'

/** Patient, clinic or whatever rows share, by row. */
export type ClusterColumn = ArrayLike<string | number>

/** Clusters numbered from 0 in the order in which they first appear. */
export interface ClusterIndex {
  readonly index: Int32Array
  readonly count: number
}

/** Clusters below which the reference distribution is Student's t with clusters − 1 degrees of freedom. */
export const fewClusters = 30

/**
 * Numbers the clusters of a column; rows of one cluster need not lie together.
 *
 * @throws NumericalError `missing-cluster`
 */
export function indexClusters(name: string, column: ClusterColumn): ClusterIndex {
  const numbers = new Map<string | number, number>()
  const index = new Int32Array(column.length)
  for (let row = 0; row < column.length; row++) {
    const key = column[row]!
    if (key === '' || Number.isNaN(key) || key === undefined || key === null) {
      throw missingCluster(name, row, column.length)
    }
    let number = numbers.get(key)
    if (number === undefined) {
      number = numbers.size
      numbers.set(key, number)
    }
    index[row] = number
  }
  return { index, count: numbers.size }
}

/** Rows of each cluster, so that they can be walked cluster by cluster. */
export function rowsByCluster(clusters: ClusterIndex): readonly Int32Array[] {
  const sizes = new Int32Array(clusters.count)
  for (const cluster of clusters.index) sizes[cluster]!++
  const rows = Array.from(sizes, (size) => new Int32Array(size))
  sizes.fill(0)
  clusters.index.forEach((cluster, row) => {
    rows[cluster]![sizes[cluster]!++] = row
  })
  return rows
}

/** What the number of clusters says about intervals that rest on the spread between them. */
export function clusterWarnings(count: number, coefficients: number): readonly Warning[] {
  if (count < 2) {
    return [warning('one-cluster', 'All rows belong to one cluster, so that no interval can be given.')]
  }
  const warnings: Warning[] = []
  if (count < fewClusters) {
    warnings.push(
      warning(
        'few-clusters',
        `Only ${count} clusters: intervals use Student's t with ${count - 1} degrees of freedom.`,
      ),
    )
  }
  if (count <= coefficients) {
    warnings.push(
      warning(
        'fewer-clusters-than-coefficients',
        `${count} clusters cannot carry the variance of ${coefficients} coefficients; read the intervals as too narrow.`,
      ),
    )
  }
  return warnings
}

function missingCluster(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'missing-cluster',
    problem: `column ${name} is empty, first in row ${row + 1} of ${rows}.`,
    expected: 'the cluster of every row.',
    mend: `leave out rows without ${name}, or give each of them a cluster of its own.`,
  })
}
