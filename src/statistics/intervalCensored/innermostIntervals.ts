import type { CheckedIntervals } from './intervalTimes.js'

/** Innermost intervals of a sample (Turnbull 1976), the only places where a maximum-likelihood estimate has mass. */
export interface InnermostIntervals {
  readonly left: Float64Array
  readonly right: Float64Array
  /** First and last innermost interval that each distinct row covers, and its weight. */
  readonly first: Int32Array
  readonly last: Int32Array
  readonly weight: Float64Array
  /** Sum of the weights. */
  readonly total: number
}

/** Rows of equal content brought together, and the ends of their intervals in order; made once for many weights. */
export interface IntervalOrder {
  /** Distinct row that each row of the input is one of. */
  readonly distinctOf: Int32Array
  readonly distinct: number
  readonly time: Float64Array
  readonly kind: Uint8Array
  /** Distinct row of each end. */
  readonly row: Int32Array
}

// Order of ends that share a time: a known time begins, then intervals closed there end, then open ones begin.
const begins = 0
const ends = 1
const opens = 2

/** Orders the ends of all intervals. */
export function orderIntervals(rows: CheckedIntervals): IntervalOrder {
  const known = new Map<string, number>()
  const distinctOf = new Int32Array(rows.rows)
  const points: { time: number; kind: number; row: number }[] = []
  for (let row = 0; row < rows.rows; row++) {
    const [lower, upper] = [rows.lower[row]!, rows.upper[row]!]
    const key = `${lower} ${upper}`
    let position = known.get(key)
    if (position === undefined) {
      position = known.size
      known.set(key, position)
      points.push({ time: lower, kind: lower === upper ? begins : opens, row: position })
      points.push({ time: upper, kind: ends, row: position })
    }
    distinctOf[row] = position
  }
  // Two infinite ends differ by NaN, and then by their kind.
  points.sort((a, b) => a.time - b.time || a.kind - b.kind)
  return {
    distinctOf,
    distinct: known.size,
    time: Float64Array.from(points, (point) => point.time),
    kind: Uint8Array.from(points, (point) => point.kind),
    row: Int32Array.from(points, (point) => point.row),
  }
}

/**
 * Finds the innermost intervals of the rows that have weight, and what each of them covers.
 *
 * @param weights weight of every row of the input; default 1
 */
export function innermostIntervals(order: IntervalOrder, weights?: ArrayLike<number>): InnermostIntervals {
  const { distinctOf, distinct, time, kind, row } = order
  const sums = new Float64Array(distinct)
  for (let i = 0; i < distinctOf.length; i++) sums[distinctOf[i]!]! += weights === undefined ? 1 : weights[i]!
  const left: number[] = []
  const right: number[] = []
  const first = new Int32Array(distinct)
  const last = new Int32Array(distinct)
  let waiting: number | undefined
  for (let i = 0; i < time.length; i++) {
    if (sums[row[i]!] === 0) continue
    if (kind[i] !== ends) {
      first[row[i]!] = left.length
      waiting = time[i]!
      continue
    }
    if (waiting !== undefined) {
      left.push(waiting)
      right.push(time[i]!)
      waiting = undefined
    }
    last[row[i]!] = left.length - 1
  }
  const used = Array.from(sums.keys()).filter((position) => sums[position]! > 0)
  const weight = Float64Array.from(used, (position) => sums[position]!)
  return {
    left: Float64Array.from(left),
    right: Float64Array.from(right),
    first: Int32Array.from(used, (position) => first[position]!),
    last: Int32Array.from(used, (position) => last[position]!),
    weight,
    total: weight.reduce((sum, one) => sum + one, 0),
  }
}
