import { max, min } from 'simple-statistics'
import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import type { SeenDays } from '../../cohort/seenDays.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { missingDay } from '../../records/columns.js'

/** Ends of the age bands in years, cut between yearly visits; the last is the age up to which is watched. */
export const bandEnds = [0.75, 1.25, 1.75, 2.25, 2.75, 3.25] as const

/** After the last look a restoration is watched for this many years at the most: later nobody looks at it. */
const watchedAfterLook = 1.5

/** A stretch of days on which one restoration is watched. */
export interface Stretch {
  /** Row in the cohort; those never looked at follow, numbered on in the order of the cohort's unknown outcomes. */
  readonly row: number
  readonly patient: number
  readonly band: number
  /** First calendar day, and the one after the last. */
  readonly from: number
  readonly to: number
}

/** Something found, or a look, on a calendar day while watched. */
export interface Mark {
  readonly row: number
  readonly patient: number
  readonly band: number
  readonly day: number
}

/** Who was watched when, and what was seen of them. */
export interface Exposure {
  readonly stretches: readonly Stretch[]
  readonly findings: readonly Mark[]
  readonly looks: readonly Mark[]
  readonly firstDay: number
  /** The last day of the records. */
  readonly lastDay: number
}

/**
 * Who is watched on which day: from delivery to one and a half years after the last look before that day, to an age of 3.25
 * years, to a finding or another end. Nothing that comes later decides who is watched.
 */
export function watchedExposure(cohort: Cohort): Exposure | undefined {
  const possible = possibleFollowUp(cohort)
  const seen = cohort.seenDays()
  const dated = Array.from({ length: cohort.n }, (_one, row) => row).filter(
    (row) => cohort.deliveryDay[row] !== missingDay,
  )
  if (dated.length === 0) return undefined
  const lastDay = max(dated.map((row) => cohort.deliveryDay[row]! + possible[row]!))
  const parts = { stretches: [] as Stretch[], findings: [] as Mark[], looks: [] as Mark[] }
  const mostAge = bandEnds.at(-1)! * daysPerYear
  for (const row of dated) {
    const delivered = cohort.deliveryDay[row]!
    const patient = cohort.patient[row]!
    const ended =
      cohort.status[row] === restorationStatus.censored ? Number.POSITIVE_INFINITY : cohort.timeDays[row]!
    const end = Math.min(mostAge, ended, lastDay - delivered)
    let reach = Math.max(0, cohort.entryDays[row]!)
    let until = reach + watchedAfterLook * daysPerYear
    const watch = (to: number): void => {
      addStretches(parts.stretches, { row, patient, delivered }, reach, Math.min(to, until, end))
    }
    for (let at = seen.first[row]!; at < seen.first[row + 1]!; at++) {
      const day = seen.days[at]!
      if (seen.look[at] !== 1 || day <= reach || day > end) continue
      watch(day)
      if (day <= until) parts.looks.push({ row, patient, band: bandOf(day), day: delivered + day })
      reach = day
      until = day + watchedAfterLook * daysPerYear
    }
    watch(end)
    const found = cohort.timeDays[row]!
    if (
      cohort.status[row] === restorationStatus.endpoint &&
      found <= end &&
      found > 0 &&
      watchedOn(seen, row, cohort.entryDays[row]!, found)
    ) {
      parts.findings.push({ row, patient, band: bandOf(found), day: delivered + found })
    }
  }
  for (const { at, patient, delivered, from } of neverLookedAt(cohort)) {
    const end = Math.min(from + watchedAfterLook * daysPerYear, mostAge, lastDay - delivered)
    addStretches(parts.stretches, { row: cohort.n + at, patient, delivered }, from, end)
  }
  return { ...parts, firstDay: min(dated.map((row) => cohort.deliveryDay[row]!)), lastDay }
}

/**
 * Restorations that nobody looked at, yet or ever. They are watched too: were only those of the last year watched that
 * brought themselves in, the last year would look worse than those before.
 */
export function neverLookedAt(cohort: Cohort) {
  const unknown = cohort.unknownOutcomes()
  // Where recording began after the delivery of some, nobody was watched before.
  const began = cohort.deliveryDay.reduce(
    (least, day, row) =>
      cohort.entryDays[row]! > 0 && day !== missingDay
        ? Math.min(least, day + cohort.entryDays[row]!)
        : least,
    Number.POSITIVE_INFINITY,
  )
  return Array.from({ length: unknown.n }, (_one, i) => i)
    .filter((i) => unknown.reason[i] !== 'outcome-unreadable' && unknown.deliveryDay[i] !== missingDay)
    .map((i) => {
      const delivered = unknown.deliveryDay[i]!
      return {
        at: i,
        patient: unknown.patient[i]!,
        delivered,
        from: Number.isFinite(began) ? Math.max(0, began - delivered) : 0,
      }
    })
}

/** Whether the last look before a day was late enough for the restoration to be watched on it. */
function watchedOn(seen: SeenDays, row: number, entry: number, day: number): boolean {
  let last = Math.max(0, entry)
  for (let at = seen.first[row]!; at < seen.first[row + 1]!; at++) {
    if (seen.look[at] === 1 && seen.days[at]! < day) last = Math.max(last, seen.days[at]!)
  }
  return day <= last + watchedAfterLook * daysPerYear
}

function bandOf(age: number): number {
  const years = age / daysPerYear
  return bandEnds.findIndex((end) => years <= end)
}

function addStretches(
  stretches: Stretch[],
  { row, patient, delivered }: { readonly row: number; readonly patient: number; readonly delivered: number },
  from: number,
  to: number,
): void {
  let start = from
  bandEnds.forEach((end, band) => {
    const stop = Math.min(to, end * daysPerYear)
    if (stop <= start) return
    stretches.push({ row, patient, band, from: delivered + start, to: delivered + stop })
    start = stop
  })
}
