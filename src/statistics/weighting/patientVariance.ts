import { numbersOfRows } from '../../core/columns.js'

/**
 * Variance of a weighted estimate from the influences of its rows: summed over patients, squared, summed.
 *
 * @param influence one value a row
 * @param cluster code of the patient of each row, from 0 without gaps
 * @param clusters number of patients
 */
export function influenceVariance(
  influence: ArrayLike<number>,
  cluster: ArrayLike<number>,
  clusters: number,
): number {
  const sums = new Float64Array(clusters)
  for (let i = 0; i < influence.length; i++) sums[cluster[i]!]! += influence[i]!
  let variance = 0
  for (const sum of sums) variance += sum * sum
  return variance
}

/** Both variances of a weighted estimate, and the one to use. */
export interface PatientVariance {
  /** With the scores taken as known. */
  readonly scoresKnown: number
  /** With the scores estimated. */
  readonly scoresEstimated: number
  /** The larger of the two. */
  readonly larger: number
}

/**
 * Variance of a weighted estimate over patients, with the scores taken as known and estimated. Estimating the scores
 * mostly narrows an interval, and narrows it too far in small samples; so the larger of the two is used.
 *
 * @param influence influence of each row, scores taken as known
 * @param ofScores what estimating the scores adds to it
 * @param cluster code of the patient of each row, from 0 without gaps
 * @param clusters number of patients
 */
export function patientVariance(
  influence: ArrayLike<number>,
  ofScores: ArrayLike<number>,
  cluster: ArrayLike<number>,
  clusters: number,
): PatientVariance {
  const scoresKnown = influenceVariance(influence, cluster, clusters)
  const together = numbersOfRows(influence.length, (i) => influence[i]! + ofScores[i]!)
  const scoresEstimated = influenceVariance(together, cluster, clusters)
  return { scoresKnown, scoresEstimated, larger: Math.max(scoresKnown, scoresEstimated) }
}
