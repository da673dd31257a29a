import type { CohortSummary } from '../cohort/attrition.js'
import type { CohortDefinition } from '../cohort/definition.js'
import type { IncidenceResult } from './incidence.js'
import type { RetentionResult } from './retention.js'
import type { TighteningComparisonResult } from './tighteningComparison.js'

export type { Attrition, AttritionStep, CohortSummary } from '../cohort/attrition.js'
export type { CohortDefinition, EndpointName } from '../cohort/definition.js'

/** Everything that the audit report of one practice or group of clinics shows. */
export interface AuditResult {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
  readonly incidence: IncidenceResult
  readonly retention: RetentionResult
  /** Absent where one of the two groups is empty. */
  readonly comparison: TighteningComparisonResult | undefined
  readonly settings: AuditSettings
}

/** Settings of the analysis that the report prints. */
export interface AuditSettings {
  readonly level: number
  readonly horizonsYears: readonly number[]
  readonly leastAtRisk: number
  readonly seed: number
}
