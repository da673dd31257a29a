/** Meta-analysis: the entrance to the files of meta/. */
export type { HeterogeneityEstimator } from './heterogeneity.js'
export type { Heterogeneity } from './heterogeneityAnswer.js'
export { type LeftOut, leaveOneOut, type StudyInfluence, studyInfluence } from './influence.js'
export {
  type MetaAnalysis,
  type MetaAnalysisOptions,
  metaAnalysis,
  type PredictionMethod,
  type RandomEffectsInterval,
  type StudyWeight,
} from './inverseVariance.js'
export {
  type MetaRegression,
  type MetaRegressionOptions,
  type ModeratorEffect,
  metaRegression,
} from './metaRegression.js'
export type { PooledEffect } from './pooledEffect.js'
export {
  mantelHaenszelMetaAnalysis,
  type PetoResult,
  petoMetaAnalysis,
  type RareEventMeasure,
  type TwoGroupCounts,
} from './rareEvents.js'
export {
  metaAnalysisOfProportions,
  metaAnalysisOfRates,
  type SingleArmOptions,
} from './singleArm.js'
export {
  type ProportionScale,
  proportionEffects,
  type RateScale,
  rateEffects,
  type StudyEffects,
} from './singleArmEffects.js'
export type { SingleArmMetaAnalysis } from './singleArmExtremes.js'
export { type SmallStudyTest, smallStudyTest } from './smallStudy.js'
