import { notEstimable, type Quantity } from '../core/estimate.js'
import type { SiteSummary } from './summarySchema.js'

interface Span {
  readonly from: number
  readonly to: number
  readonly events: number
  readonly timeAtRisk: number
}

/**
 * Retention at a day with events and time at risk of every interval spread evenly over it: the hazard at a time is the
 * sum over sites of events per day over the sum of restorations at risk per day (piecewise exponential curve).
 *
 * @param wanted groups that count
 * @returns not estimable beyond the last interval
 * Source: Berry (1983), The analysis of mortality by the subject-years method; Friedman (1982) for the piecewise model.
 */
export function spreadRetention(
  summaries: readonly SiteSummary[],
  wanted: (group: string) => boolean,
  day: number,
): Quantity {
  const spans = spansOf(summaries, wanted)
  const last = spans.reduce((latest, { to }) => Math.max(latest, to), 0)
  if (day > last) return notEstimable(`follow-up ends at ${last}`)
  const bounds = [...new Set([...spans.flatMap(({ from, to }) => [from, to]), day])]
    .filter((bound) => bound <= day)
    .sort((left, right) => left - right)
  let cumulative = 0
  for (let i = 0; i + 1 < bounds.length; i++) {
    let events = 0
    let atRisk = 0
    for (const span of spans) {
      if (span.from > bounds[i]! || span.to < bounds[i + 1]!) continue
      events += span.events / (span.to - span.from)
      atRisk += span.timeAtRisk / (span.to - span.from)
    }
    if (events > 0) cumulative += (events / atRisk) * (bounds[i + 1]! - bounds[i]!)
  }
  return Math.exp(-cumulative)
}

function spansOf(summaries: readonly SiteSummary[], wanted: (group: string) => boolean): readonly Span[] {
  return summaries.flatMap(({ blocks }) =>
    blocks.flatMap(({ intervalEndsDays: ends, groups }) =>
      groups
        .filter(({ group }) => wanted(group))
        .flatMap((table) =>
          ends.map((to, i) => ({
            from: i === 0 ? 0 : ends[i - 1]!,
            to,
            events: table.endpoint[i]!,
            timeAtRisk: table.timeAtRiskDays[i]!,
          })),
        )
        .filter(({ from, to, timeAtRisk }) => to > from && timeAtRisk > 0),
    ),
  )
}
