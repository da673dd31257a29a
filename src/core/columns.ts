/** The values of some rows of a column, in their order; a loop, since `from` with a function costs ten times as much. */
export function takenRows(column: ArrayLike<number>, rows: ArrayLike<number>): Float64Array {
  const values = new Float64Array(rows.length)
  for (let i = 0; i < rows.length; i++) values[i] = column[rows[i]!]!
  return values
}

/** The same of a column of small whole numbers, such as codes and flags. */
export function takenCodes(column: ArrayLike<number>, rows: ArrayLike<number>): Uint8Array {
  const values = new Uint8Array(rows.length)
  for (let i = 0; i < rows.length; i++) values[i] = column[rows[i]!]!
  return values
}

/** The same of a column of whole numbers. */
export function takenIntegers(column: ArrayLike<number>, rows: ArrayLike<number>): Int32Array {
  const values = new Int32Array(rows.length)
  for (let i = 0; i < rows.length; i++) values[i] = column[rows[i]!]!
  return values
}

/** All rows from 0, in their order. */
export function allRows(count: number): Int32Array {
  const rows = new Int32Array(count)
  for (let i = 0; i < count; i++) rows[i] = i
  return rows
}
