import { dayFromIso } from '../../core/calendar.js'
import { missingDay } from '../columns.js'
import { daysOrMissing, type TypedTable } from '../understand/typedTable.js'

/** First and last day on which each restoration can have been delivered; both `missingDay` where nothing is known. */
export interface DeliveryBounds {
  readonly earliest: Int32Array
  readonly latest: Int32Array
}

/**
 * The delivery of each restoration on the calendar: its day where that is recorded, else the first and the last day of its
 * year. What contradicts both ends is impossible whatever the day was.
 *
 * @param rounding days by which days since such a delivery may lie beside the truth, since they were rounded (default 0)
 */
export function deliveryBounds(restorations: TypedTable, rounding = 0): DeliveryBounds {
  const day = daysOrMissing(restorations.dates, 'delivery_date', restorations.rowCount)
  const year = restorations.numbers.get('delivery_year')
  const earliest = day.slice()
  const latest = day.slice()
  if (year === undefined) return { earliest, latest }
  for (let row = 0; row < restorations.rowCount; row++) {
    if (day[row] !== missingDay) continue
    const [first, last] = [dayFromIso(`${year[row]}-01-01`), dayFromIso(`${year[row]}-12-31`)]
    if (first === undefined || last === undefined) continue
    earliest[row] = first - rounding
    latest[row] = last + rounding
  }
  return { earliest, latest }
}
