import type { EndpointName, ExposureGroup } from '../cohort/definition.js'

/** What may be adjusted for: only what came before the choice of protocol. */
export const adjustmentKeys = [
  'region',
  'bruxism',
  'connection',
  'delivery_year',
  'component_system',
  'implant_diameter_mm',
  'opposing',
  'restoration_type',
  'retention_mode',
  'crown_material',
  'crown_height_mm',
  'screw_coating',
  'occlusal_guard',
  'age_at_delivery_years',
  'sex',
  'operator',
] as const

/** One thing that may be adjusted for. */
export type AdjustmentKey = (typeof adjustmentKeys)[number]

/** Sensitivity analyses by name. */
export const sensitivityKeys = [
  'visit-schedule',
  'last-contact',
  'equal-follow-up',
  'later-tightening',
  'period-categories',
  'first-years-left-out',
  'lost-to-follow-up',
  'missing-exposure',
  'reported-groups-left-out',
  'misclassification',
  'unmeasured-confounding',
  'immortal-time',
  'multiple-imputation',
] as const

/** One sensitivity analysis. */
export type SensitivityKey = (typeof sensitivityKeys)[number]

/** Contrasts that a plan may declare primary. */
export const primaryContrasts = ['risk-difference', 'hazard-ratio', 'restricted-mean-difference'] as const

/** The contrast declared primary. */
export type PrimaryContrast = (typeof primaryContrasts)[number]

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
