import type { Cohort } from '../../cohort/cohort.js'
import { placedTimes } from '../../cohort/placement.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { daysPerYear } from '../../core/calendar.js'
import { HoldfastError } from '../../core/errors.js'
import { type Contrast, type Estimate, isNumber, notEstimable, type Quantity } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { risksAt } from '../../statistics/curves/riskAtTimes.js'
import { combineCoefficients } from '../../statistics/regression/combination.js'
import { poissonRegression } from '../../statistics/regression/poisson.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, countPatients, placedRows, subsetRows } from '../rows/cohortRows.js'

/** Restorations delivered in one year, each followed for the same time. */
export interface YearOfDelivery {
  readonly year: number
  readonly restorations: number
  readonly patients: number
  /** Endpoints within the time followed. */
  readonly events: number
  /** Still at risk at the end of the time followed. */
  readonly atRisk: number
  /** Eligible and left out, since they were never looked at. */
  readonly neverChecked: number
  /** Looks that found it in order for each restoration-year, to half a year beyond the time followed. */
  readonly looksPerYear: Quantity
  /** Risk by the end of the time followed, competing events allowed for. */
  readonly risk: Estimate
  /** Whether fewer are at risk at the end than a curve needs: the year is not drawn and no trend rests on it. */
  readonly few: boolean
}

/** What may be said of the course of the years. */
export type TrendVerdict = 'few-years' | 'few-events' | 'unequal-looks' | 'open' | 'fell' | 'rose'

/** Answer to "has it changed over the years". */
export interface TrendResult {
  readonly kind: 'trend'
  /** Each restoration is followed for so long after delivery, and no longer. */
  readonly followedYears: number
  readonly years: readonly YearOfDelivery[]
  readonly verdict: TrendVerdict
  /** Years that are not few, and the endpoints in them. */
  readonly firm: { readonly years: number; readonly events: number; readonly patientsWithEvents: number }
  /** Rate for each later year of delivery over that of the year before; absent where it is not claimed. */
  readonly perYear?: Contrast
  /** Looks for each restoration-year, later half of the firm years over the earlier. */
  readonly looksRatio: Quantity
  readonly leftOut: {
    /** Delivered too late to be followed so long. */
    readonly tooLate: number
    readonly yearUnknown: number
    /** Observed from some time after delivery on only. */
    readonly lateEntry: number
  }
  readonly rule: typeof trendRule
  readonly leastAtRisk: number
  readonly level: number
}

/** From when on a trend is spoken of (docs/verification/trend.md). */
export const trendRule = Object.freeze({
  leastYears: 5,
  leastEvents: 10,
  leastPatients: 5,
  /** Most by which looks may differ between the halves of the years, as a ratio. */
  mostLooksRatio: 1.25,
})

/**
 * Risk of the endpoint by year of delivery, each restoration followed for the same time, and whether the rate changed from
 * year to year: Poisson regression on the year, patients kept together, Student's t by the patients with an event. Only
 * restorations that could be followed so long count, whatever became of them. No direction is claimed of few years or
 * events, nor where later years were looked at more or less often than earlier ones, since what nobody looks at is not found.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons (the longest at which enough years have enough at risk is taken), least at risk; default
 *   `defaultSettings`
 * @returns undefined with fewer than two years of delivery that could be followed
 * @example yearTrend(cohort).verdict // => "open"
 */
export function yearTrend(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): TrendResult | undefined {
  const possible = possibleFollowUp(cohort)
  const { level, leastAtRisk } = settings
  const all = cohortRows(cohort)
  const year = (i: number): number => cohort.deliveryYear[all.row[i]!]!
  const usable = Array.from(all.row.keys()).filter((i) => year(i) > 0 && (all.entryDays?.[i] ?? 0) === 0)
  const within = (years: number): readonly number[] =>
    usable.filter((i) => possible[all.row[i]!]! >= years * daysPerYear)
  const firmYears = (years: number): number => {
    const atRisk = new Map<number, number>()
    for (const i of within(years))
      if (all.timeDays[i]! >= years * daysPerYear) atRisk.set(year(i), (atRisk.get(year(i)) ?? 0) + 1)
    return [...atRisk.values()].filter((count) => count >= leastAtRisk).length
  }
  const followedYears = followedFor(settings.horizonsYears, firmYears)
  const kept = within(followedYears)
  const rows = subsetRows(all, kept)
  const yearOf = Int32Array.from(kept, year)
  const looks = looksWithin(cohort, rows, followedYears)
  const neverChecked = neverCheckedByYear(cohort)
  const years = [...new Set(yearOf)].sort((one, other) => one - other)
  if (years.length < 2) return undefined
  const byYear = years.map((one): YearOfDelivery => {
    const own = Array.from(yearOf.keys()).filter((i) => yearOf[i] === one)
    return yearOfDelivery(subsetRows(rows, own), own, one, {
      followedYears,
      level,
      leastAtRisk,
      looks,
      neverChecked: neverChecked.get(one) ?? 0,
    })
  })
  return answered(cohort, settings, {
    kind: 'trend' as const,
    followedYears,
    years: byYear,
    ...claimed(rows, yearOf, byYear, {
      followedYears,
      level,
      looks,
      afterLastLook: placedRows(rows, placedTimes(cohort, 'after-last-look')),
    }),
    leftOut: {
      tooLate: usable.length - kept.length,
      yearUnknown: Array.from(all.row.keys()).filter((i) => year(i) <= 0).length,
      lateEntry: Array.from(all.row.keys()).filter((i) => year(i) > 0 && (all.entryDays?.[i] ?? 0) > 0)
        .length,
    },
    rule: trendRule,
    leastAtRisk,
    level,
  })
}

