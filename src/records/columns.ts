import { takenIntegers, takenRows } from '../core/columns.js'

/** Category or key column: each row holds the position of its label, or `unknownCode`. */
export interface CategoryColumn {
  readonly labels: readonly string[]
  readonly codes: Int32Array
}

/** Code of an empty or explicitly unknown category. */
export const unknownCode = -1

/** Day that is not known, in columns of whole days. */
export const missingDay = -2_147_483_648

/** Label of a row, or undefined where it is unknown. */
export function labelAt(column: CategoryColumn, row: number): string | undefined {
  const code = column.codes[row]
  return code === undefined || code === unknownCode ? undefined : column.labels[code]
}

/** Code of a label in a column, or `unknownCode` where no row can hold it. */
export function codeOf(column: CategoryColumn, label: string): number {
  return column.labels.indexOf(label)
}

/** Memory that columns are laid into one after the other. */
export interface ColumnRoom {
  /** Numbers of some rows of a column. */
  numbers(column: Float64Array, rows: ArrayLike<number>): Float64Array
  /** Whole numbers of some rows of a column. */
  codes(column: Int32Array, rows: ArrayLike<number>): Int32Array
}

/** No room in common: every column has memory of its own. */
export const separateRoom: ColumnRoom = Object.freeze({ numbers: takenRows, codes: takenIntegers })

/**
 * Room for the columns of a table in one piece, which is given back as a whole. Were each in a piece of its own, what stays would lie
 * between what is given back, and keep it from the system (200,000 restorations: docs/speed.md).
 *
 * @param buffer memory for all that is laid in, with 8 bytes more for each column of numbers that stands behind whole numbers
 */
export function columnRoom(buffer: ArrayBuffer | SharedArrayBuffer): ColumnRoom {
  let at = 0
  const taken = <Column extends Int32Array | Float64Array>(
    into: Column,
    column: Column,
    rows: ArrayLike<number>,
  ): Column => {
    at = into.byteOffset + into.byteLength
    for (let i = 0; i < rows.length; i++) into[i] = column[rows[i]!]!
    return into
  }
  return {
    numbers: (column, rows) =>
      taken(new Float64Array(buffer, Math.ceil(at / 8) * 8, rows.length), column, rows),
    codes: (column, rows) => taken(new Int32Array(buffer, at, rows.length), column, rows),
  }
}
