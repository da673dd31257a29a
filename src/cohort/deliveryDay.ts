import { daysPerYear } from '../core/calendar.js'
import { missingDay } from '../records/columns.js'
import type { Cohort } from './cohort.js'

/** Calendar day number of delivery of a restoration of the cohort; undefined where only the year is known, or nothing. */
export function knownDeliveryDay(cohort: Cohort, row: number): number | undefined {
  const day = cohort.deliveryDay[row]!
  return day === missingDay ? undefined : day
}

/** Calendar day number of a delivery: the day where it is known, else the last day of its year. */
export function latestDeliveryDay(day: number, year: number): number {
  return day === missingDay ? (year - 1970 + 1) * daysPerYear : day
}
