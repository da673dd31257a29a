import { isoFromDay } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { labelAt, missingDay, unknownCode } from '../columns.js'
import type { RecordSet } from '../dataset.js'

/** How the recall list is made. */
export interface RecallOptions {
  /** Day number of the day of the run. */
  readonly today: number
  /** Days after the last check of the screw (or delivery) on which the next is due; default 365. */
  readonly intervalDays?: number
  /** Days ahead within which what falls due is listed as due soon; default 60. */
  readonly soonDays?: number
}

/** Whether the screw of a restoration was found loose: when it was last seen, earlier, or never. */
export type FoundLoose = 'when last seen' | 'earlier' | 'never'

/** A restoration whose screw is due for a check, or soon will be. */
export interface RecallEntry {
  readonly restoration_id: string
  readonly clinic_id: string
  readonly tooth_position: string
  /** Date of the last check, or of delivery where there was none. */
  readonly since: string
  readonly everChecked: boolean
  /** Date on which the next check is due. */
  readonly due: string
  /** Days since that date; negative where it lies ahead. */
  readonly daysOverdue: number
  readonly foundLoose: FoundLoose
}

/** A patient to be called, with every restoration that one visit can serve. */
export interface RecallPatient {
  readonly patient_id: string
  /** The worst among the restorations listed. */
  readonly foundLoose: FoundLoose
  /** The longest among the restorations listed. */
  readonly daysOverdue: number
  readonly restorations: readonly RecallEntry[]
}

/** Who is overdue, who soon will be, and who was not put on the list and why. */
export interface RecallList {
  readonly intervalDays: number
  readonly soonDays: number
  /** Patients with a restoration that is overdue: found loose first, then the longest overdue. */
  readonly overdue: readonly RecallPatient[]
  /** Patients of whom nothing is overdue yet, in the same order. */
  readonly dueSoon: readonly RecallPatient[]
  /** Restorations that are not listed. */
  readonly notListed: {
    readonly notYetDue: number
    readonly removedOrLost: number
    readonly patientGone: number
    readonly noScrew: number
  }
}

const rank: Readonly<Record<FoundLoose, number>> = { 'when last seen': 0, earlier: 1, never: 2 }

/**
 * Lists by patient whose screws are overdue for a check or soon will be, by pseudonym, for use inside the practice.
 * Restorations that are gone, screwless ones, and those of patients who died, moved or declined (in whichever of their
 * restorations that stands) are counted and left out.
 *
 * @param records local records, with dates of delivery
 * @throws CohortError `no-delivery-dates` where the records have no dates, as the shareable form has none
 * @example recallList(records, { today: 20500 }).overdue.length // => 289
 */
export function recallList(records: RecordSet<'local'>, options: RecallOptions): RecallList {
  const { restorations } = records
  if (!restorations.has('delivery_date')) throw withoutDates()
  const { today, intervalDays = 365, soonDays = 60 } = options
  const delivery = restorations.day('delivery_date')
  const course = courseReader(records)
  const away = patientsAway(records)
  const patient = restorations.category('patient_id')
  const connection = restorations.category('connection')
  const notListed = { notYetDue: 0, removedOrLost: 0, patientGone: 0, noScrew: 0 }
  const byPatient = new Map<string, RecallEntry[]>()
  for (let row = 0; row < restorations.rowCount; row++) {
    if (delivery[row] === missingDay) continue
    const { lastCheck, gone, foundLoose } = course(row)
    const since = delivery[row]! + (lastCheck ?? 0)
    const daysOverdue = today - since - intervalDays
    if (gone) notListed.removedOrLost++
    else if (away.has(patient.codes[row]!)) notListed.patientGone++
    else if (labelAt(connection, row) === 'screwless') notListed.noScrew++
    else if (daysOverdue <= -soonDays && foundLoose !== 'when last seen') notListed.notYetDue++
    else {
      const key = labelAt(patient, row) ?? ''
      const listed = byPatient.get(key) ?? []
      byPatient.set(key, listed)
      listed.push({
        ...keysOf(records, row),
        since: isoFromDay(since),
        everChecked: lastCheck !== undefined,
        due: isoFromDay(since + intervalDays),
        daysOverdue,
        foundLoose,
      })
    }
  }
  const patients = [...byPatient].map(([key, entries]) => patientOf(key, entries)).sort(before)
  return deepFreeze({
    intervalDays,
    soonDays,
    overdue: patients.filter(isOverdue),
    dueSoon: patients.filter((one) => !isOverdue(one)),
    notListed,
  })
}

