/** Planning of studies: the entrance to the files of planning/. */
export {
  type DesignEffectOptions,
  effectiveSize,
  type InflatedSize,
  inflatedSize,
  type PlannedDesignEffect,
  plannedDesignEffect,
} from './planning/clusters.js'
export {
  type DetectableHazardRatio,
  detectableHazardRatio,
  eventsForLogRank,
  type LogRankOptions,
  type PlannedEvents,
  type PlannedLogRankSize,
  sizeForLogRank,
} from './planning/events.js'
export type { ComparisonOptions, Planned } from './planning/planningOptions.js'
export {
  eventsForHazardRatioPrecision,
  eventsForRatePrecision,
  type PlannedPrecision,
  sizeForDifferenceWidth,
  sizeForProportionWidth,
} from './planning/precision.js'
export { type DifferencePrecision, unitsForDifference } from './planning/precisionOfDifference.js'
export {
  type DetectableProportion,
  detectableProportion,
  type PlannedTwoProportions,
  sizesForTwoProportions,
  type TwoProportionOptions,
} from './planning/proportions.js'
export { type PlannedTwoRates, type TwoRateOptions, timeForTwoRates } from './planning/rates.js'
export {
  type SimulatedDesign,
  type SimulatedPower,
  type SimulationOptions,
  simulatedPower,
} from './planning/simulatedPower.js'
export { type PlannedZeroEvents, sizeForZeroEvents } from './planning/zeroEvents.js'
