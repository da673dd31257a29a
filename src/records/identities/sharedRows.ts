import { type Field, sheetFields } from '../../vocabulary/fields.js'
import { missingDay, unknownCode } from '../columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from '../dataset.js'

/** A table as text, ready to be written: header and rows. */
export interface TextRows {
  readonly name: TableName
  readonly header: readonly string[]
  readonly rows: readonly (readonly string[])[]
}

/** A column to be written: its name and the text of each row. */
export interface WrittenColumn {
  readonly name: string
  readonly textOf: (row: number) => string
}

/** Text of a number as short as it is exact. */
function numberText(value: number): string {
  return Number.isNaN(value) ? '' : String(value)
}

function dayText(day: number): string {
  return day === missingDay ? '' : String(day)
}

/** Column of a field as it stands in the records: codes and keys by label, numbers, days since delivery. */
export function plainColumn(table: RecordTable, field: Field): WrittenColumn {
  const { name, kind } = field
  if (kind === 'date' || kind === 'day') {
    const days = table.day(name)
    return { name, textOf: (row) => dayText(days[row]!) }
  }
  if (kind === 'whole' || kind === 'number') {
    const numbers = table.number(name)
    return { name, textOf: (row) => numberText(numbers[row]!) }
  }
  const { labels, codes } = table.category(name)
  return { name, textOf: (row) => (codes[row] === unknownCode ? '' : labels[codes[row]!]!) }
}

/** Fields of a table that the records have and that are no dates: a date goes as days since delivery. */
export function fieldsWithoutDates(table: RecordTable): readonly Field[] {
  return sheetFields[table.name].filter((field) => field.kind !== 'date' && table.has(field.name))
}

/** Rows of columns in a given order of the table's rows. */
export function rowsOf(
  name: TableName,
  columns: readonly WrittenColumn[],
  order: ArrayLike<number>,
): TextRows {
  return {
    name,
    header: columns.map((column) => column.name),
    rows: Array.from(order, (row) => columns.map((column) => column.textOf(row))),
  }
}

/** Rows of a linked table, the restorations in a given order and the rows of each as they stand. */
export function linkedOrder(table: LinkedTable, restorations: ArrayLike<number>): Int32Array {
  const order = new Int32Array(table.rowCount)
  let next = 0
  for (let place = 0; place < restorations.length; place++) {
    const restoration = restorations[place]!
    for (let row = table.firstRow[restoration]!; row < table.firstRow[restoration + 1]!; row++) {
      order[next++] = row
    }
  }
  return order
}

/** Label of a key of a restoration, undefined where it is not known. */
export function restorationKey(
  records: RecordSet,
  field: string,
): (restoration: number) => string | undefined {
  const { labels, codes } = records.restorations.category(field)
  return (restoration) => (codes[restoration] === unknownCode ? undefined : labels[codes[restoration]!])
}
