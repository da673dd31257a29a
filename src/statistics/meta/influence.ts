import { notEstimable, type Quantity } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import { tauSquaredEstimate } from './heterogeneity.js'
import { type MetaAnalysis, type MetaAnalysisOptions, metaAnalysis } from './inverseVariance.js'
import { interceptDesign, type StudyDesign, weightedFit } from './weightedFit.js'

/** The meta-analysis without one study. */
export interface LeftOut {
  /** Position of the study left out, from 0. */
  readonly study: number
  readonly analysis: MetaAnalysis
}

/** How one study stands to the others. */
export interface StudyInfluence {
  /** Position of the study, from 0. */
  readonly study: number
  /** Its share of the random-effects weight. */
  readonly weight: number
  /** Its distance from the mean of the others, in standard deviations of that distance. */
  readonly deletedResidual: Quantity
  /** Change of its fitted value when it is left out, in standard errors without it. */
  readonly shift: Quantity
  /** Squared change of the mean when it is left out, over the variance of the mean with it. */
  readonly cookDistance: Quantity
  /** Variance of the mean without it over that with it; below 1 where it makes the mean less certain. */
  readonly covarianceRatio: Quantity
  /** Variance between the other studies. */
  readonly tauSquaredWithout: Quantity
  /** Heterogeneity of the other studies. */
  readonly qWithout: Quantity
}

/**
 * Repeats the meta-analysis with each study left out in turn; one study gives an empty list.
 *
 * @param effects one effect per study
 * @param variances their squared standard errors, above 0
 * @param options those of metaAnalysis
 * @throws NumericalError as metaAnalysis
 * @example leaveOneOut([0.2, 0.4, 0.9], [0.04, 0.09, 0.01])[2].analysis.common.estimate // => 0.262
 */
export const leaveOneOut = checked(
  'leaveOneOut',
  (effects: NumberColumn, variances: NumberColumn, options: MetaAnalysisOptions = {}): readonly LeftOut[] => {
    const { k } = interceptDesign(effects, variances)
    if (k === 1) return Object.freeze([])
    const without = (column: NumberColumn, study: number): number[] =>
      Array.from(column).filter((_, i) => i !== study)
    return Object.freeze(
      Array.from({ length: k }, (_, study) => {
        const { n, events, clusters, ...rest } = options
        const sizes = {
          ...(n === undefined ? {} : { n: without(n, study) }),
          ...(events === undefined ? {} : { events: without(events, study) }),
          ...(clusters === undefined ? {} : { clusters: without(clusters, study) }),
        }
        const analysis = metaAnalysis(without(effects, study), without(variances, study), {
          ...rest,
          ...sizes,
        })
        return Object.freeze({ study, analysis })
      }),
    )
  },
)

/**
 * Measures of influence of each study on the random-effects mean (Viechtbauer and Cheung 2010). τ² is estimated anew
 * without the study. One study: not estimable; two: the other one's τ² counts as 0.
 *
 * @param effects one effect per study
 * @param variances their squared standard errors, above 0
 * @param options.estimator default 'restricted-likelihood'
 * @throws NumericalError as metaAnalysis
 * @example studyInfluence([0.2, 0.4, 0.9], [0.04, 0.09, 0.01])[2].deletedResidual // => 3.2886
 */
export const studyInfluence = checked(
  'studyInfluence',
  (
    effects: NumberColumn,
    variances: NumberColumn,
    options: Pick<MetaAnalysisOptions, 'estimator'> = {},
  ): readonly StudyInfluence[] => {
    const { estimator = 'restricted-likelihood' } = options
    const studies = interceptDesign(effects, variances)
    if (studies.k === 1) return Object.freeze([alone()])
    const fit = weightedFit(studies, tauSquaredEstimate(studies, estimator))
    const mean = fit.coefficients[0]!
    const variance = fit.covariance[0]!
    return Object.freeze(
      Array.from({ length: studies.k }, (_, study) => {
        const others = dropped(studies, study)
        const tauSquared = others.k > 1 ? tauSquaredEstimate(others, estimator) : 0
        const rest = weightedFit(others, tauSquared)
        const restMean = rest.coefficients[0]!
        const restVariance = rest.covariance[0]!
        const distance = studies.effects[study]! - restMean
        const leverage = fit.weights[study]! * variance
        return Object.freeze({
          study,
          weight: leverage,
          deletedResidual: distance / Math.sqrt(studies.variances[study]! + tauSquared + restVariance),
          // The fitted value's standard error, with the hat value of the full fit and the τ² without the study.
          shift: (mean - restMean) / Math.sqrt(leverage * (tauSquared + studies.variances[study]!)),
          cookDistance: (mean - restMean) ** 2 / variance,
          covarianceRatio: restVariance / variance,
          tauSquaredWithout: others.k > 1 ? tauSquared : notEstimable('one-study-left'),
          qWithout: others.k > 1 ? weightedFit(others, 0).q : notEstimable('one-study-left'),
        })
      }),
    )
  },
)

function dropped(studies: StudyDesign, study: number): StudyDesign {
  const keep = (column: Float64Array): Float64Array => column.filter((_, i) => i !== study)
  return {
    k: studies.k - 1,
    p: 1,
    effects: keep(studies.effects),
    variances: keep(studies.variances),
    design: keep(studies.design),
  }
}

function alone(): StudyInfluence {
  const none = notEstimable('one-study')
  return Object.freeze({
    study: 0,
    weight: 1,
    deletedResidual: none,
    shift: none,
    cookDistance: none,
    covarianceRatio: none,
    tauSquaredWithout: none,
    qWithout: none,
  })
}
