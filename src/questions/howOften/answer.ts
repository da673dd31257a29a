import type { LooksAccount } from '../../cohort/attrition.js'
import type { Cohort } from '../../cohort/cohort.js'
import type { CohortDefinition } from '../../cohort/definition.js'
import { placedTimes } from '../../cohort/placement.js'
import { daysPerYear } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'
import { type Estimate, isNumber, type Quantity } from '../../core/estimate.js'
import { compensatedSum } from '../../statistics/numeric/columns.js'
import { exactUpperOfNone } from '../../statistics/proportions/proportionLimits.js'
import { clusteredRate } from '../../statistics/rates/clusteredRate.js'
import { isScrewEndpoint } from '../../vocabulary/endpoints.js'
import { answered } from '../answered.js'
import { type HorizonRisk, horizonRisks } from '../incidence/answer.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, placedRows } from '../rows/cohortRows.js'
import { reachedHorizon, shorterHorizonsYears, wishedHorizon } from '../rows/horizons.js'
import { type FewEvents, fewEvents, fewEventsBelow } from './fewEvents.js'

/** Share of the eligible left out from which the answer states it. */
export const leftOutStatedFrom = 0.05

/** Share of the eligible left out above which the risk is withheld. */
export const leftOutLimit = 0.2

/** Share of events found at visits that are no look from which the version at the next look stands beside. */
export const foundOutsideStatedFrom = 0.05

/** Difference between presumed looks and ticks only from which both are in the answer. */
export const ticksDifferenceStatedFrom = 0.01

/** Why a risk is withheld. */
export type WithheldFor = 'left-out' | 'few-at-risk' | 'no-time-at-risk'

/** Who was left out before the answer, because nothing is known of them. */
export interface LeftOut extends Pick<LooksAccount, 'eligible' | 'outcomeUnreadable' | 'deliveryDayOnly'> {
  readonly neverChecked: number
  readonly restorations: number
  readonly share: number
  /** Whether the answer states the share. */
  readonly stated: boolean
}

/** The risk at the leading horizon under another reading of looks or findings. */
export interface OtherReading {
  readonly restorations: number
  readonly events: number
  readonly neverChecked: number
  /** Findings that wait for a next look that never came. */
  readonly findingsNotCounted: number
  /** Absent where nobody has time at risk under this reading, or where the horizon is not reached. */
  readonly horizon?: HorizonRisk
  /** Whether the answer states it. */
  readonly stated: boolean
}

/** Answer to "how often", with what it rests on and what could move it. */
export interface HowOften {
  readonly kind: 'how-often'
  readonly verdict: 'estimate' | 'none-seen' | 'withheld'
  readonly reason?: WithheldFor
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly restorationYears: number
  /** Horizon wished for: the plan's, else 3 years. */
  readonly wishedYears: number
  /** Horizon that leads; absent where none is reached. */
  readonly years?: number
  /** Risk at the leading horizon, as the table of incidence has it. */
  readonly horizon?: HorizonRisk
  readonly leftOut: LeftOut
  /** What the risk would be if none of those left out had the endpoint, as many as of those seen, or all. */
  readonly bounds?: { readonly none: number; readonly asSeen: number; readonly all: number }
  readonly noneSeen?: NoneSeen
  /** Only ticked visits as looks; absent for endpoints that need no check of the screw. */
  readonly ticksOnly?: OtherReading
  /** Findings at visits that are no look count at the next look; absent where there are none. */
  readonly nextLook?: OtherReading
  /** Share of events that were found at visits that are no look. */
  readonly foundOutsideShare: number
  /** Events with a clean look recorded before them. */
  readonly eventsWithCleanLook: number
  /** Whether the form of the records holds visits before findings; without, each event lies anywhere from delivery on. */
  readonly visitTimesRecorded: boolean
  readonly few?: FewEvents
  readonly level: number
}

/**
 * How often: the cumulative incidence at the leading horizon, each event halfway between its last clean look and its
 * finding, or what can be said instead, with the share left out and other readings of the looks.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk, plan; default `defaultSettings`
 */
