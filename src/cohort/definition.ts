/** What the cohort is made of; every setting is printed with the report. */
export interface CohortDefinition {
  /** Endpoint; first screw loosening is the default. */
  readonly endpoint: EndpointName
  /** Types of restoration that enter; default: single crowns. */
  readonly restorationTypes: readonly string[]
  /** Longest time in days after the last check at which a competing event still counts; default 400. */
  readonly recallIntervalDays: number
  /** Minutes between the first and a later tightening that count as repeated within the window; default 10 to 15. */
  readonly waitWindowMinutes: { readonly from: number; readonly to: number }
  /**
   * Where time at risk without an event ends: at the last look that would have shown the endpoint (default), or at the
   * last contact of any kind, which is the sensitivity analysis for checks that stop early.
   */
  readonly riskEndsAt?: 'last look' | 'last contact'
}

/** Endpoints of a cohort. */
export const endpointNames = [
  'screw_loosening',
  'screw_fracture',
  'screw_complication',
  'loss_of_retention',
  'veneer_chipping',
  'implant_loss',
  'removal',
] as const

/** One endpoint of a cohort. */
export type EndpointName = (typeof endpointNames)[number]

/** Exposure groups of the delivery day, in the order of every table. */
export const exposureGroups = [
  'single',
  'repeated in the window',
  'repeated outside the window',
  'undone and tightened again',
  'other',
  'unknown',
] as const

/** One exposure group of the delivery day. */
export type ExposureGroup = (typeof exposureGroups)[number]

/** The definition that is used where nothing else is asked for. */
export const defaultDefinition: CohortDefinition = Object.freeze({
  endpoint: 'screw_loosening',
  restorationTypes: Object.freeze(['single_crown']),
  recallIntervalDays: 400,
  waitWindowMinutes: Object.freeze({ from: 10, to: 15 }),
})
