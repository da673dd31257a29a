import { codeOf, missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import type { CohortDefinition } from './definition.js'
import { findingFlags, type RestorationHistory, removalReader } from './endpoint.js'
import { looksOf } from './looks.js'

/** Every time that the endpoint was found in one restoration, and the end of the time in which it could be. */
export interface RepeatedFindings {
  /** Days after delivery on which it was found, ascending, after entry. */
  readonly days: readonly number[]
  readonly endDay: number
  /** Removal, loss or death ended the time; none of the findings did. */
  readonly terminal: boolean
}

/**
 * Reads every finding of the endpoint. What was found, only watched and found again before a look that was clear is one
 * finding. Time ends at the last look, or at removal, loss or death where these came within the recall interval.
 *
 * @param rows positions of the wanted restorations in the restorations table
 * @param entryDays first day at risk of each
 */
export function repeatedFindings(
  records: RecordSet,
  definition: CohortDefinition,
  history: RestorationHistory,
  rows: Int32Array,
  entryDays: Float64Array,
): readonly RepeatedFindings[] {
  const { visits } = records
  const day = visits.day('days_since_delivery')
  const found = findingFlags(records, definition.endpoint)
  const looked = looksOf(records, definition).isLook
  const gone = removalReader(records)
  const action = visits.category('action_taken')
  const watched = codeOf(action, 'watched')
  const followed = (restoration: number, entry: number): RepeatedFindings => {
    const days: number[] = []
    let open = false
    let lastLook = entry
    let terminalDay = history.competingDay[restoration]!
    const end = visits.firstRow[restoration + 1]!
    for (let row = visits.firstRow[restoration]!; row < end; row++) {
      const today = day[row]!
      if (today === missingDay || (terminalDay !== missingDay && today > terminalDay)) continue
      if (found(row)) {
        if (!open && today !== days.at(-1)) days.push(today)
        open = watched >= 0 && action.codes[row] === watched
      } else if (looked(row)) open = false
      if (found(row) || looked(row)) lastLook = Math.max(lastLook, today)
      if (gone(row) !== undefined) terminalDay = today
    }
    const terminal = terminalDay !== missingDay && terminalDay - lastLook <= definition.recallIntervalDays
    return {
      days: days.filter((one) => entry === 0 || one > entry),
      endDay: terminal ? terminalDay : lastLook,
      terminal,
    }
  }
  return Array.from(rows, (restoration, i) => followed(restoration, entryDays[i]!))
}
