/** Which cells of each row of a table are not 0, and what they hold: those of row i from `first[i]` up to `first[i + 1]`. */
export interface FilledCells {
  readonly first: Int32Array
  /** Columns, ascending within a row. */
  readonly column: CellColumns
  readonly value: Float64Array
}

/** Columns of cells, in two bytes each while no more are told apart: lists of cells are the largest thing that a comparison holds. */
export type CellColumns = Uint16Array | Int32Array

/** Room for the columns of so many cells of a table of so many columns. */
export function roomForColumns(width: number, cells: number): CellColumns {
  return width <= 2 ** 16 ? new Uint16Array(cells) : new Int32Array(cells)
}

/**
 * Lists the cells of a row-major table that are not 0. Indicators leave most of a row empty, and what is 0 adds nothing to
 * any sum: sums over the list are those over the row, to the last digit.
 */
export function filledCells(table: Float64Array, rows: number, width: number): FilledCells {
  const first = new Int32Array(rows + 1)
  let count = 0
  for (let at = 0; at < rows * width; at++) if (table[at] !== 0) count++
  const column = roomForColumns(width, count)
  const value = new Float64Array(count)
  count = 0
  for (let row = 0, at = 0; row < rows; row++) {
    for (let j = 0; j < width; j++, at++) {
      if (table[at] === 0) continue
      column[count] = j
      value[count++] = table[at]!
    }
    first[row + 1] = count
  }
  return { first, column, value }
}

/** The cells of some rows, in their order; a row may come twice. */
export function takenCells({ first, column, value }: FilledCells, rows: Int32Array): FilledCells {
  const starts = new Int32Array(rows.length + 1)
  for (let i = 0; i < rows.length; i++) starts[i + 1] = starts[i]! + first[rows[i]! + 1]! - first[rows[i]!]!
  const count = starts[rows.length]!
  const taken = {
    first: starts,
    column: column instanceof Uint16Array ? new Uint16Array(count) : new Int32Array(count),
    value: new Float64Array(count),
  }
  for (let i = 0, to = 0; i < rows.length; i++) {
    for (let at = first[rows[i]!]!; at < first[rows[i]! + 1]!; at++, to++) {
      taken.column[to] = column[at]!
      taken.value[to] = value[at]!
    }
  }
  return taken
}

/** Scalar product of a row with coefficients. */
export function cellProduct(
  { first, column, value }: FilledCells,
  row: number,
  coefficients: Float64Array,
): number {
  let sum = 0
  const end = first[row + 1]!
  for (let at = first[row]!; at < end; at++) sum += value[at]! * coefficients[column[at]!]!
  return sum
}

/** Adds a row, times a factor, to sums by column. */
export function addRow(
  sums: Float64Array,
  { first, column, value }: FilledCells,
  row: number,
  factor: number,
): void {
  const end = first[row + 1]!
  for (let at = first[row]!; at < end; at++) sums[column[at]!]! += factor * value[at]!
}

/** Adds the products of the cells of a row with each other, times a factor, to the lower triangle of a square matrix. */
export function addRowProducts(
  sums: Float64Array,
  width: number,
  { first, column, value }: FilledCells,
  row: number,
  factor: number,
): void {
  const from = first[row]!
  const end = first[row + 1]!
  for (let a = from; a < end; a++) {
    const scaled = factor * value[a]!
    const place = column[a]! * width
    for (let b = from; b <= a; b++) sums[place + column[b]!]! += scaled * value[b]!
  }
}

/** One column of the table, 0 where no cell is filled. */
export function columnOfCells({ first, column, value }: FilledCells, asked: number): Float64Array {
  const whole = new Float64Array(first.length - 1)
  for (let row = 0; row < whole.length; row++) {
    for (let at = first[row]!; at < first[row + 1]!; at++) if (column[at] === asked) whole[row] = value[at]!
  }
  return whole
}
