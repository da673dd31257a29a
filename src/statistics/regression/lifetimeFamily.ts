import { normalLogCdf, normalQuantile } from '../numeric/distributions.js'

/** Standard distribution of W in log T = linear predictor + scale · W. */
export interface LifetimeFamily {
  /** Logarithm of the density. */
  logDensity(w: number): number
  /** Derivative of that logarithm. */
  logDensitySlope(w: number): number
  /** Second derivative of that logarithm. */
  logDensityCurvature(w: number): number
  /** Logarithm of the lower tail. */
  logLower(w: number): number
  /** Logarithm of the upper tail. */
  logUpper(w: number): number
  /** Quantile for a lower-tail probability. */
  quantile(probability: number): number
}

/** Smallest extreme value: T is Weibull, or exponential where the scale is 1. */
export const extremeValueFamily: LifetimeFamily = {
  logDensity: (w) => w - Math.exp(w),
  logDensitySlope: (w) => -Math.expm1(w),
  logDensityCurvature: (w) => -Math.exp(w),
  logLower: (w) => (w > 5 ? Math.log1p(-Math.exp(-Math.exp(w))) : Math.log(-Math.expm1(-Math.exp(w)))),
  logUpper: (w) => -Math.exp(w),
  quantile: (probability) => Math.log(-Math.log1p(-probability)),
}

/** Logistic: T is log-logistic. */
export const logisticFamily: LifetimeFamily = {
  logDensity: (w) => -Math.abs(w) - 2 * Math.log1p(Math.exp(-Math.abs(w))),
  logDensitySlope: (w) => -Math.tanh(w / 2),
  logDensityCurvature: (w) => -0.5 * (1 - Math.tanh(w / 2) ** 2),
  logLower: (w) => -softplus(-w),
  logUpper: (w) => -softplus(w),
  quantile: (probability) => Math.log(probability) - Math.log1p(-probability),
}

/** Normal: T is log-normal. */
export const normalFamily: LifetimeFamily = {
  logDensity: (w) => -0.5 * w * w - 0.5 * Math.log(2 * Math.PI),
  logDensitySlope: (w) => -w,
  logDensityCurvature: () => -1,
  logLower: normalLogCdf,
  logUpper: (w) => normalLogCdf(-w),
  quantile: normalQuantile,
}

/** log(1 + e^x). */
function softplus(x: number): number {
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x))
}

/** Log-likelihood of one row with its derivatives in the ends of its interval on the standard scale. */
export interface IntervalTerms {
  value: number
  /** Derivative in the lower and upper end. */
  lower: number
  upper: number
  /** Second derivatives. */
  lowerLower: number
  upperUpper: number
  lowerUpper: number
}

/**
 * Fills the terms of an interval (from, to] on the standard scale: log P(from < W ≤ to). Ends may be infinite; equal
 * ends mean a known time, whose log density counts (its derivatives stand at `lower`).
 */
export function fillIntervalTerms(
  family: LifetimeFamily,
  from: number,
  to: number,
  terms: IntervalTerms,
): void {
  terms.upper = 0
  terms.upperUpper = 0
  terms.lowerUpper = 0
  if (from === to) {
    terms.value = family.logDensity(from)
    terms.lower = family.logDensitySlope(from)
    terms.lowerLower = family.logDensityCurvature(from)
    return
  }
  const mass = logMass(family, from, to)
  terms.value = mass
  const low = from === Number.NEGATIVE_INFINITY ? 0 : Math.exp(family.logDensity(from) - mass)
  const high = to === Number.POSITIVE_INFINITY ? 0 : Math.exp(family.logDensity(to) - mass)
  terms.lower = -low
  terms.lowerLower = low === 0 ? 0 : -low * family.logDensitySlope(from) - low * low
  terms.upper = high
  terms.upperUpper = high === 0 ? 0 : high * family.logDensitySlope(to) - high * high
  terms.lowerUpper = low * high
}

/** Logarithm of the probability between two ends, taken in the tail where it keeps its digits. */
function logMass(family: LifetimeFamily, from: number, to: number): number {
  if (to === Number.POSITIVE_INFINITY) return family.logUpper(from)
  if (from === Number.NEGATIVE_INFINITY) return family.logLower(to)
  const upper = family.logUpper(from)
  const lower = family.logLower(to)
  return upper < lower
    ? upper + Math.log(-Math.expm1(family.logUpper(to) - upper))
    : lower + Math.log(-Math.expm1(family.logLower(from) - lower))
}
