import { dayFromIso, yearOfDay } from '../../core/calendar.js'
import { missingDay, unknownCode } from '../columns.js'
import type { LeftOut } from '../dataset.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { leaveOut } from '../understand/faults.js'
import { markIdenticalAmong, rowOrder } from '../understand/identicalRows.js'
import { forEachShared, groupRows } from '../understand/rowGroups.js'
import { rowStatus, type TypedTable } from '../understand/typedTable.js'
import { deliveryBounds } from './deliveryBounds.js'

/** Adds a problem that stops until it is mended, or until the user sets it aside by name. */
export function stopUnlessNamed(
  table: TypedTable,
  row: number,
  kind: Omit<ProblemKind, 'severity' | 'file' | 'leavesOut'>,
  leavesOut: LeftOut,
  problems: ProblemList,
): void {
  const stated = { ...kind, severity: 'stop', leavesOut, file: table.file } as const
  problems.add(stated, table.sourceRow[row]!)
  if (problems.isSetAsideByName(stated)) leaveOut(table, row, leavesOut)
}

/** Sets a row aside with its reason. */
export function setAside(
  table: TypedTable,
  row: number,
  kind: Omit<ProblemKind, 'severity' | 'file'>,
  problems: ProblemList,
): void {
  table.status[row] = rowStatus.setAside
  problems.add({ ...kind, severity: 'set-aside', file: table.file }, table.sourceRow[row]!)
}

/** Checks of the restorations table by itself: duplicates, deliveries in the future, the gap since placement. */
export function checkRestorations(table: TypedTable, today: number, problems: ProblemList): void {
  checkDoubledIds(table, problems)
  checkDoubledSites(table, problems)
  checkSpellings(table, problems)
  checkPlaceholders(table, problems)
  checkOnePerson(table, problems)
  const { earliest } = deliveryBounds(table)
  const stated = table.dates.get('delivery_date')
  const year = table.numbers.get('delivery_year')
  const placed = onCalendarOf(table, 'implant_placement_date', 'implant_placement_day', earliest)
  const observed = onCalendarOf(table, 'observation_start_date', 'observation_start_day', earliest)
  /** A start that is counted from the delivery may have been rounded, to a year at most. */
  const slackOf = (row: number): number => ((stated?.[row] ?? missingDay) === missingDay ? 366 : 0)
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] !== rowStatus.kept) continue
    const start = observed(row)
    if (start !== missingDay && (start - slackOf(row) > today || start < firstImplant))
      stopUnlessNamed(table, row, observationOutside, 'restoration', problems)
    if (table.status[row] !== rowStatus.kept || earliest[row] === missingDay) continue
    const isDated = stated !== undefined && stated[row] !== missingDay
    if (isDated && year !== undefined && !Number.isNaN(year[row]) && year[row] !== yearOfDay(earliest[row]!))
      stopUnlessNamed(table, row, dateAndYearDiffer, 'restoration', problems)
    else if (earliest[row]! < firstImplant)
      stopUnlessNamed(table, row, deliveryBeforeImplants, 'restoration', problems)
    else if (earliest[row]! > today)
      setAside(
        table,
        row,
        isDated ? deliveryInFuture : { ...deliveryInFuture, column: 'delivery_year' },
        problems,
      )
    else if (placed(row) !== missingDay) {
      const gap = earliest[row]! - placed(row)
      if (gap < 0 || gap > 1_825) {
        problems.add({ ...placementGap, file: table.file }, table.sourceRow[row]!)
      }
    }
  }
}

/** The day of a field on the calendar; counted from the delivery, it lies on that day at the earliest. */
function onCalendarOf(
  table: TypedTable,
  dateField: string,
  dayField: string,
  earliest: Int32Array,
): (row: number) => number {
  const dates = table.dates.get(dateField)
  const days = table.days.get(dayField)
  return (row) => {
    const date = dates?.[row] ?? missingDay
    const day = days?.[row] ?? missingDay
    if (date !== missingDay || day === missingDay || earliest[row] === missingDay) return date
    return earliest[row]! + day
  }
}

