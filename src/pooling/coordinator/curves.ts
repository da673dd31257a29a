import { daysPerYear } from '../../core/calendar.js'
import { type Estimate, noInterval, notEstimable } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { normalUpperQuantile } from '../../statistics/numeric/distributions.js'
import { garwoodLimits } from '../../statistics/rates/rateLimits.js'
import { horizonDay, type Protocol } from '../protocol/protocol.js'
import type { TimeCell } from './cells.js'

/** Risk of the endpoint by a day of the grid. */
export interface CurvePoint {
  readonly day: number
  readonly risk: number
  readonly lower: number
  readonly upper: number
  /** Restorations at risk in the interval that ends on the day. */
  readonly atRisk: number
}

/** Risk by a horizon. */
export interface RiskAt extends Estimate {
  readonly years: number
  readonly atRisk: number
}

/** Events of one sort of rows with their time, by patient. */
export interface RateParts {
  readonly group: string
  readonly n: number
  readonly patients: number
  readonly events: number
  readonly years: number
  /** Squared events, events times years, squared years, summed over patients. */
  readonly squares: readonly [number, number, number]
}

/** How much larger the variance of a rate is than that of independent events: at least 1. */
export function designEffect({ events, years, squares }: RateParts): number {
  if (!(events > 0) || !(years > 0)) return 1
  const rate = events / years
  return Math.max(1, (squares[0] - 2 * rate * squares[1] + rate * rate * squares[2]) / events)
}

/** A rate per 100 restoration-years; interval robust by patient on the log scale, exact without events or with few. */
export function groupRate(parts: RateParts, protocol: Protocol): Estimate {
  const { events, years, n, patients } = parts
  const { level } = protocol
  const base = {
    level,
    n,
    events,
    clusters: patients,
    warnings: [],
    reference: 'pooled-sums',
  }
  if (!(years > 0)) {
    const none = 'no-time-at-risk'
    return { ...base, estimate: notEstimable(none), interval: noInterval(none), method: methodOf('rate') }
  }
  const effect = designEffect(parts)
  const per = (value: number): number => (100 * value) / years
  if (events < 5) {
    const [lower, upper] = garwoodLimits(events / effect, level)
    return {
      ...base,
      estimate: per(events),
      interval: { lower: per(lower * effect), upper: per(upper * effect) },
      method: methodOf('rate', 'garwood-exact-poisson', 'events-divided-by-the-design-effect-of-patients'),
    }
  }
  const factor = Math.exp(normalUpperQuantile((1 - level) / 2) * Math.sqrt(effect / events))
  return {
    ...base,
    estimate: per(events),
    interval: { lower: per(events / factor), upper: per(events * factor) },
    method: methodOf('rate', 'log-scale', 'variance-robust-by-patient'),
  }
}

/**
 * Cumulative incidence on the grid with competing events: hazards are constant within an interval (events over time at
 * risk), since their days are not known there; no value between the days of the grid is given. Limits by the delta
 * method over the intervals' hazards on the complementary log-log scale, widened by the design effect of patients.
 *
 * @param cells intervals of the grid from the first, as far as they may be printed
 * @param effect design effect
 */
export function gridCurve(cells: readonly TimeCell[], effect: number, level: number): readonly CurvePoint[] {
  const points: CurvePoint[] = []
  const parts: {
    readonly slopes: readonly [number, number]
    readonly days: number
    readonly cell: TimeCell
    readonly risk: number
  }[] = []
  let free = 1
  let risk = 0
  for (const cell of cells) {
    if (!(cell.days > 0)) break
    const span = cell.toDay - cell.fromDay
    const first = cell.endpoint / cell.days
    const both = first + cell.competing / cell.days
    const left = Math.exp(-both * span)
    const share = both === 0 ? span : (1 - left) / both
    const bend = both === 0 ? (-span * span) / 2 : (span * left) / both - (1 - left) / (both * both)
    risk += free * first * share
    parts.push({ slopes: [free * (share + first * bend), free * first * bend], days: cell.days, cell, risk })
    free *= left
    points.push(pointOf(parts, risk, effect, level, cell.atRisk))
  }
  return points
}

function pointOf(
  parts: readonly {
    readonly slopes: readonly [number, number]
    readonly cell: TimeCell
    readonly risk: number
  }[],
  risk: number,
  effect: number,
  level: number,
  atRisk: number,
): CurvePoint {
  let variance = 0
  let events = 0
  let days = 0
  for (const { slopes, cell, risk: by } of parts) {
    // A higher hazard in one interval leaves fewer for all later ones.
    const later = (risk - by) * (cell.toDay - cell.fromDay)
    const [own, other] = [slopes[0] - later, slopes[1] - later]
    variance += (own * own * cell.endpoint + other * other * cell.competing) / (cell.days * cell.days)
    events += cell.endpoint
    days += cell.days
  }
  const day = parts.at(-1)!.cell.toDay
  if (events === 0) {
    const [, most] = garwoodLimits(0, level)
    return { day, risk: 0, lower: 0, upper: 1 - Math.exp((-most * effect * day) / days), atRisk }
  }
  const scaled = -Math.log(1 - risk)
  const half = (normalUpperQuantile((1 - level) / 2) * Math.sqrt(variance * effect)) / ((1 - risk) * scaled)
  const at = (sign: number): number => 1 - Math.exp(-scaled * Math.exp(sign * half))
  return { day, risk, lower: at(-1), upper: at(1), atRisk }
}

/** Risks at the horizons of the protocol that the curve reaches. */
export function horizonRisks(
  curve: readonly CurvePoint[],
  parts: RateParts,
  protocol: Protocol,
): readonly RiskAt[] {
  return protocol.horizonsYears.map((years) => {
    const point = curve.find(({ day }) => day === horizonDay(years))
    const reason = 'too-few-followed-that-long'
    return {
      years,
      atRisk: point?.atRisk ?? 0,
      estimate: point?.risk ?? notEstimable(reason),
      interval: point === undefined ? noInterval(reason) : { lower: point.lower, upper: point.upper },
      level: protocol.level,
      method: methodOf(
        'cumulative-incidence-on-the-grid-with-competing-events',
        'variance-robust-by-patient',
      ),
      n: parts.n,
      events: parts.events,
      clusters: parts.patients,
      warnings: [],
      reference: 'pooled-sums',
    }
  })
}

/** Years of a number of days. */
export function yearsOf(days: number): number {
  return days / daysPerYear
}
