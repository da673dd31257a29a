import type { Cohort } from '../../cohort/cohort.js'
import { labelAt } from '../../cohort/covariates.js'
import { exposureGroups } from '../../cohort/definition.js'
import { knownDeliveryDay } from '../../cohort/deliveryDay.js'
import { dayFromIso, dayNumber, daysPerYear, isoFromDay, yearOfDay } from '../../core/calendar.js'
import { rowsWhere } from '../../core/columns.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { answered } from '../answered.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, subsetRows } from '../rows/cohortRows.js'
import { type ComparedPeriods, comparedPeriods } from './periods.js'

export type { ComparedPeriods } from './periods.js'

/** Deliveries of one quarter, for a run chart. */
export interface QuarterOfDelivery {
  /** First day of the quarter, ISO. */
  readonly from: string
  readonly restorations: number
  /** With a handling that is one of the two compared, and of those, of the group asked about. */
  readonly known: number
  readonly inGroup: number
  /** Endpoints within the time followed, and restoration-years within it. */
  readonly events: number
  readonly restorationYears: number
  readonly ratePer100Years: Quantity
}

/** How the deliveries on one side of a change were handled, as far as is known. */
export interface SideOfChange {
  readonly known: number
  readonly inGroup: number
  /** Share of those of known handling in the group asked about. */
  readonly share: Quantity
  /** Rate of the endpoint within the time followed, all quarters of the side together. */
  readonly ratePer100Years: Quantity
}

/** Why nothing is compared for a clinic. */
export type NoChangeReason = 'no-change-found' | 'one-side-empty'

/** Deliveries of one clinic before and after it changed its way of tightening. */
export interface ClinicChange {
  readonly clinic: string
  readonly restorations: number
  /**
   * Each restoration is followed for so long after delivery, and no longer: the primary horizon of the plan, or the
   * longest shorter one at which enough are observed on both sides of the change, else the shortest.
   */
  readonly followedYears: number
  readonly quarters: readonly QuarterOfDelivery[]
  /** First day of the new handling; absent where none was found. */
  readonly change?: {
    readonly from: string
    readonly source: 'plan' | 'found'
    readonly before: SideOfChange
    readonly after: SideOfChange
  }
  readonly reason?: NoChangeReason
  readonly compared?: ComparedPeriods
}

/** Answer to "did it fall after we changed protocol". */
export interface ProtocolChangeResult {
  readonly kind: 'protocolChange'
  readonly group: string
  readonly against: string
  readonly rule: { readonly leastDeliveries: number; readonly leastShareDifference: number }
  readonly clinics: readonly ClinicChange[]
  /** Left out: the day of delivery is not known, or observation began later than delivery. */
  readonly leftOut: { readonly dayUnknown: number; readonly lateEntry: number }
  readonly level: number
}

/**
 * Looks, clinic by clinic, for a change from one way of tightening to the other, and compares what was delivered before
 * with what was delivered after: risks and rates of the endpoint within the same time after delivery, over equal spans
 * of delivery, whatever was done to the single restoration. The date that counts is that of delivery.
 *
 * @param cohort restorations with time at risk
 * @param settings level, first of the horizons as the time followed, plan (`protocolChanges` gives days); default
 *   `defaultSettings`
 * @returns undefined where no day of delivery is known
 * @example protocolChange(cohort).clinics.length // => 5
 */
export function protocolChange(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): ProtocolChangeResult | undefined {
  const plan = settings.plan ?? defaultPlan
  const all = cohortRows(cohort)
  const dated = (i: number): boolean => knownDeliveryDay(cohort, all.row[i]!) !== undefined
  const fromStart = (i: number): boolean => (all.entryDays?.[i] ?? 0) === 0
  const positions = Array.from(all.row.keys())
  const kept = positions.filter((i) => dated(i) && fromStart(i))
  if (kept.length === 0) return undefined
  const rows = subsetRows(all, kept)
  const byClinic = new Map<string, number[]>()
  rows.row.forEach((row, i) => {
    const clinic = labelAt(cohort.clinic, row) ?? 'unknown'
    const own = byClinic.get(clinic)
    if (own === undefined) byClinic.set(clinic, [i])
    else own.push(i)
  })
  const given = new Map((plan.protocolChanges ?? []).map(({ clinic, from }) => [clinic, dayFromIso(from)!]))
  return answered(cohort, settings, {
    kind: 'protocolChange' as const,
    group: plan.group,
    against: plan.against,
    rule: { ...changeRule },
    clinics: [...byClinic.keys()].sort().map((clinic) =>
      clinicChange(cohort, clinic, subsetRows(rows, byClinic.get(clinic)!), given.get(clinic), {
        groups: [exposureGroups.indexOf(plan.group), exposureGroups.indexOf(plan.against)],
        horizonsYears: [plan.primary.horizonYears, ...settings.horizonsYears].filter(
          (years) => years <= plan.primary.horizonYears,
        ),
        leastAtRisk: settings.leastAtRisk,
        level: settings.level,
      }),
    ),
    leftOut: {
      dayUnknown: positions.filter((i) => !dated(i)).length,
      lateEntry: positions.filter((i) => dated(i) && !fromStart(i)).length,
    },
    level: settings.level,
  })
}

