import type { Estimate, Quantity } from '../core/estimate.js'

/** One step of a retention curve; the first stands at time 0, the last at the end of follow-up. */
export interface RetentionRow {
  readonly timeDays: number
  readonly timeYears: number
  /** Restorations at risk just before the time. */
  readonly atRisk: number
  readonly events: number
  readonly censored: number
  /** Probability that the endpoint has not happened by the time, competing events censored. */
  readonly retention: number
  readonly lower: Quantity
  readonly upper: Quantity
}

/** One step of a cumulative incidence curve. */
export interface IncidenceRow {
  readonly timeDays: number
  readonly timeYears: number
  readonly risk: number
  readonly lower: Quantity
  readonly upper: Quantity
}

/** Curves of one group. */
export interface GroupRetention {
  readonly group: string
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly method: string
  readonly rows: readonly RetentionRow[]
  /** Cumulative incidence of the endpoint, competing events allowed for. */
  readonly incidenceRows: readonly IncidenceRow[]
  /** Cumulative incidence of competing events together. */
  readonly competingRows: readonly IncidenceRow[]
  /** Numbers at risk at the tick years of the result, counted just before. */
  readonly atRiskAtTicks: readonly number[]
  /** Endpoints up to and including each tick. */
  readonly eventsByTicks: readonly number[]
  /** Time from which fewer than the least number are at risk: the curve is cut there. */
  readonly cutAtYears: number
  /** Retention at each horizon, with its interval. */
  readonly horizons: readonly {
    readonly years: number
    readonly retention: Estimate
    readonly thin: boolean
  }[]
}

/** Answer to "how long do restorations stay tight". */
export interface RetentionResult {
  /** What the curve shows, such as "free of first screw loosening". */
  readonly title: string
  readonly overall: GroupRetention
  readonly byGroup: readonly GroupRetention[]
  /** Years at which numbers at risk are counted; the chart uses the same ticks. */
  readonly tickYears: readonly number[]
  /** Curves are cut where fewer than this many are at risk. */
  readonly leastAtRisk: number
  readonly level: number
}
