import type { Interval, Quantity } from '../../core/estimate.js'
import { isNumber, noInterval, notEstimable, type PlainReason, quantityOf } from '../../core/estimate.js'
import { normalUpperTail, studentTQuantile, studentTUpperTail } from '../numeric/distributions.js'

/** One coefficient of a regression on the scale of its linear predictor, and its ratio. */
export interface RegressionCoefficient {
  /** Covariate, `covariate=level`, `a:b` for an interaction, or `intercept`. */
  readonly name: string
  readonly estimate: Quantity
  readonly standardError: Quantity
  readonly interval: Interval
  /** exp(estimate): an odds, rate or hazard ratio. */
  readonly ratio: Quantity
  readonly ratioInterval: Interval
  /** Estimate over standard error. */
  readonly statistic: Quantity
  /** Two-sided, against a coefficient of 0. */
  readonly pValue: Quantity
}

/** How intervals and P values are taken from estimate and standard error. */
export interface WaldReference {
  readonly level: number
  /** Degrees of freedom of Student's t; infinite for the normal distribution. */
  readonly degreesOfFreedom: number
}

/** Coefficient with its Wald interval; a standard error of NaN means that there is none, for the reason given. */
export function waldCoefficient(
  name: string,
  estimate: Quantity,
  standardError: number,
  reference: WaldReference,
  reason: PlainReason,
): RegressionCoefficient {
  if (!isNumber(estimate) || !Number.isFinite(standardError)) return withoutError(name, estimate, reason)
  const half = -studentTQuantile((1 - reference.level) / 2, reference.degreesOfFreedom) * standardError
  const statistic = standardError > 0 ? estimate / standardError : notEstimable('standard-error-zero')
  return withRatio({
    name,
    estimate,
    standardError,
    interval: Object.freeze({ lower: estimate - half, upper: estimate + half }),
    statistic,
    pValue: isNumber(statistic) ? twoSidedPValue(statistic, reference.degreesOfFreedom) : statistic,
  })
}

/** Adds the ratio and its interval to a coefficient, and freezes it. */
export function withRatio(
  coefficient: Omit<RegressionCoefficient, 'ratio' | 'ratioInterval'>,
): RegressionCoefficient {
  const { lower, upper } = coefficient.interval
  return Object.freeze({
    ...coefficient,
    ratio: ratioOf(coefficient.estimate),
    ratioInterval: Object.freeze({ lower: limitOfRatio(lower), upper: limitOfRatio(upper) }),
  })
}

/** Two-sided P value of a statistic from the upper tail of t, or of the normal distribution. */
export function twoSidedPValue(statistic: number, degreesOfFreedom = Number.POSITIVE_INFINITY): number {
  const size = Math.abs(statistic)
  const tail = Number.isFinite(degreesOfFreedom)
    ? studentTUpperTail(size, degreesOfFreedom)
    : normalUpperTail(size)
  return Math.min(1, 2 * tail)
}

function withoutError(name: string, estimate: Quantity, reason: PlainReason): RegressionCoefficient {
  const none = notEstimable(reason)
  return withRatio({
    name,
    estimate,
    standardError: none,
    interval: noInterval(reason),
    statistic: none,
    pValue: none,
  })
}

/** exp of an estimate; a tagged state stays as it is, and no ratio of 0 passes for a result. */
function ratioOf(estimate: Quantity): Quantity {
  if (!isNumber(estimate)) return estimate
  const ratio = Math.exp(estimate)
  return ratio > 0 && Number.isFinite(ratio) ? ratio : notEstimable('ratio-out-of-range')
}

/** exp of a limit: one that runs to minus infinity is a ratio of 0, since nothing is ruled out below. */
function limitOfRatio(limit: Quantity): Quantity {
  if (isNumber(limit)) return quantityOf(Math.exp(limit), 'limit-out-of-range')
  return limit.state === 'unbounded' && limit.direction === 'below' ? 0 : limit
}
