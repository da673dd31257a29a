import { maxSorted, medianSorted, minSorted } from 'simple-statistics'
import { numbersOfRows } from '../../core/columns.js'
import type { Quantity } from '../../core/estimate.js'
import { notEstimable } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { compensatedSum, type NumberColumn, requireFinite } from '../numeric/columns.js'

/**
 * Summaries of one column. Extremes and median come from the simple-statistics package. The spread does not: the
 * package adds squares without compensation and leaves the rounding of the mean in them, which costs two to three
 * digits (100,000 values about a thousand million with a spread of 0.1: thirteen right digits instead of all). Nor
 * do the quartiles: its quantiles step between values where the definition in common use runs straight.
 */

/** What a column of numbers looks like. */
export interface ColumnSummary {
  readonly n: number
  readonly mean: Quantity
  /** With divisor n − 1. */
  readonly standardDeviation: Quantity
  readonly minimum: Quantity
  readonly lowerQuartile: Quantity
  readonly median: Quantity
  readonly upperQuartile: Quantity
  readonly maximum: Quantity
  /** Correlation of each value with the next, in the order of the rows, by the common divisor n. */
  readonly autocorrelation: Quantity
  readonly method: MethodName
  readonly reference: string
}

const noValues = 'no-values'

/**
 * Summarises a column of numbers: mean, standard deviation, quartiles, extremes and lag-1 autocorrelation.
 *
 * @param values finite numbers, in any unit; leave missing values out before the call
 * @returns every figure that the number of values allows, a tagged state otherwise
 * @throws NumericalError `not-finite`
 * @see Chan, Golub and LeVeque (1983) The American Statistician 37:242–247, corrected two-pass algorithm; Hyndman and
 *   Fan (1996), definition 7, for the quartiles
 * @example summariseColumn([35, 30, 32, 35]).standardDeviation // => 2.4495
 */
export const summariseColumn = checked('summariseColumn', (values: NumberColumn): ColumnSummary => {
  requireFinite('values', values)
  const sorted = Float64Array.from(values).sort()
  const n = sorted.length
  const has = (value: () => number): Quantity => (n > 0 ? value() : notEstimable(noValues))
  const list = Array.from(sorted)
  return Object.freeze({
    n,
    mean: has(() => meanOf(values)),
    standardDeviation: n > 1 ? standardDeviationOf(values) : notEstimable('spread-needs-two'),
    minimum: has(() => minSorted(list)),
    lowerQuartile: has(() => quantileOfSorted(sorted, 0.25)),
    median: has(() => medianSorted(list)),
    upperQuartile: has(() => quantileOfSorted(sorted, 0.75)),
    maximum: has(() => maxSorted(list)),
    autocorrelation: autocorrelationOf(values),
    method: methodOf('corrected-two-pass-mean-and-standard-deviation', 'continuous-quantiles'),
    reference: 'summary-statistics',
  })
})

/** Arithmetic mean by a compensated sum, corrected by the mean of what is left; NaN for an empty column. */
export function meanOf(values: NumberColumn): number {
  const first = compensatedSum(values) / values.length
  return first + meanDeviation(values, first)
}

/** Standard deviation with divisor n − 1; NaN for fewer than two values. */
export function standardDeviationOf(values: NumberColumn): number {
  const n = values.length
  return n < 2 ? Number.NaN : Math.sqrt(squaresAboutMean(values) / (n - 1))
}

/** Sum of squares about the mean, the rounding of the mean taken off (Chan, Golub and LeVeque 1983). */
export function squaresAboutMean(values: NumberColumn): number {
  const n = values.length
  const centre = compensatedSum(values) / n
  const squares = compensatedSum(numbersOfRows(n, (i) => (values[i]! - centre) ** 2))
  return squares - n * meanDeviation(values, centre) ** 2
}

/** Continuous quantile of an ascending column (Hyndman and Fan 1996, definition 7). */
export function quantileOfSorted(sorted: ArrayLike<number>, probability: number): number {
  const position = (sorted.length - 1) * probability
  const below = Math.floor(position)
  const lower = sorted[below]!
  const upper = sorted[Math.min(below + 1, sorted.length - 1)]!
  return lower + (position - below) * (upper - lower)
}

/** Mean of the deviations from a centre that is the mean but for its rounding. */
function meanDeviation(values: NumberColumn, centre: number): number {
  return compensatedSum(numbersOfRows(values.length, (i) => values[i]! - centre)) / values.length
}

function autocorrelationOf(values: NumberColumn): Quantity {
  const n = values.length
  if (n < 2) return notEstimable('autocorrelation-needs-two')
  const centre = compensatedSum(values) / n
  const shift = meanDeviation(values, centre)
  const deviations = numbersOfRows(n, (i) => values[i]! - centre - shift)
  const squares = compensatedSum(deviations.map((one) => one * one))
  if (squares === 0) return notEstimable('values-do-not-vary')
  const products = deviations.subarray(1).map((one, row) => one * deviations[row]!)
  return compensatedSum(products) / squares
}
