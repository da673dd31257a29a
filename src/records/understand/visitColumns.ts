import { fieldOf } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { missingDay, separateRoom, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import type { TextTable } from '../read/textTable.js'
import { leaveOut, meantBy } from './faults.js'
import type { MatchedColumn } from './matchColumns.js'
import { readDates } from './readDates.js'
import { readFields } from './readFields.js'
import { rowStatus, type TypedTable } from './typedTable.js'
import type { UnfoldedRows } from './unfoldedRows.js'

/** The columns of one of several visits that stand side by side in a row of the one-sheet form. */
export interface VisitColumns {
  readonly visit: number
  /** Fields of the visits table, one row for each row of the sheet. */
  readonly table: TypedTable
  /** Row of the sheet of each row, where visits stand below each other; absent where they stand side by side. */
  readonly sheetRow?: Int32Array
  /** What a visit without a column screw_checked says about the screw, by the user's word. */
  readonly checked: boolean
}

/** Fields of unfolded visits, in the order in which rows are filled. */
export const unfoldedVisitFields = [
  'visit_date',
  'days_since_delivery',
  'visit_type',
  'screw_checked',
  'check_method',
  'finding',
  'onset_date',
  'onset_day',
  'action_taken',
  'restoration_status',
  'removal_reason',
  'patient_status',
  'severity',
  'chair_minutes',
] as const

/** Reads the columns of every visit number into a table of its own; their faults never set the whole row aside. */
export function readVisitColumns(
  text: TextTable,
  matched: readonly MatchedColumn[],
  problems: ProblemList,
): readonly VisitColumns[] {
  const numbers = [...new Set(matched.map((one) => one.mapped?.visit ?? 0))].filter((visit) => visit > 0)
  return numbers
    .sort((left, right) => left - right)
    .map((visit) => {
      const columns = matched.filter((one) => one.mapped?.visit === visit)
      return { visit, ...visitTable(text, columns, problems) }
    })
}

/** Reads rows of visits that stand below each other. */
export function readVisitRows(
  { text, sheetRow }: { readonly text: TextTable; readonly sheetRow: Int32Array },
  matched: readonly MatchedColumn[],
  problems: ProblemList,
): VisitColumns {
  return { visit: 1, sheetRow, ...visitTable(text, matched, problems) }
}

function visitTable(
  text: TextTable,
  columns: readonly MatchedColumn[],
  problems: ProblemList,
): Pick<VisitColumns, 'table' | 'checked'> {
  const said = columns.map((one) => (one.field.name === 'finding' ? withoutNotChecked(one) : one))
  const table = readFields(text, 'visits', said, problems, {}, false)
  const checked = columns.some((one) => one.mapped?.checked === true)
  // Before the words for "not checked" fill the column of the check: empty cells of a visit that never was say nothing.
  stopAtUndated(columns, table, problems)
  addNotChecked(columns, table, checked)
  return { table, checked }
}

/**
 * Something found at a visit without a day cannot be placed in time, and must not be lost. A visit at which nothing was
 * found is left out and listed, as long as a cell says so: where every cell is empty there was none.
 */
function stopAtUndated(columns: readonly MatchedColumn[], table: TypedTable, problems: ProblemList): void {
  const dates = table.dates.get('visit_date')
  const days = table.days.get('days_since_delivery')
  const saysEvent = eventOfVisit(table)
  const dated = columns.find((one) => one.field.name === 'visit_date')
  const column = dated?.column
  // A text that is no date has stopped where dates are read; an empty one, or a word for unknown, has not.
  const told =
    dated === undefined ? [] : readDates(dated.field, dated.column, dated.mapped, separateRoom).faults
  const finding = columns.find((one) => one.field.name === 'finding')
  const isNothing = finding?.column.values.map(
    (value) => !saysUnknown(value) && !isNotChecked(finding, value),
  )
  const place = { file: table.file, column: column?.header ?? 'visit_date' }
  for (let row = 0; row < table.rowCount; row++) {
    if ((dates?.[row] ?? missingDay) !== missingDay || (days?.[row] ?? missingDay) !== missingDay) continue
    if (column !== undefined && told[column.codes[row]!] !== undefined) continue
    if (saysEvent(row)) {
      problems.add({ ...undatedVisit, ...place }, table.sourceRow[row]!)
      if (problems.isSetAsideByName(undatedVisit)) leaveOut(table, row, undatedVisit.leavesOut)
    } else if (isNothing?.[finding!.column.codes[row]!] === true) {
      problems.add({ ...undatedNothing, ...place }, table.sourceRow[row]!)
    }
  }
}

/** Whether a row of visits says that something was found or checked, or that restoration or patient are gone. */
function eventOfVisit(table: TypedTable): (row: number) => boolean {
  const isOneOf = (field: string, said: (label: string) => boolean): ((row: number) => boolean) => {
    const column = table.categories.get(field)
    const loud = column?.labels.map(said)
    return (row) => column !== undefined && column.codes[row] !== unknownCode && loud![column.codes[row]!]!
  }
  const found = isOneOf('finding', (label) => label !== 'none')
  const checked = isOneOf('screw_checked', (label) => label === 'yes')
  const gone = isOneOf('restoration_status', (label) => label === 'removed' || label === 'lost')
  const dead = isOneOf('patient_status', (label) => label === 'deceased')
  return (row) => found(row) || checked(row) || gone(row) || dead(row)
}

const undatedVisit = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'missing-value',
  parameters: { form: 'visit' },
  problem: 'something was found or checked at a visit that has no date, and cannot be placed.',
  expected: 'the day of every visit at which something was found or checked.',
  mend: 'fill it in, in a copy.',
} as const

