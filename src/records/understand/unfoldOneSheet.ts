import { fieldOf } from '../../vocabulary/fields.js'
import { oneSheetOwnFields } from '../../vocabulary/oneSheet.js'
import { type CategoryColumn, missingDay, unknownCode } from '../columns.js'
import type { FormGap } from '../dataset.js'
import type { ProblemList } from '../problems.js'
import { checkOneSheet } from './checkOneSheet.js'
import { leaveOut } from './faults.js'
import { markIdenticalRows, rowOrder } from './identicalRows.js'
import { forEachShared, groupRows } from './rowGroups.js'
import { daysOrMissing, rowStatus, type TypedTable, typedTable } from './typedTable.js'
import { UnfoldedRows } from './unfoldedRows.js'
import { addVisits, unfoldedVisitFields, type VisitColumns } from './visitColumns.js'

/** What the one-sheet form cannot answer. */
export const oneSheetCannotAnswer: readonly FormGap[] = Object.freeze([
  'dated-repeats',
  'other-complications',
  'every-visit',
  'undoing-between-tightenings',
])

/** The three tables, typed but not yet linked. */
export interface TypedTables {
  readonly restorations: TypedTable
  readonly tightenings: TypedTable
  readonly visits: TypedTable
}

/**
 * Unfolds the one-sheet form: a restoration, its tightenings at delivery, and visits for the last check before the
 * first loosening, the first loosening, the last check, the removal and the death. Rows that are set aside go with
 * their restoration.
 */
export function unfoldOneSheet(
  sheet: TypedTable,
  visits: readonly VisitColumns[],
  today: number,
  problems: ProblemList,
): TypedTables {
  stopWhereUntold(sheet, problems)
  markIdenticalRows(sheet, 'patient_id', problems)
  checkOneSheet(sheet, today, problems)
  const restorations = restorationsOf(sheet)
  identify(restorations, sheet, problems)
  const ids = restorations.categories.get('restoration_id')!
  return {
    restorations,
    tightenings: tighteningsOf(sheet, ids),
    visits: visitsOf(sheet, ids, visits),
  }
}

function restorationsOf(sheet: TypedTable): TypedTable {
  const table = typedTable('restorations', sheet.file, sheet.sourceRow, sheet.setAsideWhileReading)
  table.status.set(sheet.status)
  for (const row of sheet.withdrawn) table.withdrawn.add(row)
  const own = new Set(oneSheetOwnFields.map((field) => field.name))
  for (const kind of ['categories', 'numbers', 'dates', 'days'] as const) {
    for (const [name, column] of sheet[kind] as Map<string, never>) {
      if (!own.has(name)) (table[kind] as Map<string, never>).set(name, column)
    }
  }
  return table
}

/** A sheet whose column of identifiers is empty has none; one of which some are missing has rows that cannot be told apart. */
function identify(table: TypedTable, sheet: TypedTable, problems: ProblemList): void {
  const codes = table.categories.get('restoration_id')?.codes
  if (codes === undefined || codes.every((code) => code === unknownCode)) {
    makeRestorationIds(table, problems)
    return
  }
  for (let row = 0; row < table.rowCount; row++) {
    if (codes[row] !== unknownCode || table.status[row] !== rowStatus.kept) continue
    const kind = { ...withoutId, file: table.file }
    problems.add(kind, table.sourceRow[row]!)
    for (const one of [table, sheet]) leaveOut(one, row, 'restoration')
  }
}

/**
 * Without identifiers and tooth positions, rows of one patient and delivery that are alike, or differ in the day of the last
 * check, may be several crowns, one crown written twice, or visits of one.
 */