export function howOften(cohort: Cohort, settings: AnalysisSettings = defaultSettings): HowOften {
  const rows = cohortRows(cohort)
  const { looks } = cohort.summary
  const leftOut = leftOutOf(cohort)
  const restorationYears = compensatedSum(rows.yearsAtRisk)
  const years = reachedHorizon(placedRows(rows, placedTimes(cohort, 'midpoint')), settings)
  const horizon = years === undefined ? undefined : riskBy(years, cohort, rows, settings)
  const reason = withheldFor(leftOut, restorationYears, horizon, looks.events)
  const ticks = otherReading(cohort, settings, { looks: 'ticks' }, horizon)
  const foundOutside = looks.foundAtVisitMarkedNo + looks.foundOutsideLook
  const foundOutsideShare = looks.events === 0 ? 0 : foundOutside / looks.events
  return answered(cohort, settings, {
    kind: 'how-often' as const,
    verdict: reason !== undefined ? 'withheld' : looks.events === 0 ? 'none-seen' : 'estimate',
    ...(reason === undefined ? {} : { reason }),
    restorations: rows.n,
    patients: cohort.summary.patients,
    events: looks.events,
    restorationYears,
    wishedYears: wishedHorizon(settings),
    ...(years === undefined ? {} : { years }),
    ...(horizon === undefined ? {} : { horizon }),
    leftOut,
    ...boundsOf(leftOut, horizon),
    ...(looks.events === 0 && restorationYears > 0 ? { noneSeen: noneSeen(rows, settings) } : {}),
    ...(isScrewEndpoint(cohort.definition.endpoint)
      ? {
          ticksOnly: {
            ...ticks,
            stated: farApart(horizon, ticks.horizon) || ticks.findingsNotCounted > 0,
          },
        }
      : {}),
    ...(foundOutside === 0
      ? {}
      : {
          nextLook: {
            ...otherReading(cohort, settings, { findingsOutsideLooks: 'next look' }, horizon),
            stated: foundOutsideShare >= foundOutsideStatedFrom,
          },
        }),
    foundOutsideShare,
    eventsWithCleanLook: looks.eventsWithCleanLook,
    visitTimesRecorded:
      cohort.summary.source.form !== 'one-sheet' || looks.events === 0 || looks.eventsWithCleanLook > 0,
    ...(looks.events < fewEventsBelow ? { few: fewEvents(cohort, rows, settings) } : {}),
    level: settings.level,
  })
}

/** Share of the eligible of which nothing is known. */
export function leftOutOf({ summary }: Pick<Cohort, 'summary'>): LeftOut {
  const { eligible, leftOut, outcomeUnreadable, deliveryDayOnly } = summary.looks
  const share = eligible === 0 ? 0 : leftOut / eligible
  return {
    eligible,
    neverChecked: summary.neverChecked,
    outcomeUnreadable,
    deliveryDayOnly,
    restorations: leftOut,
    share,
    stated: share >= leftOutStatedFrom,
  }
}

function withheldFor(
  leftOut: LeftOut,
  restorationYears: number,
  horizon: HorizonRisk | undefined,
  events: number,
): WithheldFor | undefined {
  if (restorationYears === 0) return 'no-time-at-risk'
  if (leftOut.share > leftOutLimit) return 'left-out'
  const estimated = horizon !== undefined && isNumber(horizon.risk.estimate)
  // Without an event the rate over the time observed says what there is to say.
  return estimated || events === 0 ? undefined : 'few-at-risk'
}

function riskBy(years: number, cohort: Cohort, rows: CohortRows, settings: AnalysisSettings): HorizonRisk {
  return horizonRisks(cohort, rows, { ...settings, horizonsYears: [years] })[0]!
}

