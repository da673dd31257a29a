import type { SheetName } from '../../vocabulary/fields.js'
import { type CategoryColumn, missingDay } from '../columns.js'

/** What has become of a row: kept, set aside, or an identical row that counts once. */
export const rowStatus = { kept: 0, setAside: 1, repeated: 2 } as const

/** A sheet in typed columns, before its rows are linked to those of the other tables. */
export interface TypedTable {
  readonly sheet: SheetName
  readonly file: string
  readonly rowCount: number
  readonly sourceRow: Int32Array
  /** One of `rowStatus` for each row; the checks write here. */
  readonly status: Uint8Array
  /** Rows set aside by the user's word whose restoration is left out with them. */
  readonly withdrawn: Set<number>
  /** Rows set aside before they had columns. */
  readonly setAsideWhileReading: number
  readonly categories: Map<string, CategoryColumn>
  /** NaN where unknown. */
  readonly numbers: Map<string, Float64Array>
  /** Calendar day numbers, `missingDay` where unknown. */
  readonly dates: Map<string, Int32Array>
  /** Days since delivery, `missingDay` where unknown. */
  readonly days: Map<string, Int32Array>
}

/** An empty typed table with room for its columns. */
export function typedTable(
  sheet: SheetName,
  file: string,
  sourceRow: Int32Array,
  setAsideWhileReading = 0,
): TypedTable {
  return {
    sheet,
    file,
    rowCount: sourceRow.length,
    sourceRow,
    status: new Uint8Array(sourceRow.length),
    withdrawn: new Set(),
    setAsideWhileReading,
    categories: new Map(),
    numbers: new Map(),
    dates: new Map(),
    days: new Map(),
  }
}

/** Category codes of a field, or undefined where the source lacked it. */
export function codesIn(table: TypedTable, field: string): Int32Array | undefined {
  return table.categories.get(field)?.codes
}

/** Column of dates or days of a field, all missing where the source lacked it. */
export function daysOrMissing(columns: Map<string, Int32Array>, field: string, rowCount: number): Int32Array {
  return columns.get(field) ?? new Int32Array(rowCount).fill(missingDay)
}
