import { missingDay, unknownCode } from '../columns.js'
import type { FieldCompleteness } from '../dataset.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { leaveOut } from './faults.js'
import { daysOrMissing, rowStatus, type TypedTable } from './typedTable.js'

type SheetFault = Omit<ProblemKind, 'severity' | 'file'>

/** Finds the rows of the one-sheet form in which no true course of events can be read: each stops until it is mended. */
export function checkOneSheet(sheet: TypedTable, today: number, problems: ProblemList): void {
  const course = courseReader(sheet)
  const handling = handlingReader(sheet)
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] !== rowStatus.kept) continue
    const fault = faultOf(course(row), today) ?? handlingFault(handling(row))
    if (fault === undefined) continue
    const kind = { ...fault, severity: 'stop', leavesOut: 'restoration', file: sheet.file } as const
    problems.add(kind, sheet.sourceRow[row]!)
    // Whether it stops or is set aside by name, what follows from the fault is not told as well.
    leaveOut(sheet, row, 'restoration')
  }
}

/**
 * Known and unknown values of what the sheet says in columns that no table has: an empty one decides whether a
 * restoration has time at risk, an event, or in which group it stands, so that it is counted. Empty dates of events say that
 * nothing happened, and how many do stands in the answer all the same: a date that was deleted is seen there.
 */
export function ownCompleteness(sheet: TypedTable): readonly FieldCompleteness[] {
  const loosening = daysOrMissing(sheet.dates, 'first_loosening_date', sheet.rowCount)
  const hasDay = (field: string) => (row: number) =>
    (sheet.dates.get(field)?.[row] ?? missingDay) !== missingDay
  const known: Readonly<Record<string, (row: number) => boolean>> = {
    first_loosening_date: hasDay('first_loosening_date'),
    removed_date: hasDay('removed_date'),
    deceased_date: hasDay('deceased_date'),
    tightenings_at_delivery: (row) =>
      !Number.isNaN(sheet.numbers.get('tightenings_at_delivery')?.[row] ?? Number.NaN),
    last_check_date: (row) =>
      (sheet.dates.get('last_check_date')?.[row] ?? missingDay) !== missingDay ||
      loosening[row] !== missingDay,
    last_check_before_loosening_date: hasDay('last_check_before_loosening_date'),
  }
  return Object.entries(known)
    .filter(([field]) => sheet.numbers.has(field) || sheet.dates.has(field))
    .map(([field, isKnown]) => {
      let [rows, unknown] = [0, 0]
      for (let row = 0; row < sheet.rowCount; row++) {
        if (sheet.status[row] !== rowStatus.kept) continue
        rows++
        if (!isKnown(row)) unknown++
      }
      return Object.freeze({ table: 'restorations' as const, field, known: rows - unknown, unknown })
    })
}

/** What one row says, as calendar day numbers. */
interface Course {
  readonly delivery: number
  readonly lastCheck: number
  readonly checkBefore: number
  readonly loosening: number
  readonly removed: number
  readonly deceased: number
  readonly count: number
  readonly hasReason: boolean
}

/** What one row says of the tightening at delivery; NaN where it says nothing. */
interface Handling {
  readonly times: number
  readonly wait: number
  readonly torque: number
}

function handlingReader(sheet: TypedTable): (row: number) => Handling {
  const number = (field: string): ((row: number) => number) => {
    const column = sheet.numbers.get(field)
    return (row) => column?.[row] ?? Number.NaN
  }
  const [times, wait, torque] = [
    number('tightenings_at_delivery'),
    number('wait_minutes'),
    number('target_torque_ncm'),
  ]
  return (row) => ({ times: times(row), wait: wait(row), torque: torque(row) })
}

/** Numbers of a row that cannot all be true; which of them is wrong decides the group of the restoration. */
function handlingFault({ times, wait, torque }: Handling): SheetFault | undefined {
  if (wait > 0 && wait < 1) return waitUnitInDoubt
  if (times < 2 && wait > 0) return waitWithoutSecond
  if (times === 0 && torque > 0) return torqueWithoutTightening
  return undefined
}

function courseReader(sheet: TypedTable): (row: number) => Course {
  const date = (field: string): Int32Array => daysOrMissing(sheet.dates, field, sheet.rowCount)
  const delivery = date('delivery_date')
  const lastCheck = date('last_check_date')
  const checkBefore = date('last_check_before_loosening_date')
  const loosening = date('first_loosening_date')
  const removed = date('removed_date')
  const deceased = date('deceased_date')
  const count = sheet.numbers.get('loosening_count')
  const reason = sheet.categories.get('removal_reason')
  return (row) => ({
    delivery: delivery[row]!,
    lastCheck: lastCheck[row]!,
    checkBefore: checkBefore[row]!,
    loosening: loosening[row]!,
    removed: removed[row]!,
    deceased: deceased[row]!,
    count: count?.[row] ?? Number.NaN,
    hasReason: reason !== undefined && reason.codes[row] !== unknownCode,
  })
}

