import type { CategoryColumn } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import type { CategoryFieldName, NumberFieldName } from '../vocabulary/fields.js'
import type { CohortDefinition } from './definition.js'
import { looksOf } from './looks.js'

/** Days after delivery on which restorations were seen in person, for questions of loss and of unequal looking. */
export interface SeenDays {
  /** Days of restoration i are those from `first[i]` to below `first[i + 1]`; length restorations + 1. */
  readonly first: Int32Array
  /** Different days, ascending within each restoration; the day of delivery is not among them. */
  readonly days: Int32Array
  /** 1 where the visit was a look at which the endpoint would have been found. */
  readonly look: Uint8Array
}

/**
 * Reads when chosen restorations were seen in person, whether or not they were still at risk.
 *
 * @param rows positions in the restorations table
 */
export function seenDays(
  records: RecordSet,
  definition: CohortDefinition,
  rows: ArrayLike<number>,
): SeenDays {
  const { visits } = records
  const day = visits.day('days_since_delivery')
  const { isLook, isInPerson } = looksOf(records, definition)
  const first = new Int32Array(rows.length + 1)
  const days: number[] = []
  const look: number[] = []
  for (let i = 0; i < rows.length; i++) {
    const end = visits.firstRow[rows[i]! + 1]!
    for (let row = visits.firstRow[rows[i]!]!; row < end; row++) {
      // A day that is not known is below all others.
      if (day[row]! <= 0 || !isInPerson(row)) continue
      // Rows of one restoration stand in order of day, and those of a day agree on whether it was a look.
      if (days.length > first[i]! && days.at(-1) === day[row]) continue
      days.push(day[row]!)
      look.push(isLook(row) ? 1 : 0)
    }
    first[i + 1] = days.length
  }
  return { first, days: Int32Array.from(days), look: Uint8Array.from(look) }
}

/** Restorations that were eligible and left out because nothing is known of their outcome. */
export interface UnknownOutcomes {
  readonly n: number
  /** Position of each in the restorations table. */
  readonly recordRow: Int32Array
  /** `outcome-unreadable`, `never-checked` or `no-time-at-risk`. */
  readonly reason: readonly string[]
  /** Numbered as in the cohort, and on from there. */
  readonly patient: Int32Array
  readonly clinic: CategoryColumn
  readonly operator: CategoryColumn
  /** Position in `exposureGroups`. */
  readonly exposure: Uint8Array
  readonly deliveryYear: Int32Array
  /** Calendar day number of delivery; `missingDay` where only the year is known. */
  readonly deliveryDay: Int32Array
  /** Last contact of any kind in days since delivery; NaN where there was none. */
  readonly lastContactDays: Float64Array
  /** What is recorded of them, as of those in the cohort. */
  category(field: CategoryFieldName): CategoryColumn
  number(field: NumberFieldName): Float64Array
}