const undatedNothing = {
  severity: 'set-aside',
  code: 'visit-without-date',
  problem: 'nothing was found at a visit that has no date; it is left out.',
  expected: 'the day of every visit.',
  mend: 'fill it in, in a copy, or clear the finding where there was no visit.',
} as const

/** In the values of a finding: the word says that the screw was not checked at the visit. */
export const notChecked = 'not_checked'

function isNotChecked({ mapped }: MatchedColumn, value: string): boolean {
  return meantBy(mapped?.values, value) === notChecked
}

function withoutNotChecked(one: MatchedColumn): MatchedColumn {
  const values = Object.entries(one.mapped?.values ?? {})
  if (one.mapped === undefined || !values.some(([, code]) => code === notChecked)) return one
  const said = values.map(([word, code]) => [word, code === notChecked ? 'none' : code])
  return { ...one, mapped: { ...one.mapped, values: Object.fromEntries(said) } }
}

/** A visit at which a finding says "not checked" is none at which the screw was tested. */
function addNotChecked(columns: readonly MatchedColumn[], table: TypedTable, checked: boolean): void {
  const finding = columns.find((one) => one.field.name === 'finding')
  const isNot = finding?.column.values.map((value) => isNotChecked(finding, value)) ?? []
  if (!isNot.includes(true)) return
  const { labels, codes } = table.categories.get('screw_checked') ?? {
    labels: fieldOf('visits', 'screw_checked')!.codes!,
    codes: new Int32Array(table.rowCount).fill(codeOf('screw_checked', checked ? 'yes' : 'no')),
  }
  const no = codeOf('screw_checked', 'no')
  table.categories.set('screw_checked', {
    labels,
    codes: codes.map((code, row) => (isNot[finding!.column.codes[row]!] ? no : code)),
  })
}

/** Adds the visits of one row of the sheet; gives the days of those at which the screw was checked. */
export function addVisits(
  sheetRow: number,
  visits: readonly (VisitColumns & { readonly rowsOf: (sheetRow: number) => ArrayLike<number> })[],
  rows: UnfoldedRows,
  checkedDates: Set<number>,
): void {
  for (const one of visits) {
    const own = one.rowsOf(sheetRow)
    for (let index = 0; index < own.length; index++) addVisit(sheetRow, own[index]!, one, rows, checkedDates)
  }
}

const none = codeOf('finding', 'none')
const yes = codeOf('screw_checked', 'yes')
const no = codeOf('screw_checked', 'no')

function addVisit(
  sheetRow: number,
  row: number,
  { table, checked, sheetRow: below }: VisitColumns,
  rows: UnfoldedRows,
  checkedDates: Set<number>,
): void {
  if (table.status[row] === rowStatus.setAside) return
  const date = table.dates.get('visit_date')?.[row] ?? missingDay
  const day = table.days.get('days_since_delivery')?.[row] ?? missingDay
  if (date === missingDay && day === missingDay) return
  const code = (field: string): number => table.categories.get(field)?.codes[row] ?? unknownCode
  const screw = table.categories.has('screw_checked') ? code('screw_checked') : checked ? yes : no
  const finding = table.categories.has('finding') ? code('finding') : none
  if (screw === yes && date !== missingDay) checkedDates.add(date)
  if (below !== undefined) rows.from(table.sourceRow[row]!)
  rows.add(
    sheetRow,
    date,
    day,
    code('visit_type'),
    screw,
    code('check_method'),
    screw !== yes && finding === unknownCode ? none : finding,
    table.dates.get('onset_date')?.[row] ?? missingDay,
    table.days.get('onset_day')?.[row] ?? missingDay,
    code('action_taken'),
    code('restoration_status'),
    code('removal_reason'),
    code('patient_status'),
    code('severity'),
    table.numbers.get('chair_minutes')?.[row] ?? Number.NaN,
  )
}

function codeOf(field: string, label: string): number {
  return fieldOf('visits', field)!.codes!.indexOf(label)
}
