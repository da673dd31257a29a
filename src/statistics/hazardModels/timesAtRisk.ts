import { NumericalError, UsageError } from '../../core/errors.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import {
  type AmountColumn,
  asDoubles,
  type EventColumn,
  type NumberColumn,
  requireFinite,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'

/**
 * Time at risk of every row: from the origin to `time`, or over (start, stop] where rows enter late or covariates
 * change with time. `event` is 1 where the event was observed at the end of the row.
 */
export type TimesAtRisk =
  | { readonly time: AmountColumn; readonly event: EventColumn }
  | { readonly start: NumberColumn; readonly stop: AmountColumn; readonly event: EventColumn }

/** Columns beside times and covariates that a regression over risk sets may use. */
export interface RowOptions {
  /** Stratum of every row, each with a baseline hazard of its own; default one stratum. */
  readonly strata?: CodeColumn
  /** Case weight of every row, zero or more; rows of weight zero count as absent. Default 1. */
  readonly weights?: AmountColumn
  /** Known addition to the linear predictor of every row; default 0. */
  readonly offset?: NumberColumn
}

/** Checked columns of one length. */
export interface CheckedRows {
  readonly rows: number
  readonly start: Float64Array | undefined
  readonly stop: Float64Array
  readonly event: NumberColumn
  readonly stratum: Int32Array | undefined
  readonly strata: readonly (string | number)[]
  readonly weight: Float64Array | undefined
  readonly offset: Float64Array | undefined
  /** Rows with positive weight. */
  readonly n: number
  /** Events among rows with positive weight, each counted once whatever its weight. */
  readonly events: number
}

/**
 * Checks and reads times, strata, weights and offset.
 *
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `not-zero-one`, `empty-interval`, `no-rows`
 */
export function checkRows(times: TimesAtRisk, options: RowOptions): CheckedRows {
  const { strata, weights, offset } = options
  requireSameLength({ ...times, strata, weights, offset })
  const stopName = 'time' in times ? 'time' : 'stop'
  const stop = asDoubles('time' in times ? times.time : times.stop)
  const start = 'start' in times ? asDoubles(times.start) : undefined
  if (stop.length === 0) throw noRows()
  requireNonNegative(stopName, stop)
  requireZeroOne('event', times.event)
  if (start !== undefined) requireIntervals(start, stop)
  if (weights !== undefined) requireNonNegative('weights', weights)
  if (offset !== undefined) requireFinite('offset', offset)
  const weight = weights === undefined ? undefined : asDoubles(weights)
  const coded = strata === undefined ? undefined : codesOf('strata', strata)
  const { n, events } = counted(times.event, weight)
  if (n === 0) throw noRows()
  return {
    rows: stop.length,
    start,
    stop,
    event: times.event,
    stratum: coded !== undefined && coded.levels.length > 1 ? coded.codes : undefined,
    strata: coded?.levels ?? [],
    weight,
    offset: offset === undefined ? undefined : asDoubles(offset),
    n,
    events,
  }
}

/** Starts of the intervals (start, stop] of delayed entry: whoever is at risk from time 0 on is so at time 0 too. */
export function startsOfRisk(entry: ArrayLike<number>): Float64Array {
  return Float64Array.from(entry, (time) => (time > 0 ? time : -1))
}

/** Refuses an option that the exact likelihood and penalised fits have no meaning for. */
export function refuseWeights(options: RowOptions, where: string): void {
  if (options.weights === undefined) return
  throw new UsageError({
    code: 'weights-not-supported',
    problem: `the ${where} takes no case weights.`,
    expected: 'rows that count once each.',
    mend: 'leave weights out, or use the Efron or Breslow likelihood without penalty.',
  })
}

function counted(event: NumberColumn, weight: Float64Array | undefined): { n: number; events: number } {
  let n = 0
  let events = 0
  for (let row = 0; row < event.length; row++) {
    if (weight !== undefined && weight[row] === 0) continue
    n++
    if (event[row] === 1) events++
  }
  return { n, events }
}

function requireIntervals(start: Float64Array, stop: Float64Array): void {
  requireFinite('start', start)
  for (let row = 0; row < stop.length; row++) {
    if (!(start[row]! < stop[row]!)) {
      throw new NumericalError({
        code: 'empty-interval',
        problem: `start is not before stop, first in row ${row + 1} of ${stop.length}.`,
        expected: 'an interval (start, stop] of some length in every row.',
        mend: 'leave out rows without time at risk; where an event at time 0 counts, give start −1 to rows at risk from the origin on.',
      })
    }
  }
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'there is no row with positive weight.',
    expected: 'at least one row.',
    mend: 'check the selection of rows before the call.',
  })
}
