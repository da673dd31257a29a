import betainc from '@stdlib/math-base-special-betainc'
import betaincinv from '@stdlib/math-base-special-betaincinv'
import betaln from '@stdlib/math-base-special-betaln'
import erfc from '@stdlib/math-base-special-erfc'
import erfcinv from '@stdlib/math-base-special-erfcinv'
import gammainc from '@stdlib/math-base-special-gammainc'
import gammaincinv from '@stdlib/math-base-special-gammaincinv'
import gammaln from '@stdlib/math-base-special-gammaln'
import {
  betaFractionTerm,
  continuedFraction,
  deviancePart,
  largeBetaLogTails,
  largeBetaShapes,
  largeGammaLogTails,
  largeGammaShape,
  stirlingError,
} from './largeShape.js'

/**
 * Distribution functions in full double accuracy, tails included. Every P value of the toolkit comes from an upper
 * tail or a logarithm here, never from 1 − cdf. Parameters outside their range give NaN; callers check first.
 *
 * The special functions are those of stdlib; what stands here are the identities that lead to them (Abramowitz and
 * Stegun 1964, chapters 6 and 26), their logarithms where the value itself would underflow, and Loader's (2000)
 * saddle-point form of the probabilities of counts.
 */

/** Smallest value below which a logarithm is computed by an expansion of its own instead of from the value. */
const tiny = 1e-280

// ---- Normal ----

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

// ---- Gamma and chi-square ----

/** Lower tail of the gamma distribution with the given shape and scale 1. */
export function gammaCdf(x: number, shape: number): number {
  if (x <= 0) return 0
  return shape > largeGammaShape ? Math.exp(largeGammaLogTails(x, shape)[0]) : gammainc(x, shape, true, false)
}

/** Upper tail of the gamma distribution with the given shape and scale 1. */
export function gammaUpperTail(x: number, shape: number): number {
  if (x <= 0) return 1
  return shape > largeGammaShape ? Math.exp(largeGammaLogTails(x, shape)[1]) : gammainc(x, shape, true, true)
}

/** Logarithm of the lower tail of the gamma distribution. */
export function gammaLogCdf(x: number, shape: number): number {
  if (x <= 0) return Number.NEGATIVE_INFINITY
  if (shape > largeGammaShape) return largeGammaLogTails(x, shape)[0]
  const value = gammaCdf(x, shape)
  if (value > 0.5) return Math.log1p(-gammaUpperTail(x, shape))
  return value > tiny ? Math.log(value) : logLowerGammaSeries(x, shape)
}

/** Logarithm of the upper tail of the gamma distribution. */
export function gammaLogUpperTail(x: number, shape: number): number {
  if (x <= 0) return 0
  if (shape > largeGammaShape) return largeGammaLogTails(x, shape)[1]
  const value = gammaUpperTail(x, shape)
  if (value > 0.5) return Math.log1p(-gammaCdf(x, shape))
  return value > tiny ? Math.log(value) : logUpperGammaFraction(x, shape)
}

/** Quantile of the gamma distribution with scale 1 for a lower-tail probability. */
export function gammaQuantile(probability: number, shape: number): number {
  return polished(gammaincinv(probability, shape, false), (x) => [
    gammaLogCdf(x, shape) - Math.log(probability),
    logGammaDensity(x, shape) - gammaLogCdf(x, shape),
  ])
}

/** Point beyond which the gamma distribution leaves the given upper-tail probability. */
export function gammaUpperQuantile(upperTail: number, shape: number): number {
  return polished(gammaincinv(upperTail, shape, true), (x) => [
    Math.log(upperTail) - gammaLogUpperTail(x, shape),
    logGammaDensity(x, shape) - gammaLogUpperTail(x, shape),
  ])
}

function logGammaDensity(x: number, shape: number): number {
  return (shape - 1) * Math.log(x) - x - gammaln(shape)
}

