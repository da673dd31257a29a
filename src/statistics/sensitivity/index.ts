/** How far an answer depends on what is not known: the entrance to the files of sensitivity/. */
export {
  type EValue,
  type EValueOptions,
  eValue,
  eValueOfMeanDifference,
  eValueOfRiskDifference,
  type RatioScale,
  type RiskCounts,
} from './eValue.js'
export {
  type GroupWithLost,
  type LostOptions,
  type LostScenario,
  type LostScenarios,
  lostScenarios,
  type TippingPoint,
  type TippingPoints,
  tippingPoints,
} from './lostToFollowUp.js'
export {
  type CorrectedAssociation,
  type CorrectedMeasure,
  correctedForMisclassification,
  type MisclassificationOptions,
  type MisclassifiedItem,
} from './misclassification.js'
export type { Accuracy, OutcomeTable } from './misclassificationTable.js'
export {
  type AccuracyBelief,
  type ProbabilisticCorrection,
  type ProbabilisticOptions,
  probabilisticMisclassification,
  type ShareBelief,
  type SimulationInterval,
} from './probabilisticMisclassification.js'
