import type { Cohort } from '../../cohort/cohort.js'
import { placedTimes } from '../../cohort/placement.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { daysPerYear } from '../../core/calendar.js'
import { randomStream } from '../../core/random.js'
import { missingDay } from '../../records/columns.js'
import { type PlacedUnits, placedUnits } from '../../statistics/planning/staggeredPrecision.js'

/** What a practice has followed so far, and how it goes on. */
export interface Followed {
  /** Its restorations, or those of the practice from which it was drawn. */
  readonly units: PlacedUnits
  /** How often each patient was drawn; absent in the practice itself. */
  readonly drawn?: Int32Array
  /** Restorations that come in per day and are looked at sooner or later. */
  readonly perDay: number
}

/** The practice itself. */
export interface FollowedPractice extends Followed {
  readonly restorations: number
  readonly patients: number
  readonly patientsWithEvent: number
  /** Usual days between two looks. */
  readonly gapDays: number
  eventsBy(days: number): number
}

/** A practice like it: its patients drawn anew. */
export interface Resample extends Followed {
  /** How many times larger a variance may have come out in it. */
  readonly spread: number
}

/** Years back from which the pace is taken. */
const paceYears = 3

/** Days between looks that are taken where nobody was looked at twice. */
const usualGap = 365

/** Unseen for this many gaps, a restoration counts as lost. */
const gapsUntilLost = 1.5

/** What was followed so far; those delivered lately that nobody looked at yet are there, without time at risk. */
export function followedSoFar(cohort: Cohort): FollowedPractice {
  const placed = placedTimes(cohort, 'midpoint')
  const possible = possibleFollowUp(cohort)
  const gapDays = usualGapOf(cohort)
  const waiting = notLookedAtYet(cohort, possible, gapDays)
  const n = cohort.n
  const joined = (column: ArrayLike<number>, rest: (i: number) => number): Float64Array =>
    Float64Array.from({ length: n + waiting.length }, (_one, i) => (i < n ? column[i]! : rest(i - n)))
  const units = placedUnits(
    {
      time: joined(placed.timeDays, () => 0),
      status: joined(placed.status, () => 0),
      entry: joined(placed.entryDays, () => 0),
      cluster: joined(cohort.patient, (i) => waiting[i]!.patient),
      possible: joined(possible, (i) => waiting[i]!.possible),
    },
    gapDays,
  )
  return {
    units,
    perDay: paceOf(units, new Int32Array(units.clusters).fill(1)),
    restorations: n,
    patients: cohort.summary.patients,
    patientsWithEvent: new Set(Array.from(cohort.patient).filter((_one, i) => placed.status[i] === 1)).size,
    gapDays,
    eventsBy: (days) =>
      placed.timeDays.reduce((sum, day, i) => sum + (placed.status[i] === 1 && day <= days ? 1 : 0), 0),
  }
}

/** Median days between two looks of one restoration, the first counted from delivery. */
export function usualGapOf(cohort: Cohort): number {
  const { first, days, look } = cohort.seenDays()
  const gaps: number[] = []
  for (let i = 0; i < cohort.n; i++) {
    let before = 0
    for (let at = first[i]!; at < first[i + 1]!; at++) {
      if (look[at] !== 1) continue
      gaps.push(days[at]! - before)
      before = days[at]!
    }
  }
  if (gaps.length === 0) return usualGap
  gaps.sort((one, two) => one - two)
  return Math.max(30, gaps[gaps.length >> 1]!)
}

function notLookedAtYet(
  cohort: Cohort,
  possible: Float64Array,
  gapDays: number,
): readonly { readonly patient: number; readonly possible: number }[] {
  let end = Number.NEGATIVE_INFINITY
  for (let i = 0; i < cohort.n; i++) {
    if (cohort.deliveryDay[i] !== missingDay) end = Math.max(end, cohort.deliveryDay[i]! + possible[i]!)
  }
  const unknown = cohort.unknownOutcomes()
  return Array.from({ length: unknown.n }, (_one, i) => ({
    patient: unknown.patient[i]!,
    possible: end - unknown.deliveryDay[i]!,
    waiting: unknown.reason[i] !== 'outcome-unreadable' && unknown.deliveryDay[i] !== missingDay,
  })).filter((one) => one.waiting && one.possible >= 0 && one.possible <= gapsUntilLost * gapDays)
}

/** Restorations per day, counted among those old enough to have been looked at, over three years at the most. */
function paceOf({ n, gap, cluster, possible }: PlacedUnits, drawn: Int32Array): number {
  let oldest = 0
  for (let i = 0; i < n; i++) {
    if (possible[i]! > oldest && drawn[cluster[i]!]! > 0) oldest = possible[i]!
  }
  const from = oldest > gapsUntilLost * gap + daysPerYear / 2 ? gapsUntilLost * gap : 0
  const to = Math.min(oldest, from + paceYears * daysPerYear)
  let inside = 0
  for (let i = 0; i < n; i++) {
    if (possible[i]! >= from && possible[i]! <= to) inside += drawn[cluster[i]!]!
  }
  return to > from ? inside / (to - from) : inside / daysPerYear
}

/** Practices like this one: as many patients, drawn with replacement. */
export function practiceResamples(
  { units, patientsWithEvent }: FollowedPractice,
  count: number,
  seed: number,
): readonly Resample[] {
  const patients = units.clusters
  const freedom = Math.max(1, patientsWithEvent - 2)
  return Array.from({ length: count }, (_one, draw) => {
    const random = randomStream(seed, draw)
    const drawn = new Int32Array(patients)
    for (let k = 0; k < patients; k++) drawn[random.index(patients)]! += 1
    return {
      units,
      drawn,
      perDay: paceOf(units, drawn),
      spread: freedom / (2 * random.gamma(freedom / 2)),
    }
  })
}
