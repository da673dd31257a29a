import { missingDay } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { leaveOut } from './faults.js'
import { daysOrMissing, rowStatus, type TypedTable } from './typedTable.js'

type SheetFault = Omit<ProblemKind, 'severity' | 'file'>

/** Finds the rows of the one-sheet form in which no true course of events can be read: each stops until it is mended. */
export function checkOneSheet(sheet: TypedTable, today: number, problems: ProblemList): void {
  const course = courseReader(sheet)
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] !== rowStatus.kept) continue
    const fault = faultOf(course(row), today)
    if (fault === undefined) continue
    const kind = { ...fault, severity: 'stop', leavesOut: 'restoration', file: sheet.file } as const
    problems.add(kind, sheet.sourceRow[row]!)
    // Whether it stops or is set aside by name, what follows from the fault is not told as well.
    leaveOut(sheet, row, 'restoration')
  }
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
  return (row) => ({
    delivery: delivery[row]!,
    lastCheck: lastCheck[row]!,
    checkBefore: checkBefore[row]!,
    loosening: loosening[row]!,
    removed: removed[row]!,
    deceased: deceased[row]!,
    count: count?.[row] ?? Number.NaN,
  })
}

function faultOf(course: Course, today: number): SheetFault | undefined {
  const { delivery, lastCheck, checkBefore, loosening, removed, deceased, count } = course
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
  if (count >= 1 && loosening === missingDay) return undated
  if (count === 0 && loosening !== missingDay) return uncounted
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
