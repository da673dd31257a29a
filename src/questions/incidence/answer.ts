import type { Cohort } from '../../cohort/cohort.js'
import { type Placement, placedTimes, placements } from '../../cohort/placement.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import {
  type Estimate,
  type Interval,
  isNumber,
  notEstimable,
  notReached,
  type Quantity,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { medianFollowUp as medianOf } from '../../statistics/curves/followUp.js'
import { type RiskAtTime, risksAt } from '../../statistics/curves/riskAtTimes.js'
import { compensatedSum } from '../../statistics/numeric/columns.js'
import {
  type ClusteredEstimate,
  clusteredProportion,
} from '../../statistics/proportions/clusteredProportion.js'
import { exactUpperOfNone } from '../../statistics/proportions/proportionLimits.js'
import { type ClusteredRate, clusteredRate } from '../../statistics/rates/clusteredRate.js'
import type { NumberGroup } from '../../vocabulary/field.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { type Asked, type AskedSettings, askedGroups, askedPart, askedSettings } from '../rows/askedGroups.js'
import { type CohortRows, cohortRows, countPatients, countStatus, placedRows } from '../rows/cohortRows.js'
import { reportedHorizons } from '../rows/horizons.js'

/** Cumulative incidence at one horizon. */
export interface HorizonRisk {
  readonly years: number
  /**
   * Share of restorations with the endpoint by the horizon, competing events allowed for, each event halfway between its
   * last clean look and its finding.
   */
  readonly risk: Estimate
  /** What the day of finding can hide. */
  readonly betweenLooks: PlacementRange
  /** Restorations still at risk just before the horizon. */
  readonly atRisk: number
  /** Fewer than the least number at risk: printed, flagged. */
  readonly thin: boolean
}

/** The risk with each event at either end of the gap between its last clean look and its finding. */
export interface PlacementRange {
  /** Each event on the day on which it was found. */
  readonly found: Estimate
  /** Each event right after its last clean look. */
  readonly afterLastLook: Estimate
  /** From the lowest of their limits to the highest: one range with sampling limits. */
  readonly range: Interval
}

/** How often the endpoint happened in one group. */
export interface GroupIncidence {
  /** "all", an exposure group, or a value of the field asked by. */
  readonly group: string
  /** Where groups were cut out of numbers. */
  readonly range?: NumberGroup
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly competingEvents: number
  readonly restorationYears: number
  /** Median follow-up in years by the reverse product-limit method. */
  readonly medianFollowUpYears: Estimate
  /** Share with the endpoint, whatever the follow-up. */
  readonly proportion: ClusteredEstimate
  /** Endpoints per 100 restoration-years. */
  readonly ratePer100Years: ClusteredRate
  readonly horizons: readonly HorizonRisk[]
}

/** Answer to "how often do mine loosen". */
export interface IncidenceResult {
  readonly kind: 'incidence'
  readonly overall: GroupIncidence
  readonly byGroup: readonly GroupIncidence[]
  readonly level: number
}

/** The same, asked by groups or of a part of the records. */
export interface AskedIncidence extends IncidenceResult {
  readonly asked?: Asked
}

/**
 * How often the endpoint happened: share, rate per 100 restoration-years and cumulative incidence at the horizons, in
 * all restorations and by group, each with an interval that allows for several restorations in one patient.
 *
 * @param of restorations with time at risk
 * @param given what to tell groups apart by (default: how the screw was tightened at delivery); level, horizons, least
 *   number at risk, each by default as in `defaultSettings`
 * @throws UsageError `unknown-name` (with the nearest), `field-not-recorded`, `too-many-groups`, `bad-cuts`
 * @example formatPercent(incidence(cohort).overall.horizons[1].risk.estimate) // => "8.0%"
 */
export function incidence<Own extends string = never>(
  of: Cohort<Own>,
  given: AskedSettings<NoInfer<Own>> = {},
): AskedIncidence {
  const cohort = of as unknown as Cohort
  const settings = askedSettings(given)
  const groups = askedGroups(cohort, given)
  const horizonsYears = reportedHorizons(cohort, settings)
  const used = { ...settings, horizonsYears }
  const asked = askedPart(cohort, given, groups, settings)
  return deepFreeze({
    kind: 'incidence' as const,
    overall: groupIncidence('all', cohort, cohortRows(cohort), used),
    byGroup: groups.map(({ group, range, rows }) => ({
      ...groupIncidence(group, cohort, rows, used),
      ...(range === undefined ? {} : { range }),
    })),
    level: settings.level,
    ...(asked === undefined ? {} : { asked }),
  })
}

