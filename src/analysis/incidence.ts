import type { Estimate } from '../core/estimate.js'

/** Cumulative incidence at one horizon. */
export interface HorizonRisk {
  readonly years: number
  /** Share of restorations with the endpoint by the horizon, competing events allowed for. */
  readonly risk: Estimate
  /** Restorations still at risk just before the horizon. */
  readonly atRisk: number
  /** Fewer than the least number at risk: printed, flagged. */
  readonly thin: boolean
}

/** How often the endpoint happened in one group. */
export interface GroupIncidence {
  /** "all", or the name of an exposure group. */
  readonly group: string
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly competingEvents: number
  readonly restorationYears: number
  /** Median follow-up in years by the reverse product-limit method. */
  readonly medianFollowUpYears: Estimate
  /** Share with the endpoint, whatever the follow-up. */
  readonly proportion: Estimate
  /** Endpoints per 100 restoration-years. */
  readonly ratePer100Years: Estimate
  readonly horizons: readonly HorizonRisk[]
}

/** Answer to "how often do mine loosen". */
export interface IncidenceResult {
  readonly overall: GroupIncidence
  readonly byGroup: readonly GroupIncidence[]
  readonly level: number
}
