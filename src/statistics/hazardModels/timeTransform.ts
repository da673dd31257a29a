import { NumericalError } from '../../core/errors.js'
import type { CoxDesign } from './coxDesign.js'
import { floorSearch } from './riskOrder.js'

/**
 * Function of time with which a log hazard ratio might change: one less the product-limit estimate just before, the
 * rank among the last times of all rows, the time itself, or its logarithm.
 */
export type TimeTransform = 'product-limit' | 'rank' | 'identity' | 'log'

/**
 * The function of time at every event time of the design, less its mean over the events.
 *
 * @throws NumericalError `log-of-zero`
 */
export function transformedTimes(design: CoxDesign, transform: TimeTransform): Float64Array {
  const { eventTime, bucketStart, eventEnd } = design.order
  const pooled = pooledTimes(design)
  const transformed = Float64Array.from(eventTime, (time) => {
    if (transform === 'identity') return time
    if (transform === 'log') return logTime(time)
    const at = floorSearch(pooled.time, time)
    return transform === 'rank' ? pooled.rank[at]! : 1 - pooled.survivalBefore[at]!
  })
  let sum = 0
  for (let k = 0; k < eventTime.length; k++) sum += (eventEnd[k]! - bucketStart[k]!) * transformed[k]!
  const mean = design.rows.events === 0 ? 0 : sum / design.rows.events
  return transformed.map((value) => value - mean)
}

function logTime(time: number): number {
  if (time > 0) return Math.log(time)
  throw new NumericalError({
    code: 'log-of-zero',
    problem: 'an event at time 0 has no logarithm of time.',
    expected: 'event times above 0 where time is taken by its logarithm.',
    mend: "use transform: 'product-limit' or 'rank'.",
  })
}

/**
 * Event times of all strata together, with their mean ranks among the last times of all rows and the product-limit
 * estimate just before each.
 */
function pooledTimes(design: CoxDesign): {
  readonly time: Float64Array
  readonly rank: Float64Array
  readonly survivalBefore: Float64Array
} {
  const { eventTime, bucketStart, eventEnd } = design.order
  const sorted = eventTime.slice().sort()
  const time = sorted.filter((value, i) => i === 0 || value !== sorted[i - 1])
  const events = new Float64Array(time.length)
  for (let k = 0; k < eventTime.length; k++) {
    events[floorSearch(time, eventTime[k]!)]! += eventEnd[k]! - bucketStart[k]!
  }
  const atRisk = pooledAtRisk(design, time)
  const survivalBefore = new Float64Array(time.length)
  let survival = 1
  for (let i = 0; i < time.length; i++) {
    survivalBefore[i] = survival
    survival *= 1 - events[i]! / atRisk[i]!
  }
  return { time, rank: meanRanks(design, time), survivalBefore }
}

/** Mean rank of each of some ascending times among the last times of all rows. */
function meanRanks(design: CoxDesign, time: Float64Array): Float64Array {
  const { stop, weight } = design.rows
  const ends = weight === undefined ? stop.slice() : stop.filter((_, row) => weight[row]! > 0)
  ends.sort()
  let at = 0
  return time.map((one) => {
    while (ends[at]! < one) at++
    const before = at
    while (ends[at] === one) at++
    return before + (at - before + 1) / 2
  })
}

/** Rows at risk at each of some ascending times, all strata together. */
function pooledAtRisk(design: CoxDesign, time: Float64Array): Float64Array {
  const { start, stop, weight } = design.rows
  const change = new Float64Array(time.length + 1)
  for (let row = 0; row < stop.length; row++) {
    if (weight !== undefined && weight[row] === 0) continue
    const last = stop[row]! < time[0]! ? -1 : floorSearch(time, stop[row]!)
    const first = start === undefined || start[row]! < time[0]! ? 0 : floorSearch(time, start[row]!) + 1
    if (first > last) continue
    change[first]! += 1
    change[last + 1]! -= 1
  }
  for (let i = 1; i < change.length; i++) change[i]! += change[i - 1]!
  return change
}
