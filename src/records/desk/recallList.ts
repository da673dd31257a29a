import { isoFromDay } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { labelAt, missingDay } from '../columns.js'
import type { RecordSet } from '../dataset.js'

/** How the recall list is made. */
export interface RecallOptions {
  /** Day number of the day of the run. */
  readonly today: number
  /** Days after the last check of the screw (or delivery) on which the next is due; default 365. */
  readonly intervalDays?: number
}

/** A restoration whose screw is overdue for a check. */
export interface RecallEntry {
  readonly restoration_id: string
  readonly patient_id: string
  readonly clinic_id: string
  readonly tooth_position: string
  /** Date of the last check, or of delivery where there was none. */
  readonly since: string
  readonly everChecked: boolean
  readonly daysSince: number
  readonly daysOverdue: number
}

/** Who is overdue, and who was not put on the list and why. */
export interface RecallList {
  readonly intervalDays: number
  /** Longest overdue first; of equals by restoration. */
  readonly overdue: readonly RecallEntry[]
  readonly notListed: {
    readonly notYetDue: number
    readonly removedOrLost: number
    readonly patientGone: number
    readonly noScrew: number
  }
}

/**
 * Lists the restorations that are overdue for a check of the screw, by pseudonym, for use inside the practice.
 * Restorations that are gone, screwless ones, and those of patients who died, moved or declined are counted and left out.
 *
 * @param records local records, with dates of delivery
 * @throws CohortError `no-delivery-dates` where the records have no dates, as the shareable form has none
 */
export function recallList(records: RecordSet<'local'>, options: RecallOptions): RecallList {
  const { restorations } = records
  if (!restorations.has('delivery_date')) throw withoutDates()
  const intervalDays = options.intervalDays ?? 365
  const delivery = restorations.day('delivery_date')
  const course = courseReader(records)
  const connection = restorations.category('connection')
  const notListed = { notYetDue: 0, removedOrLost: 0, patientGone: 0, noScrew: 0 }
  const overdue: RecallEntry[] = []
  for (let row = 0; row < restorations.rowCount; row++) {
    if (delivery[row] === missingDay) continue
    const { lastCheck, gone, patientGone } = course(row)
    const since = delivery[row]! + (lastCheck ?? 0)
    const daysSince = options.today - since
    if (gone) notListed.removedOrLost++
    else if (patientGone) notListed.patientGone++
    else if (labelAt(connection, row) === 'screwless') notListed.noScrew++
    else if (daysSince <= intervalDays) notListed.notYetDue++
    else {
      overdue.push({
        ...keysOf(records, row),
        since: isoFromDay(since),
        everChecked: lastCheck !== undefined,
        daysSince,
        daysOverdue: daysSince - intervalDays,
      })
    }
  }
  overdue.sort(
    (left, right) =>
      right.daysOverdue - left.daysOverdue || (left.restoration_id < right.restoration_id ? -1 : 1),
  )
  return deepFreeze({ intervalDays, overdue, notListed })
}

interface Course {
  readonly lastCheck: number | undefined
  readonly gone: boolean
  readonly patientGone: boolean
}

/** What the visits of a restoration say: its last check, and whether it or the patient is gone. */
function courseReader(records: RecordSet): (restoration: number) => Course {
  const { visits } = records
  const day = visits.day('days_since_delivery')
  const checked = visits.category('screw_checked')
  const status = visits.category('restoration_status')
  const patient = visits.category('patient_status')
  const removed = new Set(['removed', 'lost'])
  const away = new Set(['deceased', 'moved', 'declined'])
  return (restoration) => {
    let lastCheck: number | undefined
    let gone = false
    let patientGone = false
    for (let row = visits.firstRow[restoration]!; row < visits.firstRow[restoration + 1]!; row++) {
      if (labelAt(checked, row) === 'yes') lastCheck = day[row]!
      if (removed.has(labelAt(status, row) ?? '')) gone = true
      // A patient who comes again after having moved or declined is back.
      const state = labelAt(patient, row)
      if (state !== undefined) patientGone = away.has(state)
    }
    return { lastCheck, gone, patientGone }
  }
}

function keysOf(
  { restorations }: RecordSet,
  row: number,
): Pick<RecallEntry, 'restoration_id' | 'patient_id' | 'clinic_id' | 'tooth_position'> {
  const key = (field: string): string => labelAt(restorations.category(field), row) ?? ''
  return {
    restoration_id: key('restoration_id'),
    patient_id: key('patient_id'),
    clinic_id: key('clinic_id'),
    tooth_position: key('tooth_position'),
  }
}

function withoutDates(): CohortError {
  return new CohortError({
    code: 'no-delivery-dates',
    problem: 'the records have no dates of delivery, so that nothing can be due today.',
    expected: 'local records with delivery_date; the shareable form has none.',
    mend: 'run it on the records of the practice itself.',
  })
}
