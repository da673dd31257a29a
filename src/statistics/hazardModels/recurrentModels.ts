import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import {
  type AmountColumn,
  asDoubles,
  type EventColumn,
  type NumberColumn,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import type { Covariates } from '../regression/design.js'
import { coxRegression } from './cox.js'
import type { CoxOptions } from './coxOptions.js'
import type { CoxFit } from './coxResult.js'

/** Stretches of time at risk, (start, stop], of units that may have the event again; event is 1 where a stretch ends in one. */
export interface Episodes {
  readonly start: NumberColumn
  readonly stop: AmountColumn
  readonly event: EventColumn
}

/** Options of a regression for recurrent events; the clusters stand apart, since the variance needs them. */
export type RecurrentOptions = Omit<CoxOptions, 'cluster' | 'variance' | 'interval' | 'strata'>

/**
 * Hazard ratios for recurrent events by the model of Andersen and Gill (1982): every event of a unit is ranked on one
 * clock and raises the hazard by the same covariates, whatever happened before; the variance is summed over clusters
 * (Lin, Wei, Yang and Ying 2000).
 *
 * @param cluster label of the cluster of every row: the patient, or the unit where there are none above it
 * @param options as `coxRegression`, strata among them
 * @returns a Cox fit with robust variance; read it as a ratio of event rates
 * @throws as `coxRegression`
 * @example andersenGill({ start: [0, 3, 0, 0], stop: [3, 7, 5, 6], event: [1, 1, 1, 0] }, { x: [1, 1, 0, 1] }, ['a', 'a', 'b', 'c']).events // => 3
 */
export const andersenGill = checked(
  'andersenGill',
  (
    episodes: Episodes,
    covariates: Covariates,
    cluster: CodeColumn,
    options: RecurrentOptions & Pick<CoxOptions, 'strata'> = {},
  ): CoxFit => {
    return coxRegression(episodes, covariates, { ...options, cluster: cluster, variance: 'robust' })
  },
)

/** Options of the conditional model. */
export interface ConditionalOptions extends RecurrentOptions {
  /** `total` counts time from the origin, `gap` from the last event; default `total`. */
  readonly clock?: 'total' | 'gap'
  /** Events from this number on share one stratum, where few units come so far; default none. */
  readonly pooledFrom?: number
}

/**
 * Hazard ratios for recurrent events by the conditional model of Prentice, Williams and Peterson (1981): a unit is at
 * risk of its k-th event only after the one before, and each k has a baseline hazard of its own.
 *
 * @param eventNumber number, from 1, of the event that each row is at risk of; `eventNumbers` counts it
 * @param cluster label of the cluster of every row
 * @param options clock default `total`; pooledFrom default none; the rest as `coxRegression`
 * @throws as `coxRegression`
 * @example conditionalModel({ start: [0, 3, 0, 0], stop: [3, 7, 5, 6], event: [1, 1, 1, 0] }, { x: [1, 1, 0, 1] }, [1, 2, 1, 1], ['a', 'a', 'b', 'c']).events // => 3
 */
export const conditionalModel = checked(
  'conditionalModel',
  (
    episodes: Episodes,
    covariates: Covariates,
    eventNumber: NumberColumn,
    cluster: CodeColumn,
    options: ConditionalOptions = {},
  ): CoxFit => {
    const { clock = 'total', pooledFrom = Number.POSITIVE_INFINITY, ...rest } = options
    requireSameLength({ ...episodes, eventNumber, clusters: cluster })
    const strata = Float64Array.from(eventNumber, (number) => Math.min(number, pooledFrom))
    const start = asDoubles(episodes.start)
    const times =
      clock === 'total'
        ? episodes
        : { time: asDoubles(episodes.stop).map((stop, row) => stop - start[row]!), event: episodes.event }
    return coxRegression(times, covariates, { ...rest, strata, cluster: cluster, variance: 'robust' })
  },
)

/**
 * Hazard ratios for recurrent events by the marginal model of Wei, Lin and Weissfeld (1989): every unit is at risk of
 * each of its first K events from the origin on, each with a baseline hazard of its own; the variance is summed over
 * clusters.
 *
 * @param times time to the k-th event, or to the end of follow-up, one row per unit and k; `marginalRows` makes them
 * @param eventNumber k of each row
 * @param cluster label of the cluster of every row
 * @param options as `coxRegression`
 * @throws as `coxRegression`
 * @example marginalModel({ time: [3, 5, 6, 7, 5, 6], event: [1, 1, 0, 1, 0, 0] }, { x: [1, 0, 1, 1, 0, 1] }, [1, 1, 1, 2, 2, 2], ['a', 'b', 'c', 'a', 'b', 'c']).events // => 3
 */
export const marginalModel = checked(
  'marginalModel',
  (
    times: { readonly time: NumberColumn; readonly event: NumberColumn },
    covariates: Covariates,
    eventNumber: NumberColumn,
    cluster: CodeColumn,
    options: RecurrentOptions = {},
  ): CoxFit => {
    requireSameLength({ ...times, eventNumber, clusters: cluster })
    return coxRegression(times, covariates, {
      ...options,
      strata: Float64Array.from(eventNumber),
      cluster: cluster,
      variance: 'robust',
    })
  },
)

/**
 * Number of the event that each episode is at risk of: one more than the events of the unit that ended before it.
 *
 * @param unit label of the unit of every row; rows may stand in any order
 * @throws NumericalError `overlapping-episodes` where two stretches of one unit overlap; `not-zero-one`
 * @example eventNumbers({ start: [0, 3, 0], stop: [3, 7, 5], event: [1, 0, 1] }, ['a', 'a', 'b']).join() // => "1,2,1"
 */
export const eventNumbers = checked('eventNumbers', (episodes: Episodes, unit: CodeColumn): Int32Array => {
  requireSameLength({ ...episodes, unit })
  requireZeroOne('event', episodes.event)
  const numbers = new Int32Array(unit.length)
  for (const rows of rowsOfUnits(episodes, unit)) {
    let number = 1
    rows.forEach((row, i) => {
      const before = rows[i - 1]
      if (before !== undefined && episodes.start[row]! < episodes.stop[before]!)
        throw overlapping(row, unit.length)
      numbers[row] = number
      if (episodes.event[row] === 1) number++
    })
  }
  return numbers
})

/** Rows of the marginal model. */
export interface MarginalRows {
  readonly time: Float64Array
  readonly event: Uint8Array
  readonly eventNumber: Int32Array
  /** A row of the episodes that belongs to the unit, from which covariates and clusters are taken. */
  readonly episode: Int32Array
}

/**
 * Rows of the marginal model from episodes: one per unit and event number up to K, with the time of that event, or
 * the end of the unit's follow-up where it did not come so far.
 *
 * @param episodes stretches from the origin on, without gaps
 * @param maximum K, the last event number; events after it are left out
 * @example marginalRows({ start: [0, 3, 0], stop: [3, 7, 5], event: [1, 0, 1] }, ['a', 'a', 'b'], 2).time.join() // => "3,7,5,5"
 */
export const marginalRows = checked(
  'marginalRows',
  (episodes: Episodes, unit: CodeColumn, maximum: number): MarginalRows => {
    eventNumbers(episodes, unit)
    const rows: { time: number; event: number; eventNumber: number; episode: number }[] = []
    for (const ofUnit of rowsOfUnits(episodes, unit)) {
      const events = ofUnit.filter((row) => episodes.event[row] === 1)
      const last = ofUnit[ofUnit.length - 1]!
      for (let number = 1; number <= maximum; number++) {
        const row = events[number - 1]
        rows.push({
          time: episodes.stop[row ?? last]!,
          event: row === undefined ? 0 : 1,
          eventNumber: number,
          episode: row ?? last,
        })
      }
    }
    return Object.freeze({
      time: Float64Array.from(rows, (row) => row.time),
      event: Uint8Array.from(rows, (row) => row.event),
      eventNumber: Int32Array.from(rows, (row) => row.eventNumber),
      episode: Int32Array.from(rows, (row) => row.episode),
    })
  },
)

/** Rows of each unit in the order of time. */
function rowsOfUnits(episodes: Episodes, unit: CodeColumn): readonly (readonly number[])[] {
  const { codes, levels } = codesOf('unit', unit)
  const units: number[][] = levels.map(() => [])
  codes.forEach((code, row) => {
    units[code]!.push(row)
  })
  for (const rows of units)
    rows.sort((a, b) => episodes.start[a]! - episodes.start[b]! || episodes.stop[a]! - episodes.stop[b]!)
  return units
}

function overlapping(row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'overlapping-episodes',
    problem: `two stretches of one unit overlap, first in row ${row + 1} of ${rows}.`,
    expected: 'stretches of a unit that follow each other.',
    mend: 'cut each stretch where the next begins.',
  })
}
