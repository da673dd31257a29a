import type { RiskSet } from '../kernel/riskSet.js'
import type { ClusteredRows, InfluenceProcess } from './influence.js'

/**
 * A weighting of time under which an influence is read: at one time, or summed over a span. Per component, `tail` is
 * the loading from a cell on, `head` loading times cumulative column before it.
 */
export interface TimeWeighting {
  readonly tail: readonly Float64Array[]
  readonly head: readonly Float64Array[]
}

/** Reads the influence at the last cell of the curve at or before a time. */
export function weightingAt(times: Float64Array, process: InfluenceProcess, time: number): TimeWeighting {
  const cells = times.length
  let last = -1
  while (last + 1 < cells && times[last + 1]! <= time) last++
  const tail = process.loading.map(() => new Float64Array(cells))
  const head = process.loading.map(() => new Float64Array(cells))
  for (let j = 0; last >= 0 && j < tail.length; j++) {
    const loading = process.loading[j]![last]!
    tail[j]!.fill(loading, 0, last + 1)
    head[j]!.fill(loading * process.cumulative[j]![last]!, last + 1)
  }
  return { tail, head }
}

/** Integrates the influence over time from the first cell to an end. */
export function weightingOver(times: Float64Array, process: InfluenceProcess, end: number): TimeWeighting {
  const measure = new Float64Array(times.length)
  for (let at = 0; at < measure.length; at++) measure[at] = spanOf(times, at, end)
  return weightingBy(process, measure)
}

/** How much of the span from one cell's time to the next lies before the end; the last cell runs on to the end. */
export function spanOf(times: Float64Array, at: number, end: number): number {
  const next = at + 1 < times.length ? times[at + 1]! : end
  return Math.max(0, Math.min(next, end) - times[at]!)
}

/** Weights the influence at each cell by a measure of any sign, one entry per cell. */
export function weightingBy(process: InfluenceProcess, measure: Float64Array): TimeWeighting {
  const cells = measure.length
  const tail = process.loading.map(() => new Float64Array(cells))
  const head = process.loading.map(() => new Float64Array(cells))
  for (let j = 0; j < tail.length; j++) {
    fillWeighting(process.loading[j]!, process.cumulative[j]!, measure, tail[j]!, head[j]!)
  }
  return { tail, head }
}

function fillWeighting(
  loading: Float64Array,
  cumulative: Float64Array,
  measure: Float64Array,
  tail: Float64Array,
  head: Float64Array,
): void {
  let whole = 0
  for (let at = 0; at < measure.length; at++) whole += loading[at]! * measure[at]!
  let below = 0
  let passed = 0
  for (let at = 0; at < measure.length; at++) {
    head[at] = below
    tail[at] = whole - passed
    const part = loading[at]! * measure[at]!
    below += part * cumulative[at]!
    passed += part
  }
}

/**
 * Adds each row's weighted influence, times a factor, to the total of its cluster (or of the row itself).
 *
 * @param totals one entry per cluster, or per row where there are none
 */
export function addInfluence(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  process: InfluenceProcess,
  weighting: TimeWeighting,
  factor: number,
  totals: Float64Array,
): void {
  const from = risk.start[stratum]!
  const { order, offset } = rows.exits
  const width = process.loading.length
  for (let cell = from; cell < risk.start[stratum + 1]!; cell++) {
    const exit = cell - from
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const row = order[k]!
      const entry = risk.rowEntryCell === undefined ? 0 : risk.rowEntryCell[row]! - from
      const jump = process.jump[risk.cause[row]!]
      let value = 0
      for (let j = 0; j < width; j++) {
        const cumulative = process.cumulative[j]!
        const head = weighting.head[j]!
        const tail = weighting.tail[j]!
        const before = entry > 0 ? cumulative[entry - 1]! : 0
        value += head[exit]! - head[entry]! - before * (tail[entry]! - tail[exit]!)
        value += tail[exit]! * (cumulative[exit]! - before + (jump?.[j]?.[exit] ?? 0))
      }
      const weight = risk.weights === undefined ? 1 : risk.weights[row]!
      totals[rows.cluster === undefined ? row : rows.cluster[row]!]! += factor * weight * value
    }
  }
}

/** Sum of squares: the variance of an estimate whose influences are summed over clusters. */
export function sumOfSquares(totals: Float64Array): number {
  let sum = 0
  for (let at = 0; at < totals.length; at++) sum += totals[at]! * totals[at]!
  return sum
}
