import type { EndpointName, ExposureGroup } from '../../cohort/definition.js'
import type { PrimaryContrast, SensitivityAnalysis } from '../../vocabulary/analyses.js'
import type { CovariateName } from '../../vocabulary/fields.js'

export type { PrimaryContrast } from '../../vocabulary/analyses.js'

/** One thing that may be adjusted for. */
export type AdjustmentKey = CovariateName

/** One sensitivity analysis. */
export type SensitivityKey = SensitivityAnalysis

/** What a plan decides before results; docs/plan.md says what each field means and its default. */
export interface PlannedFields {
  /** Day on which the plan was made, ISO; absent in the default plan. */
  readonly written?: string | undefined
  readonly title?: string | undefined
  readonly endpoint: EndpointName
  readonly restorationTypes: readonly string[]
  /** Group asked about, and its comparator. */
  readonly group: ExposureGroup
  readonly against: ExposureGroup
  readonly waitWindowMinutes: { readonly from: number; readonly to: number }
  readonly recallIntervalDays: number
  readonly primary: { readonly contrast: PrimaryContrast; readonly horizonYears: number }
  /** A share, a ratio below 1, or days, by the primary contrast. */
  readonly smallestDifference: number
  readonly horizonsYears: readonly number[]
  /** What to allow for, most important first. */
  readonly adjustFor: readonly AdjustmentKey[]
  readonly strata: readonly ('clinic' | 'operator')[]
  readonly negativeControl: EndpointName | 'none'
  readonly sensitivity: readonly SensitivityKey[]
  readonly level: number
  /** Days from which clinics tightened in another way; absent, they are found from the tightenings. */
  readonly protocolChanges?: readonly { readonly clinic: string; readonly from: string }[] | undefined
}