/** The longest horizon at which enough years are firm; else that with the most firm years. Outcomes play no part. */
function followedFor(horizons: readonly number[], firmYears: (years: number) => number): number {
  const counted = [...horizons]
    .sort((one, other) => other - one)
    .map((years) => ({ years, firm: firmYears(years) }))
  const enough = counted.find(({ firm }) => firm >= trendRule.leastYears)
  return (enough ?? counted.reduce((best, one) => (one.firm > best.firm ? one : best))).years
}

interface Looks {
  readonly looks: Float64Array
  readonly years: Float64Array
}

/** A check that is due at the end of the time followed may come so much later, in years. */
const lateCheckYears = 0.5

/**
 * Looks of each restoration that found it in order, and its time at risk in years, to half a year beyond the time followed.
 * A look that found the event is none: else more events would pass for more looking.
 */
function looksWithin(cohort: Cohort, rows: CohortRows, followedYears: number): Looks {
  const { first, days, look } = cohort.seenDays()
  const last = (followedYears + lateCheckYears) * daysPerYear
  const end = rows.timeDays.map((time) => Math.min(time, last))
  const looks = Float64Array.from(rows.row, (row, i) => {
    let count = 0
    for (let at = first[row]!; at < first[row + 1]!; at++)
      if (look[at] === 1 && days[at]! <= end[i]! && !(rows.event[i] === 1 && days[at] === rows.timeDays[i]))
        count++
    return count
  })
  return { looks, years: end.map((day) => day / daysPerYear) }
}

function neverCheckedByYear(cohort: Cohort): ReadonlyMap<number, number> {
  const { deliveryYear, reason } = cohort.unknownOutcomes()
  const counts = new Map<number, number>()
  reason.forEach((one, i) => {
    if (one === 'never-checked') counts.set(deliveryYear[i]!, (counts.get(deliveryYear[i]!) ?? 0) + 1)
  })
  return counts
}

function yearOfDelivery(
  rows: CohortRows,
  positions: readonly number[],
  year: number,
  setting: {
    readonly followedYears: number
    readonly level: number
    readonly leastAtRisk: number
    readonly looks: Looks
    readonly neverChecked: number
  },
): YearOfDelivery {
  const days = setting.followedYears * daysPerYear
  const atRisk = rows.timeDays.filter((time) => time >= days).length
  const [risk] = risksAt(rows.timeDays, rows.status, [days], { cluster: rows.patient, level: setting.level })
  return {
    year,
    restorations: rows.n,
    patients: countPatients(rows),
    events: eventsWithin(rows, days),
    atRisk,
    neverChecked: setting.neverChecked,
    looksPerYear: looksPerYear(setting.looks, positions),
    risk: risk!,
    few: atRisk < setting.leastAtRisk,
  }
}

function eventsWithin(rows: CohortRows, days: number): number {
  return rows.event.reduce((sum, event, i) => sum + (event === 1 && rows.timeDays[i]! <= days ? 1 : 0), 0)
}

function looksPerYear({ looks, years }: Looks, positions: readonly number[]): Quantity {
  const [seen, time] = positions.reduce(([a, b], i) => [a + looks[i]!, b + years[i]!], [0, 0] as [
    number,
    number,
  ])
  return time > 0 ? seen / time : notEstimable('no-time-at-risk')
}

