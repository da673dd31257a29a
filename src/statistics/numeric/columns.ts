import { NumericalError } from '../../core/errors.js'

/** A column of numbers as callers may hand it in; estimators read it once into a typed array. */
export type NumberColumn = ArrayLike<number>

/** A column of times, weights or other amounts: zero or more. */
export type AmountColumn = ArrayLike<number>

/** A column of events: 1 where the event was observed, 0 where it was not. */
export type EventColumn = ArrayLike<number>

/** A column of causes: 0 where there was no event, otherwise the number of the cause. */
export type CauseColumn = ArrayLike<number>

/** A column of numbers in which NaN says that there is none. */
export type HoledColumn = ArrayLike<number>

/** A column of numbers in which Infinity says that there is no end. */
export type EndlessColumn = ArrayLike<number>

/** The column as doubles, copied only where it is not a Float64Array already. Callers never write to it. */
export function asDoubles(column: NumberColumn): Float64Array {
  return column instanceof Float64Array ? column : Float64Array.from(column)
}

/** Refuses columns of different lengths. */
export function requireSameLength(columns: Readonly<Record<string, ArrayLike<unknown> | undefined>>): number {
  const present = Object.entries(columns).filter(([, column]) => column !== undefined)
  const first = present[0]
  const length = first?.[1]?.length ?? 0
  for (const [name, column] of present) {
    if (column?.length !== length) {
      throw new NumericalError({
        code: 'unequal-length',
        problem: `column ${name} has ${column?.length} rows where ${first?.[0]} has ${length}.`,
        expected: 'columns of one length, one entry per row.',
        mend: 'pass columns of the same table.',
      })
    }
  }
  return length
}

/** Refuses a column with NaN or an infinite number; counts and names the first row. */
export function requireFinite(name: string, column: ArrayLike<number>): void {
  for (let row = 0; row < column.length; row++) {
    if (!Number.isFinite(column[row])) {
      throw new NumericalError({
        code: 'not-finite',
        problem: `column ${name} holds a missing or infinite value, first in row ${row + 1} of ${column.length}.`,
        expected: 'a finite number in every row.',
        mend: `leave out rows without ${name}, or impute them, before the call.`,
      })
    }
  }
}

/** Refuses a column with a negative or missing entry, such as times and weights. */
export function requireNonNegative(name: string, column: ArrayLike<number>): void {
  requireFinite(name, column)
  for (let row = 0; row < column.length; row++) {
    if (column[row]! < 0) {
      throw new NumericalError({
        code: 'negative',
        problem: `column ${name} holds a negative value, first in row ${row + 1} of ${column.length}.`,
        expected: 'zero or more in every row.',
        mend: `correct or leave out the rows with negative ${name}.`,
      })
    }
  }
}

/** Refuses a column that holds anything but 0 and 1. */
export function requireZeroOne(name: string, column: ArrayLike<number>): void {
  for (let row = 0; row < column.length; row++) {
    if (column[row] !== 0 && column[row] !== 1) {
      throw new NumericalError({
        code: 'not-zero-one',
        problem: `column ${name} holds something other than 0 and 1, first in row ${row + 1} of ${column.length}.`,
        expected: '1 where the event was observed and 0 where it was not.',
        mend: `code ${name} as 0 and 1.`,
      })
    }
  }
}

/** Refuses a confidence level outside (0, 1). */
export function requireLevel(level: number): void {
  if (!(level > 0 && level < 1)) {
    throw new NumericalError({
      code: 'level-out-of-range',
      problem: `the confidence level is ${level}.`,
      expected: 'a share between 0 and 1, such as 0.95.',
      mend: 'write 95% as 0.95.',
    })
  }
}

/** Sum with Neumaier's compensation (1974), so that long columns lose no digits. */
export function compensatedSum(column: ArrayLike<number>): number {
  let sum = 0
  let lost = 0
  for (let row = 0; row < column.length; row++) {
    const value = column[row]!
    const next = sum + value
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum
    sum = next
  }
  return sum + lost
}