function logLowerGammaSeries(x: number, shape: number): number {
  let term = 1
  let sum = 1
  for (let k = 1; k < 10_000; k++) {
    term *= x / (shape + k)
    sum += term
    if (term < sum * 1e-17) break
  }
  return shape * Math.log(x) - x - gammaln(shape + 1) + Math.log(sum)
}

function logUpperGammaFraction(x: number, shape: number): number {
  const fraction = continuedFraction(
    (k) => x + 2 * k + 1 - shape,
    (k) => k * (shape - k),
  )
  return shape * Math.log(x) - x - gammaln(shape) - Math.log(fraction)
}

/** Upper tail of the chi-square distribution. */
export function chiSquareUpperTail(x: number, degreesOfFreedom: number): number {
  return gammaUpperTail(x / 2, degreesOfFreedom / 2)
}

/** Lower tail of the chi-square distribution. */
export function chiSquareCdf(x: number, degreesOfFreedom: number): number {
  return gammaCdf(x / 2, degreesOfFreedom / 2)
}

/** Quantile of the chi-square distribution for a lower-tail probability. */
export function chiSquareQuantile(probability: number, degreesOfFreedom: number): number {
  return 2 * gammaQuantile(probability, degreesOfFreedom / 2)
}

/** Point beyond which the chi-square distribution leaves the given upper-tail probability. */
export function chiSquareUpperQuantile(upperTail: number, degreesOfFreedom: number): number {
  return 2 * gammaUpperQuantile(upperTail, degreesOfFreedom / 2)
}

// ---- Beta, F and Student t ----

/** Lower tail of the beta distribution. */
export function betaCdf(x: number, a: number, b: number): number {
  if (x <= 0 || x >= 1) return x <= 0 ? 0 : 1
  return a + b > largeBetaShapes
    ? Math.exp(largeBetaLogTails(x, 1 - x, a, b)[0])
    : betainc(x, a, b, true, false)
}

/** Upper tail of the beta distribution. */
export function betaUpperTail(x: number, a: number, b: number): number {
  if (x <= 0 || x >= 1) return x <= 0 ? 1 : 0
  return a + b > largeBetaShapes
    ? Math.exp(largeBetaLogTails(x, 1 - x, a, b)[1])
    : betainc(x, a, b, true, true)
}

/** Logarithm of the lower tail of the beta distribution. */
export function betaLogCdf(x: number, a: number, b: number): number {
  return logBetaTail(x, 1 - x, a, b)
}

/** Logarithm of the upper tail of the beta distribution. */
export function betaLogUpperTail(x: number, a: number, b: number): number {
  return logBetaTail(1 - x, x, b, a)
}

/** log I_x(a, b), with the complement y = 1 − x given apart so that it keeps its digits. */
function logBetaTail(x: number, y: number, a: number, b: number): number {
  if (x <= 0) return Number.NEGATIVE_INFINITY
  if (y <= 0) return 0
  if (a + b > largeBetaShapes) return largeBetaLogTails(x, y, a, b)[0]
  const value = x < y ? betaCdf(x, a, b) : betaUpperTail(y, b, a)
  if (value > 0.5) return Math.log1p(-(x < y ? betaUpperTail(x, a, b) : betaCdf(y, b, a)))
  if (value > tiny) return Math.log(value)
  const fraction = continuedFraction(
    () => 1,
    (k) => betaFractionTerm(k, x, a, b),
  )
  return a * Math.log(x) + b * Math.log(y) - Math.log(a) - betaln(a, b) - Math.log(fraction)
}

/** Quantile of the beta distribution for a lower-tail probability. */
export function betaQuantile(probability: number, a: number, b: number): number {
  if (probability <= 0 || probability >= 1) return probability <= 0 ? 0 : 1
  return polished(betaincinv(probability, a, b, false), (x) => [
    betaLogCdf(x, a, b) - Math.log(probability),
    logBetaDensity(x, a, b) - betaLogCdf(x, a, b),
  ])
}

