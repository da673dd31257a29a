export type { Asked, AskedSettings } from './askedGroups.js'
export * from './audit.js'
export * from './benchTorque.js'
export { type AdjustedModel, adjustedModel, type ModelTerm } from './description/adjustedModel.js'
export {
  type CategoryCharacteristic,
  type Characteristics,
  characteristics,
  type NumberCharacteristic,
} from './description/characteristics.js'
export {
  type AskedIncidence,
  type GroupIncidence,
  type HorizonRisk,
  type IncidenceResult,
  incidence,
} from './incidence.js'
export * from './planFile.js'
export {
  defaultAssumptions,
  type PlannedStudy,
  type PlanningAssumptions,
  plannedStudy,
} from './plannedStudy.js'
export { preloadFromTorque } from './preload.js'
export { type AskedRetention, type GroupRetention, type RetentionResult, retention } from './retention.js'
export * from './settings.js'
export * from './tighteningComparison.js'
export { compareReports, type TwoReports } from './twoReports.js'
export {
  type FactorRatio,
  type SiteRisk,
  type WhatElseMatters,
  type WhatElseOptions,
  whatElseMatters,
} from './whatElseMatters.js'