/** One identifier on several rows: identical rows count once, rows that differ are all set aside. */
function checkDoubledIds(table: TypedTable, problems: ProblemList): void {
  const { codes, labels } = table.categories.get('restoration_id')!
  const order = rowOrder(table)
  forEachShared(groupRows(codes, labels.length, keptIn(table)), (rows) => {
    if (rows.every((row) => order(rows[0]!, row) === 0)) markIdenticalAmong(table, rows, order, problems)
    else for (const row of rows) setAside(table, row, doubledId, problems)
  })
}

/** One patient, position and day of delivery on several rows: which of them is true cannot be known. */
function checkDoubledSites(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')
  const position = table.categories.get('tooth_position')?.codes
  const delivery = table.dates.get('delivery_date')
  if (patient === undefined || position === undefined || delivery === undefined) return
  const isWanted = (row: number): boolean =>
    table.status[row] === rowStatus.kept && position[row] !== unknownCode && delivery[row] !== missingDay
  forEachShared(groupRows(patient.codes, patient.labels.length, isWanted), (rows) => {
    const order = (left: number, right: number): number =>
      position[left]! - position[right]! || delivery[left]! - delivery[right]!
    const sorted = rows.slice().sort(order)
    for (const [index, row] of sorted.entries()) {
      const isLike = (other: number | undefined): boolean => other !== undefined && order(other, row) === 0
      if (isLike(sorted[index - 1]) || isLike(sorted[index + 1])) setAside(table, row, doubledSite, problems)
    }
  })
}

/** Errors of a spreadsheet, and words that stand for nothing, would be a person of whom several patients are one. */
function checkPlaceholders(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')
  if (patient === undefined) return
  const isNone = patient.labels.map((label) => placeholder.test(label))
  if (!isNone.includes(true)) return
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] === rowStatus.kept && isNone[patient.codes[row]!] === true)
      stopUnlessNamed(table, row, noIdentifier, 'restoration', problems)
  }
}

const placeholder =
  /^(?:#(?:error|ref|n\/?a|value|name|div\/0|null|num)\b.*|null|none|nan|nil|undefined|true|false|yes|no|tbd|[^\p{L}\p{N}]+)$/iu

/**
 * One identifier in two clinics, or with two sexes, may be two people of whom a death would reach the restorations of the
 * other; a patient who went from one clinic to another has it rightly.
 */
function checkOnePerson(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')
  if (patient === undefined) return
  for (const [field, kind] of [
    ['clinic_id', inTwoClinics],
    ['sex', ofTwoSexes],
  ] as const) {
    const column = table.categories.get(field)
    if (column === undefined) continue
    const first = new Map<number, number>()
    for (let row = 0; row < table.rowCount; row++) {
      const code = column.codes[row]!
      if (table.status[row] !== rowStatus.kept || code === unknownCode) continue
      const known = first.get(patient.codes[row]!)
      if (known === undefined) first.set(patient.codes[row]!, code)
      else if (known !== code) problems.add({ ...kind, file: table.file }, table.sourceRow[row]!)
    }
  }
}

const inTwoClinics = {
  severity: 'warn',
  code: 'patient-in-two-clinics',
  column: 'clinic_id',
  problem: 'a patient has restorations in more than one clinic.',
  expected:
    'one identifier for one person; clinics that number their patients themselves use some numbers twice.',
  mend: 'leave it where it is one person; else put the clinic before the identifier of the patient, in a copy.',
} as const

const ofTwoSexes = {
  severity: 'warn',
  code: 'patient-of-two-sexes',
  column: 'sex',
  problem: 'restorations of one patient do not agree on the sex.',
  expected: 'one identifier for one person.',
  mend: 'correct the sex or the identifier, in a copy.',
} as const

const noIdentifier = {
  code: 'identifier-is-placeholder',
  column: 'patient_id',
  problem: 'the identifier of a patient is an error of a spreadsheet, or a word that stands for nothing.',
  expected: 'a pseudonym of its own for each patient.',
  mend: 'fill in the pseudonym, in a copy.',
}

/**
 * Identifiers of patients that differ in nothing but letter case, blanks, hyphens and the like are one patient written in
 * two ways, of whom deaths would reach only some restorations and intervals would see two.
 */
function checkSpellings(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')
  if (patient === undefined) return
  const firstSpelt = new Map<string, number>()
  const isSpeltAnew = patient.labels.map((label, code) => {
    const bare = label
      .normalize('NFKC')
      .toLowerCase()
      .replace(/[\s\-_./\u200b\u00ad]+/g, '')
    const first = firstSpelt.get(bare) ?? code
    firstSpelt.set(bare, first)
    return first !== code
  })
  if (!isSpeltAnew.includes(true)) return
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] === rowStatus.kept && isSpeltAnew[patient.codes[row]!] === true)
      stopUnlessNamed(table, row, speltTwice, 'restoration', problems)
  }
}

