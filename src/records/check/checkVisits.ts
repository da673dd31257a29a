import { missingDay, unknownCode } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { markIdenticalAmong, rowOrder } from '../understand/identicalRows.js'
import { roundingOf } from '../understand/roundedDays.js'
import { forEachShared, groupRows } from '../understand/rowGroups.js'
import { rowStatus, type TypedTable } from '../understand/typedTable.js'
import { doubledSite, setAside, stopUnlessNamed } from './checkRestorations.js'
import { keptRows, warn } from './checkTightenings.js'
import { deliveryBounds } from './deliveryBounds.js'
import { eventReader, type LinkedRows } from './linkRows.js'

type Fault = Omit<ProblemKind, 'severity' | 'file'>

/** First day on which each restoration was gone, `missingDay` where it was not. */
export interface RemovalDays {
  readonly removedDay: Int32Array
}

/** Checks of the visits: repeats, anything after removal or death, findings without a check, onset out of its place. */
export function checkVisits(linked: LinkedRows, problems: ProblemList): RemovalDays {
  const reader = visitReader(linked)
  const restorations = linked.firstRow.length - 1
  const removedDay = new Int32Array(restorations).fill(missingDay)
  const order = rowOrder(linked.table)
  const counted = linked.table.days.get('days_since_delivery')
  // Rounded days bring several visits onto one day, and what they say need not agree.
  const isOneVisitADay = counted === undefined || roundingOf(counted) === 0
  for (let restoration = 0; restoration < restorations; restoration++) {
    const rows = keptRows(linked.table, linked.order, linked.firstRow, restoration)
    if (rows.length === 0) continue
    if (rows.some((row, index) => index > 0 && linked.day[row] === linked.day[rows[index - 1]!])) {
      markIdenticalAmong(linked.table, rows, order, problems)
    }
    removedDay[restoration] = checkCourse(linked, rows, reader, problems)
    checkOnset(linked, rows, reader, problems)
    for (const row of rows) {
      if (linked.table.status[row] === rowStatus.kept) checkVisit(linked.table, row, reader, problems)
    }
    if (isOneVisitADay) checkAgreement(linked, rows, reader, problems)
  }
  return { removedDay }
}

interface VisitReader {
  readonly isGone: (row: number) => boolean
  readonly isDead: (row: number) => boolean
  readonly claimsJoint: (row: number) => boolean
  readonly checked: (row: number) => string | undefined
  readonly finding: (row: number) => string | undefined
  readonly type: (row: number) => string | undefined
  readonly status: (row: number) => string | undefined
  readonly onset: Int32Array | undefined
  readonly patient: (row: number) => string | undefined
  /** The restoration was made anew or its implant taken out, and it is said to be in place. */
  readonly isReplacedInPlace: (row: number) => boolean
  /** A reason for a removal at a visit after which nothing says that the restoration was gone. */
  readonly isReasonAlone: (row: number) => boolean
}

function visitReader({ table }: LinkedRows): VisitReader {
  const label = (field: string): ((row: number) => string | undefined) => {
    const column = table.categories.get(field)
    return (row) => (column === undefined ? undefined : column.labels[column.codes[row]!])
  }
  const status = label('restoration_status')
  const patient = label('patient_status')
  const checked = label('screw_checked')
  const finding = label('finding')
  const reason = label('removal_reason')
  const action = label('action_taken')
  const inPlace = (row: number): boolean => status(row)?.startsWith('in_place') === true
  const isGone = (row: number): boolean => status(row) === 'removed' || status(row) === 'lost'
  const isReplaced = (row: number): boolean =>
    status(row) === undefined && (action(row) === 'remade' || action(row) === 'implant_removed')
  return {
    isGone,
    isReplacedInPlace: (row) =>
      (action(row) === 'remade' && status(row) === 'in_place') ||
      (action(row) === 'implant_removed' && finding(row) !== 'implant_loss' && inPlace(row)),
    isReasonAlone: (row) =>
      reason(row) !== undefined && !isGone(row) && !isReplaced(row) && finding(row) !== 'implant_loss',
    isDead: (row) => patient(row) === 'deceased',
    claimsJoint: (row) => checked(row) === 'yes' || inPlace(row) || (finding(row) ?? 'none') !== 'none',
    checked,
    finding,
    type: label('visit_type'),
    status,
    patient,
    onset: table.days.get('onset_day'),
  }
}

