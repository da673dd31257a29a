import { NumericalError } from '../../core/errors.js'
import { asDoubles, type NumberColumn, requireNonNegative } from './columns.js'

/**
 * Times of exit, and of entry where given, as positions on one ascending axis. Two times share a position only if
 * they are equal doubles. Whole and half numbers in a narrow range are their own positions (ordering is then counting;
 * halves are what lies in the middle between two days); other times go through the dictionary of distinct doubles.
 */
export interface TimeAxis {
  readonly positions: number
  /** Position of the row's exit. */
  readonly exit: Int32Array
  /** First position at which the row is at risk; undefined where all rows are from the start. */
  readonly entry: Int32Array | undefined
  /** Time of a position. */
  timeAt(position: number): number
}

/**
 * Places times on an axis.
 *
 * @param time time of exit, zero or more
 * @param entry time of delayed entry; a row is at risk where entry < t ≤ time, and from the start, time 0 included,
 * where its entry is 0
 * @throws NumericalError for missing, infinite or negative times, and for an entry that is not before its exit
 */
export function timeAxis(time: NumberColumn, entry?: NumberColumn): TimeAxis {
  const exits = asDoubles(time)
  const { highest, steps } = gridOf(exits)
  const entries = entry === undefined ? undefined : checkedEntries(asDoubles(entry), exits)
  if (highest * steps < Math.max(1 << 16, 4 * exits.length))
    return countingAxis(exits, entries, highest, steps)
  return dictionaryAxis(exits, entries)
}

/** Highest time, and steps of a unit on which all lie: 1, 2, or Infinity where they lie on neither; refuses what is no time. */
function gridOf(exits: Float64Array): { readonly highest: number; readonly steps: number } {
  let highest = 0
  let whole = true
  let halves = true
  for (let row = 0; row < exits.length; row++) {
    const value = exits[row]!
    if (!(value >= 0 && value < Number.POSITIVE_INFINITY)) requireNonNegative('time', exits)
    if (value > highest) highest = value
    if (Math.floor(value) === value) continue
    whole = false
    if (Math.floor(2 * value) !== 2 * value) halves = false
  }
  return { highest, steps: whole ? 1 : halves ? 2 : Number.POSITIVE_INFINITY }
}

function checkedEntries(entries: Float64Array, exits: Float64Array): Float64Array {
  requireNonNegative('entry', entries)
  let refused = 0
  let first = -1
  for (let row = 0; row < exits.length; row++) {
    if (entries[row]! > 0 && entries[row]! >= exits[row]!) {
      refused++
      if (first < 0) first = row
    }
  }
  if (refused > 0) {
    throw new NumericalError({
      code: 'entry-not-before-exit',
      problem: `column entry is not before time in ${refused} of ${exits.length} rows, first in row ${first + 1}.`,
      expected: 'an entry before the exit, so that the row has time at risk.',
      mend: 'leave out rows that left before they could be observed, or correct their entry.',
    })
  }
  return entries
}

function countingAxis(
  exits: Float64Array,
  entries: Float64Array | undefined,
  highest: number,
  steps: number,
): TimeAxis {
  const exit = new Int32Array(exits.length)
  for (let row = 0; row < exit.length; row++) exit[row] = exits[row]! * steps
  let entry: Int32Array | undefined
  if (entries !== undefined) {
    entry = new Int32Array(entries.length)
    for (let row = 0; row < entry.length; row++) {
      const value = entries[row]!
      entry[row] = value > 0 ? Math.floor(value * steps) + 1 : 0
    }
  }
  return { positions: highest * steps + 1, exit, entry, timeAt: (position) => position / steps }
}

function dictionaryAxis(exits: Float64Array, entries: Float64Array | undefined): TimeAxis {
  const times = distinctAscending(exits)
  const exit = new Int32Array(exits.length)
  for (let row = 0; row < exit.length; row++) exit[row] = countBelow(times, exits[row]!)
  let entry: Int32Array | undefined
  if (entries !== undefined) {
    entry = new Int32Array(entries.length)
    for (let row = 0; row < entry.length; row++) {
      const value = entries[row]!
      entry[row] = value > 0 ? countAtMost(times, value) : 0
    }
  }
  return { positions: times.length, exit, entry, timeAt: (position) => times[position]! }
}

/** Distinct values in ascending order; minus zero counts as zero. */
export function distinctAscending(values: ArrayLike<number>): Float64Array {
  const sorted = Float64Array.from(values).sort()
  let count = 0
  for (let at = 0; at < sorted.length; at++) {
    if (count === 0 || sorted[at] !== sorted[count - 1]) sorted[count++] = sorted[at]! + 0
  }
  return sorted.slice(0, count)
}

/** How many entries of an ascending column are below the value. */
export function countBelow(ascending: Float64Array, value: number): number {
  let low = 0
  let high = ascending.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if (ascending[middle]! < value) low = middle + 1
    else high = middle
  }
  return low
}

/** How many entries of an ascending column are at most the value. */
export function countAtMost(ascending: Float64Array, value: number): number {
  let low = 0
  let high = ascending.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if (ascending[middle]! <= value) low = middle + 1
    else high = middle
  }
  return low
}