function isOverdue(patient: RecallPatient): boolean {
  return patient.daysOverdue > 0 || patient.foundLoose === 'when last seen'
}

function patientOf(key: string, entries: readonly RecallEntry[]): RecallPatient {
  const restorations = [...entries].sort(before)
  return {
    patient_id: key,
    foundLoose: restorations[0]!.foundLoose,
    daysOverdue: Math.max(...restorations.map((one) => one.daysOverdue)),
    restorations,
  }
}

type Listed = Pick<RecallPatient, 'foundLoose' | 'daysOverdue'> & {
  readonly patient_id?: string
  readonly restoration_id?: string
}

/** Found loose first, then the longest overdue; of equals by key. */
function before(left: Listed, right: Listed): number {
  const keyOf = (one: Listed): string => one.patient_id ?? one.restoration_id!
  return (
    rank[left.foundLoose] - rank[right.foundLoose] ||
    right.daysOverdue - left.daysOverdue ||
    (keyOf(left) < keyOf(right) ? -1 : 1)
  )
}

interface Course {
  readonly lastCheck: number | undefined
  readonly gone: boolean
  readonly foundLoose: FoundLoose
}

/** What the visits of a restoration say: its last check, whether it is gone, whether its screw was loose. */
function courseReader(records: RecordSet): (restoration: number) => Course {
  const { visits } = records
  const day = visits.day('days_since_delivery')
  const checked = visits.category('screw_checked')
  const finding = visits.category('finding')
  const status = visits.category('restoration_status')
  const removed = new Set(['removed', 'lost'])
  return (restoration) => {
    let lastCheck: number | undefined
    let lastLoose: number | undefined
    let gone = false
    for (let row = visits.firstRow[restoration]!; row < visits.firstRow[restoration + 1]!; row++) {
      const isLoose = labelAt(finding, row) === 'screw_loosening'
      if (labelAt(checked, row) === 'yes' || isLoose) lastCheck = day[row]!
      if (isLoose) lastLoose = day[row]!
      if (removed.has(labelAt(status, row) ?? '')) gone = true
    }
    const foundLoose =
      lastLoose === undefined ? 'never' : lastLoose === lastCheck ? 'when last seen' : 'earlier'
    return { lastCheck, gone, foundLoose }
  }
}

/** Codes of the patients who died, or who had moved or declined when last heard of, by any of their restorations. */
function patientsAway({ restorations, visits }: RecordSet): ReadonlySet<number> {
  const delivery = restorations.day('delivery_date')
  const patient = restorations.category('patient_id').codes
  const day = visits.day('days_since_delivery')
  const status = visits.category('patient_status')
  const latest = new Map<number, { readonly date: number; readonly state: string }>()
  for (let row = 0; row < visits.rowCount; row++) {
    const state = labelAt(status, row)
    const restoration = visits.restoration[row]!
    const who = patient[restoration]!
    if (state === undefined || who === unknownCode) continue
    const date = delivery[restoration]! + day[row]!
    const known = latest.get(who)
    if (known?.state === 'deceased') continue
    // A patient who comes again after having moved or declined is back.
    if (state === 'deceased' || known === undefined || date >= known.date) latest.set(who, { date, state })
  }
  const away = new Set(['deceased', 'moved', 'declined'])
  return new Set([...latest].filter(([, { state }]) => away.has(state)).map(([who]) => who))
}

function keysOf(
  { restorations }: RecordSet,
  row: number,
): Pick<RecallEntry, 'restoration_id' | 'clinic_id' | 'tooth_position'> {
  const key = (field: string): string => labelAt(restorations.category(field), row) ?? ''
  return {
    restoration_id: key('restoration_id'),
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