interface ChangeSetting {
  /** Codes of the group asked about and its comparator. */
  readonly groups: readonly [number, number]
  /** Horizons that may be followed to. */
  readonly horizonsYears: readonly number[]
  readonly leastAtRisk: number
  readonly level: number
}

function clinicChange(
  cohort: Cohort,
  clinic: string,
  rows: CohortRows,
  given: number | undefined,
  setting: ChangeSetting,
): ClinicChange {
  const [group, against] = setting.groups
  const days = Int32Array.from(rows.row, (row) => knownDeliveryDay(cohort, row)!)
  const known = Array.from(rows.row.keys()).filter(
    (i) => rows.exposure[i] === group || rows.exposure[i] === against,
  )
  const knownDays = known.map((i) => days[i]!)
  const inGroup = known.map((i) => (rows.exposure[i] === group ? 1 : 0))
  const found = given === undefined ? findChange(knownDays, inGroup) : sidesAt(knownDays, inGroup, given)
  const followedYears = followedFor(rows, days, found?.changeDay, setting)
  const followedDays = followedYears * daysPerYear
  const quarters = quartersOf(rows, days, setting.groups, followedDays)
  const frame = { clinic, restorations: rows.n, followedYears, quarters }
  if (found === undefined) return { ...frame, reason: 'no-change-found' }
  const { changeDay, before, after } = found
  const compared = comparedPeriods(rows, days, { followedDays, level: setting.level, changeDay })
  return {
    ...frame,
    change: {
      from: isoFromDay(changeDay),
      source: given === undefined ? 'found' : 'plan',
      before: sideOf(before, quarters, (from) => from < isoFromDay(changeDay)),
      after: sideOf(after, quarters, (from) => from >= isoFromDay(changeDay)),
    },
    ...(compared === undefined ? { reason: 'one-side-empty' as const } : { compared }),
  }
}

function followedFor(
  rows: CohortRows,
  days: Int32Array,
  changeDay: number | undefined,
  { horizonsYears, leastAtRisk }: ChangeSetting,
): number {
  const shortest = Math.min(...horizonsYears)
  const observed = (years: number, after: boolean): number => {
    let count = 0
    rows.timeDays.forEach((time, i) => {
      if (days[i]! >= changeDay! === after && time >= years * daysPerYear) count++
    })
    return count
  }
  if (changeDay === undefined) return Math.max(...horizonsYears)
  const firm = horizonsYears.filter(
    (years) => Math.min(observed(years, false), observed(years, true)) >= leastAtRisk,
  )
  return firm.length === 0 ? shortest : Math.max(...firm)
}

function sideOf(
  { known, inGroup }: { readonly known: number; readonly inGroup: number },
  quarters: readonly QuarterOfDelivery[],
  onSide: (from: string) => boolean,
): SideOfChange {
  const own = quarters.filter(({ from }) => onSide(from))
  const events = own.reduce((sum, quarter) => sum + quarter.events, 0)
  const years = own.reduce((sum, quarter) => sum + quarter.restorationYears, 0)
  return {
    known,
    inGroup,
    share: known > 0 ? inGroup / known : notEstimable('no-delivery-of-known-handling'),
    ratePer100Years: years > 0 ? (100 * events) / years : notEstimable('no-time-at-risk'),
  }
}

