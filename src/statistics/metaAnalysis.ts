/** Meta-analysis: the entrance to the files of meta/. */
export type { HeterogeneityEstimator } from './meta/heterogeneity.js'
export type { Heterogeneity } from './meta/heterogeneityAnswer.js'
export { type LeftOut, leaveOneOut, type StudyInfluence, studyInfluence } from './meta/influence.js'
export {
  type MetaAnalysis,
  type MetaAnalysisOptions,
  metaAnalysis,
  type PredictionMethod,
  type RandomEffectsInterval,
  type StudyWeight,
} from './meta/inverseVariance.js'
export {
  type MetaRegression,
  type MetaRegressionOptions,
  type ModeratorEffect,
  metaRegression,
} from './meta/metaRegression.js'
export type { PooledEffect } from './meta/pooledEffect.js'
export {
  mantelHaenszelMetaAnalysis,
  type PetoResult,
  petoMetaAnalysis,
  type RareEventMeasure,
  type TwoGroupCounts,
} from './meta/rareEvents.js'
export {
  metaAnalysisOfProportions,
  metaAnalysisOfRates,
  type SingleArmOptions,
} from './meta/singleArm.js'
export {
  type ProportionScale,
  proportionEffects,
  type RateScale,
  rateEffects,
  type StudyEffects,
} from './meta/singleArmEffects.js'
export type { SingleArmMetaAnalysis } from './meta/singleArmExtremes.js'
export { type SmallStudyTest, smallStudyTest } from './meta/smallStudy.js'