function claimed(
  rows: CohortRows,
  yearOf: Int32Array,
  byYear: readonly YearOfDelivery[],
  setting: {
    readonly followedYears: number
    readonly level: number
    readonly looks: Looks
    /** The same rows with each event right after its last clean look. */
    readonly afterLastLook: CohortRows
  },
): Pick<TrendResult, 'verdict' | 'firm' | 'perYear' | 'looksRatio'> {
  const firmYears = byYear.filter(({ few }) => !few).map(({ year }) => year)
  const positions = Array.from(yearOf.keys()).filter((i) => firmYears.includes(yearOf[i]!))
  const own = subsetRows(rows, positions)
  const ownYear = Int32Array.from(positions, (i) => yearOf[i]!)
  const days = setting.followedYears * daysPerYear
  const withEvent = new Set(own.patient.filter((_one, i) => own.event[i] === 1 && own.timeDays[i]! <= days))
  const firm = {
    years: firmYears.length,
    events: eventsWithin(own, days),
    patientsWithEvents: withEvent.size,
  }
  const looksRatio = ratioOfHalves(positions, yearOf, firmYears, setting.looks)
  const frame = { firm, looksRatio }
  if (firm.years < trendRule.leastYears) return { ...frame, verdict: 'few-years' }
  if (firm.events < trendRule.leastEvents || firm.patientsWithEvents < trendRule.leastPatients)
    return { ...frame, verdict: 'few-events' }
  const perYear = ratePerYear(own, ownYear, days, { level: setting.level, withEvent: withEvent.size })
  if (perYear === undefined) return { ...frame, verdict: 'few-events' }
  const steady = isNumber(looksRatio) && Math.max(looksRatio, 1 / looksRatio) <= trendRule.mostLooksRatio
  if (!steady) return { ...frame, verdict: 'unequal-looks' }
  const other = directionOf(
    ratePerYear(subsetRows(setting.afterLastLook, positions), ownYear, days, {
      level: setting.level,
      withEvent: withEvent.size,
    }),
  )
  const direction = directionOf(perYear)
  if (direction !== undefined && direction === other) return { ...frame, perYear, verdict: direction }
  return { ...frame, perYear, verdict: 'open' }
}

/** The side of 1 on which the whole interval lies. */
function directionOf(perYear: Contrast | undefined): 'fell' | 'rose' | undefined {
  if (perYear === undefined) return undefined
  const { lower, upper } = perYear.interval
  if (isNumber(upper) && upper < 1) return 'fell'
  return isNumber(lower) && lower > 1 ? 'rose' : undefined
}

/** Looks for each restoration-year in the later half of the years over the earlier; a middle year belongs to neither. */
function ratioOfHalves(
  positions: readonly number[],
  yearOf: Int32Array,
  years: readonly number[],
  looks: Looks,
): Quantity {
  const half = Math.floor(years.length / 2)
  const rate = (wanted: readonly number[]): Quantity =>
    looksPerYear(
      looks,
      positions.filter((i) => wanted.includes(yearOf[i]!)),
    )
  const [before, after] = [rate(years.slice(0, half)), rate(years.slice(years.length - half))]
  return isNumber(before) && isNumber(after) && before > 0 && after > 0
    ? after / before
    : notEstimable('no-time-at-risk')
}

function ratePerYear(
  rows: CohortRows,
  year: Int32Array,
  days: number,
  { level, withEvent }: { readonly level: number; readonly withEvent: number },
): Contrast | undefined {
  const event = rows.event.map((one, i) => (one === 1 && rows.timeDays[i]! <= days ? 1 : 0))
  const first = year.reduce((least, one) => Math.min(least, one))
  try {
    const fit = poissonRegression(
      event,
      { year: Float64Array.from(year, (one) => one - first) },
      {
        // Half a day for what was found on the day of delivery.
        exposure: rows.timeDays.map((time) => Math.max(0.5, Math.min(time, days)) / daysPerYear),
        cluster: Array.from(rows.patient),
        level,
      },
    )
    const { ratio, ratioInterval } = combineCoefficients(
      'year',
      fit,
      { year: 1 },
      {
        level,
        degreesOfFreedom: Math.max(1, withEvent - 2),
      },
    )
    return {
      estimate: ratio,
      interval: ratioInterval,
      level,
      method: methodOf(...fit.method, 'variance-summed-over-patients'),
      n: rows.n,
      events: event.reduce((sum, one) => sum + one, 0),
      clusters: fit.clusters,
      warnings: fit.warnings,
      reference: 'poisson',
      comparator: { group: 'later', against: 'earlier' },
    }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}
