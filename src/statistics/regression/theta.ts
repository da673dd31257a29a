import digamma from '@stdlib/math-base-special-digamma'
import trigamma from '@stdlib/math-base-special-trigamma'
import { brentRoot } from '../numeric/roots.js'

/**
 * Score and information of the shape theta of negative binomial counts with the fitted means held; rows whose mean is
 * 0 in the limit say nothing about it.
 */

/** Counts with their fitted means and how much each row counts. */
export interface FittedCounts {
  readonly counts: ArrayLike<number>
  readonly means: ArrayLike<number>
  readonly weights: ArrayLike<number>
}

/** Log theta beyond which the distribution is the Poisson to within rounding. */
const farthest = 18

/** Whether the squared residuals exceed the counts in sum, so that some finite theta fits better than none. */
export function isOverDispersed(fitted: FittedCounts): boolean {
  return sumOverRows(fitted, (count, mean) => (count - mean) ** 2 - count) > 0
}

/**
 * Root of a score in log theta that is positive below and negative above it; undefined where it is still positive at
 * the farthest theta, or negative at the nearest.
 */
export function scoreRoot(score: (logTheta: number) => number): number | undefined {
  let upper = 0
  while (score(upper) > 0) {
    upper += 2
    if (upper > farthest) return undefined
  }
  let lower = upper - 2
  while (score(lower) < 0) {
    lower -= 2
    if (lower < -farthest) return undefined
  }
  return brentRoot(score, lower, upper, 1e-13)
}

/** Observed information about theta with the means held. */
export function thetaInformation(fitted: FittedCounts, theta: number): number {
  return sumOverRows(
    fitted,
    (count, mean) =>
      inverseSquares(theta, count) - 1 / theta + 2 / (mean + theta) - (count + theta) / (mean + theta) ** 2,
  )
}

/** Derivative of the log-likelihood with respect to theta, the means held. */
export function thetaScore(fitted: FittedCounts, theta: number): number {
  return sumOverRows(
    fitted,
    (count, mean) => inverses(theta, count) - Math.log1p(mean / theta) + (mean - count) / (mean + theta),
  )
}

function sumOverRows(fitted: FittedCounts, term: (count: number, mean: number) => number): number {
  let sum = 0
  for (let row = 0; row < fitted.counts.length; row++) {
    if (fitted.weights[row] === 0) continue
    sum += fitted.weights[row]! * term(fitted.counts[row]!, fitted.means[row]!)
  }
  return sum
}

/** digamma(theta + count) − digamma(theta), term by term for small counts so that nothing cancels. */
function inverses(theta: number, count: number): number {
  if (count > 500) return digamma(theta + count) - digamma(theta)
  let sum = 0
  for (let k = 0; k < count; k++) sum += 1 / (theta + k)
  return sum
}

/** trigamma(theta) − trigamma(theta + count), likewise. */
function inverseSquares(theta: number, count: number): number {
  if (count > 500) return trigamma(theta) - trigamma(theta + count)
  let sum = 0
  for (let k = 0; k < count; k++) sum += 1 / (theta + k) ** 2
  return sum
}
