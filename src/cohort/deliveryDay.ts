import { missingDay } from '../records/columns.js'
import type { Cohort } from './cohort.js'

/** Calendar day number of delivery of a restoration of the cohort; undefined where only the year is known, or nothing. */
export function knownDeliveryDay(cohort: Cohort, row: number): number | undefined {
  const day = cohort.deliveryDay[row]!
  return day === missingDay ? undefined : day
}
