import { yearOfDay } from '../core/calendar.js'
import { missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'

/** Origin and entry of each restoration of the records. */
export interface TimeOrigin {
  /** Calendar day number of delivery; `missingDay` in shareable records, which hold the year only. */
  readonly deliveryDay: Int32Array
  /** Calendar year of delivery; 0 where unknown. */
  readonly deliveryYear: Int32Array
  /** Whole days from delivery to the day from which findings were recorded; 0 unless recording began later. */
  readonly entryDay: Int32Array
}

/** Reads the origin (day of delivery, time 0) and the entry (start of observation, if later) of every restoration. */
export function timeOrigins(records: RecordSet): TimeOrigin {
  const { restorations } = records
  const deliveryDay = restorations.day('delivery_date')
  const year = restorations.number('delivery_year')
  const observed = restorations.day('observation_start_date')
  const deliveryYear = Int32Array.from(deliveryDay, (day, row) => {
    if (day !== missingDay) return yearOfDay(day)
    return Number.isNaN(year[row]) ? 0 : year[row]!
  })
  const entryDay = observed.map((day) => (day === missingDay ? 0 : Math.max(0, day)))
  return { deliveryDay, deliveryYear, entryDay }
}