function faultOf(course: Course, today: number): SheetFault | undefined {
  const { delivery, lastCheck, checkBefore, loosening, removed, deceased, count, hasReason } = course
  const dated: readonly (readonly [field: string, day: number])[] = [
    ['last_check_date', lastCheck],
    ['last_check_before_loosening_date', checkBefore],
    ['first_loosening_date', loosening],
    ['removed_date', removed],
    ['deceased_date', deceased],
  ]
  for (const [field, day] of dated) {
    if (day === missingDay) continue
    if (delivery !== missingDay && day < delivery) return beforeDelivery(field)
    if (day > today) return inTheFuture(field)
  }
  if (hasReason && removed === missingDay) return undatedRemoval
  if (count >= 1 && loosening === missingDay) return undated
  if (count === 0 && loosening !== missingDay) return uncounted
  // Where the count says that there was none, the date of the check is but one more check.
  if (checkBefore !== missingDay && loosening === missingDay && count !== 0) return beforeNothing
  if (loosening !== missingDay && checkBefore !== missingDay && checkBefore >= loosening)
    return checkNotBefore
  const last = Math.max(lastCheck, checkBefore, loosening)
  if (removed !== missingDay && last !== missingDay && last > removed) return afterRemoval
  if (deceased !== missingDay && Math.max(last, removed) > deceased) return afterDeath
  return undefined
}

function beforeDelivery(column: string): SheetFault {
  return {
    code: 'course-before-delivery',
    column,
    problem: 'the date lies before the delivery of the restoration.',
    expected: 'dates on or after delivery_date.',
    mend: 'correct one of the two dates, in a copy.',
  }
}

function inTheFuture(column: string): SheetFault {
  return {
    code: 'course-in-future',
    column,
    problem: 'the date lies in the future.',
    expected: 'dates up to the day of the run.',
    mend: 'correct the date, in a copy.',
  }
}

const undated: SheetFault = {
  code: 'loosening-without-date',
  column: 'first_loosening_date',
  problem: 'loosening is counted, and the date of the first is missing.',
  expected: 'the date of the first loosening wherever loosening_count is 1 or more.',
  mend: 'fill in the date, in a copy.',
}

const beforeNothing: SheetFault = {
  code: 'check-before-nothing',
  column: 'last_check_before_loosening_date',
  problem: 'there is a last check before a loosening, and no loosening is dated.',
  expected:
    'first_loosening_date wherever last_check_before_loosening_date is filled, or a loosening_count of 0.',
  mend: 'fill in the date of the loosening, or clear that of the check, in a copy.',
}

const uncounted: SheetFault = {
  code: 'loosening-not-counted',
  column: 'loosening_count',
  problem: 'the first loosening has a date, and its count is 0.',
  expected: 'loosening_count of 1 or more wherever first_loosening_date is filled.',
  mend: 'correct one of the two, in a copy.',
}

const checkNotBefore: SheetFault = {
  code: 'check-not-before-loosening',
  column: 'last_check_before_loosening_date',
  problem: 'the last check before the first loosening does not lie before it.',
  expected: 'a date before first_loosening_date.',
  mend: 'correct one of the two dates, in a copy.',
}

const afterRemoval: SheetFault = {
  code: 'course-after-removal',
  column: 'removed_date',
  problem: 'a check or loosening is dated after the removal of the restoration.',
  expected: 'nothing after removed_date.',
  mend: 'correct the dates, in a copy; what followed belongs to the next restoration.',
}

const afterDeath: SheetFault = {
  code: 'course-after-death',
  column: 'deceased_date',
  problem: 'something is dated after the death of the patient.',
  expected: 'nothing after deceased_date.',
  mend: 'correct the dates, in a copy.',
}

const undatedRemoval: SheetFault = {
  code: 'removal-without-date',
  column: 'removed_date',
  problem: 'a removal has a reason, and its date is missing.',
  expected: 'removed_date wherever removal_reason is filled.',
  mend: 'fill in the date, or clear the reason, in a copy.',
}

const waitUnitInDoubt: SheetFault = {
  code: 'wait-unit-in-doubt',
  column: 'wait_minutes',
  problem: 'the wait is shorter than a minute: its unit is in doubt.',
  expected: 'whole minutes from the first to the second tightening, or 0.',
  mend: 'write the wait in minutes, or state the unit of the column in holdfast map.',
}

const waitWithoutSecond: SheetFault = {
  code: 'wait-without-second-tightening',
  column: 'wait_minutes',
  problem: 'there is a wait before a second tightening, and fewer than two tightenings are counted.',
  expected: 'tightenings_at_delivery of 2 or more wherever wait_minutes is filled.',
  mend: 'correct one of the two, in a copy.',
}

const torqueWithoutTightening: SheetFault = {
  code: 'torque-without-tightening',
  column: 'tightenings_at_delivery',
  problem: 'a torque is recorded, and no tightening is counted.',
  expected:
    'tightenings_at_delivery of 1 or more wherever a torque is filled, or nothing where it is not known.',
  mend: 'correct one of the two, in a copy.',
}
