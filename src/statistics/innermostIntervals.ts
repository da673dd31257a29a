import type { CheckedIntervals } from './intervalTimes.js'

/** Innermost intervals of a sample (Turnbull 1976), the only places where a maximum-likelihood estimate has mass. */
export interface InnermostIntervals {
  readonly left: Float64Array
  readonly right: Float64Array
  /** Rows of equal content brought together: first and last innermost interval that each covers, and its weight. */
  readonly first: Int32Array
  readonly last: Int32Array
  readonly weight: Float64Array
  /** Sum of the weights. */
  readonly total: number
}

// Order of ends that share a time: a known time begins, then intervals closed there end, then open ones begin.
const begins = 0
const ends = 1
const opens = 2

/** Finds the innermost intervals and what each row covers. */
export function innermostIntervals(rows: CheckedIntervals): InnermostIntervals {
  const distinct = distinctRows(rows)
  const points = distinct.flatMap(({ lower, upper }, row) => [
    { time: lower, kind: lower === upper ? begins : opens, row },
    { time: upper, kind: ends, row },
  ])
  points.sort((a, b) => a.time - b.time || a.kind - b.kind || 0)
  // Two infinite ends give NaN above, which the kinds then order.
  const left: number[] = []
  const right: number[] = []
  const first = new Int32Array(distinct.length)
  const last = new Int32Array(distinct.length)
  points.forEach((point, i) => {
    const next = points[i + 1]
    if (point.kind !== ends) {
      first[point.row] = left.length
      if (next !== undefined && next.kind === ends) {
        left.push(point.time)
        right.push(next.time)
      }
    } else last[point.row] = left.length - 1
  })
  const weight = Float64Array.from(distinct, (one) => one.weight)
  return {
    left: Float64Array.from(left),
    right: Float64Array.from(right),
    first,
    last,
    weight,
    total: weight.reduce((sum, one) => sum + one, 0),
  }
}

function distinctRows(rows: CheckedIntervals): readonly { lower: number; upper: number; weight: number }[] {
  const known = new Map<string, { lower: number; upper: number; weight: number }>()
  for (let row = 0; row < rows.rows; row++) {
    const weight = rows.weight === undefined ? 1 : rows.weight[row]!
    if (weight === 0) continue
    const [lower, upper] = [rows.lower[row]!, rows.upper[row]!]
    const key = `${lower} ${upper}`
    const found = known.get(key)
    if (found === undefined) known.set(key, { lower, upper, weight })
    else found.weight += weight
  }
  return [...known.values()]
}