/** Whether a row of a table is kept. */
function keptIn(table: TypedTable): (row: number) => boolean {
  return (row) => table.status[row] === rowStatus.kept
}

const speltTwice = {
  code: 'same-but-for-spelling',
  column: 'patient_id',
  problem: 'the identifier of the patient is that of another but for letter case, blanks or hyphens.',
  expected: 'one spelling for one patient, and identifiers that differ in letters or digits for two.',
  mend: 'write it alike wherever it is the same patient, in a copy.',
}

const doubledId = {
  code: 'duplicate-restoration',
  column: 'restoration_id',
  problem:
    'several rows with different values share one restoration_id; all of them and their visits are set aside.',
  expected: 'each restoration on one row.',
  mend: 'keep the true row, or give the rows identifiers of their own, in a copy.',
}

/** One site of one patient on two rows, of which one is true. */
export const doubledSite = {
  code: 'duplicate-site',
  column: 'tooth_position',
  problem:
    'several rows have the same patient, tooth position and day of delivery; all of them are set aside.',
  expected: 'one restoration on one site on one day.',
  mend: 'keep the true row, in a copy.',
}

/** No implant of today's kind was placed in a patient earlier (Brånemark's first, 1965; from memory). */
const firstImplant = dayFromIso('1965-01-01')!

const deliveryBeforeImplants = {
  code: 'delivery-before-implants',
  column: 'delivery_date',
  problem: 'the delivery lies before the first implants of this kind.',
  expected: 'deliveries from 1965 on.',
  mend: 'correct the date, in a copy.',
}

const observationOutside = {
  code: 'observation-start-impossible',
  column: 'observation_start_date',
  problem: 'the start of observation lies in the future, or before the first implants of this kind.',
  expected: 'a day from 1965 to the day of the run, or nothing.',
  mend: 'correct the date, or leave it empty, in a copy.',
}

const dateAndYearDiffer = {
  code: 'delivery-date-and-year-differ',
  column: 'delivery_year',
  problem: 'the delivery is dated in another year than the one that stands beside it.',
  expected: 'the year of delivery_date, or one of the two only.',
  mend: 'correct one of the two, in a copy.',
}

const deliveryInFuture = {
  code: 'delivery-in-future',
  column: 'delivery_date',
  problem: 'the delivery lies in the future.',
  expected: 'deliveries up to the day of the run.',
  mend: 'correct the date, in a copy.',
}

const placementGap = {
  severity: 'warn',
  code: 'placement-gap',
  column: 'implant_placement_date',
  problem: 'the delivery lies before the placement of the implant, or more than 1,825 days after it.',
  expected: '0 to 1,825 days from placement to delivery.',
  mend: 'check both dates; leave them where they are right.',
} as const
