import type { SheetName } from '../schema.js'
import type { DateOrder } from './dates.js'
import type { DecimalMark } from './numbers.js'

/** What the user has confirmed about one column of a file. */
export interface MappedColumn {
  /** Header as it stands in the file. */
  readonly header: string
  /** Field of the data dictionary; absent: the column is not used. */
  readonly field?: string
  readonly dateOrder?: DateOrder
  readonly decimalMark?: DecimalMark
  /** What the words of the column mean: word to code. */
  readonly values?: Readonly<Record<string, string>>
}

/** What the user has confirmed about a sheet. */
export interface MappedSheet {
  readonly sheet: SheetName
  /** Name of the file, or of the sheet in a workbook. */
  readonly file: string
  readonly columns: readonly MappedColumn[]
}

/** Saved, confirmed by the user, and reused for every later export of the same form. */
export interface ColumnMap {
  readonly sheets: readonly MappedSheet[]
}