function quartersOf(
  rows: CohortRows,
  days: Int32Array,
  groups: readonly number[],
  followedDays: number,
): readonly QuarterOfDelivery[] {
  const first = days.reduce((least, day) => Math.min(least, day))
  const last = days.reduce((most, day) => Math.max(most, day))
  const starts = quartersBetween(first, last)
  return starts.map((start, index) => {
    const next = starts[index + 1] ?? Number.POSITIVE_INFINITY
    const own = rowsWhere(days.length, (i) => days[i]! >= start && days[i]! < next)
    const count = (wanted: (i: number) => boolean): number =>
      own.reduce((sum, i) => sum + (wanted(i) ? 1 : 0), 0)
    const events = count((i) => rows.event[i] === 1 && rows.timeDays[i]! <= followedDays)
    const years = own.reduce((sum, i) => sum + Math.min(rows.timeDays[i]!, followedDays) / daysPerYear, 0)
    return {
      from: isoFromDay(start),
      restorations: own.length,
      known: count((i) => groups.includes(rows.exposure[i]!)),
      inGroup: count((i) => rows.exposure[i] === groups[0]),
      events,
      restorationYears: years,
      ratePer100Years: years > 0 ? (100 * events) / years : notEstimable('no-time-at-risk'),
    }
  })
}

/** A change of handling found in, or given for, the deliveries of one clinic. */
export interface FoundChange {
  readonly changeDay: number
  readonly before: { readonly known: number; readonly inGroup: number }
  readonly after: { readonly known: number; readonly inGroup: number }
}

/** The rule by which a change is found. */
const changeRule = Object.freeze({
  /** Fewest deliveries of known handling on each side. */
  leastDeliveries: 10,
  /** Fewest percentage points, as a share, by which the share in the group must differ. */
  leastShareDifference: 0.5,
})

/** First day of the quarter of a day. */
function quarterStart(day: number): number {
  const year = yearOfDay(day)
  const month = Number(isoFromDay(day).slice(5, 7))
  return dayNumber(year, month - ((month - 1) % 3), 1)!
}

/** First days of all quarters from one day's to another's. */
export function quartersBetween(first: number, last: number): readonly number[] {
  const starts: number[] = []
  // 92 days after the first day of a quarter always lie in the next one.
  for (let start = quarterStart(first); start <= last; start = quarterStart(start + 92)) starts.push(start)
  return starts
}

/**
 * Finds the quarter from which a clinic handled its deliveries in the other way: the boundary of quarters that makes
 * the handlings on both sides likeliest (two binomials), provided that each side has 10 deliveries of known handling
 * and the shares differ by half. Outcomes play no part.
 *
 * @returns undefined where no boundary satisfies the rule
 */
export function findChange(days: ArrayLike<number>, inGroup: ArrayLike<number>): FoundChange | undefined {
  if (days.length === 0) return undefined
  const [first, last] = ends(days)
  let best: { readonly change: FoundChange; readonly likelihood: number } | undefined
  for (const start of quartersBetween(first, last).slice(1)) {
    const change = sidesAt(days, inGroup, start)
    const { before, after } = change
    if (Math.min(before.known, after.known) < changeRule.leastDeliveries) continue
    const difference = Math.abs(after.inGroup / after.known - before.inGroup / before.known)
    // Shares that differ by exactly so much do, whatever binary fractions make of them.
    if (difference < changeRule.leastShareDifference - 1e-9) continue
    const likelihood = logLikelihood(before) + logLikelihood(after)
    if (best === undefined || likelihood > best.likelihood) best = { change, likelihood }
  }
  return best?.change
}

/** Counts deliveries of known handling on both sides of a day. */
function sidesAt(days: ArrayLike<number>, inGroup: ArrayLike<number>, changeDay: number): FoundChange {
  const before = { known: 0, inGroup: 0 }
  const after = { known: 0, inGroup: 0 }
  for (let i = 0; i < days.length; i++) {
    const side = days[i]! < changeDay ? before : after
    side.known++
    side.inGroup += inGroup[i]!
  }
  return { changeDay, before, after }
}

function ends(days: ArrayLike<number>): readonly [number, number] {
  let first = Number.POSITIVE_INFINITY
  let last = Number.NEGATIVE_INFINITY
  for (let i = 0; i < days.length; i++) {
    first = Math.min(first, days[i]!)
    last = Math.max(last, days[i]!)
  }
  return [first, last]
}

function logLikelihood({ known, inGroup }: { readonly known: number; readonly inGroup: number }): number {
  const part = (count: number): number => (count === 0 ? 0 : count * Math.log(count / known))
  return part(inGroup) + part(known - inGroup)
}
