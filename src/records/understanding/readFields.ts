import { missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import type { TextTable } from '../reading/textTable.js'
import { type Field, type SheetName, sheetFields } from '../schema.js'
import { addFaults, type ValueFault } from './faults.js'
import type { MatchedColumn } from './matchColumns.js'
import { readCodes, readKeys } from './readCodes.js'
import { readDates } from './readDates.js'
import { readNumbers } from './readNumbers.js'
import { readPositions } from './readPositions.js'
import { rowStatus, type TypedTable, typedTable } from './typedTable.js'

/** Turns the matched columns of a sheet into typed ones; faults go to the problems and mark rows that are set aside. */
export function readFields(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  problems: ProblemList,
): TypedTable {
  const table = typedTable(sheet, text.file, text.sourceRow, text.setAsideRows)
  const stopped = new Set<string>()
  for (const one of matched) if (readField(one, text, table, problems)) stopped.add(one.field.name)
  for (const field of sheetFields[sheet]) {
    const doubtful = stopped.has(field.name) || stopped.has(field.alternative ?? '')
    if (field.valueNeeded && !doubtful) setAsideEmpty(field, matched, table, problems)
  }
  return table
}

/** Reads one column; true where it has a fault that stops. */
function readField(one: MatchedColumn, text: TextTable, table: TypedTable, problems: ProblemList): boolean {
  const faults = readIntoTable(one, table)
  addFaults(text, one.column, faults, table, problems)
  return faults.some((fault) => fault?.severity === 'stop')
}

function readIntoTable(one: MatchedColumn, table: TypedTable): readonly (ValueFault | undefined)[] {
  const { field, column, mapped } = one
  const { name, kind } = field
  if (kind === 'key' || kind === 'text' || kind === 'code' || kind === 'position') {
    const reading =
      kind === 'code'
        ? readCodes(field, column, mapped?.values)
        : kind === 'position'
          ? readPositions(column)
          : readKeys(column)
    table.categories.set(name, { labels: reading.labels, codes: reading.codes })
    return reading.faults
  }
  if (kind === 'date') {
    const reading = readDates(field, column, mapped?.dateOrder)
    table.dates.set(name, reading.days)
    return reading.faults
  }
  const reading = readNumbers(field, column, mapped)
  if (kind === 'day') table.days.set(name, dayColumn(reading.values))
  else table.numbers.set(name, reading.values)
  return reading.faults
}

function dayColumn(values: Float64Array): Int32Array {
  return Int32Array.from(values, (value) => (Number.isNaN(value) ? missingDay : value))
}

/** Sets aside the rows in which a needed value, and what can stand in for it, is missing. */
function setAsideEmpty(
  field: Field,
  matched: readonly MatchedColumn[],
  table: TypedTable,
  problems: ProblemList,
): void {
  const candidates = matched.filter((one) => [field.name, field.alternative].includes(one.field.name))
  if (candidates.length === 0) return
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] === rowStatus.setAside) continue
    if (candidates.some((one) => isKnown(table, one.field.name, row))) continue
    table.status[row] = rowStatus.setAside
    problems.add(
      {
        severity: 'set-aside',
        code: 'missing-value',
        file: table.file,
        column: candidates[0]!.column.header,
        problem: 'the row has no value in a column that every row needs.',
        expected: field.description,
        mend: 'fill it in, in a copy.',
      },
      table.sourceRow[row]!,
    )
  }
}

function isKnown(table: TypedTable, field: string, row: number): boolean {
  const category = table.categories.get(field)
  if (category !== undefined) return category.codes[row] !== unknownCode
  const day = (table.dates.get(field) ?? table.days.get(field))?.[row]
  if (day !== undefined) return day !== missingDay
  return !Number.isNaN(table.numbers.get(field)?.[row] ?? Number.NaN)
}
