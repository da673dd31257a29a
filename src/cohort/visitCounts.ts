import { codeOf } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import type { CohortDefinition } from './definition.js'
import { looksOf } from './looks.js'

/** How often restorations were looked at while at risk, on different days after delivery. */
export interface VisitCounts {
  /** Looks that would have shown the endpoint, at visits that the schedule asked for. */
  readonly scheduledLooks: Int32Array
  /** All looks that would have shown the endpoint. */
  readonly looks: Int32Array
  /** Visits and contacts of any kind. */
  readonly contacts: Int32Array
}

/**
 * Counts the visits of chosen restorations while they were at risk.
 *
 * @param rows positions in the restorations table
 * @param entryDays first day at risk of each
 * @param timeDays last day at risk of each; a visit on that day counts
 */
export function visitCounts(
  records: RecordSet,
  definition: CohortDefinition,
  rows: Int32Array,
  entryDays: Float64Array,
  timeDays: Float64Array,
): VisitCounts {
  const { visits } = records
  const day = visits.day('days_since_delivery')
  const looked = looksOf(records, definition).isLook
  const type = visits.category('visit_type')
  const scheduled = codeOf(type, 'scheduled')
  const counts = {
    scheduledLooks: new Int32Array(rows.length),
    looks: new Int32Array(rows.length),
    contacts: new Int32Array(rows.length),
  }
  rows.forEach((restoration, i) => {
    const days = { scheduledLooks: new Set<number>(), looks: new Set<number>(), contacts: new Set<number>() }
    const end = visits.firstRow[restoration + 1]!
    for (let row = visits.firstRow[restoration]!; row < end; row++) {
      const today = day[row]!
      // Entry is on the day of delivery at the earliest; a day that is not known is below all others.
      if (today <= entryDays[i]! || today > timeDays[i]!) continue
      days.contacts.add(today)
      if (!looked(row)) continue
      days.looks.add(today)
      if (scheduled >= 0 && type.codes[row] === scheduled) days.scheduledLooks.add(today)
    }
    counts.scheduledLooks[i] = days.scheduledLooks.size
    counts.looks[i] = days.looks.size
    counts.contacts[i] = days.contacts.size
  })
  return counts
}
