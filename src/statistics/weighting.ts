/** Weighting by propensity and by censoring: the entrance to the files of weighting/. */
export {
  type BalanceRow,
  type BalanceSide,
  type CovariateBalance,
  covariateBalance,
} from './weighting/balance.js'
export {
  type CensoringWeightOptions,
  type CensoringWeights,
  censoringWeights,
} from './weighting/censoringWeights.js'
export { type DoublyRobustComparison, doublyRobustComparison } from './weighting/doublyRobust.js'
export { type DoublyRobustEstimate, doublyRobustEstimate } from './weighting/doublyRobustEstimate.js'
export type { OutcomeModel } from './weighting/doublyRobustModel.js'
export type { DoublyRobustColumns, DoublyRobustOptions } from './weighting/doublyRobustProblem.js'
export {
  overlapRisks,
  type TimedColumns,
  type WeightedRisks,
} from './weighting/overlapRisks.js'
export { type OverlapScores, overlapScores } from './weighting/overlapScores.js'
export {
  type Positivity,
  positivityOf,
  type SharedCells,
  sharedCells,
} from './weighting/positivity.js'
export {
  type PropensityScoreOptions,
  type PropensityScores,
  propensityScores,
} from './weighting/propensityScores.js'
export {
  type PropensityWeighting,
  type PropensityWeightingOptions,
  propensityWeighting,
  type WeightedBalance,
} from './weighting/propensityWeighting.js'
export {
  type GroupWeights,
  type PropensityWeightOptions,
  type PropensityWeights,
  propensityWeights,
  type TargetPopulation,
} from './weighting/propensityWeights.js'
export {
  type WeightedOutcomeOptions,
  weightedCurves,
  weightedHazardRatio,
} from './weighting/weightedOutcome.js'