/** Point beyond which the beta distribution leaves the given upper-tail probability. */
export function betaUpperQuantile(upperTail: number, a: number, b: number): number {
  if (upperTail <= 0 || upperTail >= 1) return upperTail <= 0 ? 1 : 0
  return polished(betaincinv(upperTail, a, b, true), (x) => [
    Math.log(upperTail) - betaLogUpperTail(x, a, b),
    logBetaDensity(x, a, b) - betaLogUpperTail(x, a, b),
  ])
}

function logBetaDensity(x: number, a: number, b: number): number {
  return (a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x) - betaln(a, b)
}

/** Upper tail of the F distribution. */
export function fUpperTail(x: number, numeratorDf: number, denominatorDf: number): number {
  if (x <= 0) return 1
  const scaled = numeratorDf * x
  return scaled > denominatorDf
    ? betaCdf(denominatorDf / (denominatorDf + scaled), denominatorDf / 2, numeratorDf / 2)
    : betaUpperTail(scaled / (denominatorDf + scaled), numeratorDf / 2, denominatorDf / 2)
}

/** Lower tail of the F distribution. */
export function fCdf(x: number, numeratorDf: number, denominatorDf: number): number {
  return x <= 0 ? 0 : fUpperTail(1 / x, denominatorDf, numeratorDf)
}

/** Quantile of the F distribution for a lower-tail probability. */
export function fQuantile(probability: number, numeratorDf: number, denominatorDf: number): number {
  const x = betaQuantile(probability, numeratorDf / 2, denominatorDf / 2)
  const y = betaUpperQuantile(probability, denominatorDf / 2, numeratorDf / 2)
  return (denominatorDf * x) / (numeratorDf * (x < 0.5 ? 1 - x : y))
}

/** Upper tail of Student's t distribution, P(T > t). */
export function studentTUpperTail(t: number, degreesOfFreedom: number): number {
  if (t < 0) return 1 - studentTUpperTail(-t, degreesOfFreedom)
  if (!Number.isFinite(degreesOfFreedom)) return normalUpperTail(t)
  const squared = t * t
  return squared > degreesOfFreedom
    ? 0.5 * betaCdf(degreesOfFreedom / (degreesOfFreedom + squared), degreesOfFreedom / 2, 0.5)
    : 0.5 * betaUpperTail(squared / (degreesOfFreedom + squared), 0.5, degreesOfFreedom / 2)
}

/** Lower tail of Student's t distribution. */
export function studentTCdf(t: number, degreesOfFreedom: number): number {
  return studentTUpperTail(-t, degreesOfFreedom)
}

/** Quantile of Student's t distribution for a lower-tail probability. */
export function studentTQuantile(probability: number, degreesOfFreedom: number): number {
  if (probability > 0.5) return -studentTQuantile(1 - probability, degreesOfFreedom)
  if (!Number.isFinite(degreesOfFreedom)) return normalQuantile(probability)
  if (probability === 0.5) return 0
  const half = degreesOfFreedom / 2
  const x = betaQuantile(2 * probability, half, 0.5)
  if (x < 0.5) return -Math.sqrt((degreesOfFreedom * (1 - x)) / x)
  const y = betaUpperQuantile(2 * probability, 0.5, half)
  return -Math.sqrt((degreesOfFreedom * y) / (1 - y))
}

// ---- Counts ----

/** Logarithm of the binomial probability of x events in n (Loader 2000). */
export function binomialLogPmf(x: number, n: number, probability: number): number {
  if (x < 0 || x > n || !Number.isInteger(x)) return Number.NEGATIVE_INFINITY
  if (probability === 0) return x === 0 ? 0 : Number.NEGATIVE_INFINITY
  if (probability === 1) return x === n ? 0 : Number.NEGATIVE_INFINITY
  if (x === 0) return n * Math.log1p(-probability)
  if (x === n) return n * Math.log(probability)
  const complement = 1 - probability
  const saddle =
    stirlingError(n) -
    stirlingError(x) -
    stirlingError(n - x) -
    deviancePart(x, n * probability) -
    deviancePart(n - x, n * complement)
  return saddle + 0.5 * Math.log(n / (2 * Math.PI * x * (n - x)))
}

