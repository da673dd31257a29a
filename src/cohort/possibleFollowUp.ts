import { daysPerYear } from '../core/calendar.js'
import { missingDay } from '../records/columns.js'
import type { Cohort } from './cohort.js'

/**
 * How long each restoration of the cohort could have been followed, in days: from its delivery to the last contact that
 * the clinic had with anybody. Where only the year of delivery is known, the shortest that it allows; NaN without one.
 */
export function possibleFollowUp(cohort: Cohort): Float64Array {
  const dated = (row: number): boolean => cohort.deliveryDay[row] !== missingDay
  const ends = new Map<string, number>()
  const keyOf = (row: number): string => `${cohort.clinic.codes[row]}|${dated(row)}`
  const originOf = (row: number): number =>
    dated(row) ? cohort.deliveryDay[row]! : cohort.deliveryYear[row]! * daysPerYear
  for (let row = 0; row < cohort.n; row++) {
    const last = originOf(row) + Math.max(cohort.lastContactDays[row]!, cohort.timeDays[row]!)
    ends.set(keyOf(row), Math.max(ends.get(keyOf(row)) ?? Number.NEGATIVE_INFINITY, last))
  }
  // A delivery of which only the year is known may have been its last day.
  return Float64Array.from({ length: cohort.n }, (_one, row) =>
    dated(row) || cohort.deliveryYear[row]! > 0
      ? ends.get(keyOf(row))! - originOf(row) - (dated(row) ? 0 : daysPerYear)
      : Number.NaN,
  )
}
