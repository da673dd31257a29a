import { dayNumber, isoFromDay, yearOfDay } from '../../core/calendar.js'

/** A change of handling found in, or given for, the deliveries of one clinic. */
export interface FoundChange {
  readonly changeDay: number
  readonly before: { readonly known: number; readonly inGroup: number }
  readonly after: { readonly known: number; readonly inGroup: number }
}

/** The rule by which a change is found. */
export const changeRule = Object.freeze({
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
export function sidesAt(days: ArrayLike<number>, inGroup: ArrayLike<number>, changeDay: number): FoundChange {
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
