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

/** Whole numbers of some rows of a column, in memory that threads share. */
export function sharedCodes(column: Int32Array, rows: Int32Array): Int32Array {
  const taken = new Int32Array(new SharedArrayBuffer(4 * rows.length))
  for (let i = 0; i < rows.length; i++) taken[i] = column[rows[i]!]!
  return taken
}

/** The same of a column of numbers. */
export function sharedNumbers(column: Float64Array, rows: Int32Array): Float64Array {
  const taken = new Float64Array(new SharedArrayBuffer(8 * rows.length))
  for (let i = 0; i < rows.length; i++) taken[i] = column[rows[i]!]!
  return taken
}