/** Finds the first day on which the restoration was gone and sets aside what is claimed of it later. */
function checkCourse(
  { table, day }: LinkedRows,
  rows: readonly number[],
  reader: VisitReader,
  problems: ProblemList,
): number {
  const isEvent = eventReader(table)
  let goneDay = missingDay
  let deathDay = missingDay
  for (const row of rows) {
    if (table.status[row] !== rowStatus.kept || day[row] === missingDay) continue
    if (deathDay !== missingDay && day[row]! > deathDay && !reader.isDead(row)) {
      if (isEvent(row)) stopUnlessNamed(table, row, eventAfterDeath, 'restoration', problems)
      else setAside(table, row, afterDeath, problems)
    } else if (goneDay !== missingDay && day[row]! > goneDay) {
      if ((reader.finding(row) ?? 'none') !== 'none')
        stopUnlessNamed(table, row, eventAfterRemoval, 'restoration', problems)
      else if (reader.claimsJoint(row)) setAside(table, row, afterRemoval, problems)
    }
    if (table.status[row] !== rowStatus.kept) continue
    if (goneDay === missingDay && reader.isGone(row)) goneDay = day[row]!
    if (deathDay === missingDay && reader.isDead(row)) deathDay = day[row]!
  }
  return goneDay
}

/** The onset of a finding lies after the last check before it and not after the visit; elsewhere it is not believed. */
function checkOnset(
  { table, day }: LinkedRows,
  rows: readonly number[],
  { onset, checked, finding }: VisitReader,
  problems: ProblemList,
): void {
  if (onset === undefined) return
  let lastCheck = missingDay
  let sameDayCheck = missingDay
  for (const row of rows) {
    if (table.status[row] !== rowStatus.kept) continue
    if (sameDayCheck !== missingDay && day[row]! > sameDayCheck) lastCheck = sameDayCheck
    if (onset[row] !== missingDay) {
      const tooEarly =
        finding(row) === 'screw_loosening' && lastCheck !== missingDay && onset[row]! <= lastCheck
      if (onset[row]! > day[row]! || onset[row]! < 0 || tooEarly) {
        stopUnlessNamed(table, row, onsetOutside, 'value', problems)
        onset[row] = missingDay
      }
    }
    if (checked(row) === 'yes') sameDayCheck = day[row]!
  }
}

function checkVisit(table: TypedTable, row: number, reader: VisitReader, problems: ProblemList): void {
  const finding = reader.finding(row)
  const type = reader.type(row)
  const isChecked = reader.checked(row) === 'yes'
  if (reader.isReasonAlone(row)) stopUnlessNamed(table, row, reasonAlone, 'restoration', problems)
  if (reader.isReplacedInPlace(row)) stopUnlessNamed(table, row, replacedInPlace, 'restoration', problems)
  if ((finding ?? 'none') === 'none' && (reader.onset?.[row] ?? missingDay) !== missingDay)
    stopUnlessNamed(table, row, onsetOfNothing, 'restoration', problems)
  if (isChecked && finding === undefined) warn(table, row, checkWithoutFinding, problems)
  if (finding === 'screw_loosening' && !isChecked) warn(table, row, looseningUnchecked, problems)
  if (isChecked && (type === 'telephone' || type === 'records_only'))
    warn(table, row, checkedFromAfar, problems)
  if (finding === 'implant_loss' && reader.status(row)?.startsWith('in_place') === true) {
    warn(table, row, lostInPlace, problems)
  }
}