function stopWhereUntold(sheet: TypedTable, problems: ProblemList): void {
  const patient = sheet.categories.get('patient_id')
  const id = sheet.categories.get('restoration_id')?.codes
  const position = sheet.categories.get('tooth_position')?.codes
  if (patient === undefined) return
  const delivery = daysOrMissing(sheet.dates, 'delivery_date', sheet.rowCount)
  const lastCheck = daysOrMissing(sheet.dates, 'last_check_date', sheet.rowCount)
  const order = rowOrder(sheet)
  const isNameless = (row: number): boolean =>
    sheet.status[row] === rowStatus.kept &&
    (id?.[row] ?? unknownCode) === unknownCode &&
    (position?.[row] ?? unknownCode) === unknownCode
  forEachShared(groupRows(patient.codes, patient.labels.length, isNameless), (rows) => {
    const byDelivery = new Map<number, number[]>()
    for (const row of rows) {
      const own = byDelivery.get(delivery[row]!)
      if (own === undefined) byDelivery.set(delivery[row]!, [row])
      else own.push(row)
    }
    for (const row of rows) {
      const isLike = (other: number): boolean =>
        other !== row &&
        sheet.sourceRow[other] !== sheet.sourceRow[row] &&
        (lastCheck[other] !== lastCheck[row] || order(other, row) === 0)
      if (!byDelivery.get(delivery[row]!)!.some(isLike)) continue
      problems.add({ ...notToldApart, file: sheet.file }, sheet.sourceRow[row]!)
      if (problems.isSetAsideByName(notToldApart)) leaveOut(sheet, row, 'restoration')
    }
  })
}

const notToldApart = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'rows-not-told-apart',
  column: 'tooth_position',
  problem:
    'rows of one patient and delivery have no identifier and no tooth position: whether they are several crowns, one crown twice or visits of one is not known.',
  expected: 'a tooth_position or a restoration_id in each of them; one row for each crown.',
  mend: 'fill in the tooth position, or where a row is a visit say so in holdfast map.',
} as const

const withoutId = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'missing-value',
  parameters: { form: 'row' },
  column: 'restoration_id',
  problem: 'the row has no value in a column that every row needs, and cannot be placed.',
  expected: 'a restoration_id in every row, or in none.',
  mend: 'fill it in, in a copy.',
} as const

/** Identifies restorations by patient, position and order of rows where the sheet has no identifier of its own. */
function makeRestorationIds(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')!
  const position = table.categories.get('tooth_position')
  const seen = new Map<string, number>()
  const labels: string[] = []
  const codes = new Int32Array(table.rowCount)
  for (let row = 0; row < table.rowCount; row++) {
    const positionCode = position?.codes[row] ?? unknownCode
    const who =
      patient.codes[row] === unknownCode ? `row${table.sourceRow[row]}` : patient.labels[patient.codes[row]!]!
    const where = positionCode === unknownCode ? 'x' : position!.labels[positionCode]!
    const key = `${who}-${where}`
    const order = (seen.get(key) ?? 0) + 1
    seen.set(key, order)
    codes[row] = labels.push(`${key}-${order}`) - 1
  }
  table.categories.set('restoration_id', { labels, codes })
  problems.add(
    {
      severity: 'note',
      code: 'restoration-ids-made',
      file: table.file,
      column: 'restoration_id',
      problem:
        'there is no column restoration_id; identifiers were made from patient, tooth position and order.',
      expected: 'a column restoration_id with a pseudonym of its own for each restoration.',
      mend: 'nothing needs doing, as long as the order of the rows stays the same.',
    },
    undefined,
    table.rowCount,
  )
}

function codeIn(table: 'tightenings' | 'visits', field: string, code: string): number {
  return fieldOf(table, field)!.codes!.indexOf(code)
}

function tighteningsOf(sheet: TypedTable, ids: CategoryColumn): TypedTable {
  const times = sheet.numbers.get('tightenings_at_delivery')
  const wait = sheet.numbers.get('wait_minutes')
  const torque = sheet.numbers.get('target_torque_ncm')
  const context = codeIn('tightenings', 'context', 'delivery')
  const first = codeIn('tightenings', 'action', 'tighten')
  const again = codeIn('tightenings', 'action', 'tighten_again')
  const rows = new UnfoldedRows('tightenings', [
    'sequence',
    'minutes_since_first',
    'target_torque_ncm',
    'days_since_delivery',
    'context',
    'action',
  ])
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] === rowStatus.repeated) continue
    const count = times?.[row] ?? Number.NaN
    for (let sequence = 1; sequence <= count; sequence++) {
      const waited = sequence === 2 ? (wait?.[row] ?? Number.NaN) : Number.NaN
      const minutes = sequence === 1 ? 0 : waited
      rows.add(
        row,
        sequence,
        minutes,
        torque?.[row] ?? Number.NaN,
        0,
        context,
        sequence === 1 ? first : again,
      )
    }
  }
  return rows.finish(sheet, ids)
}

