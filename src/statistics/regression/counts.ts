import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import {
  asDoubles,
  type NumberColumn,
  requireFinite,
  requireNonNegative,
  requireSameLength,
} from '../numeric/columns.js'
import type { GeneralisedLinearOptions } from './generalisedLinear.js'

/** Options of regressions on counts. */
export interface CountOptions extends GeneralisedLinearOptions {
  /** Time at risk of every row, above 0; its logarithm joins the offset, so that ratios are rate ratios. */
  readonly exposure?: NumberColumn
}

/** No event at all: nothing to compare. */
export function noEventWarnings(counts: NumberColumn): readonly Warning[] {
  for (let row = 0; row < counts.length; row++) if (counts[row]! > 0) return []
  return [warning('no-event-no-ratio')]
}

/** The offset together with the logarithm of the exposure. */
export function exposureOffset(
  counts: NumberColumn,
  options: CountOptions,
): { readonly offset?: NumberColumn } {
  const { exposure, offset } = options
  if (exposure === undefined) return offset === undefined ? {} : { offset }
  requireSameLength({ counts, exposure, offset })
  requirePositive('exposure', exposure)
  const known = offset === undefined ? undefined : asDoubles(offset)
  return { offset: asDoubles(exposure).map((time, row) => Math.log(time) + (known?.[row] ?? 0)) }
}

/** Refuses a column that holds anything but whole numbers from 0. */
export function requireCounts(name: string, column: NumberColumn): void {
  requireNonNegative(name, column)
  for (let row = 0; row < column.length; row++) {
    if (!Number.isInteger(column[row])) {
      throw new NumericalError({
        code: 'not-a-count',
        problem: `column ${name} holds a number that is not whole, first in row ${row + 1} of ${column.length}.`,
        expected: 'the number of events in every row.',
        mend: 'give counts, with the time at risk as exposure instead of a rate.',
      })
    }
  }
}

function requirePositive(name: string, column: NumberColumn): void {
  requireFinite(name, column)
  for (let row = 0; row < column.length; row++) {
    if (!(column[row]! > 0)) {
      throw new NumericalError({
        code: 'not-positive',
        problem: `column ${name} holds no time at risk, first in row ${row + 1} of ${column.length}.`,
        expected: 'a time above 0 in every row.',
        mend: `leave out rows without time at risk; an event on the day of origin needs a time above 0, such as half a day.`,
      })
    }
  }
}