/** Several rows of one day are one visit with several findings, and have to agree on what else they say of it. */
function checkAgreement(
  { table, day }: LinkedRows,
  rows: readonly number[],
  { checked, type, status, patient, isGone, isDead }: VisitReader,
  problems: ProblemList,
): void {
  // A note for the file or a call on the day of a visit is no part of it.
  const fromAfar = (row: number): boolean => type(row) === 'telephone' || type(row) === 'records_only'
  const visit = rows.filter((row) => !fromAfar(row))
  const screw = table.categories.get('screw_position')?.codes
  for (let index = 1; index < visit.length; index++) {
    const row = visit[index]!
    const before = visit[index - 1]!
    if (day[row] !== day[before] || table.status[row] !== rowStatus.kept) continue
    const [now, then] = [status(row), status(before)]
    if (now !== undefined && then !== undefined && isGone(row) !== isGone(before))
      stopUnlessNamed(table, row, { ...rowsDisagree, column: 'restoration_status' }, 'restoration', problems)
    if (patient(row) !== undefined && patient(before) !== undefined && isDead(row) !== isDead(before))
      stopUnlessNamed(table, row, { ...rowsDisagree, column: 'patient_status' }, 'restoration', problems)
    if (screw !== undefined && screw[row] !== unknownCode && screw[row] !== screw[before]) continue
    const [one, other] = [checked(row), checked(before)]
    if (one !== undefined && other !== undefined && one !== other)
      stopUnlessNamed(table, row, rowsDisagree, 'restoration', problems)
  }
}

/** Two restorations of one patient on one site at a time: the removal of the first is not on record. */
export function checkSites(
  restorations: TypedTable,
  visits: LinkedRows,
  removals: RemovalDays,
  problems: ProblemList,
): void {
  const patient = restorations.categories.get('patient_id')!
  const position = restorations.categories.get('tooth_position')?.codes
  if (position === undefined) return
  const rounding = roundingOf(visits.day)
  const { earliest, latest } = deliveryBounds(restorations, rounding)
  const isWanted = (row: number): boolean =>
    restorations.status[row] === rowStatus.kept &&
    earliest[row] !== missingDay &&
    position[row] !== unknownCode
  const stays = (row: number): boolean => removals.removedDay[row] === missingDay
  const areOfOneYear = (row: number, next: number): boolean =>
    earliest[row] === earliest[next] && latest[row] === latest[next] && earliest[row] !== latest[row]
  /** The first was surely not gone when the second came; of two within one year either may have come first. */
  const overlap = (row: number, next: number): boolean => {
    if (areOfOneYear(row, next)) return stays(row) && stays(next)
    return stays(row) || latest[next]! < earliest[row]! + removals.removedDay[row]!
  }
  forEachShared(groupRows(patient.codes, patient.labels.length, isWanted), (rows) => {
    const sorted = rows
      .slice()
      .sort((left, right) => position[left]! - position[right]! || earliest[left]! - earliest[right]!)
    for (let index = 0; index + 1 < sorted.length; index++) {
      const [row, next] = [sorted[index]!, sorted[index + 1]!]
      if (position[row] !== position[next] || !overlap(row, next)) continue
      if (areOfOneYear(row, next) && rounding === 0 && haveOneCourse(visits, row, next)) {
        for (const one of [row, next]) {
          if (restorations.status[one] === rowStatus.kept) setAside(restorations, one, doubledSite, problems)
        }
      } else warn(restorations, row, twoOnOneSite, problems)
    }
  })
}

/** Whether two restorations were seen on the same days and no others. */
function haveOneCourse({ table, day, order, firstRow }: LinkedRows, row: number, other: number): boolean {
  const days = (of: number): readonly number[] => keptRows(table, order, firstRow, of).map((one) => day[one]!)
  const [own, theirs] = [days(row), days(other)]
  return own.length > 0 && own.length === theirs.length && own.every((one, index) => one === theirs[index])
}

