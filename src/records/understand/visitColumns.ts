import { fieldOf } from '../../vocabulary/fields.js'
import { missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import type { TextTable } from '../read/textTable.js'
import type { MatchedColumn } from './matchColumns.js'
import { readFields } from './readFields.js'
import { rowStatus, type TypedTable } from './typedTable.js'
import type { UnfoldedRows } from './unfoldedRows.js'

/** The columns of one of several visits that stand side by side in a row of the one-sheet form. */
export interface VisitColumns {
  readonly visit: number
  /** Fields of the visits table, one row for each row of the sheet. */
  readonly table: TypedTable
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
      const table = readFields(text, 'visits', columns, problems, {}, false)
      const checked = columns.some((one) => one.mapped?.checked === true)
      return { visit, table, checked }
    })
}

/** Adds the visits of one row of the sheet; gives the days of those at which the screw was checked. */
export function addVisits(
  row: number,
  visits: readonly VisitColumns[],
  rows: UnfoldedRows,
  checkedDates: Set<number>,
): void {
  const none = codeOf('finding', 'none')
  const yes = codeOf('screw_checked', 'yes')
  const no = codeOf('screw_checked', 'no')
  for (const { table, checked } of visits) {
    if (table.status[row] === rowStatus.setAside) continue
    const date = table.dates.get('visit_date')?.[row] ?? missingDay
    const day = table.days.get('days_since_delivery')?.[row] ?? missingDay
    if (date === missingDay && day === missingDay) continue
    const code = (field: string): number => table.categories.get(field)?.codes[row] ?? unknownCode
    const screw = table.categories.has('screw_checked') ? code('screw_checked') : checked ? yes : no
    const finding = table.categories.has('finding') ? code('finding') : none
    if (screw === yes && date !== missingDay) checkedDates.add(date)
    rows.add(
      row,
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
}

function codeOf(field: string, label: string): number {
  return fieldOf('visits', field)!.codes!.indexOf(label)
}
