import betainc from '@stdlib/math-base-special-betainc'
import betaincinv from '@stdlib/math-base-special-betaincinv'
import betaln from '@stdlib/math-base-special-betaln'
import { betaFractionTerm, continuedFraction, largeBetaLogTails, largeBetaShapes } from './largeShape.js'
import { normalQuantile, normalUpperTail } from './normalDistribution.js'
import { polished, tiny } from './tails.js'

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
  // Of x = ν / (ν + t²) and its complement y, the one below a half keeps the digits; one tail says which it is.
  if (betaCdf(0.5, half, 0.5) > 2 * probability) {
    const x = betaQuantile(2 * probability, half, 0.5)
    return -Math.sqrt((degreesOfFreedom * (1 - x)) / x)
  }
  const y = betaUpperQuantile(2 * probability, 0.5, half)
  return -Math.sqrt((degreesOfFreedom * y) / (1 - y))
}
