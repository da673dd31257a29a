import {
  type Interval,
  isNumber,
  noInterval,
  notEstimable,
  type PlainReason,
  type Quantity,
  quantityOf,
  unbounded,
} from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import {
  normalUpperQuantile,
  normalUpperTail,
  studentTQuantile,
  studentTUpperTail,
} from '../numeric/distributions.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { type CoxDesign, comparatorsOf } from './coxDesign.js'
import type { CoxCore } from './coxFit.js'
import type { SettledCoxOptions } from './coxOptions.js'
import { profileInterval } from './coxProfile.js'
import type { HazardRatio } from './coxResult.js'
import type { TestFrame } from './coxTests.js'

/** The variance by which intervals and Wald tests are made, in scaled units. */
export interface VarianceInForce {
  readonly robust: Float64Array | undefined
  /** Why there is no robust variance. */
  readonly reason: PlainReason | undefined
  /** Degrees of freedom of Student's t; undefined where the normal stands. */
  readonly denominator: number | undefined
}

const separatedReason = 'separated'
const noVariationReason = 'covariate-does-not-vary-at-risk'

/** Hazard ratios of all covariates in the order of the design that was asked for. */
export function hazardRatiosOf(
  core: CoxCore,
  design: CoxDesign,
  covariates: Covariates,
  options: SettledCoxOptions & DesignOptions,
  variance: VarianceInForce,
  frame: TestFrame & { readonly method: MethodName },
): readonly HazardRatio[] {
  const comparators = comparatorsOf(covariates, options)
  return design.names.map((name, column) => {
    const index = core.fitted.indexOf(column)
    const comparator = comparators.get(name) ?? { group: `${name} + 1`, against: name }
    const answers =
      index < 0
        ? withoutEstimate(noVariationReason, noInterval(noVariationReason))
        : core.monotone[index]
          ? withoutEstimate(separatedReason, separatedInterval(core, index, options))
          : estimated(core, index, options, variance)
    return { name, comparator, level: options.level, ...frame, ...answers }
  })
}

type Answers = Pick<
  HazardRatio,
  | 'estimate'
  | 'interval'
  | 'logHazardRatio'
  | 'modelStandardError'
  | 'robustStandardError'
  | 'statistic'
  | 'pValue'
  | 'standardError'
>

function withoutEstimate(reason: PlainReason, interval: Interval): Answers {
  const none = notEstimable(reason)
  return {
    estimate: none,
    interval,
    logHazardRatio: none,
    modelStandardError: none,
    statistic: none,
    pValue: none,
  }
}

/** With the profile interval one limit of a separated covariate still stands. */
function separatedInterval(core: CoxCore, index: number, options: SettledCoxOptions): Interval {
  if (options.interval === 'wald') return noInterval(separatedReason)
  return profileInInputScale(core, index, options.level)
}

function profileInInputScale(core: CoxCore, index: number, level: number): Interval {
  const limits = profileInterval(core, index, level)
  const scale = core.design.scale[index]!
  return { lower: exponential(limits.lower, scale), upper: exponential(limits.upper, scale) }
}

/** Hazard ratio of a scaled coefficient; a limit without end below is a ratio of 0. */
export function exponential(coefficient: Quantity, scale: number): Quantity {
  if (isNumber(coefficient)) return quantityOf(Math.exp(coefficient / scale), 'ratio-out-of-range')
  return coefficient.state === 'unbounded' && coefficient.direction === 'below' ? 0 : unbounded('above')
}

function estimated(
  core: CoxCore,
  index: number,
  options: SettledCoxOptions,
  variance: VarianceInForce,
): Answers {
  const size = core.coefficients.length
  const scale = core.design.scale[index]!
  const coefficient = core.coefficients[index]! / scale
  const errorOf = (matrix: Float64Array): number => Math.sqrt(matrix[index * size + index]!) / scale
  const model = errorOf(core.covariance)
  const ratio = exponential(core.coefficients[index]!, scale)
  if (variance.reason !== undefined) {
    const none = notEstimable(variance.reason)
    return {
      ...withoutEstimate(variance.reason, noInterval(variance.reason)),
      estimate: ratio,
      logHazardRatio: coefficient,
      modelStandardError: model,
      robustStandardError: none,
    }
  }
  const error = variance.robust === undefined ? model : errorOf(variance.robust)
  const statistic = quantityOf(coefficient / error, 'standard-error-zero')
  const { denominator } = variance
  const pValue = isNumber(statistic)
    ? 2 *
      (denominator === undefined
        ? normalUpperTail(Math.abs(statistic))
        : studentTUpperTail(Math.abs(statistic), denominator))
    : statistic
  const quantile =
    denominator === undefined
      ? normalUpperQuantile((1 - options.level) / 2)
      : studentTQuantile((1 + options.level) / 2, denominator)
  const interval =
    options.interval === 'profile'
      ? profileInInputScale(core, index, options.level)
      : {
          lower: exponential(coefficient - quantile * error, 1),
          upper: exponential(coefficient + quantile * error, 1),
        }
  return {
    estimate: ratio,
    interval,
    logHazardRatio: coefficient,
    standardError: { value: error, scale: 'log hazard ratio' },
    modelStandardError: model,
    ...(variance.robust === undefined ? {} : { robustStandardError: error }),
    statistic,
    pValue,
  }
}

/** Covariance in the units of the input for all columns asked for; states where a column has no estimate. */
export function inInputScale(
  core: CoxCore,
  design: CoxDesign,
  covariance: Float64Array,
  reason?: PlainReason,
): readonly (readonly Quantity[])[] {
  const size = core.fitted.length
  return design.names.map((_, row) =>
    design.names.map((_, column) => {
      const a = core.fitted.indexOf(row)
      const b = core.fitted.indexOf(column)
      if (a < 0 || b < 0) return notEstimable(noVariationReason)
      if (core.monotone[a] || core.monotone[b]) return notEstimable(separatedReason)
      if (reason !== undefined) return notEstimable(reason)
      return covariance[a * size + b]! / (core.design.scale[a]! * core.design.scale[b]!)
    }),
  )
}
