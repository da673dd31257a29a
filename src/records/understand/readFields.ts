import { type Field, fieldOf, type SheetName, sheetFields } from '../../vocabulary/fields.js'
import { missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { addFaults, type ValueFault } from './faults.js'
import type { MatchedColumn } from './matchColumns.js'
import { type CategoryReading, readCodes, readKeys } from './readCodes.js'
import { readDates } from './readDates.js'
import { readNumbers, unitsInCells } from './readNumbers.js'
import { readPositions } from './readPositions.js'
import { rowStatus, type TypedTable, typedTable } from './typedTable.js'

/**
 * Turns the matched columns of a sheet, and the constants that the column map gives, into typed ones. Faults go to the
 * problems and mark rows that are set aside.
 *
 * @param countsRows whether the rows are those of a table of its own; otherwise needed values are not asked for
 */
export function readFields(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  problems: ProblemList,
  constants: Readonly<Record<string, string>> = {},
  countsRows = true,
): TypedTable {
  const table = typedTable(sheet, text.file, text.sourceRow, countsRows ? text.setAsideRows : 0)
  const stopped = new Set<string>()
  const all = [...matched, ...constantColumns(text, sheet, matched, constants)]
  for (const one of all) if (readField(one, text, table, problems)) stopped.add(one.field.name)
  for (const field of sheetFields[sheet]) {
    const doubtful = stopped.has(field.name) || stopped.has(field.alternative ?? '')
    if (countsRows && field.valueNeeded && !doubtful) setAsideEmpty(field, all, table, problems)
  }
  return table
}

function constantColumns(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  constants: Readonly<Record<string, string>>,
): readonly MatchedColumn[] {
  return Object.entries(constants)
    .filter(([name]) => !matched.some((one) => one.field.name === name))
    .map(([name, value]) => {
      const codes = new Int32Array(text.rowCount).fill(1)
      const column = { header: name, position: 0, values: ['', value], codes }
      return { field: fieldOf(sheet, name)!, column, mapped: undefined }
    })
}

/** Reads one column; true where it has a fault that stops. */
function readField(one: MatchedColumn, text: TextTable, table: TypedTable, problems: ProblemList): boolean {
  const { column, faults } = readIntoTable(one, text, table)
  addFaults(text, column, faults, table, problems)
  return faults.some((fault) => fault?.severity === 'stop')
}

interface ColumnReading {
  /** Column whose codes the faults go by. */
  readonly column: TextColumn
  readonly faults: readonly (ValueFault | undefined)[]
}

function readIntoTable(one: MatchedColumn, text: TextTable, table: TypedTable): ColumnReading {
  const { field, column, mapped } = one
  const { name, kind } = field
  if (kind === 'key' || kind === 'text' || kind === 'code' || kind === 'position') {
    const reading = readCategory(one)
    table.categories.set(name, { labels: reading.labels, codes: reading.codes })
    return { column, faults: reading.faults }
  }
  if (kind === 'date') {
    const reading = readDates(field, column, mapped)
    table.dates.set(name, reading.days)
    return { column, faults: reading.faults }
  }
  const units = text.columns.find((other) => other.header === mapped?.unitColumn)
  const withUnits = units === undefined ? column : besideUnits(column, units)
  const settings = units === undefined ? mapped : { ...mapped, unit: unitsInCells }
  const reading = readNumbers(field, withUnits, settings)
  if (kind === 'day') table.days.set(name, dayColumn(reading.values))
  else table.numbers.set(name, reading.values)
  return { column: withUnits, faults: reading.faults }
}

function readCategory({ field, column, mapped }: MatchedColumn): CategoryReading {
  if (field.kind === 'code') return readCodes(field, column, mapped?.values)
  return field.kind === 'position' ? readPositions(column, mapped?.scheme) : readKeys(column)
}

/** The numbers of one column with the units of another written behind them. */
function besideUnits(numbers: TextColumn, units: TextColumn): TextColumn {
  const values = ['']
  const codeOfPair = new Map<number, number>()
  const codes = numbers.codes.map((code, row) => {
    if (numbers.values[code] === '') return 0
    const pair = code * units.values.length + units.codes[row]!
    const known = codeOfPair.get(pair)
    if (known !== undefined) return known
    const made = values.push(`${numbers.values[code]} ${units.values[units.codes[row]!]}`.trim()) - 1
    codeOfPair.set(pair, made)
    return made
  })
  return { header: numbers.header, position: numbers.position, values, codes }
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