/** Lower tail of the binomial distribution, P(X ≤ x). */
export function binomialCdf(x: number, n: number, probability: number): number {
  const whole = Math.floor(x)
  if (whole < 0) return 0
  return whole >= n ? 1 : betaUpperTail(probability, whole + 1, n - whole)
}

/** Upper tail of the binomial distribution, P(X > x). */
export function binomialUpperTail(x: number, n: number, probability: number): number {
  const whole = Math.floor(x)
  if (whole < 0) return 1
  return whole >= n ? 0 : betaCdf(probability, whole + 1, n - whole)
}

/** Smallest count whose lower tail reaches the probability. */
export function binomialQuantile(tail: number, n: number, probability: number): number {
  const spread = Math.sqrt(n * probability * (1 - probability))
  const guess = n * probability + spread * normalQuantile(Math.min(Math.max(tail, 1e-300), 1 - 1e-16))
  return countQuantile(tail, guess, n, (x) => binomialCdf(x, n, probability))
}

/** Logarithm of the Poisson probability of x events (Loader 2000). */
export function poissonLogPmf(x: number, mean: number): number {
  if (x < 0 || !Number.isInteger(x)) return Number.NEGATIVE_INFINITY
  if (mean === 0) return x === 0 ? 0 : Number.NEGATIVE_INFINITY
  if (x === 0) return -mean
  return -stirlingError(x) - deviancePart(x, mean) - 0.5 * Math.log(2 * Math.PI * x)
}

/** Lower tail of the Poisson distribution, P(X ≤ x). */
export function poissonCdf(x: number, mean: number): number {
  return x < 0 ? 0 : gammaUpperTail(mean, Math.floor(x) + 1)
}

/** Upper tail of the Poisson distribution, P(X > x). */
export function poissonUpperTail(x: number, mean: number): number {
  return x < 0 ? 1 : gammaCdf(mean, Math.floor(x) + 1)
}

/** Smallest count whose lower tail reaches the probability. */
export function poissonQuantile(tail: number, mean: number): number {
  const guess = mean + Math.sqrt(mean) * normalQuantile(Math.min(Math.max(tail, 1e-300), 1 - 1e-16))
  return countQuantile(tail, guess, Number.POSITIVE_INFINITY, (x) => poissonCdf(x, mean))
}

/** Searches outward from a guess for the smallest count whose cdf reaches the tail, with 64 ulp of slack. */
function countQuantile(tail: number, guess: number, most: number, cdf: (x: number) => number): number {
  if (tail >= 1) return most
  const reached = (x: number): boolean => cdf(x) >= tail * (1 - 64 * Number.EPSILON)
  let upper = Math.min(most, Math.max(0, Math.ceil(guess)))
  let step = 1
  while (!reached(upper)) {
    upper = Math.min(most, upper + step)
    step *= 2
  }
  let lower = upper
  step = 1
  while (lower >= 0 && reached(lower)) {
    upper = lower
    lower -= step
    step *= 2
  }
  lower = Math.max(lower, -1)
  while (upper - lower > 1) {
    const middle = Math.floor((lower + upper) / 2)
    if (reached(middle)) upper = middle
    else lower = middle
  }
  return upper
}

// ---- Shared numerics ----

/**
 * Sharpens a quantile by Newton steps on the logarithm of the tail, taken in log x.
 * The function gives the distance of the log tails and the log of its derivative in x.
 */
function polished(start: number, distance: (x: number) => [number, number]): number {
  let x = start
  if (!(x > 0) || !Number.isFinite(x)) return x
  for (let step = 0; step < 8; step++) {
    const [gap, logSlope] = distance(x)
    const inLog = gap / (x * Math.exp(logSlope))
    if (!Number.isFinite(inLog) || Math.abs(inLog) > 1) return x
    x *= Math.exp(-inLog)
    if (Math.abs(inLog) < 4e-16) return x
  }
  return x
}