const afterRemoval: Fault = {
  code: 'after-removal',
  column: 'restoration_status',
  problem: 'something is recorded of the restoration after it was removed or lost.',
  expected: 'nothing of a restoration after its removal.',
  mend: 'correct the removal or the date, or move the row to the restoration that followed, in a copy.',
}

const eventAfterRemoval: Fault = {
  ...afterRemoval,
  code: 'event-after-removal',
  problem: 'a finding or a death is recorded of the restoration after it was removed or lost.',
}

/** A visit after the patient had died. */
export const afterDeath: Fault = {
  code: 'after-death',
  column: 'patient_status',
  problem: 'a visit lies after the death of the patient.',
  expected: 'nothing after the death.',
  mend: 'correct the status or the date, in a copy.',
}

/** A finding or a removal after the patient had died. */
export const eventAfterDeath: Fault = {
  ...afterDeath,
  code: 'event-after-death',
  problem: 'a finding or a removal lies after the death of the patient.',
}

const onsetOutside: Fault = {
  code: 'onset-outside-interval',
  column: 'onset_date',
  problem: 'the onset does not lie after the last check (or delivery) and up to the visit.',
  expected: 'an onset inside the interval from the last check to the visit that found it.',
  mend: 'correct the onset, or leave it empty.',
}

const reasonAlone: Fault = {
  code: 'removal-not-in-status',
  column: 'removal_reason',
  problem: 'a removal has a reason, and the restoration is not said to be removed or lost.',
  expected: 'restoration_status removed or lost wherever removal_reason is filled.',
  mend: 'correct one of the two, in a copy.',
}

const replacedInPlace: Fault = {
  code: 'replaced-in-place',
  column: 'restoration_status',
  problem: 'the restoration was remade, or its implant removed, and it is said to be in place.',
  expected: 'restoration_status removed or lost; what was made anew is a restoration of its own.',
  mend: 'correct one of the two, in a copy.',
}

const onsetOfNothing: Fault = {
  code: 'onset-without-finding',
  column: 'onset_date',
  problem: 'an onset is dated, and nothing is said to have been found.',
  expected: 'a finding wherever onset_date is filled.',
  mend: 'fill in the finding, or clear the onset, in a copy.',
}

const checkWithoutFinding: Fault = {
  code: 'check-without-finding',
  column: 'finding',
  problem: 'the screw was checked, and what was found is not known.',
  expected: 'finding none, or what was found.',
  mend: 'fill in the finding, in a copy.',
}

const looseningUnchecked: Fault = {
  code: 'loosening-without-check',
  column: 'screw_checked',
  problem: 'loosening was found at a visit without a check of the screw.',
  expected: 'screw_checked yes wherever loosening was found.',
  mend: 'correct one of the two, in a copy; the loosening counts.',
}

const checkedFromAfar: Fault = {
  code: 'check-without-visit',
  column: 'visit_type',
  problem: 'the screw is said to have been checked by telephone or from the records.',
  expected: 'screw_checked yes at visits in person only.',
  mend: 'correct one of the two, in a copy.',
}

const lostInPlace: Fault = {
  code: 'implant-lost-in-place',
  column: 'restoration_status',
  problem: 'the implant was lost, and the restoration is said to be in place.',
  expected: 'restoration_status lost or removed.',
  mend: 'correct one of the two, in a copy.',
}

const rowsDisagree: Fault = {
  code: 'visit-rows-disagree',
  column: 'screw_checked',
  problem:
    'rows of one restoration and day do not agree on whether the screw was checked, the restoration gone or the patient alive.',
  expected: 'the same answer on all rows of a visit.',
  mend: 'correct the row that is wrong, in a copy.',
}

const twoOnOneSite: Fault = {
  code: 'two-restorations-on-one-site',
  column: 'tooth_position',
  problem: 'a second restoration was delivered on the site, and the removal of the first is not on record.',
  expected: 'the removal of the first on or before the delivery of the second.',
  mend: 'record the removal of the first, in a copy.',
}
