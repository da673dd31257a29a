import { type CategoryColumn, labelAt, missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import type { CohortDefinition } from './definition.js'
import { looksOf } from './looks.js'

/** One day on which something was recorded of a restoration. */
export interface RecordedDay {
  /** Whole days since delivery. */
  readonly day: number
  /** Whether the endpoint would have been found on that day. */
  readonly looked: boolean
  /** Codes of what was found, "none" left out. */
  readonly findings: readonly string[]
  /** Codes of what was done. */
  readonly actions: readonly string[]
  /** Code of the state of the restoration, where it is another than in place. */
  readonly status?: string
}

/** What was recorded of one restoration, visit by visit. */
export interface RecordedHistory {
  /** Pseudonyms as the records hold them. */
  readonly restoration: string
  readonly patient: string
  readonly days: readonly RecordedDay[]
}

/**
 * What was recorded of chosen restorations, in order of day; several rows of one day become one.
 *
 * @param rows positions in the restorations table
 */
export function recordedHistories(
  records: RecordSet,
  definition: CohortDefinition,
  rows: ArrayLike<number>,
): readonly RecordedHistory[] {
  const { restorations, visits } = records
  const restorationId = restorations.category('restoration_id')
  const patientId = restorations.category('patient_id')
  const columns = {
    day: visits.day('days_since_delivery'),
    looked: looksOf(records, definition).isLook,
    finding: visits.category('finding'),
    action: visits.category('action_taken'),
    status: visits.category('restoration_status'),
  }
  return Array.from(rows, (row) => ({
    restoration: labelAt(restorationId, row) ?? 'unknown',
    patient: labelAt(patientId, row) ?? 'unknown',
    days: daysOf(columns, visits.firstRow[row]!, visits.firstRow[row + 1]!),
  }))
}

interface VisitColumns {
  readonly day: Int32Array
  readonly looked: (row: number) => boolean
  readonly finding: CategoryColumn
  readonly action: CategoryColumn
  readonly status: CategoryColumn
}

function daysOf(columns: VisitColumns, from: number, to: number): readonly RecordedDay[] {
  const byDay = new Map<number, number[]>()
  for (let row = from; row < to; row++) {
    const day = columns.day[row]!
    if (day !== missingDay) byDay.set(day, [...(byDay.get(day) ?? []), row])
  }
  // The visits of a restoration stand in order of day.
  return [...byDay].map(([day, rows]) => {
    const codes = (column: CategoryColumn, not: string): readonly string[] =>
      [...new Set(rows.flatMap((row) => labelAt(column, row) ?? []))].filter((code) => code !== not)
    const status = codes(columns.status, 'in_place').at(-1)
    return {
      day,
      looked: rows.some(columns.looked),
      findings: codes(columns.finding, 'none'),
      actions: codes(columns.action, ''),
      ...(status === undefined ? {} : { status }),
    }
  })
}
