import { unknownCode } from '../columns.js'

/** Rows gathered by the code that they hold in a column, without a text key or an object for each row. */
export interface RowGroups {
  readonly rows: Int32Array
  /** Rows of code c are `rows` from `first[c]` to below `first[c + 1]`. */
  readonly first: Int32Array
}

/** Gathers the rows that hold a known code and that are wanted; within a code they stand in the order of the table. */
export function groupRows(
  codes: Int32Array,
  labelCount: number,
  isWanted: (row: number) => boolean,
): RowGroups {
  const first = new Int32Array(labelCount + 1)
  const wanted = new Uint8Array(codes.length)
  for (let row = 0; row < codes.length; row++) {
    if (codes[row] === unknownCode || !isWanted(row)) continue
    wanted[row] = 1
    first[codes[row]! + 1]!++
  }
  for (let code = 0; code < labelCount; code++) first[code + 1]! += first[code]!
  const rows = new Int32Array(first[labelCount]!)
  const next = first.slice()
  for (let row = 0; row < codes.length; row++) {
    if (wanted[row] === 1) rows[next[codes[row]!]!++] = row
  }
  return { rows, first }
}

/** Calls back with the rows of every code that has two or more. */
export function forEachShared(groups: RowGroups, use: (rows: Int32Array) => void): void {
  const { rows, first } = groups
  for (let code = 0; code + 1 < first.length; code++) {
    if (first[code + 1]! - first[code]! > 1) use(rows.subarray(first[code]!, first[code + 1]!))
  }
}
