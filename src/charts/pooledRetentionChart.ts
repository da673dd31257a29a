import type { GroupRetention, RetentionResult, RetentionRow } from '../analysis/retention.js'
import { daysPerYear } from '../core/calendar.js'
import type { PooledResult } from '../pooling/combine.js'
import type { PooledCurve } from '../pooling/pooledCurves.js'
import { retentionChart } from './retentionChart.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'

/** Curves are cut where fewer are at risk. */
const leastAtRisk = 10

/**
 * Vega-Lite specification of the pooled retention curves. Curves from summaries have the events of each interval spread
 * over its time at risk, month by month, and their numbers at risk are means over intervals; curves of rows are
 * product-limit estimates.
 *
 * @param result pooled result
 * @param options size (default page), generated (default false)
 */
export function pooledRetentionChart(result: PooledResult, options: FigureOptions = {}): ChartSpecification {
  const last = result.overall.steps.at(-1)!.timeDays / daysPerYear
  const tickYears = Array.from({ length: Math.max(1, Math.floor(last)) + 1 }, (_one, i) => i)
  const retention: RetentionResult = {
    title: `free of ${result.protocol.endpoint.replaceAll('_', ' ')}`,
    overall: groupOf(result.overall, tickYears),
    byGroup: result.byGroup.map((curve) => groupOf(curve, tickYears)),
    tickYears,
    leastAtRisk,
    level: result.protocol.level,
  }
  const groups = result.byGroup.map(({ group }) => group)
  return retentionChart(retention, { ...options, groups: groups.length === 2 ? groups : ['all'] })
}

function groupOf(curve: PooledCurve, tickYears: readonly number[]): GroupRetention {
  const rows = curve.spread.length > 0 ? spreadRows(curve) : exactRows(curve)
  const thin = rows.find(({ atRisk }) => atRisk < leastAtRisk)
  return {
    group: curve.group,
    restorations: curve.restorations,
    patients: curve.restorations,
    events: curve.events,
    method: curve.method,
    rows,
    incidenceRows: [],
    competingRows: [],
    atRiskAtTicks: tickYears.map((years) => rows.find(({ timeYears }) => timeYears >= years)?.atRisk ?? 0),
    eventsByTicks: tickYears.map((years) =>
      rows.reduce((sum, row) => sum + (row.timeYears <= years ? row.events : 0), 0),
    ),
    cutAtYears: (thin ?? rows.at(-1)!).timeYears,
    horizons: [],
  }
}

function exactRows({ steps }: PooledCurve): readonly RetentionRow[] {
  return steps.map(({ timeDays, atRisk, events, censored, retention, lower, upper }) => ({
    timeDays,
    timeYears: timeDays / daysPerYear,
    atRisk,
    events,
    censored,
    retention,
    lower,
    upper,
  }))
}

function spreadRows({ spread }: PooledCurve): readonly RetentionRow[] {
  return spread.flatMap(({ timeDays, retention, interval, meanAtRisk, events }, i) =>
    typeof retention !== 'number'
      ? []
      : [
          {
            timeDays,
            timeYears: timeDays / daysPerYear,
            atRisk: Math.round(meanAtRisk),
            events: events - (spread[i - 1]?.events ?? 0),
            censored: 0,
            retention,
            ...interval,
          },
        ],
  )
}
