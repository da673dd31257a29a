import type { CoxDesign } from './coxDesign.js'
import { hazardAt, scoreResiduals } from './coxHazard.js'
import type { LikelihoodSettings } from './coxLikelihood.js'

/** Clusters of the rows of the input, numbered from 0. */
export interface ClusterCodes {
  readonly codes: Int32Array
  readonly count: number
}

/**
 * Weighted score residuals summed over clusters, row-major clusters × covariates, at scaled coefficients. Rows that
 * are at risk at no event time contribute nothing.
 *
 * @param cluster cluster of each row of the input; undefined makes each row its own
 */
export function clusterScores(
  design: CoxDesign,
  settings: LikelihoodSettings,
  coefficients: Float64Array,
  clusters: ClusterCodes | undefined,
): Float64Array {
  const { size, weight } = design
  const residuals = scoreResiduals(design, hazardAt(design, settings, coefficients))
  if (weight !== undefined) {
    for (let i = 0; i < residuals.length; i++) residuals[i]! *= weight[Math.floor(i / size)]!
  }
  return clusters === undefined ? residuals : summedByCluster(design, residuals, clusters)
}

/** Walks rows in the order of the input, in which clusters mostly lie together, so that memory is read in stretches. */
function summedByCluster(design: CoxDesign, residuals: Float64Array, clusters: ClusterCodes): Float64Array {
  const { size } = design
  const places = new Int32Array(design.rows.rows).fill(-1)
  for (let place = 0; place < design.order.row.length; place++) places[design.order.row[place]!] = place
  const sums = new Float64Array(clusters.count * size)
  for (let row = 0; row < places.length; row++) {
    const place = places[row]!
    if (place < 0) continue
    const at = clusters.codes[row]! * size
    for (let j = 0; j < size; j++) sums[at + j]! += residuals[place * size + j]!
  }
  return sums
}

/** Sum of the outer products of rows of scores: the meat of the sandwich. */
export function outerProducts(scores: Float64Array, size: number): Float64Array {
  const meat = new Float64Array(size * size)
  for (let start = 0; start < scores.length; start += size) {
    for (let a = 0; a < size; a++) {
      const score = scores[start + a]!
      if (score === 0) continue
      for (let b = 0; b <= a; b++) meat[a * size + b]! += score * scores[start + b]!
    }
  }
  for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) meat[b * size + a] = meat[a * size + b]!
  return meat
}
