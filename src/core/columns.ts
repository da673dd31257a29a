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

/** The rows from 0 that are kept, in their order; counted first, since `filter` collects them in a list beside the column. */
export function rowsWhere(count: number, keep: (row: number) => boolean): Int32Array {
  let kept = 0
  for (let row = 0; row < count; row++) if (keep(row)) kept++
  const rows = new Int32Array(kept)
  let at = 0
  for (let row = 0; at < kept; row++) if (keep(row)) rows[at++] = row
  return rows
}

/** Those of a list of rows that are kept, in their order; counted first, too. */
export function keptOf(rows: Int32Array, keep: (row: number) => boolean): Int32Array {
  let count = 0
  for (let i = 0; i < rows.length; i++) if (keep(rows[i]!)) count++
  const kept = new Int32Array(count)
  for (let i = 0, at = 0; at < count; i++) if (keep(rows[i]!)) kept[at++] = rows[i]!
  return kept
}

/** What is worked out of each of some rows, as a list; a loop, for the same reason. */
export function listOfRows<One>(rows: ArrayLike<number>, of: (row: number, at: number) => One): One[] {
  const list = new Array<One>(rows.length)
  for (let at = 0; at < rows.length; at++) list[at] = of(rows[at]!, at)
  return list
}

/** What is worked out of each row from 0, as numbers. */
export function numbersOfRows(count: number, of: (row: number) => number): Float64Array {
  const values = new Float64Array(count)
  for (let row = 0; row < count; row++) values[row] = of(row)
  return values
}

/** The same as small whole numbers, such as codes and flags. */
export function codesOfRows(count: number, of: (row: number) => number): Uint8Array {
  const values = new Uint8Array(count)
  for (let row = 0; row < count; row++) values[row] = of(row)
  return values
}

/** A column in memory that threads share: as it is where it lies there already, else a copy. */
export function sharedColumn<Column extends Int32Array | Float64Array>(column: Column): Column {
  if (column.buffer instanceof SharedArrayBuffer) return column
  const Kind = column.constructor as new (buffer: SharedArrayBuffer) => Column
  const copy = new Kind(new SharedArrayBuffer(column.byteLength))
  copy.set(column)
  return copy
}
