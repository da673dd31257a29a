import type { TimeAxis } from '../numeric/timeAxis.js'
import type { Codes } from './codes.js'

/** Where rows stand: the cells of each stratum, and the cell of each row. */
export interface CellLayout {
  readonly cells: number
  readonly rows: number
  readonly start: Int32Array
  readonly time: Float64Array
  readonly rowCell: Int32Array
  readonly rowEntryCell: Int32Array | undefined
}

/** Gives each stratum the cells at which one of its rows exits, and places the rows in them. */
export function cellLayout(axis: TimeAxis, stratum: Codes, weights: Float64Array | undefined): CellLayout {
  const dense = stratum.count * axis.positions <= Math.max(1 << 18, 8 * axis.exit.length)
  return dense ? denseLayout(axis, stratum, weights) : sparseLayout(axis, stratum, weights)
}

function denseLayout(axis: TimeAxis, stratum: Codes, weights: Float64Array | undefined): CellLayout {
  const { positions, exit, entry } = axis
  const width = stratum.count * positions
  // before[c] counts the cells in use below provisional cell c
  const before = new Int32Array(width + 1)
  const rowCell = new Int32Array(exit.length)
  let rows = 0
  for (let row = 0; row < exit.length; row++) {
    const cell = stratum.codes[row]! * positions + exit[row]!
    rowCell[row] = cell
    if (weights !== undefined && weights[row] === 0) continue
    before[cell + 1] = 1
    rows++
  }
  for (let cell = 0; cell < width; cell++) before[cell + 1]! += before[cell]!
  const cells = before[width]!
  const time = new Float64Array(cells)
  for (let cell = 0; cell < width; cell++) {
    if (before[cell + 1]! > before[cell]!) time[before[cell]!] = axis.timeAt(cell % positions)
  }
  const start = new Int32Array(stratum.count + 1)
  for (let s = 0; s <= stratum.count; s++) start[s] = before[s * positions]!
  for (let row = 0; row < rowCell.length; row++) {
    rowCell[row] = weights !== undefined && weights[row] === 0 ? -1 : before[rowCell[row]!]!
  }
  const rowEntryCell = entry?.map((position, row) =>
    rowCell[row] === -1 ? -1 : before[stratum.codes[row]! * positions + position]!,
  )
  return { cells, rows, start, time, rowCell, rowEntryCell }
}

/** Many strata with few rows each: two stable counting sorts instead of a table of all strata by all times. */
function sparseLayout(axis: TimeAxis, stratum: Codes, weights: Float64Array | undefined): CellLayout {
  const { exit, entry } = axis
  const byTime = countingOrder(undefined, exit, axis.positions)
  const order = countingOrder(byTime, stratum.codes, stratum.count)
  const start = new Int32Array(stratum.count + 1)
  const positionOf = new Int32Array(exit.length)
  const rowCell = new Int32Array(exit.length).fill(-1)
  let cells = 0
  let rows = 0
  let current = -1
  for (const row of order) {
    if (weights !== undefined && weights[row] === 0) continue
    const s = stratum.codes[row]!
    if (s !== current || positionOf[cells - 1] !== exit[row]) {
      for (let next = current + 1; next <= s; next++) start[next] = cells
      current = s
      positionOf[cells++] = exit[row]!
    }
    rowCell[row] = cells - 1
    rows++
  }
  for (let next = current + 1; next <= stratum.count; next++) start[next] = cells
  const time = new Float64Array(cells)
  for (let cell = 0; cell < cells; cell++) time[cell] = axis.timeAt(positionOf[cell]!)
  const rowEntryCell = entry?.map((position, row) => {
    if (rowCell[row] === -1) return -1
    const s = stratum.codes[row]!
    return firstCellFrom(positionOf, start[s]!, start[s + 1]!, position)
  })
  return { cells, rows, start, time, rowCell, rowEntryCell }
}

function firstCellFrom(positionOf: Int32Array, from: number, to: number, position: number): number {
  let low = from
  let high = to
  while (low < high) {
    const middle = (low + high) >>> 1
    if (positionOf[middle]! < position) low = middle + 1
    else high = middle
  }
  return low
}

/** Row numbers in ascending order of the key, rows of one key in the order given. */
export function countingOrder(given: Int32Array | undefined, key: Int32Array, keys: number): Int32Array {
  const next = new Int32Array(keys + 1)
  for (let row = 0; row < key.length; row++) next[key[row]! + 1]!++
  for (let value = 0; value < keys; value++) next[value + 1]! += next[value]!
  const order = new Int32Array(key.length)
  for (let at = 0; at < key.length; at++) {
    const row = given === undefined ? at : given[at]!
    order[next[key[row]!]!++] = row
  }
  return order
}

/** Rows by the cell they stand in: those of cell c are order[offset[c]] … order[offset[c + 1] − 1]. */
export interface RowsByCell {
  readonly order: Int32Array
  readonly offset: Int32Array
}

/** Lists the rows of each cell; rows in no cell (−1) are left out. */
export function rowsByCell(cellOf: Int32Array, cells: number): RowsByCell {
  const offset = new Int32Array(cells + 1)
  for (let row = 0; row < cellOf.length; row++) if (cellOf[row]! >= 0) offset[cellOf[row]! + 1]!++
  for (let cell = 0; cell < cells; cell++) offset[cell + 1]! += offset[cell]!
  const next = offset.slice()
  const order = new Int32Array(offset[cells]!)
  for (let row = 0; row < cellOf.length; row++) {
    if (cellOf[row]! >= 0) order[next[cellOf[row]!]!++] = row
  }
  return { order, offset }
}
