import { missingDay } from '../columns.js'
import type { TypedTable } from '../understand/typedTable.js'

/** Fields of days since delivery that stand for a date of the source, by table. */
const twins: Readonly<Record<string, readonly (readonly [day: string, date: string])[]>> = {
  restorations: [
    ['observation_start_day', 'observation_start_date'],
    ['implant_placement_day', 'implant_placement_date'],
  ],
  tightenings: [['device_last_calibration_day', 'device_last_calibration_date']],
  visits: [['onset_day', 'onset_date']],
}

/**
 * Turns the dates of a table into days since the delivery of its restorations. A day that the source states itself
 * stays; a date without a delivery date to count from stays unknown.
 *
 * @param originOf calendar day of delivery for a row of the table
 */
export function datesToDays(table: TypedTable, originOf: (row: number) => number): void {
  for (const [dayField, dateField] of twins[table.sheet] ?? []) {
    const dates = table.dates.get(dateField)
    if (dates === undefined) continue
    const stated = table.days.get(dayField)
    const days = dates.map((date, row) => {
      if (stated !== undefined && stated[row] !== missingDay) return stated[row]!
      const origin = originOf(row)
      return date === missingDay || origin === missingDay ? missingDay : date - origin
    })
    table.days.set(dayField, days)
  }
}
