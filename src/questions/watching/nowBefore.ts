import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear, yearOfDay } from '../../core/calendar.js'
import type { Contrast, Estimate } from '../../core/estimate.js'
import {
  cumulativeScores,
  limitOfChart,
  observedOverExpected,
  stepsToSee,
} from '../../statistics/monitoring/nowAgainstBefore.js'
import { normalQuantile } from '../../statistics/numeric/distributions.js'
import { clusteredRiskDifference } from '../../statistics/proportions/clusteredComparison.js'
import { clusteredProportion } from '../../statistics/proportions/clusteredProportion.js'
import { type Baseline, baselineOf } from './baseline.js'
import { bandEnds, type Exposure, neverLookedAt } from './exposure.js'

/** A number with its limits. */
export interface RatioOf {
  readonly estimate: number
  readonly lower: number
  readonly upper: number
}

/** What may be read of the last years against those before. */
export type NowReading = 'signal' | 'none' | 'better' | 'looks-changed'

/** Now against before. */
export interface NowBefore {
  readonly state: 'watched' | 'too-few'
  /** Calendar days: the first delivery, the beginning of what is watched, the end of the records. */
  readonly firstDay: number
  readonly startDay: number
  readonly lastDay: number
  readonly baseline: { readonly events: number; readonly years: number }
  readonly watched?: {
    readonly years: number
    readonly events: number
    readonly expected: number
    /** What the expectation allows for, besides the age of the restoration. */
    readonly adjustedFor: readonly string[]
    /** Variance of counts over that of independent findings, from the baseline. */
    readonly dispersion: number
    readonly limit: number
    readonly falseAlarm: number
    /** Calendar day on which the chart first passed its limit. */
    readonly signalDay?: number
    /** Height of the chart week by week, calendar years as numbers. */
    readonly course: readonly { readonly year: number; readonly height: number }[]
    /** Years until a doubling in new deliveries would be seen in half of the cases; absent where more than ten. */
    readonly yearsToSee?: number
    readonly seenShare: number
  }
  /** The last whole calendar year. */
  readonly lastYear?: {
    readonly year: number
    readonly events: number
    readonly expected: number
    readonly ratio: RatioOf
    /** Looks per restoration-year against before, at the same ages. */
    readonly looks: RatioOf
  }
  /** Deliveries of 15 to 27 months ago against earlier ones, found by 15 months. */
  readonly sideBySide?: {
    readonly recent: { readonly restorations: number; readonly events: number; readonly share: Estimate }
    readonly earlier: { readonly restorations: number; readonly events: number; readonly share: Estimate }
    readonly difference: Contrast
  }
  /** Days since the last finding, and those between two findings before, on average. */
  readonly sinceLast?: { readonly days: number; readonly usual: number }
  readonly reading?: NowReading
  readonly level: number
}

/** Years that are watched at the most, and within which the false alarm is stated. */
const watchedYears = 3
const falseAlarm = 0.1
const week = 7

/**
 * Fewest findings and years of a baseline; the years common practice, no source. The error of a few findings is drawn in. Were
 * ten asked for, of practices with about ten those with many by chance would be watched, and alarms would come too
 * seldom (docs/verification/watching.md).
 */
const leastBaseline = { events: 5, years: 2 } as const

/** Least change in looks per restoration-year that is said. */
const leastLooksChange = 0.05

