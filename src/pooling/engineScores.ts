import type { CountedSums, ModelClass } from './countedModel.js'
import { type Span, shareOf } from './ownRateRatio.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import { coarseCase, type EngineRows, ofClinic } from './sqlSource.js'
import { blockCase, exitCase } from './sqlText.js'

/** What scores of restorations are made from. */
export interface ScoreNeeds {
  readonly classes: readonly ModelClass[]
  readonly sums: CountedSums
  /** Intervals of the site's own rate ratio, and its logarithm; undefined where it has none. */
  readonly spans: readonly Span[]
  readonly log: number | undefined
  readonly byPatient: boolean
}

/** Sums of squared scores. */
export interface Meat {
  readonly model: number
  readonly own: number
}

/**
 * Scores are added as whole numbers of this size: an engine adds in any order, and sums of doubles would differ in their
 * last bits from one run to the next, so that a release could not be made again.
 */
const unit = 2 ** -40

/**
 * Squared scores summed over patients, or over restorations: of the model at its coefficients (of one coefficient), and
 * of the site's own rate ratio, whose score of a restoration is linear in its days within each interval.
 */
export async function engineMeat(
  rows: EngineRows,
  protocol: Protocol,
  plan: SitePlan,
  needs: ScoreNeeds,
): Promise<Meat> {
  const width = Math.max(...plan.ends.map((ends) => ends.length))
  const lines = linesOf(needs)
  const lineOf = (block: number, side: number, interval: number): Line =>
    lines.get(`${block} ${side} ${interval}`) ?? flat
  const values = needs.classes.map((one, c) => {
    const { block, covariates, event, exit, entry } = one
    const side = covariates[0]!
    const line = lineOf(block, side, exit)
    const code = (((block * 2 + side) * 2 + (event ? 1 : 0)) * width + exit) * width + entry
    const numbers = [needs.sums.scores[c]![0]!, event ? line.jump : 0, line.base, line.slope, line.from]
    return `(${[String(code), ...numbers.map(double)].join(', ')})`
  })
  const block = blockCase(plan.grouping)
  const event = 'CASE WHEN status = 1 THEN 1 ELSE 0 END'
  const exitAt = coarseCase(plan, 'exit_interval')
  const entryAt = `CASE WHEN entry_interval = 0 THEN 0 ELSE ${coarseCase(plan, 'entry_interval')} END`
  const code = `(((${block} * 2 + side) * 2 + ${event}) * ${width} + ${exitAt}) * ${width} + ${entryAt}`
  const late = rows.lateEntries && needs.log !== undefined
  const entryCode = late
    ? `, (${block} * 2 + side) * ${width} + ${entryInterval(protocol, plan)} AS entry_code`
    : ''
  const before = late ? ' + e.base + e.slope * (r.entry_day - e.start)' : ''
  const own = `s.jump - (s.base + s.slope * (r.exit_day - s.start))${before}`
  const whole = (score: string): string => `CAST(ROUND((${score}) * ${double(1 / unit)}) AS BIGINT)`
  const query = [
    `WITH scores (code, model, jump, base, slope, start) AS (VALUES ${values.join(', ')}),`,
    ...(late ? [`entries (code, base, slope, start) AS (VALUES ${entryValues(plan, width, lineOf)}),`] : []),
    'scored AS (',
    `  SELECT r.patient, ${whole('s.model')} AS model, ${whole(own)} AS own`,
    `  FROM (SELECT patient, exit_day, entry_day, ${code} AS code${entryCode} FROM ${rows.table} WHERE ${ofClinic(rows)}) AS r`,
    '  JOIN scores AS s ON s.code = r.code',
    ...(late ? ['  JOIN entries AS e ON e.code = r.entry_code'] : []),
    ')',
    `SELECT COALESCE(SUM(${square('model')}), 0) AS model, COALESCE(SUM(${square('own')}), 0) AS own FROM ${
      needs.byPatient
        ? '(SELECT SUM(model) AS model, SUM(own) AS own FROM scored GROUP BY patient) AS patients'
        : 'scored'
    }`,
  ].join('\n')
  const [found] = await rows.ask(query)
  return { model: found!.model! * unit * unit, own: found!.own! * unit * unit }
}

/** Squares are whole numbers too, and larger than 64 bits hold. */
function square(name: string): string {
  return `CAST(${name} AS HUGEINT) * CAST(${name} AS HUGEINT)`
}

/** Expected score up to a day within one interval, as a line; and what an event in it adds. */
interface Line {
  readonly from: number
  readonly base: number
  readonly slope: number
  readonly jump: number
}

const flat: Line = { from: 0, base: 0, slope: 0, jump: 0 }

/** Lines by block, group and interval. */
function linesOf({ spans, log }: ScoreNeeds): ReadonlyMap<string, Line> {
  const lines = new Map<string, Line>()
  if (log === undefined) return lines
  const ratio = Math.exp(log)
  for (const side of [0, 1]) {
    let base = 0
    let interval = 0
    spans.forEach((span, s) => {
      if (s === 0 || spans[s - 1]!.block !== span.block) {
        base = 0
        interval = 0
      }
      const all = span.days[0] + span.days[1] * ratio
      const share = shareOf(span, ratio)
      const hazard = all > 0 ? ((span.events[0] + span.events[1]) / all) * (side === 1 ? ratio : 1) : 0
      const slope = (side - share) * hazard
      const jump = all > 0 ? side - share : 0
      lines.set(`${span.block} ${side} ${interval}`, { from: span.from, base, slope, jump })
      base += slope * (span.to - span.from)
      interval++
    })
  }
  return lines
}

/** Interval of the plan that holds the day of entry. */
function entryInterval(protocol: Protocol, plan: SitePlan): string {
  const cases = plan.ends.map((ends, b) => {
    const days = ends.map((end) => protocol.gridDays[end]!)
    return `WHEN ${b} THEN ${days.length === 0 ? '0' : exitCase('entry_day', days)}`
  })
  return `CASE ${blockCase(plan.grouping)} ${cases.join(' ')} END`
}

function entryValues(
  plan: SitePlan,
  width: number,
  lineOf: (block: number, side: number, interval: number) => Line,
): string {
  return plan.ends
    .flatMap((ends, block) =>
      [0, 1].flatMap((side) =>
        ends.map((_end, interval) => {
          const { base, slope, from } = lineOf(block, side, interval)
          const code = (block * 2 + side) * width + interval
          return `(${[String(code), ...[base, slope, from].map(double)].join(', ')})`
        }),
      ),
    )
    .join(', ')
}

/** A number as SQL reads it back without loss. */
function double(value: number): string {
  return `CAST(${value.toExponential()} AS DOUBLE PRECISION)`
}
