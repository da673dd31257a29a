import { isoFromDay } from '../../core/calendar.js'
import { type Field, sheetFields } from '../../vocabulary/fields.js'
import { missingDay } from '../columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from '../dataset.js'
import { plainColumn } from '../identities/sharedRows.js'

/** A row of one version of the records: field to text. Days are calendar day numbers where the records have dates. */
export type VersionRow = ReadonlyMap<string, string>

/** The tables whose rows belong to a restoration. */
export type LinkedName = 'tightenings' | 'visits'

/** One restoration of one version, with everything that is recorded of it. */
export interface VersionEntry {
  readonly row: VersionRow
  readonly linked: Readonly<Record<LinkedName, readonly VersionRow[]>>
}

/** One version of the records of a practice, by restoration. */
export interface Version {
  readonly dated: boolean
  readonly form: 'three-tables' | 'one-sheet'
  readonly entries: ReadonlyMap<string, VersionEntry>
}

const derived = new Set(['arch', 'region'])

/** Fields as they are written: the date of delivery where there are dates, days since delivery for all else. */
export function writtenFields(name: TableName, dated: boolean): readonly Field[] {
  return sheetFields[name]
    .filter((field) => field.kind !== 'date' || field.name === 'delivery_date')
    .filter((field) => field.name !== (dated ? 'delivery_year' : 'delivery_date'))
    .filter((field) => !dated || !derived.has(field.name))
}

/** Reads records into rows that can be compared with another version of them. */
export function versionOf(records: RecordSet): Version {
  const dated = records.restorations.has('delivery_date')
  const { restorations } = records
  const delivery = restorations.day('delivery_date')
  const own = rowReader(restorations, dated, (row) => delivery[row]!)
  const linkedOf = (table: LinkedTable) => {
    const read = rowReader(table, dated, (row) => delivery[table.restoration[row]!]!)
    return (restoration: number): readonly VersionRow[] => {
      const [first, end] = [table.firstRow[restoration]!, table.firstRow[restoration + 1]!]
      return Array.from({ length: end - first }, (_, row) => read(first + row))
    }
  }
  const [tightenings, visits] = [linkedOf(records.tightenings), linkedOf(records.visits)]
  const entries = new Map<string, VersionEntry>()
  for (let index = 0; index < restorations.rowCount; index++) {
    const row = own(index)
    const linked = { tightenings: tightenings(index), visits: visits(index) }
    entries.set(row.get('restoration_id')!, { row, linked })
  }
  return { dated, form: records.source.form, entries }
}

function rowReader(
  table: RecordTable,
  dated: boolean,
  deliveryOf: (row: number) => number,
): (row: number) => VersionRow {
  const columns = writtenFields(table.name, dated)
    .filter((field) => table.has(field.name))
    .map((field) => {
      const isDay = field.kind === 'day' || field.kind === 'date'
      if (!dated || !isDay) return plainColumn(table, field)
      const days = table.day(field.name)
      const from = field.kind === 'date' ? () => 0 : deliveryOf
      const textOf = (row: number): string => (days[row] === missingDay ? '' : String(days[row]! + from(row)))
      return { name: field.name, textOf }
    })
  return (row) => new Map(columns.map((column) => [column.name, column.textOf(row)]))
}

/** The text of a field as it is written: days counted from the delivery, the delivery itself as a date. */
export function writtenText(row: VersionRow, field: Field, delivery: number | undefined): string {
  const text = row.get(field.name) ?? ''
  if (text === '' || delivery === undefined) return text
  if (field.name === 'delivery_date') return isoFromDay(Number(text))
  return field.kind === 'day' ? String(Number(text) - delivery) : text
}

/** The text of a field as it is told in a list of changes: days as dates where there are dates. */
export function toldText(field: Field, text: string, dated: boolean): string {
  if (text === '' || !dated || (field.kind !== 'day' && field.kind !== 'date')) return text
  return isoFromDay(Number(text))
}