function boundsOf(leftOut: LeftOut, horizon: HorizonRisk | undefined): Pick<HowOften, 'bounds'> {
  const seen: Quantity | undefined = horizon?.risk.estimate
  if (seen === undefined || !isNumber(seen) || leftOut.restorations === 0) return {}
  const known = seen * (1 - leftOut.share)
  return { bounds: { none: known, asSeen: seen, all: known + leftOut.share } }
}

/** The same records under another reading, at the horizon that leads. */
function otherReading(
  cohort: Cohort,
  settings: AnalysisSettings,
  changes: Partial<CohortDefinition>,
  horizon: HorizonRisk | undefined,
): Omit<OtherReading, 'stated'> {
  const other = redefinedOrNone(cohort, changes)
  if (other === undefined) {
    const { looks } = cohort.summary
    return { restorations: 0, events: 0, neverChecked: looks.eligible, findingsNotCounted: looks.events }
  }
  const { summary } = other
  return {
    restorations: other.n,
    events: summary.looks.events,
    neverChecked: summary.neverChecked,
    findingsNotCounted: summary.looks.findingsNotCounted,
    ...(horizon === undefined ? {} : { horizon: riskBy(horizon.years, other, cohortRows(other), settings) }),
  }
}

function redefinedOrNone(cohort: Cohort, changes: Partial<CohortDefinition>): Cohort | undefined {
  try {
    return cohort.redefined(changes)
  } catch (thrown) {
    if (thrown instanceof CohortError && thrown.code === 'empty-cohort') return undefined
    throw thrown
  }
}

function farApart(one: HorizonRisk | undefined, other: HorizonRisk | undefined): boolean {
  if (one === undefined || !isNumber(one.risk.estimate)) return false
  if (other === undefined || !isNumber(other.risk.estimate)) return true
  return Math.abs(other.risk.estimate - one.risk.estimate) > ticksDifferenceStatedFrom
}

/** What "none seen" allows by one horizon. */
export interface NoneSeenBy {
  readonly years: number
  /** Restorations observed from delivery to the horizon, and their patients, who count in the limit. */
  readonly restorations: number
  readonly patients: number
  /** Exact upper limit of the risk by the horizon. */
  readonly upper: number
}

/** What can be said where the endpoint was not seen: by the time actually observed. */
export interface NoneSeen {
  readonly restorationYears: number
  /** Rate per 100 restoration-years: 0, with its exact upper limit. */
  readonly ratePer100Years: Estimate
  /** Horizons at which enough were observed, ascending; beyond the last of them nothing is known. */
  readonly horizons: readonly NoneSeenBy[]
  readonly level: number
}

/**
 * Upper limits where none was seen. The limit of a risk by a horizon is exact in the patients whose restorations were
 * observed from delivery to that horizon: no hazard is assumed, and nothing is carried beyond what was observed. Limits
 * are those of the two-sided interval.
 *
 * @param rows restorations without an event
 */
function noneSeen(rows: CohortRows, settings: AnalysisSettings): NoneSeen {
  const { level, leastAtRisk } = settings
  const horizons = [...new Set([...shorterHorizonsYears, ...settings.horizonsYears, wishedHorizon(settings)])]
  return {
    restorationYears: compensatedSum(rows.yearsAtRisk),
    ratePer100Years: clusteredRate(rows.event, rows.yearsAtRisk, rows.patient, { level, per: 100 }),
    horizons: horizons
      .sort((left, right) => left - right)
      .flatMap((years) => {
        const observed = observedTo(rows, years)
        if (observed.length < leastAtRisk) return []
        const patients = new Set(observed.map((i) => rows.patient[i]!)).size
        return [
          {
            years,
            restorations: observed.length,
            patients,
            upper: exactUpperOfNone(patients, (1 - level) / 2),
          },
        ]
      }),
    level,
  }
}

function observedTo(rows: CohortRows, years: number): readonly number[] {
  const days = years * daysPerYear
  return Array.from(rows.row.keys()).filter(
    (i) => (rows.entryDays?.[i] ?? 0) === 0 && rows.timeDays[i]! >= days,
  )
}
