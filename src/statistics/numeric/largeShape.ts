import gammaln from '@stdlib/math-base-special-gammaln'

/**
 * Tails of the gamma and beta distributions for large shapes, where the uniform expansion of the special-function
 * library loses up to three digits (its upper gamma tail near the mean, shape 1000: 2% off) or the difference of
 * three log-gammas leaves only nine. Every term below is positive or a continued fraction, and every prefix is in
 * Loader's (2000) saddle-point form, so that nothing cancels. Cost: of the order of the root of the shape.
 */

/** Shape from which the gamma tails are computed here. */
export const largeGammaShape = 200

/** Sum of the two shapes from which the beta tails are computed here. */
export const largeBetaShapes = 1000

/** log(x!) minus Stirling's formula, for any positive x. */
export function stirlingError(x: number): number {
  if (x <= 15) return gammaln(x + 1) - (x + 0.5) * Math.log(x) + x - 0.5 * Math.log(2 * Math.PI)
  const squared = x * x
  const tail = 1 / 1260 - (1 / 1680 - 1 / 1188 / squared) / squared
  return (1 / 12 - (1 / 360 - tail / squared) / squared) / x
}

/** x log(x / mean) + mean − x without cancellation. */
export function deviancePart(x: number, mean: number): number {
  const difference = x - mean
  if (Math.abs(difference) >= 0.1 * (x + mean)) return x * Math.log(x / mean) - difference
  const v = difference / (x + mean)
  let sum = difference * v
  let term = 2 * x * v
  for (let k = 1; k < 1000; k++) {
    term *= v * v
    const next = sum + term / (2 * k + 1)
    if (next === sum) return sum
    sum = next
  }
  return sum
}

/** log of xᵃ e⁻ˣ / Γ(a + 1). */
function logPoissonTerm(a: number, x: number): number {
  return -stirlingError(a) - deviancePart(a, x) - 0.5 * Math.log(2 * Math.PI * a)
}

/** Logarithm of the lower gamma tail for x below the shape. */
function logLowerGamma(x: number, shape: number): number {
  let term = 1
  let sum = 1
  for (let k = 1; term > sum * 1e-18; k++) {
    term *= x / (shape + k)
    sum += term
  }
  return logPoissonTerm(shape, x) + Math.log(sum)
}

/** Logarithm of the upper gamma tail for x from the shape on: for a large shape the terms vanish before they end. */
function logUpperGamma(x: number, shape: number): number {
  let term = 1
  let sum = 1
  for (let k = 1; k < shape && term > sum * 1e-18; k++) {
    term *= (shape - k) / x
    sum += term
  }
  return logPoissonTerm(shape, x) + Math.log((shape / x) * sum)
}

/** Logarithms of the lower and upper gamma tail at x > 0 for a large shape. */
export function largeGammaLogTails(x: number, shape: number): readonly [lower: number, upper: number] {
  if (x < shape) {
    const lower = logLowerGamma(x, shape)
    return [lower, Math.log1p(-Math.exp(lower))]
  }
  const upper = logUpperGamma(x, shape)
  return [Math.log1p(-Math.exp(upper)), upper]
}

/**
 * Logarithms of the lower and upper beta tail for large shapes.
 *
 * @param x point in (0, 1)
 * @param y its complement 1 − x, given apart so that it keeps its digits
 */
export function largeBetaLogTails(
  x: number,
  y: number,
  a: number,
  b: number,
): readonly [lower: number, upper: number] {
  if (x * (a + b + 2) <= a + 1) {
    const lower = logBetaByFraction(x, y, a, b)
    return [lower, Math.log(-Math.expm1(lower))]
  }
  const upper = logBetaByFraction(y, x, b, a)
  return [Math.log(-Math.expm1(upper)), upper]
}

/**
 * log I_x(a, b) = prefix / continued fraction of Didonato and Morris (1992, equation 9), for x below the mean. Their
 * form takes a y − b x instead of x alone, so that a point whose complement is tiny keeps its digits.
 */
function logBetaByFraction(x: number, y: number, a: number, b: number): number {
  const n = a + b
  const prefix =
    stirlingError(n) -
    stirlingError(a) -
    stirlingError(b) -
    deviancePart(a, n * x) -
    deviancePart(b, n * y) +
    0.5 * Math.log((a / n) * (b / (2 * Math.PI)))
  const belowMean = a * y - b * x
  const fraction = continuedFraction(
    (k) =>
      k +
      (k === 0 ? 0 : (k * (b - k) * x) / (a + 2 * k - 1)) +
      ((a + k) / (a + 2 * k + 1)) * (belowMean + 1 + k * (1 + y)),
    (k) => ((a + k - 1) / (a + 2 * k - 1)) * ((n + k - 1) / (a + 2 * k - 1)) * k * (b - k) * x * x,
  )
  return prefix - Math.log(fraction)
}

/** Term k of the continued fraction of the incomplete beta function. */
export function betaFractionTerm(k: number, x: number, a: number, b: number): number {
  const m = Math.floor(k / 2)
  if (k % 2 === 0) return (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
  return -((a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
}

/** Value of b0 + a1/(b1 + a2/(b2 + …)) by the modified Lentz algorithm. */
export function continuedFraction(b: (k: number) => number, a: (k: number) => number): number {
  const least = 1e-300
  let value = b(0) || least
  let numerator = value
  let denominator = 0
  for (let k = 1; k < 100_000; k++) {
    denominator = b(k) + a(k) * denominator || least
    numerator = b(k) + a(k) / numerator || least
    denominator = 1 / denominator
    const ratio = numerator * denominator
    value *= ratio
    if (Math.abs(ratio - 1) < 1e-16) break
  }
  return value
}
