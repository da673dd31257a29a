import { daysPerYear } from '../core/calendar.js'
import { type Estimate, noInterval, notEstimable, type Quantity, type Warning } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { cumulativeIncidence } from '../statistics/competingRisks.js'
import { kaplanMeier } from '../statistics/survival.js'
import { survivalAt } from '../statistics/survivalAt.js'
import type { Protocol } from './protocol.js'
import { pseudoRows } from './pseudoRows.js'
import { type SpreadReading, spreadMethod, spreadRetentions } from './spreadRetention.js'
import type { SiteSummary } from './summarySchema.js'

/** Retention at one horizon. */
export interface PooledHorizon {
  readonly years: number
  readonly atRisk: number
  /** Events at the ends of their intervals, as the curve has them. */
  readonly retention: Estimate
  /**
   * Retention with the events of each interval spread over its time at risk: the better reading within an interval, of
   * which the step estimate has the events at its end only. Not estimable where times are exact.
   */
  readonly retentionSpread: Estimate
}

/** One step of a pooled curve. */
export interface PooledStep {
  readonly timeDays: number
  readonly atRisk: number
  readonly events: number
  readonly competing: number
  readonly censored: number
  readonly retention: number
  readonly lower: Quantity
  readonly upper: Quantity
  /** Cumulative incidence of the endpoint, competing events allowed for. */
  readonly incidence: number
  readonly incidenceLower: Quantity
  readonly incidenceUpper: Quantity
  /** Cumulative incidence of competing events. */
  readonly competingIncidence: number
}

/** Curves of one group over the sites that show it. */
export interface PooledCurve {
  readonly group: string
  readonly restorations: number
  readonly events: number
  readonly steps: readonly PooledStep[]
  /** The curve with events spread over time at risk, month by month; empty where times are exact. */
  readonly spread: readonly SpreadReading[]
  readonly horizons: readonly PooledHorizon[]
  readonly method: string
  readonly warnings: readonly Warning[]
}

/**
 * Product-limit and cumulative incidence of one group, each site on its own grid.
 *
 * @param wanted groups that count; all for the whole
 * @returns undefined where nobody is in the group
 */
export function pooledCurve(
  group: string,
  summaries: readonly SiteSummary[],
  wanted: (group: string) => boolean,
  protocol: Protocol,
  warnings: readonly Warning[],
): PooledCurve | undefined {
  const rows = pseudoRows(summaries, wanted)
  return curveOfRows(group, rows, protocol, warnings, (days) =>
    spreadRetentions(summaries, wanted, days, protocol.level),
  )
}

/** Days from one point of a spread curve to the next. */
const spreadStepDays = daysPerYear / 12

/** Rows of one curve. */
export interface CurveRows {
  readonly n: number
  readonly timeDays: Float64Array
  readonly entryDays: Float64Array
  readonly status: Uint8Array
  readonly lateEntries: boolean
  /** Patient of each row, where it is known. */
  readonly patient?: readonly string[]
}

/** Product-limit and cumulative incidence of rows; undefined where there are none. */
export function curveOfRows(
  group: string,
  rows: CurveRows,
  protocol: Protocol,
  warnings: readonly Warning[],
  spread?: (days: readonly number[]) => readonly SpreadReading[],
): PooledCurve | undefined {
  if (rows.n === 0) return undefined
  const options = {
    level: protocol.level,
    ...(rows.lateEntries ? { entry: rows.entryDays } : {}),
    ...(rows.patient === undefined ? {} : { cluster: rows.patient }),
  }
  const curve = kaplanMeier(rows.timeDays, endpoints(rows), options)
  const incidence = cumulativeIncidence(rows.timeDays, rows.status, { ...options, causes: 2 })
  const [own, other] = incidence.causes
  const days = protocol.horizonsYears.map((years) => years * daysPerYear)
  const last = rows.timeDays.reduce((latest, day) => Math.max(latest, day), 0)
  const months = Array.from(
    { length: Math.floor(last / spreadStepDays) + 1 },
    (_one, i) => i * spreadStepDays,
  )
  const readings = spread?.([...days].sort((left, right) => left - right))
  const readingAt = (day: number): SpreadReading | undefined =>
    readings?.find(({ timeDays }) => timeDays === day)
  return deepFreeze({
    group,
    restorations: rows.n,
    events: curve.events,
    steps: curve.rows.map((row, i) => ({
      timeDays: row.time,
      atRisk: row.atRisk,
      events: row.events,
      competing: other!.rows[i]!.events,
      censored: row.censored - other!.rows[i]!.events,
      retention: row.survival,
      lower: row.lower,
      upper: row.upper,
      incidence: own!.rows[i]!.incidence,
      incidenceLower: own!.rows[i]!.lower,
      incidenceUpper: own!.rows[i]!.upper,
      competingIncidence: other!.rows[i]!.incidence,
    })),
    spread: spread?.(months) ?? [],
    horizons: survivalAt(curve, days).map((at, i) => ({
      years: protocol.horizonsYears[i]!,
      atRisk: at.atRisk,
      retention: {
        estimate: at.survival,
        interval: at.interval,
        level: curve.level,
        method: curve.method,
        n: rows.n,
        events: at.events,
        clusters: curve.clusters,
        warnings,
        reference: 'pooled-curve',
      },
      retentionSpread: spreadEstimate(readingAt(days[i]!), rows.n, curve.level, warnings),
    })),
    method: curve.method,
    warnings,
  })
}

function spreadEstimate(
  reading: SpreadReading | undefined,
  n: number,
  level: number,
  warnings: readonly Warning[],
): Estimate {
  return {
    estimate: reading?.retention ?? notEstimable('times are exact'),
    interval: reading?.interval ?? noInterval('times are exact'),
    level,
    method: spreadMethod,
    n,
    events: reading?.events ?? 0,
    clusters: n,
    warnings,
    reference: 'pooled-curve',
  }
}

function endpoints(rows: CurveRows): Uint8Array {
  return rows.status.map((one) => (one === 1 ? 1 : 0))
}