/** How often the endpoint happened in some restorations. */
export function groupIncidence(
  group: string,
  cohort: Cohort,
  rows: CohortRows,
  settings: AnalysisSettings,
): GroupIncidence {
  const { level } = settings
  return {
    group,
    restorations: rows.n,
    patients: countPatients(rows),
    events: countStatus(rows, restorationStatus.endpoint),
    competingEvents: countStatus(rows, restorationStatus.competing),
    restorationYears: compensatedSum(rows.yearsAtRisk),
    medianFollowUpYears: medianFollowUp(rows, level),
    proportion: clusteredProportion(rows.event, rows.patient, { level }),
    ratePer100Years: clusteredRate(rows.event, rows.yearsAtRisk, rows.patient, { level, per: 100 }),
    horizons: horizonRisks(cohort, rows, settings),
  }
}

/** Risks by the horizons of the settings, each event placed in every way. */
export function horizonRisks(
  cohort: Cohort,
  rows: CohortRows,
  settings: AnalysisSettings,
): readonly HorizonRisk[] {
  const { horizonsYears, leastAtRisk } = settings
  const placed = Object.fromEntries(
    placements.map((placement) => [
      placement,
      placedRisks(placedRows(rows, placedTimes(cohort, placement)), settings),
    ]),
  ) as Record<Placement, readonly RiskAtTime[]>
  return horizonsYears.map((years, i) => {
    const [risk, found, afterLastLook] = [
      placed.midpoint[i]!,
      placed.found[i]!,
      placed['after-last-look'][i]!,
    ]
    return {
      years,
      risk,
      betweenLooks: { found, afterLastLook, range: rangeOf([risk, found, afterLastLook]) },
      atRisk: risk.atRisk,
      thin: risk.atRisk < leastAtRisk,
    }
  })
}

function placedRisks(rows: CohortRows, settings: AnalysisSettings): readonly RiskAtTime[] {
  const { level, horizonsYears } = settings
  const times = horizonsYears.map((years) => years * daysPerYear)
  const risks = risksAt(rows.timeDays, rows.status, times, {
    entry: rows.entryDays,
    cluster: rows.patient,
    level,
  })
  return risks.map((risk) => {
    if (allHadIt(rows, risk.time)) return everyoneHadIt(risk, rows, level)
    if (rows.entryDays === undefined || risk.estimate !== 0) return risk
    return noneSeenFromDelivery(risk, rows, level)
  })
}

function allHadIt(rows: CohortRows, days: number): boolean {
  return rows.n > 0 && rows.event.every((one, i) => one === 1 && rows.timeDays[i]! <= days)
}

/** Where every restoration had it, the curve says nothing of its error: the exact lower limit, with patients as n. */
function everyoneHadIt(risk: RiskAtTime, rows: CohortRows, level: number): RiskAtTime {
  const lower = 1 - exactUpperOfNone(countPatients(rows), (1 - level) / 2)
  return {
    ...risk,
    estimate: 1,
    interval: { lower, upper: 1 },
    method: methodOf('exact-lower-limit-with-patients-as-n'),
  }
}

/**
 * Where nothing was seen, the exact limit counts the patients whose restorations were observed from delivery to the
 * horizon: who came under observation later says nothing of the time before.
 */
function noneSeenFromDelivery(risk: RiskAtTime, rows: CohortRows, level: number): RiskAtTime {
  const observed = Array.from(rows.row.keys()).filter(
    (i) => rows.entryDays![i] === 0 && rows.timeDays[i]! >= risk.time,
  )
  const patients = new Set(observed.map((i) => rows.patient[i]!)).size
  const upper: Quantity =
    patients === 0 ? notEstimable('nobody-observed-to-horizon') : exactUpperOfNone(patients, (1 - level) / 2)
  return { ...risk, interval: { lower: 0, upper } }
}

/** From the lowest limit to the highest of the same risk; a limit that one of them lacks is lacking. */
function rangeOf(risks: readonly Estimate[]): Interval {
  const limit = (side: 'lower' | 'upper', choose: (...values: number[]) => number): Quantity => {
    const limits = risks.map(({ interval }) => interval[side])
    return limits.every(isNumber) ? choose(...limits) : limits.find((one) => !isNumber(one))!
  }
  return { lower: limit('lower', Math.min), upper: limit('upper', Math.max) }
}

/**
 * Median follow-up in years by the reverse product-limit method: the end of observation is the event, the endpoint and
 * competing events are censorings (Schemper and Smith 1996).
 */
function medianFollowUp(rows: CohortRows, level: number): Estimate {
  const median = medianOf(rows.timeDays, rows.status, { entry: rows.entryDays, cluster: rows.patient, level })
  return {
    estimate: inYears(median.estimate),
    interval: { lower: inYears(median.interval.lower), upper: inYears(median.interval.upper) },
    level,
    method: median.method,
    n: rows.n,
    events: countStatus(rows, restorationStatus.censored),
    clusters: median.clusters,
    warnings: median.warnings,
    reference: median.reference,
  }
}

/** A quantity in days as years, its tags kept. */
function inYears(days: Quantity): Quantity {
  if (typeof days === 'number') return days / daysPerYear
  return days.state === 'not-reached' ? notReached(days.lastTime / daysPerYear) : days
}
