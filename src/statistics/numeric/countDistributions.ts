import { betaCdf, betaUpperTail } from './betaDistribution.js'
import { gammaCdf, gammaUpperTail } from './gammaDistribution.js'
import { deviancePart, stirlingError } from './largeShape.js'
import { normalQuantile } from './normalDistribution.js'

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
