import type { Field } from '../../vocabulary/fields.js'
import type { LeftOut } from '../dataset.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { rowStatus, type TypedTable } from './typedTable.js'

/**
 * Fields of outcomes, exposure and time at risk: a value of these that cannot be read stops, since it would count as "no
 * event", or move a denominator, in silence.
 */
const decidingFields: ReadonlySet<string> = new Set([
  'delivery_date',
  'delivery_year',
  'observation_start_date',
  'observation_start_day',
  'visit_date',
  'days_since_delivery',
  'onset_date',
  'onset_day',
  'last_check_date',
  'last_check_before_loosening_date',
  'first_loosening_date',
  'loosening_count',
  'removed_date',
  'deceased_date',
  'tightening_date',
  'sequence',
  'minutes_since_first',
  'tightenings_at_delivery',
  'wait_minutes',
  'target_torque_ncm',
])

/** Whether values of a field decide on events, exposure or time at risk. */
export function decides(field: Field): boolean {
  return decidingFields.has(field.name)
}

/** How a value of a field that cannot be read is judged: it stops where the field decides, else it is warned about. */
export function severityOfFault(field: Field): Pick<ValueFault, 'severity' | 'leavesOut'> {
  if (decides(field)) return { severity: 'stop', leavesOut: 'restoration' }
  return { severity: field.faulty === 'set-aside' ? 'set-aside' : 'warn' }
}

/** What a text stands for by the user's word; the text itself where nothing was said of it. */
export function meantBy(values: Readonly<Record<string, string>> | undefined, text: string): string {
  // A cell may hold any text, the name of a property that every object has among them.
  return values !== undefined && Object.hasOwn(values, text) ? values[text]! : text
}

/** A fault of a value, before file and column are known. */
export type ValueFault = Omit<ProblemKind, 'file' | 'column'>

/**
 * Records the faults of a column: one fault for each distinct text (by code), spread over the rows that hold it. Rows
 * with a fault that sets aside are marked.
 */
export function addFaults(
  text: TextTable,
  column: TextColumn,
  faults: readonly (ValueFault | undefined)[],
  table: TypedTable,
  problems: ProblemList,
): void {
  if (!faults.some((fault) => fault !== undefined)) return
  for (let row = 0; row < text.rowCount; row++) {
    const fault = faults[column.codes[row]!]
    if (fault === undefined) continue
    problems.add({ ...fault, file: text.file, column: column.header }, text.sourceRow[row]!)
    if (fault.severity === 'set-aside') table.status[row] = rowStatus.setAside
    if (problems.isSetAsideByName(fault)) leaveOut(table, row, fault.leavesOut)
  }
}

/** Leaves a row out by the user's word; where the outcome of a restoration is at stake, the restoration with it. */
export function leaveOut(table: TypedTable, row: number, what: LeftOut | undefined): void {
  if (what === undefined || what === 'value') return
  table.status[row] = rowStatus.setAside
  if (what === 'restoration') table.withdrawn.add(row)
}
