import type { Contrast, FittedModel, Quantity, TestResult } from '../../core/estimate.js'
import type { Ties } from './coxLikelihood.js'

/** Hazard ratio of one covariate: of a level against its baseline, or of one unit more of a number. */
export interface HazardRatio extends Contrast {
  /** Name of the covariate, `name=level` for a category. */
  readonly name: string
  /** Logarithm of the hazard ratio: the coefficient of the model. */
  readonly logHazardRatio: Quantity
  /** Standard error of the logarithm from the inverse information. */
  readonly modelStandardError: Quantity
  /** Standard error of the logarithm from the scores summed over clusters, where robust variance was asked for. */
  readonly robustStandardError?: Quantity
  /** Wald statistic of the logarithm against 0, by the variance in force. */
  readonly statistic: Quantity
  readonly pValue: Quantity
}

/** What a Cox regression answers. */
export interface CoxFit extends FittedModel {
  readonly hazardRatios: readonly HazardRatio[]
  /** Covariance of the logarithms of the hazard ratios by the variance in force. */
  readonly covariance: readonly (readonly Quantity[])[]
  /** Covariance from the inverse information. */
  readonly modelCovariance: readonly (readonly Quantity[])[]
  readonly logLikelihood: number
  readonly logLikelihoodAtZero: number
  readonly likelihoodRatioTest: TestResult
  readonly waldTest: TestResult
  readonly scoreTest: TestResult
  readonly robustScoreTest?: TestResult
  readonly ties: Ties
  /** Degrees of freedom of Student's t behind the robust intervals; absent where the normal stands. */
  readonly degreesOfFreedom?: number
}
