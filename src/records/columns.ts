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

/** Memory that threads share, in one piece that columns are laid into one after the other. */
export interface SharedRoom {
  /** Numbers of some rows of a column; to be laid in before whole numbers. */
  numbers(column: Float64Array, rows: Int32Array): Float64Array
  /** Whole numbers of some rows of a column. */
  codes(column: Int32Array, rows: Int32Array): Int32Array
}

/**
 * Room for the columns of a table. They stay to the end: in a piece of their own each, they would lie between what is given back after
 * reading, and keep it from the system (200,000 restorations: docs/speed.md).
 *
 * @param bytes of all that is laid in
 */
export function sharedRoom(bytes: number): SharedRoom {
  const buffer = new SharedArrayBuffer(bytes)
  let at = 0
  const taken = <Column extends Int32Array | Float64Array>(
    into: Column,
    column: Column,
    rows: Int32Array,
  ): Column => {
    at += into.byteLength
    for (let i = 0; i < rows.length; i++) into[i] = column[rows[i]!]!
    return into
  }
  return {
    numbers: (column, rows) => taken(new Float64Array(buffer, at, rows.length), column, rows),
    codes: (column, rows) => taken(new Int32Array(buffer, at, rows.length), column, rows),
  }
}
