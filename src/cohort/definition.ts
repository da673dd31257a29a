import type { EndpointName } from '../vocabulary/endpoints.js'

export { type EndpointName, endpointNames } from '../vocabulary/endpoints.js'
export { type ExposureGroup, exposureGroups } from '../vocabulary/exposure.js'

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
  /**
   * Which visits are looks: `presumed` (default), every visit in person that does not say "no"; `ticks`, only those that
   * say "yes".
   */
  readonly looks?: LookReading
  /**
   * When a finding at a visit that is no look counts: on that day (default with presumed looks), or at the next look
   * (always with ticks only). One without a next look then does not count, and is counted aloud.
   */
  readonly findingsOutsideLooks?: 'that day' | 'next look'
}

/** How a blank tick is read. */
export type LookReading = 'presumed' | 'ticks'

/** Whether a finding at a visit that is no look waits for the next look. */
export function waitsForNextLook(definition: CohortDefinition): boolean {
  return definition.looks === 'ticks' || definition.findingsOutsideLooks === 'next look'
}

/**
 * The definition that is used where nothing else is asked for.
 *
 * @example defaultDefinition.waitWindowMinutes // => {"from":10,"to":15}
 */
export const defaultDefinition: CohortDefinition = Object.freeze({
  endpoint: 'screw_loosening',
  restorationTypes: Object.freeze(['single_crown']),
  recallIntervalDays: 400,
  waitWindowMinutes: Object.freeze({ from: 10, to: 15 }),
})
