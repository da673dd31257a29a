import gammainc from '@stdlib/math-base-special-gammainc'
import gammaincinv from '@stdlib/math-base-special-gammaincinv'
import gammaln from '@stdlib/math-base-special-gammaln'
import { continuedFraction, largeGammaLogTails, largeGammaShape } from './largeShape.js'
import { polished, tiny } from './tails.js'

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
