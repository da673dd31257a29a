import { daysPerYear } from '../core/calendar.js'
import type { Estimate, Quantity, Warning } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { cumulativeIncidence } from '../statistics/competingRisks.js'
import { kaplanMeier } from '../statistics/survival.js'
import { survivalAt } from '../statistics/survivalAt.js'
import type { Protocol } from './protocol.js'
import { pseudoRows } from './pseudoRows.js'
import { spreadRetention } from './spreadRetention.js'
import type { SiteSummary } from './summarySchema.js'

/** Retention at one horizon. */
export interface PooledHorizon {
  readonly years: number
  readonly atRisk: number
  /** Events at the ends of their intervals, as the curve has them. */
  readonly retention: Estimate
  /**
   * Retention with the events of each interval spread over its time at risk: the better reading within an interval, of
   * which the step estimate has the events at its end only.
   */
  readonly retentionSpread: Quantity
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
  return curveOfRows(group, rows, protocol, warnings, (day) => spreadRetention(summaries, wanted, day))
}

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
  spread: (day: number) => Quantity,
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
      retentionSpread: spread(days[i]!),
    })),
    method: curve.method,
    warnings,
  })
}

function endpoints(rows: CurveRows): Uint8Array {
  return rows.status.map((one) => (one === 1 ? 1 : 0))
}