/** The last years of a practice against those before. */
export function nowAgainstBefore(
  cohort: Cohort,
  exposure: Exposure,
  {
    level,
    seed,
    adjustFor,
  }: { readonly level: number; readonly seed: number; readonly adjustFor: readonly string[] },
  since?: number,
): NowBefore {
  const { firstDay, lastDay, findings } = exposure
  const startDay = since ?? startOf(exposure)
  const before = findings.filter(({ day }) => day < startDay)
  const base = {
    firstDay,
    startDay,
    lastDay,
    baseline: { events: before.length, years: Math.max(0, startDay - firstDay) / daysPerYear },
    level,
  }
  const sideBySide = twoYears(cohort, lastDay, level)
  const shared = { ...base, ...(sideBySide === undefined ? {} : { sideBySide }), ...sinceLastOf(exposure) }
  if (before.length < leastBaseline.events || lastDay - startDay < daysPerYear) {
    return { state: 'too-few', ...shared }
  }
  const baseline = baselineOf(cohort, exposure, startDay, adjustFor)
  const { dispersion } = baseline
  const counts = { baselineEvents: baseline.effectiveEvents(startDay, lastDay), dispersion }
  const weeks = Math.floor((lastDay - startDay) / week)
  const expected = expectedByWeek(exposure, baseline, startDay, weeks)
  const observed = new Float64Array(weeks)
  for (const { day } of findings) {
    const at = Math.floor((day - startDay) / week)
    if (at >= 0 && at < weeks) observed[at]! += 1
  }
  const steps = Math.round((watchedYears * daysPerYear) / week)
  const limit = limitOfChart({ expected, observed, ...counts }, { steps, falseAlarm, seed })
  const heights = cumulativeScores({ expected, observed, ...counts })
  const passed = heights.findIndex((one) => one >= limit)
  const total = expected.reduce((sum, one) => sum + one, 0)
  const seen = stepsToSee(counts, limit, total / weeks, shareYounger(exposure, baseline, startDay), {
    most: Math.round((10 * daysPerYear) / week),
    seed,
  })
  const lastYear = lastYearOf(exposure, baseline, startDay, level)
  return {
    state: 'watched',
    ...shared,
    watched: {
      years: (weeks * week) / daysPerYear,
      events: observed.reduce((sum, one) => sum + one, 0),
      expected: total,
      adjustedFor: baseline.adjustedFor,
      dispersion,
      limit,
      falseAlarm,
      ...(passed < 0 ? {} : { signalDay: startDay + (passed + 1) * week }),
      course: Array.from(heights, (height, i) => ({
        year: calendarYears(startDay + (i + 1) * week),
        height,
      })),
      ...(seen.median === undefined ? {} : { yearsToSee: (seen.median * week) / daysPerYear }),
      seenShare: seen.share,
    },
    ...(lastYear === undefined ? {} : { lastYear }),
    reading: readingOf(passed >= 0, lastYear),
  }
}

function readingOf(signal: boolean, lastYear: NowBefore['lastYear']): NowReading {
  if (signal) return 'signal'
  if (lastYear === undefined) return 'none'
  const { ratio, looks } = lastYear
  const changed = (looks.lower > 1 || looks.upper < 1) && Math.abs(looks.estimate - 1) >= leastLooksChange
  if (changed) return 'looks-changed'
  return ratio.upper < 1 && looks.estimate > 1 - leastLooksChange ? 'better' : 'none'
}

/** Three years before the end, or two, or one, where the time before holds enough to compare with. */
function startOf({ firstDay, lastDay, findings }: Exposure): number {
  const starts = [watchedYears, 2, 1].map((years) => Math.round(lastDay - years * daysPerYear))
  const enough = (start: number): boolean =>
    start - firstDay >= leastBaseline.years * daysPerYear &&
    findings.filter(({ day }) => day < start).length >= leastBaseline.events
  return starts.find(enough) ?? starts.at(-1)!
}

/** Marks per restoration-day by age band, before the start; nought where nobody was watched. */
function bandRates(
  { stretches }: Exposure,
  marks: readonly { readonly band: number; readonly day: number }[],
  startDay: number,
): Float64Array {
  const days = new Float64Array(bandEnds.length)
  for (const { band, from, to } of stretches) days[band]! += Math.max(0, Math.min(to, startDay) - from)
  const counts = new Float64Array(bandEnds.length)
  for (const { band, day } of marks) if (day < startDay) counts[band]! += 1
  return counts.map((count, band) => (days[band]! > 0 ? count / days[band]! : 0))
}

function expectedByWeek(
  { stretches }: Exposure,
  baseline: Baseline,
  startDay: number,
  weeks: number,
): Float64Array {
  const expected = new Float64Array(weeks)
  for (const stretch of stretches) {
    const { from, to } = stretch
    const rate = baseline.rateOf(stretch)
    for (
      let at = Math.max(0, Math.floor((from - startDay) / week));
      at < weeks && startDay + at * week < to;
      at++
    ) {
      const [low, high] = [startDay + at * week, startDay + (at + 1) * week]
      expected[at]! += rate * Math.max(0, Math.min(high, to) - Math.max(low, from))
    }
  }
  return expected
}

/** Share of the expected findings of the watched years in restorations of at most so many weeks of age. */
function shareYounger(
  { stretches }: Exposure,
  baseline: Baseline,
  startDay: number,
): (weeks: number) => number {
  const expected = new Float64Array(bandEnds.length)
  for (const stretch of stretches) {
    const days = Math.max(0, stretch.to - Math.max(stretch.from, startDay))
    expected[stretch.band]! += days * baseline.rateOf(stretch)
  }
  const total = expected.reduce((sum, one) => sum + one, 0)
  return (weeks) => {
    const age = (weeks * week) / daysPerYear
    let [sum, start] = [0, 0]
    bandEnds.forEach((end, band) => {
      sum += expected[band]! * Math.min(1, Math.max(0, (age - start) / (end - start)))
      start = end
    })
    return total > 0 ? sum / total : 0
  }
}

