/** Planning of studies: the entrance to the files of planning/. */
export {
  type DesignEffectOptions,
  effectiveSize,
  type InflatedSize,
  inflatedSize,
  type PlannedDesignEffect,
  plannedDesignEffect,
} from './clusters.js'
export {
  type DetectableHazardRatio,
  detectableHazardRatio,
  eventsForLogRank,
  type LogRankOptions,
  type PlannedEvents,
  type PlannedLogRankSize,
  sizeForLogRank,
} from './events.js'
export type { ComparisonOptions, Planned } from './planningOptions.js'
export {
  eventsForHazardRatioPrecision,
  eventsForRatePrecision,
  type PlannedPrecision,
  sizeForDifferenceWidth,
  sizeForProportionWidth,
} from './precision.js'
export { type DifferencePrecision, unitsForDifference } from './precisionOfDifference.js'
export {
  type DetectableProportion,
  detectableProportion,
  type PlannedTwoProportions,
  sizesForTwoProportions,
  type TwoProportionOptions,
} from './proportions.js'
export { type PlannedTwoRates, type TwoRateOptions, timeForTwoRates } from './rates.js'
export {
  type SimulatedDesign,
  type SimulatedPower,
  type SimulationOptions,
  simulatedPower,
} from './simulatedPower.js'
export { type PlannedZeroEvents, sizeForZeroEvents } from './zeroEvents.js'
