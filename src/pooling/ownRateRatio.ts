import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** A clinic's own log rate ratio of the group against the comparator. */
export interface OwnEstimate {
  readonly logRateRatio: number
  /** Variance that allows for several restorations in one patient, or for none. */
  readonly robustVariance: number
  readonly modelVariance: number
}

/** Events and days at risk of both groups in one interval of one block. */
export interface Span {
  readonly from: number
  readonly to: number
  /** Whether it is the first of its block, to which day 0 belongs. */
  readonly first: boolean
  readonly block: number
  readonly events: [number, number]
  readonly days: [number, number]
}

/**
 * A clinic's own log rate ratio, its hazard constant within each interval of each block and free between them: exact
 * days at risk count, so that groups followed for different lengths are not set against each other as if they were
 * alike, which a risk set over a whole interval does. The estimate itself follows from the shared counts and days.
 *
 * @param byPatient whether scores are summed over patients before they are squared
 * @returns undefined where one group has no event or no time
 * Sources: piecewise-constant hazards Friedman (1982); robust variance Lin and Wei (1989).
 */
export function ownRateRatio(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  byPatient: boolean,
): OwnEstimate | undefined {
  const spans = spansOf(rows, protocol, plan)
  const log = commonLogRatio(spans)
  if (log === undefined) return undefined
  const ratio = Math.exp(log)
  const shares = spans.map((span) => shareOf(span, ratio))
  const scores = new Map<number, number>()
  for (let row = 0; row < rows.n; row++) {
    const cluster = byPatient ? rows.patient[row]! : row
    scores.set(cluster, (scores.get(cluster) ?? 0) + scoreOf(rows, plan, spans, shares, ratio, row))
  }
  let meat = 0
  for (const score of scores.values()) meat += score * score
  return estimateOf(spans, log, meat)
}

/**
 * The estimate with its variances.
 *
 * @param meat sum of the squared scores of patients, or of restorations
 */
export function estimateOf(spans: readonly Span[], log: number, meat: number): OwnEstimate | undefined {
  const information = spans.reduce((sum, span) => {
    const share = shareOf(span, Math.exp(log))
    return sum + (span.events[0] + span.events[1]) * share * (1 - share)
  }, 0)
  if (!(information > 0) || !(meat > 0)) return undefined
  return {
    logRateRatio: log,
    robustVariance: meat / (information * information),
    modelVariance: 1 / information,
  }
}

function spansOf(rows: SiteRows, protocol: Protocol, plan: SitePlan): readonly Span[] {
  const spans: Span[] = plan.ends.flatMap((ends, block) =>
    ends.map((end, i) => ({
      from: i === 0 ? 0 : protocol.gridDays[ends[i - 1]!]!,
      to: protocol.gridDays[end]!,
      first: i === 0,
      block,
      events: [0, 0],
      days: [0, 0],
    })),
  )
  for (let row = 0; row < rows.n; row++) {
    const group = rows.group[row] as 0 | 1
    for (const span of spans) {
      if (span.block !== plan.grouping.blockOf[rows.stratum[row]!]) continue
      span.days[group] += daysIn(rows, span, row)
      if (endsIn(rows, span, row)) span.events[group] += 1
    }
  }
  return spans
}

function daysIn(rows: SiteRows, { from, to }: Span, row: number): number {
  return Math.max(0, Math.min(rows.timeDays[row]!, to) - Math.max(rows.entryDays[row]!, from))
}

/** Whether the endpoint of a row falls into a span; day 0 belongs to the first. */
function endsIn(rows: SiteRows, { from, to, first }: Span, row: number): boolean {
  const time = rows.timeDays[row]!
  return rows.status[row] === 1 && time <= to && (time > from || (first && time === 0))
}

/** Share of the group in the hazard of a span. */
export function shareOf({ days }: Span, ratio: number): number {
  const all = days[0] + days[1] * ratio
  return all > 0 ? (days[1] * ratio) / all : 0
}

/** Newton's method on the conditional likelihood; undefined where it has no maximum. */
export function commonLogRatio(spans: readonly Span[]): number | undefined {
  const telling = spans.filter(({ days }) => days[0] > 0 && days[1] > 0)
  const events = (group: 0 | 1): number => telling.reduce((sum, span) => sum + span.events[group], 0)
  if (events(0) === 0 || events(1) === 0) return undefined
  let log = 0
  for (let iteration = 0; iteration < 100; iteration++) {
    let score = 0
    let information = 0
    for (const span of telling) {
      const share = shareOf(span, Math.exp(log))
      const all = span.events[0] + span.events[1]
      score += span.events[1] - all * share
      information += all * share * (1 - share)
    }
    const step = Math.max(-1, Math.min(1, score / information))
    log += step
    if (Math.abs(step) < 1e-12) return log
  }
  return undefined
}

/** Efficient score of one restoration. */
function scoreOf(
  rows: SiteRows,
  plan: SitePlan,
  spans: readonly Span[],
  shares: readonly number[],
  ratio: number,
  row: number,
): number {
  const group = rows.group[row]!
  const block = plan.grouping.blockOf[rows.stratum[row]!]
  let score = 0
  spans.forEach((span, s) => {
    if (span.block !== block) return
    const all = span.days[0] + span.days[1] * ratio
    if (all === 0) return
    const hazard = ((span.events[0] + span.events[1]) / all) * (group === 1 ? ratio : 1)
    const excess = (endsIn(rows, span, row) ? 1 : 0) - hazard * daysIn(rows, span, row)
    score += (group - shares[s]!) * excess
  })
  return score
}
