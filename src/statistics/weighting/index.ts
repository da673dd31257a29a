/** Weighting by propensity and by censoring: the entrance to the files of weighting/. */
export {
  type BalanceRow,
  type BalanceSide,
  type CovariateBalance,
  covariateBalance,
} from './balance.js'
export {
  type CensoringWeightOptions,
  type CensoringWeights,
  censoringWeights,
} from './censoringWeights.js'
export { type DoublyRobustComparison, doublyRobustComparison } from './doublyRobust.js'
export { type DoublyRobustEstimate, doublyRobustEstimate } from './doublyRobustEstimate.js'
export type { OutcomeModel } from './doublyRobustModel.js'
export type { DoublyRobustColumns, DoublyRobustOptions } from './doublyRobustProblem.js'
export {
  overlapRisks,
  type TimedColumns,
  type WeightedRisks,
} from './overlapRisks.js'
export { type OverlapScores, overlapScores } from './overlapScores.js'
export {
  type Positivity,
  positivityOf,
  type SharedCells,
  sharedCells,
} from './positivity.js'
export {
  type PropensityScoreOptions,
  type PropensityScores,
  propensityScores,
} from './propensityScores.js'
export {
  type PropensityWeighting,
  type PropensityWeightingOptions,
  propensityWeighting,
  type WeightedBalance,
} from './propensityWeighting.js'
export {
  type GroupWeights,
  type PropensityWeightOptions,
  type PropensityWeights,
  propensityWeights,
  type TargetPopulation,
} from './propensityWeights.js'
export {
  type WeightedOutcomeOptions,
  weightedCurves,
  weightedHazardRatio,
} from './weightedOutcome.js'