function visitsOf(sheet: TypedTable, ids: CategoryColumn, visits: readonly VisitColumns[]): TypedTable {
  const rows = new UnfoldedRows('visits', unfoldedVisitFields)
  const add = ownVisits(sheet, rows)
  const checkedDates = new Set<number>()
  const placed = visits.map((one) => ({ ...one, rowsOf: rowFinder(one, sheet.rowCount) }))
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] === rowStatus.repeated) continue
    checkedDates.clear()
    if (visits.length > 0) addVisits(row, placed, rows, checkedDates)
    add(row, checkedDates)
  }
  const setAside = visits.reduce(
    (sum, { table }) => sum + table.status.filter((status) => status === rowStatus.setAside).length,
    0,
  )
  return rows.finish(sheet, ids, setAside)
}

/** The rows of visits of each row of the sheet. */
function rowFinder({ sheetRow }: VisitColumns, rowCount: number): (row: number) => ArrayLike<number> {
  if (sheetRow === undefined) return (row) => [row]
  const groups = groupRows(sheetRow, rowCount, () => true)
  return (row) => groups.rows.subarray(groups.first[row]!, groups.first[row + 1]!)
}

/** Adder of the visits that the dates of the one-sheet form itself stand for. */
function ownVisits(
  sheet: TypedTable,
  rows: UnfoldedRows,
): (row: number, checkedDates: ReadonlySet<number>) => void {
  const date = (field: string): Int32Array => daysOrMissing(sheet.dates, field, sheet.rowCount)
  const lastCheck = date('last_check_date')
  const checkBefore = date('last_check_before_loosening_date')
  const loosening = date('first_loosening_date')
  const removed = date('removed_date')
  const deceased = date('deceased_date')
  const reason = sheet.categories.get('removal_reason')
  const code = (field: string, label: string): number => codeIn('visits', field, label)
  const [yes, no] = [code('screw_checked', 'yes'), code('screw_checked', 'no')]
  const none = code('finding', 'none')
  const loose = code('finding', 'screw_loosening')
  const lost = code('finding', 'implant_loss')
  const gone = code('restoration_status', 'removed')
  const byImplantLoss = code('removal_reason', 'implant_loss')
  const fromRecords = code('visit_type', 'records_only')
  const dead = code('patient_status', 'deceased')
  const x = unknownCode
  const m = missingDay
  const visit = (
    row: number,
    day: number,
    type: number,
    checked: number,
    finding: number,
    status = x,
    why = x,
    patient = x,
  ): void => rows.add(row, day, m, type, checked, x, finding, m, m, x, status, why, patient, x, Number.NaN)
  return (row, checkedDates) => {
    const [before, found, last] = [checkBefore[row]!, loosening[row]!, lastCheck[row]!]
    if (before !== m && !checkedDates.has(before)) visit(row, before, x, yes, none)
    if (found !== m) visit(row, found, x, yes, loose)
    const isNew = last !== m && last !== found && last !== before && !checkedDates.has(last)
    if (isNew) visit(row, last, x, yes, none)
    if (removed[row] !== m) {
      const why = reason?.codes[row] ?? x
      // On the day of a check the removal is a finding of the same visit, and says nothing of its own about the screw.
      const sameVisit = [before, found, last].includes(removed[row]!)
      visit(row, removed[row]!, x, sameVisit ? x : no, why === byImplantLoss ? lost : none, gone, why)
    }
    if (deceased[row] !== m) visit(row, deceased[row]!, fromRecords, no, none, x, x, dead)
  }
}
