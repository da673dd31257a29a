import erfc from '@stdlib/math-base-special-erfc'
import erfcinv from '@stdlib/math-base-special-erfcinv'

/** Lower tail of the standard normal, P(Z ≤ z). */
export function normalCdf(z: number): number {
  return 0.5 * erfc(-z / Math.SQRT2)
}

/** Upper tail of the standard normal, P(Z > z). */
export function normalUpperTail(z: number): number {
  return 0.5 * erfc(z / Math.SQRT2)
}

/** Natural logarithm of the lower tail of the standard normal, at any depth. */
export function normalLogCdf(z: number): number {
  if (z > 1) return Math.log1p(-normalUpperTail(z))
  if (z > -20) return Math.log(normalCdf(z))
  const squared = z * z
  let term = 1
  let sum = 1
  for (let k = 1; k < 20; k++) {
    term *= -(2 * k - 1) / squared
    sum += term
    if (Math.abs(term) < 1e-17) break
  }
  return -0.5 * squared - Math.log(-z) - 0.5 * Math.log(2 * Math.PI) + Math.log(sum)
}

/** Density of the standard normal. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI)
}

/** Quantile of the standard normal for a lower-tail probability. */
export function normalQuantile(probability: number): number {
  return probability > 0.5 ? -lowerNormalQuantile(1 - probability) : lowerNormalQuantile(probability)
}

/** Point beyond which the standard normal leaves the given upper-tail probability. */
export function normalUpperQuantile(upperTail: number): number {
  return -normalQuantile(upperTail)
}

function lowerNormalQuantile(probability: number): number {
  const z = -Math.SQRT2 * erfcinv(2 * probability)
  if (!Number.isFinite(z) || probability <= 0) return z
  const step = -Math.expm1(Math.log(probability) - normalLogCdf(z)) * Math.exp(normalLogCdf(z) + 0.5 * z * z)
  return z - step * Math.sqrt(2 * Math.PI)
}
