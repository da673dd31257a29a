import { type Interval, noInterval, notEstimable, type Quantity } from '../core/estimate.js'
import { normalUpperQuantile } from '../statistics/numeric/distributions.js'
import type { SiteSummary } from './summarySchema.js'

/** Retention at a day, events of each interval spread over its time at risk. */
export interface SpreadReading {
  readonly timeDays: number
  readonly retention: Quantity
  readonly interval: Interval
  /** Restorations at risk around the day: days at risk of the intervals that hold it, by their length. */
  readonly meanAtRisk: number
  /** Events of the intervals that have begun by the day. */
  readonly events: number
}

/** Name of the method. */
export const spreadMethod = 'piecewise exponential, events spread over time at risk, log-log interval'

interface Span {
  readonly from: number
  readonly to: number
  readonly events: number
  readonly timeAtRisk: number
  /** Part of the cumulative hazard that one event of this span adds. */
  weight: number
}

/**
 * Retention at days with events and time at risk of every interval spread evenly over it: the hazard at a time is the
 * sum over sites of events per day over the sum of restorations at risk per day (piecewise exponential curve). Events on
 * day 0 of sites whose grid shows that day apart count as a share of those at risk. The interval takes the events of
 * each site's interval as Poisson, restorations as independent.
 *
 * @param wanted groups that count
 * @param days days wanted, rising
 * @returns readings, not estimable beyond the last interval
 * Source: Berry (1983), The analysis of mortality by the subject-years method; Friedman (1982) for the piecewise model.
 */
export function spreadRetentions(
  summaries: readonly SiteSummary[],
  wanted: (group: string) => boolean,
  days: readonly number[],
  level: number,
): readonly SpreadReading[] {
  const spans = spansOf(summaries, wanted)
  const last = spans.reduce((latest, { to }) => Math.max(latest, to), 0)
  const bounds = [...new Set([...spans.flatMap(({ from, to }) => [from, to]), ...days])].sort((a, b) => a - b)
  const start = onDayZero(summaries, wanted)
  const readings = new Map<number, SpreadReading>()
  let cumulative = start.hazard
  let from = 0
  for (const bound of bounds) {
    const active = spans.filter((span) => span.from <= from && span.to >= bound && bound > from)
    const atRisk = active.reduce((sum, one) => sum + one.timeAtRisk / (one.to - one.from), 0)
    for (const span of active) {
      const added = (bound - from) / (span.to - span.from) / atRisk
      span.weight += added
      cumulative += span.events * added
    }
    from = Math.max(from, bound)
    const variance = spans.reduce((sum, one) => sum + one.events * one.weight ** 2, start.variance)
    const begun = spans.filter((span) => span.from < bound)
    readings.set(bound, {
      timeDays: bound,
      ...retentionAt(cumulative, variance, level),
      meanAtRisk: bound === 0 ? start.atRisk : atRisk,
      events: begun.reduce((sum, { events }) => sum + events, start.events),
    })
  }
  return days.map((day) => (day > last ? beyond(day, last) : readings.get(day)!))
}

function retentionAt(
  cumulative: number,
  variance: number,
  level: number,
): Pick<SpreadReading, 'retention' | 'interval'> {
  const retention = Math.exp(-cumulative)
  if (!(cumulative > 0)) return { retention, interval: noInterval('no event until then') }
  const factor = Math.exp((normalUpperQuantile((1 - level) / 2) * Math.sqrt(variance)) / cumulative)
  return {
    retention,
    interval: { lower: Math.exp(-cumulative * factor), upper: Math.exp(-cumulative / factor) },
  }
}

function beyond(timeDays: number, last: number): SpreadReading {
  const reason = `follow-up ends at day ${last}`
  return { timeDays, retention: notEstimable(reason), interval: noInterval(reason), meanAtRisk: 0, events: 0 }
}

function tablesOf(summaries: readonly SiteSummary[], wanted: (group: string) => boolean) {
  return summaries.flatMap(({ blocks }) =>
    blocks.flatMap(({ intervalEndsDays: ends, groups }) =>
      groups.filter(({ group }) => wanted(group)).map((table) => ({ ends, table })),
    ),
  )
}

/** Hazard of day 0, where a grid shows it apart. */
function onDayZero(
  summaries: readonly SiteSummary[],
  wanted: (group: string) => boolean,
): { readonly hazard: number; readonly variance: number; readonly atRisk: number; readonly events: number } {
  const tables = tablesOf(summaries, wanted)
  const atRisk = tables.reduce((sum, { table }) => sum + (table.atRisk[0] ?? 0), 0)
  const events = tables.reduce(
    (sum, { ends, table }) => sum + (ends[0] === 0 ? (table.endpoint[0] ?? 0) : 0),
    0,
  )
  if (events === 0 || events >= atRisk) return { hazard: 0, variance: 0, atRisk, events }
  return {
    hazard: -Math.log1p(-events / atRisk),
    variance: events / (atRisk * (atRisk - events)),
    atRisk,
    events,
  }
}

function spansOf(summaries: readonly SiteSummary[], wanted: (group: string) => boolean): readonly Span[] {
  return tablesOf(summaries, wanted)
    .flatMap(({ ends, table }) =>
      ends.map((to, i) => ({
        from: i === 0 ? 0 : ends[i - 1]!,
        to,
        events: table.endpoint[i]!,
        timeAtRisk: table.timeAtRiskDays[i]!,
        weight: 0,
      })),
    )
    .filter(({ from, to, timeAtRisk }) => to > from && timeAtRisk > 0)
}
