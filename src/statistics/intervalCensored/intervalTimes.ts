import { NumericalError } from '../../core/errors.js'
import {
  asDoubles,
  type EndlessColumn,
  type NumberColumn,
  requireFinite,
  requireNonNegative,
  requireSameLength,
} from '../numeric/columns.js'

/**
 * Time of event known to lie in (lower, upper]: `upper` Infinity where the event had not happened by `lower` (right
 * censored), `lower` 0 where it happened some time up to `upper` (left censored), both equal where the time is known.
 */
export interface IntervalTimes {
  readonly lower: NumberColumn
  readonly upper: EndlessColumn
}

/** Checked intervals. */
export interface CheckedIntervals {
  readonly rows: number
  readonly lower: Float64Array
  readonly upper: Float64Array
  readonly weight: Float64Array | undefined
  /** Rows with positive weight. */
  readonly n: number
  /** Rows among them whose event happened by some time. */
  readonly events: number
}

/**
 * Checks and reads intervals and weights.
 *
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `reversed-interval`, `no-rows`
 */
export function checkIntervals(times: IntervalTimes, weights?: NumberColumn): CheckedIntervals {
  requireSameLength({ lower: times.lower, upper: times.upper, weights })
  const lower = asDoubles(times.lower)
  const upper = asDoubles(times.upper)
  requireNonNegative('lower', lower)
  if (weights !== undefined) requireNonNegative('weights', weights)
  const weight = weights === undefined ? undefined : asDoubles(weights)
  let n = 0
  let events = 0
  for (let row = 0; row < lower.length; row++) {
    if (upper[row] !== Number.POSITIVE_INFINITY) {
      if (Number.isNaN(upper[row]!)) requireFinite('upper', upper.subarray(row, row + 1))
      if (upper[row]! < lower[row]!) throw reversed(row, lower.length)
    }
    if (weight !== undefined && weight[row] === 0) continue
    n++
    if (upper[row]! < Number.POSITIVE_INFINITY) events++
  }
  if (n === 0) throw noRows()
  return { rows: lower.length, lower, upper, weight, n, events }
}

function reversed(row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'reversed-interval',
    problem: `upper lies before lower, first in row ${row + 1} of ${rows}.`,
    expected: 'lower ≤ upper in every row, Infinity where the event had not happened.',
    mend: 'correct the rows, or swap the columns.',
  })
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'there is no row with positive weight.',
    expected: 'at least one row.',
    mend: 'check the selection of rows before the call.',
  })
}