function lastYearOf(
  exposure: Exposure,
  baseline: Baseline,
  startDay: number,
  level: number,
): NowBefore['lastYear'] {
  // Records that end within the last month of a year hold that year.
  const year = yearOfDay(exposure.lastDay + 31) - 1
  const [from, to] = [dayOfYear(year), dayOfYear(year + 1)]
  if (from < startDay) return undefined
  const inside = (marks: readonly { readonly day: number }[]): number =>
    marks.filter(({ day }) => day >= from && day < to).length
  const lookRates = bandRates(exposure, exposure.looks, startDay)
  const expectedLooks = exposure.stretches.reduce(
    (sum, one) => sum + lookRates[one.band]! * Math.max(0, Math.min(one.to, to) - Math.max(one.from, from)),
    0,
  )
  const [events, expected] = [inside(exposure.findings), baseline.expected(from, to)]
  const looks = inside(exposure.looks)
  const counts = { baselineEvents: baseline.effectiveEvents(from, to), dispersion: baseline.dispersion }
  if (!(expected > 0) || !(expectedLooks > 0) || looks === 0) return undefined
  const looksBefore = exposure.looks.filter(({ day }) => day < startDay).length
  const spread = Math.exp(normalQuantile((1 + level) / 2) * Math.sqrt(1 / looks + 1 / looksBefore))
  const looksRatio = looks / expectedLooks
  return {
    year,
    events,
    expected,
    ratio: observedOverExpected(events, expected, counts, level),
    looks: { estimate: looksRatio, lower: looksRatio / spread, upper: looksRatio * spread },
  }
}

function dayOfYear(year: number): number {
  return Date.UTC(year, 0, 1) / 86_400_000
}

function calendarYears(day: number): number {
  const year = yearOfDay(day)
  return year + (day - dayOfYear(year)) / (dayOfYear(year + 1) - dayOfYear(year))
}

/** Months by which a finding counts, and the deliveries set side by side. */
const months = { found: 15, recent: 27 } as const

/** Deliveries of 15 to 27 months before the end against earlier ones, found by 15 months: equal chance to be seen. */
function twoYears(cohort: Cohort, lastDay: number, level: number): NowBefore['sideBySide'] {
  const possible = possibleFollowUp(cohort)
  const [found, recent] = [months.found, months.recent].map((one) => (one / 12) * daysPerYear) as [
    number,
    number,
  ]
  const looked = Array.from({ length: cohort.n }, (_one, row) => ({
    patient: cohort.patient[row]!,
    age: possible[row]!,
    from: cohort.entryDays[row]!,
    found: cohort.status[row] === restorationStatus.endpoint && cohort.timeDays[row]! <= found,
  }))
  // Those never looked at count on both sides: else only the earlier ones would have had time for a late first look.
  const never = neverLookedAt(cohort).map((one) => ({ ...one, age: lastDay - one.delivered, found: false }))
  const rows = [...looked, ...never].filter(({ age, from }) => age >= found && from === 0)
  const event = rows.map((one) => (one.found ? 1 : 0))
  const group = rows.map(({ age }) => (age < recent ? 1 : 0))
  const patient = rows.map((one) => one.patient)
  const side = (wanted: number) => {
    const at = rows.flatMap((_row, i) => (group[i] === wanted ? [i] : []))
    const own = at.map((i): number => event[i]!)
    return {
      restorations: at.length,
      events: own.reduce<number>((sum, one) => sum + one, 0),
      share: clusteredProportion(
        own,
        at.map((i) => patient[i]!),
        { level },
      ),
    }
  }
  if (!group.includes(1) || !group.includes(0)) return undefined
  return {
    recent: side(1),
    earlier: side(0),
    difference: clusteredRiskDifference(event, group, patient, { level }),
  }
}

function sinceLastOf({ findings, lastDay, firstDay }: Exposure): Pick<NowBefore, 'sinceLast'> {
  if (findings.length < 2) return {}
  const last = findings.reduce((most, { day }) => Math.max(most, day), firstDay)
  const first = findings.reduce((least, { day }) => Math.min(least, day), lastDay)
  return { sinceLast: { days: lastDay - last, usual: (last - first) / (findings.length - 1) } }
}
