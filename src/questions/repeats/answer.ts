import type { Cohort } from '../../cohort/cohort.js'
import type { RepeatedFindings } from '../../cohort/repeatedFindings.js'
import { daysPerYear } from '../../core/calendar.js'
import { listOfRows } from '../../core/columns.js'
import { type Estimate, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import {
  type MeanCountCurve,
  meanCountWithTerminalEvents,
  meanCumulativeCount,
} from '../../statistics/curves/recurrent.js'
import { type RiskAtTime, risksAt } from '../../statistics/curves/riskAtTimes.js'
import { endpointOf } from '../../vocabulary/endpoints.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, countPatients, presentGroups, rowsOfGroup } from '../rows/cohortRows.js'

/** Mean number of events of a restoration by a horizon. */
export interface MeanCountAtHorizon {
  readonly years: number
  /** Nelson's count: of a restoration that stays in place. */
  readonly whileInPlace: Estimate
  /** Of any restoration, those removed or whose patient died counting on with nothing (Ghosh and Lin). */
  readonly terminalCounted: Estimate
  readonly atRisk: number
  readonly thin: boolean
}

/** Share with a second event so long after the first. */
export interface AgainAtHorizon {
  readonly years: number
  readonly risk: RiskAtTime
  readonly thin: boolean
}

/** One step of a mean cumulative count. */
export interface MeanCountStep {
  readonly timeYears: number
  readonly meanCount: number
  readonly lower: Quantity
  readonly upper: Quantity
}

/** Repeated events of one group. */
export interface GroupRepeats {
  readonly group: string
  readonly restorations: number
  readonly patients: number
  /** Events in all, restorations with one or more, with two or more, and the most of one restoration. */
  readonly events: number
  readonly withOne: number
  readonly withTwo: number
  readonly mostOfOne: number
  readonly horizons: readonly MeanCountAtHorizon[]
  /** Among restorations with an event: share with another, by years since the first. */
  readonly again: readonly AgainAtHorizon[]
  /** Steps of the count while in place, up to where fewer than the least number are at risk. */
  readonly steps: readonly MeanCountStep[]
}

/** Answer to "do they loosen again". */
export interface RepeatsResult {
  readonly kind: 'repeats'
  readonly overall: GroupRepeats
  readonly byGroup: readonly GroupRepeats[]
  readonly leastAtRisk: number
  readonly level: number
}

/** Years after the first event at which a second is asked for. */
const againYears = [1, 3] as const

/**
 * How often the endpoint happened, counting every time: mean cumulative count by group, and the share with another
 * event within 1 and 3 years of the first.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk; default `defaultSettings`
 * @returns undefined where the endpoint cannot repeat, or where the records hold one row per restoration, in which the
 *   days of later events cannot be told
 * @example repeats(cohort).overall.events // => 102
 */
export function repeats(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): RepeatsResult | undefined {
  if (!endpointOf(cohort.definition.endpoint).repeatable) return undefined
  if (cohort.summary.source.form === 'one-sheet') return undefined
  const findings = cohort.repeatedFindings()
  return answered(cohort, settings, {
    kind: 'repeats' as const,
    overall: groupRepeats('all', cohortRows(cohort), findings, settings),
    byGroup: presentGroups(cohort).map((group) =>
      groupRepeats(group, rowsOfGroup(cohort, group), findings, settings),
    ),
    leastAtRisk: settings.leastAtRisk,
    level: settings.level,
  })
}

function groupRepeats(
  group: string,
  rows: CohortRows,
  findings: readonly RepeatedFindings[],
  settings: AnalysisSettings,
): GroupRepeats {
  const own = listOfRows(rows.row, (row) => findings[row]!)
  const counts = own.map(({ days }) => days.length)
  const stretches = stretchesOf(rows, own)
  const { level, leastAtRisk } = settings
  const options = { entry: stretches.entry, unit: stretches.unit, cluster: stretches.patient, level }
  const inPlace = meanCumulativeCount(
    stretches.time,
    stretches.outcome.map((one) => (one === 1 ? 1 : 0)),
    options,
  )
  const terminal = meanCountWithTerminalEvents(stretches.time, stretches.outcome, options)
  return {
    group,
    restorations: rows.n,
    patients: countPatients(rows),
    events: counts.reduce((sum, one) => sum + one, 0),
    withOne: counts.filter((one) => one > 0).length,
    withTwo: counts.filter((one) => one > 1).length,
    mostOfOne: counts.reduce((most, one) => Math.max(most, one), 0),
    horizons: settings.horizonsYears.map((years) => {
      const atRisk = atRiskAt(rows, own, years * daysPerYear)
      return {
        years,
        whileInPlace: countAt(inPlace, years * daysPerYear),
        terminalCounted: countAt(terminal, years * daysPerYear),
        atRisk,
        thin: atRisk < leastAtRisk,
      }
    }),
    again: secondEvents(rows, own, settings),
    steps: stepsOf(inPlace, leastAtRisk),
  }
}

interface Stretches {
  readonly entry: Float64Array
  readonly time: Float64Array
  /** 0 nothing, 1 an event, 2 removal, loss or death. */
  readonly outcome: Uint8Array
  readonly unit: Int32Array
  readonly patient: Int32Array
}

/**
 * Stretches between events. What was found on the day of delivery counts half a day later, and so does a removal on the
 * day of an event: a stretch needs a length.
 */
function stretchesOf(rows: CohortRows, own: readonly RepeatedFindings[]): Stretches {
  const list: { entry: number; time: number; outcome: number; unit: number }[] = []
  own.forEach(({ days, endDay, terminal }, unit) => {
    let from = rows.entryDays?.[unit] ?? 0
    for (const day of days) {
      const time = Math.max(day, from + halfDay)
      list.push({ entry: from, time, outcome: 1, unit })
      from = time
    }
    if (terminal) list.push({ entry: from, time: Math.max(endDay, from + halfDay), outcome: 2, unit })
    else if (endDay > from || days.length === 0) {
      list.push({ entry: from, time: Math.max(endDay, from + halfDay), outcome: 0, unit })
    }
  })
  return {
    entry: Float64Array.from(list, ({ entry }) => entry),
    time: Float64Array.from(list, ({ time }) => time),
    outcome: Uint8Array.from(list, ({ outcome }) => outcome),
    unit: Int32Array.from(list, ({ unit }) => unit),
    patient: Int32Array.from(list, ({ unit }) => rows.patient[unit]!),
  }
}

const halfDay = 0.5

function atRiskAt(rows: CohortRows, own: readonly RepeatedFindings[], day: number): number {
  return own.filter(({ endDay }, i) => endDay >= day && (rows.entryDays?.[i] ?? 0) < day).length
}

/** A mean count read at a day; not estimable past the last follow-up. */
function countAt(curve: MeanCountCurve, day: number): Estimate {
  const row = curve.rows.filter(({ time }) => time <= day).at(-1)
  const past = 'follow-up-ends-before'
  const none = 'no-event-by-then'
  const beyond = day > curve.lastTime || row === undefined
  const { lower, upper } = row ?? noInterval(past)
  return {
    estimate: beyond ? notEstimable(past) : row.meanCount,
    interval: beyond ? noInterval(past) : row.meanCount === 0 ? noInterval(none) : { lower, upper },
    level: curve.level,
    method: curve.method,
    n: curve.n,
    events: curve.events,
    clusters: curve.clusters,
    warnings: curve.warnings,
    reference: curve.reference,
  }
}

/** Steps up to the time from which fewer than the least number are at risk, the last value carried on to it. */
function stepsOf(curve: MeanCountCurve, leastAtRisk: number): readonly MeanCountStep[] {
  const thin = curve.rows.findIndex(({ atRisk }) => atRisk < leastAtRisk)
  if (thin === 0) return []
  const within = thin < 0 ? curve.rows : curve.rows.slice(0, Math.max(1, thin - 1))
  const end = thin < 0 ? within.at(-1)!.time : curve.rows[thin - 1]!.time
  const steps = within.filter((row, index) => index === 0 || row.events > 0)
  const last = steps.at(-1)!
  return [...steps, ...(last.time < end ? [{ ...last, time: end }] : [])].map(
    ({ time, meanCount, lower, upper }) => ({ timeYears: time / daysPerYear, meanCount, lower, upper }),
  )
}

/** Share with a second event by years since the first, removal, loss and death competing. */
function secondEvents(
  rows: CohortRows,
  own: readonly RepeatedFindings[],
  { level, leastAtRisk }: AnalysisSettings,
): readonly AgainAtHorizon[] {
  const first = Array.from(own.keys()).filter((i) => own[i]!.days.length > 0)
  if (first.length === 0) return []
  const time = first.map((i) => (own[i]!.days[1] ?? own[i]!.endDay) - own[i]!.days[0]!)
  const status = first.map((i) => (own[i]!.days.length > 1 ? 1 : own[i]!.terminal ? 2 : 0))
  const risks = risksAt(
    time,
    status,
    againYears.map((years) => years * daysPerYear),
    { cluster: first.map((i) => rows.patient[i]!), level },
  )
  return risks.map((risk, index) => ({
    years: againYears[index]!,
    risk,
    thin: risk.atRisk < leastAtRisk,
  }))
}
