/** Which cells of each row of a row-major table are not 0: those of row i from `first[i]` up to `first[i + 1]`. */
export interface FilledCells {
  readonly first: Int32Array
  /** Columns, ascending within a row. */
  readonly column: Int32Array
}

/**
 * Lists the cells that are not 0. Indicators leave most of a row empty, and what is 0 adds nothing to any sum: sums over the
 * list are those over the row, to the last digit.
 */
export function filledCells(table: Float64Array, rows: number, width: number): FilledCells {
  const first = new Int32Array(rows + 1)
  let count = 0
  for (let at = 0; at < rows * width; at++) if (table[at] !== 0) count++
  const column = new Int32Array(count)
  count = 0
  for (let row = 0, at = 0; row < rows; row++) {
    for (let j = 0; j < width; j++) if (table[at++] !== 0) column[count++] = j
    first[row + 1] = count
  }
  return { first, column }
}
