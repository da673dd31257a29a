import type { ProblemKind, ProblemList } from '../problems.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { rowStatus, type TypedTable } from './typedTable.js'

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
  }
}
