import { chiScaleMean } from './chiScale.js'
import { normalCdf, normalDensity } from './distributions.js'
import { brentRoot } from './roots.js'

/**
 * Studentised range: the range of k independent standard normal means over an independent estimate of their standard
 * deviation. Upper tails are integrated directly, so that small P values keep their digits (checked to 1e-10).
 * Sources: Tukey 1953; Copenhaver and Holland 1988 (integrals).
 */

const gridStep = 0.15
const gridLeast = -9

/** P(range of k standard normals > w). */
export function normalRangeUpperTail(w: number, groups: number): number {
  if (w <= 0) return 1
  const most = Math.max(9, w / 2 + 9)
  let sum = 0
  for (let z = gridLeast; z <= most; z += gridStep) {
    const below = normalCdf(z)
    if (below === 0) continue
    // Given the largest value z: below^(k−1) − (below − far)^(k−1), far the probability beyond the range.
    const share = Math.min(1, normalCdf(z - w) / below)
    sum += normalDensity(z) * below ** (groups - 1) * -Math.expm1((groups - 1) * Math.log1p(-share))
  }
  return Math.min(1, groups * sum * gridStep)
}

/**
 * P(Q > q) of the studentised range.
 *
 * @param q range over standard error; 0 or less gives 1
 * @param groups number of means, at least 2
 * @param degreesOfFreedom of the error, positive, not necessarily whole; Infinity for a known standard deviation
 * @example studentisedRangeUpperTail(3.5, 3, 20) // => 0.05589
 */
export const studentisedRangeUpperTail = (q: number, groups: number, degreesOfFreedom: number): number => {
  if (q <= 0) return 1
  if (!Number.isFinite(degreesOfFreedom)) return normalRangeUpperTail(q, groups)
  const start = -0.5 * Math.log1p((q * q) / (2 * degreesOfFreedom))
  const tail = chiScaleMean((u) => normalRangeUpperTail(q * u, groups), degreesOfFreedom, start)
  return Math.min(1, tail)
}

/** Point beyond which the studentised range leaves the given upper-tail probability. */
export const studentisedRangeUpperQuantile = (
  upperTail: number,
  groups: number,
  degreesOfFreedom: number,
): number => {
  const excess = (q: number): number =>
    Math.log(upperTail) - Math.log(studentisedRangeUpperTail(q, groups, degreesOfFreedom))
  let most = 4
  while (excess(most) < 0) most *= 2
  let least = most / 2
  while (excess(least) > 0) least /= 2
  return brentRoot(excess, least, most, 1e-13)
}
