import type { Cohort } from '../../cohort/cohort.js'
import { daysPerYear } from '../../core/calendar.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import { smoothedHazard } from '../../statistics/curves/smoothedHazard.js'
import { type ClusteredRate, clusteredRate } from '../../statistics/rates/clusteredRate.js'
import { answered } from '../answered.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, presentGroups, rowsOfGroup } from '../rows/cohortRows.js'

/** Rate within one span of time since delivery. */
export interface SpanRate {
  readonly fromYears: number
  /** Absent for the last span, which is open. */
  readonly toYears?: number
  readonly events: number
  readonly ratePer100Years: ClusteredRate
}

/** Smoothed hazard at one time. */
export interface HazardPoint {
  readonly years: number
  readonly per100Years: number
  readonly lower: Quantity
  readonly upper: Quantity
}

/** When the endpoint happened in one group. */
export interface GroupHazard {
  readonly group: string
  readonly restorations: number
  readonly events: number
  readonly spans: readonly SpanRate[]
  /** Smoothed hazard up to where fewer than the least number are at risk; absent with fewer than 10 events. */
  readonly curve?: {
    readonly bandwidthYears: number
    readonly points: readonly HazardPoint[]
    readonly method: MethodName
    readonly reference: string
  }
}

/** Answer to "when do they loosen, and when should recall be". */
export interface HazardOverTime {
  readonly kind: 'hazardOverTime'
  readonly groups: readonly GroupHazard[]
  readonly leastAtRisk: number
  readonly level: number
}

/** Ends of the spans in years; the last is open. */
const spanEnds = [0, 0.5, 1, 2, 3, 5] as const

/** Fewest events of which a curve is drawn. */
const leastEventsForCurve = 10

/** Half-width of the kernel at the least: visits come once or twice a year, and a narrower one would draw visits. */
const leastBandwidthYears = 1

const steps = 50

/**
 * How the hazard of the endpoint runs over time since delivery: rates within spans, and a smoothed curve, in all
 * restorations and in the two groups of the plan. Events count on the day on which they were found.
 *
 * @param cohort restorations with time at risk
 * @param settings level, least number at risk, plan; default `defaultSettings`
 * @example hazardOverTime(cohort).groups.map(({ group }) => group) // => ["all","single","repeated in the window"]
 */
export function hazardOverTime(cohort: Cohort, settings: AnalysisSettings = defaultSettings): HazardOverTime {
  const { group, against } = settings.plan ?? defaultPlan
  const present = presentGroups(cohort).filter((one) => one === group || one === against)
  return answered(cohort, settings, {
    kind: 'hazardOverTime' as const,
    groups: [
      groupHazard('all', cohortRows(cohort), settings),
      ...present.map((one) => groupHazard(one, rowsOfGroup(cohort, one), settings)),
    ],
    leastAtRisk: settings.leastAtRisk,
    level: settings.level,
  })
}

function groupHazard(group: string, rows: CohortRows, settings: AnalysisSettings): GroupHazard {
  const events = rows.event.reduce((sum, one) => sum + one, 0)
  const curve = events < leastEventsForCurve ? undefined : smoothed(rows, settings)
  return {
    group,
    restorations: rows.n,
    events,
    spans: spanRates(rows, settings.level),
    ...(curve === undefined ? {} : { curve }),
  }
}

/** Rates within spans; an event on the last day of a span belongs to it. */
function spanRates(rows: CohortRows, level: number): readonly SpanRate[] {
  const { timeYears, entryDays } = rows
  const last = timeYears.reduce((most, years) => Math.max(most, years), 0)
  return spanEnds.flatMap((from, index) => {
    if (from >= last && index > 0) return []
    const to = spanEnds[index + 1] ?? Number.POSITIVE_INFINITY
    const time = new Float64Array(rows.n)
    const event = new Uint8Array(rows.n)
    let events = 0
    for (let i = 0; i < rows.n; i++) {
      const years = timeYears[i]!
      const entry = entryDays === undefined ? 0 : entryDays[i]! / daysPerYear
      time[i] = Math.max(0, Math.min(years, to) - Math.max(from, entry))
      const inside = years <= to && (years > from || (index === 0 && years === 0))
      event[i] = inside && rows.event[i] === 1 ? 1 : 0
      events += event[i]!
    }
    return [
      {
        fromYears: from,
        ...(Number.isFinite(to) ? { toYears: to } : {}),
        events,
        ratePer100Years: clusteredRate(event, time, rows.patient, { level, per: 100 }),
      },
    ]
  })
}

/** The smoothed hazard up to the time from which fewer than the least number are at risk. */
function smoothed(
  rows: CohortRows,
  { level, leastAtRisk }: AnalysisSettings,
): GroupHazard['curve'] | undefined {
  const end = lastFirmYears(rows, leastAtRisk)
  if (end <= 0 || !rows.event.some((one, i) => one === 1 && rows.timeYears[i]! <= end)) return undefined
  const entry = rows.entryDays?.map((days) => days / daysPerYear)
  const options = { ...(entry === undefined ? {} : { entry }), cluster: rows.patient, level, end }
  const usual = smoothedHazard(rows.timeYears, rows.event, { ...options, times: [] }).bandwidth
  const hazard = smoothedHazard(rows.timeYears, rows.event, {
    ...options,
    bandwidth: Math.min(end / 2, Math.max(usual, leastBandwidthYears)),
    times: Array.from({ length: steps + 1 }, (_, step) => (step * end) / steps),
  })
  const hundredfold = (one: Quantity): Quantity => (isNumber(one) ? 100 * one : one)
  return {
    bandwidthYears: hazard.bandwidth,
    method: hazard.method,
    reference: hazard.reference,
    points: hazard.points.flatMap(({ time, hazard: value, lower, upper }) =>
      isNumber(value)
        ? [{ years: time, per100Years: 100 * value, lower: hundredfold(lower), upper: hundredfold(upper) }]
        : [],
    ),
  }
}

/** Last time at which the least number are at risk. */
function lastFirmYears(rows: CohortRows, leastAtRisk: number): number {
  const times = Float64Array.from(rows.timeYears).sort()
  for (let i = times.length - leastAtRisk; i >= 0; i--) {
    const at = times[i]!
    const started = rows.timeYears.reduce(
      (count, years, row) => count + (years >= at && (rows.entryDays?.[row] ?? 0) / daysPerYear < at ? 1 : 0),
      0,
    )
    if (started >= leastAtRisk) return at
    // Without late entry the first candidate holds; with it the search goes on only while it can matter.
    if (rows.entryDays === undefined) return at
  }
  return 0
}
