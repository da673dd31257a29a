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
