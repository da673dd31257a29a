import type { Cohort } from '../../cohort/cohort.js'
import { placedTimes } from '../../cohort/placement.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import type { Estimate, Quantity } from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { cumulativeIncidence, type IncidenceCurve } from '../../statistics/curves/competingRisks.js'
import { kaplanMeier } from '../../statistics/curves/survival.js'
import { curveCutTime, survivalAt } from '../../statistics/curves/survivalAt.js'
import { survivalsAt } from '../../statistics/curves/survivalsAt.js'
import type { EndpointName } from '../../vocabulary/endpoints.js'
import type { NumberGroup } from '../../vocabulary/field.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { type Asked, type AskedSettings, askedGroups, askedPart, askedSettings } from '../rows/askedGroups.js'
import { type CohortRows, cohortRows, countPatients, countStatus, placedRows } from '../rows/cohortRows.js'
import { reportedHorizons } from '../rows/horizons.js'

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
  /** Where groups were cut out of numbers. */
  readonly range?: NumberGroup
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly method: MethodName
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
  readonly kind: 'retention'
  /** What the restorations stay free of. */
  readonly endpoint: EndpointName
  readonly overall: GroupRetention
  readonly byGroup: readonly GroupRetention[]
  /** Years at which numbers at risk are counted; the chart uses the same ticks. */
  readonly tickYears: readonly number[]
  /** Curves are cut where fewer than this many are at risk. */
  readonly leastAtRisk: number
  readonly level: number
}

/** The same, asked by groups or of a part of the records. */
export interface AskedRetention extends RetentionResult {
  readonly asked?: Asked
}

/**
 * How long restorations stay free of the endpoint: product-limit curve and cumulative incidence, in all restorations
 * and by group, with intervals that allow for several restorations in one patient.
 *
 * @param of restorations with time at risk
 * @param given what to tell groups apart by (default: how the screw was tightened at delivery); level, horizons, least
 *   number at risk, each by default as in `defaultSettings`
 * @throws UsageError `unknown-name` (with the nearest), `field-not-recorded`, `too-many-groups`, `bad-cuts`
 * @example formatPercent(retention(cohort).overall.horizons[1].retention.estimate) // => "91.8%"
 */
export function retention<Own extends string = never>(
  of: Cohort<Own>,
  given: AskedSettings<NoInfer<Own>> = {},
): AskedRetention {
  const cohort = of as unknown as Cohort
  const settings = askedSettings(given)
  const all = cohortRows(cohort)
  const tickYears = ticks(all)
  const placed = placedTimes(cohort, 'midpoint')
  const used = { ...settings, horizonsYears: reportedHorizons(cohort, settings) }
  const groups = askedGroups(cohort, given)
  const asked = askedPart(cohort, given, groups, settings)
  const curves = (group: string, rows: CohortRows): GroupRetention =>
    groupRetention(group, placedRows(rows, placed), tickYears, used)
  return deepFreeze({
    kind: 'retention' as const,
    endpoint: cohort.definition.endpoint,
    overall: curves('all', all),
    byGroup: groups.map(({ group, range, rows }) => ({
      ...curves(group, rows),
      ...(range === undefined ? {} : { range }),
    })),
    tickYears,
    leastAtRisk: settings.leastAtRisk,
    level: settings.level,
    ...(asked === undefined ? {} : { asked }),
  })
}

/** Whole years from 0 to the last follow-up, every second or fifth of them where follow-up is long. */
function ticks(rows: CohortRows): readonly number[] {
  const last = rows.timeYears.reduce((most, years) => Math.max(most, years), 0)
  const step = last <= 10 ? 1 : last <= 20 ? 2 : 5
  const count = Math.max(1, Math.floor(last / step))
  return Array.from({ length: count + 1 }, (_one, i) => i * step)
}

function groupRetention(
  group: string,
  rows: CohortRows,
  tickYears: readonly number[],
  settings: AnalysisSettings,
): GroupRetention {
  const { level, leastAtRisk } = settings
  const options = { entry: rows.entryDays, cluster: rows.patient, level }
  const curve = kaplanMeier(rows.timeDays, rows.event, options)
  const causes = cumulativeIncidence(rows.timeDays, rows.status, { ...options, causes: 2 }).causes
  const atTicks = survivalAt(
    curve,
    tickYears.map((years) => years * daysPerYear),
  )
  return {
    group,
    restorations: rows.n,
    patients: countPatients(rows),
    events: countStatus(rows, restorationStatus.endpoint),
    method: curve.method,
    rows: curve.rows.map((row) => ({
      timeDays: row.time,
      timeYears: row.time / daysPerYear,
      atRisk: row.atRisk,
      events: row.events,
      censored: row.censored,
      retention: row.survival,
      lower: row.lower,
      upper: row.upper,
    })),
    incidenceRows: incidenceRows(causes[0]!),
    competingRows: incidenceRows(causes[1]!),
    atRiskAtTicks: atTicks.map((one) => one.atRisk),
    eventsByTicks: atTicks.map((one) => one.events),
    cutAtYears: curveCutTime(curve, leastAtRisk) / daysPerYear,
    horizons: horizonRetention(rows, settings),
  }
}

/** Steps at which the incidence changes, led by time 0 and closed by the last follow-up. */
function incidenceRows(curve: IncidenceCurve): readonly IncidenceRow[] {
  const last = curve.rows.length - 1
  return curve.rows
    .filter((row, i) => i === 0 || i === last || row.events > 0)
    .map((row) => ({
      timeDays: row.time,
      timeYears: row.time / daysPerYear,
      risk: row.incidence,
      lower: row.lower,
      upper: row.upper,
    }))
}

function horizonRetention(rows: CohortRows, settings: AnalysisSettings): GroupRetention['horizons'] {
  const { level, leastAtRisk, horizonsYears } = settings
  const times = horizonsYears.map((years) => years * daysPerYear)
  const options = { entry: rows.entryDays, cluster: rows.patient, level }
  return survivalsAt(rows.timeDays, rows.event, times, options).map((retention, i) => ({
    years: horizonsYears[i]!,
    retention,
    thin: retention.atRisk < leastAtRisk,
  }))
}
