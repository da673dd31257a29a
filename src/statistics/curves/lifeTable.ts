import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import {
  type NumberColumn,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import { normalUpperQuantile } from '../numeric/distributions.js'
import { type IntervalScale, probabilityInterval } from './survivalInterval.js'

/** One interval of an actuarial life table. */
export interface LifeTableRow {
  readonly intervalStart: number
  /** End of the interval; the last is open where no end was given. */
  readonly intervalEnd: Quantity
  readonly atStart: number
  readonly events: number
  readonly withdrawn: number
  /** Number at risk with those withdrawn counted half. */
  readonly effective: number
  /** Probability of the event in the interval, among those without it at its start. */
  readonly eventProbability: Quantity
  readonly survivalInInterval: Quantity
  /** Probability of no event up to the end of the interval. */
  readonly survivalAtEnd: Quantity
  readonly standardError: Quantity
  readonly lower: Quantity
  readonly upper: Quantity
}

/** An actuarial life table. */
export interface LifeTable {
  readonly rows: readonly LifeTableRow[]
  readonly n: number
  readonly events: number
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/** Options of the life table. */
export interface LifeTableOptions {
  /** Confidence level. Default: 0.95. */
  readonly level?: number | undefined
  /** Scale of the interval. Default: 'log-log'. */
  readonly interval?: IntervalScale | undefined
}

/**
 * Actuarial estimate of the probability of no event by the end of each interval, from counts (Cutler and Ederer 1958).
 * Those withdrawn in an interval count half in it; the standard error is Greenwood's (1926) with effective numbers.
 *
 * @param intervalStart start of each interval, ascending
 * @param atStart number under observation at the start of each interval
 * @param events events in each interval
 * @param withdrawn lost or withdrawn without the event in each interval
 * @throws NumericalError for negative or missing counts, or more events and withdrawals than were at the start
 *
 * @example lifeTableFromCounts([0, 1], [10, 5], [3, 1], [2, 4]).rows[0].eventProbability // => 0.3333
 */
export const lifeTableFromCounts = checked(
  'lifeTableFromCounts',
  (
    intervalStart: NumberColumn,
    atStart: NumberColumn,
    events: NumberColumn,
    withdrawn: NumberColumn,
    options: LifeTableOptions = {},
  ): LifeTable => {
    const intervals = requireSameLength({ intervalStart, atStart, events, withdrawn })
    for (const [name, column] of Object.entries({ atStart, events, withdrawn }))
      requireNonNegative(name, column)
    for (let i = 0; i < intervals; i++) {
      if (events[i]! + withdrawn[i]! > atStart[i]!) throw tooManyLeave(i)
    }
    const level = options.level ?? 0.95
    const scale = options.interval ?? 'log-log'
    const rows: LifeTableRow[] = []
    const state = { survival: 1, varianceLog: 0 }
    for (let i = 0; i < intervals; i++) {
      const end = i + 1 < intervals ? intervalStart[i + 1]! : notEstimable('last-interval-open')
      const counts = { atStart: atStart[i]!, events: events[i]!, withdrawn: withdrawn[i]! }
      rows.push(lifeTableRow(intervalStart[i]!, end, counts, state, level, scale))
    }
    return deepFreeze({
      rows,
      n: intervals > 0 ? atStart[0]! : 0,
      events: rows.reduce((sum, row) => sum + row.events, 0),
      level,
      method: methodOf('actuarial-life-table', 'greenwood-variance', `${scale}-interval`),
      reference: 'life-table',
    })
  },
)

/**
 * Actuarial life table from rows: each counts in the intervals up to the one in which it left; an event or withdrawal
 * at the end of an interval belongs to the next.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was withdrawn
 * @param boundaries ends of the intervals, ascending from 0: [0, 1, 2] makes 0–1, 1–2 and 2 onwards
 * @throws NumericalError as `lifeTableFromCounts`, and for boundaries that do not ascend from 0
 *
 * @example lifeTable([0.5, 1.5, 2.5], [1, 0, 1], [0, 1, 2]).rows[1].effective // => 1.5
 */
export const lifeTable = checked(
  'lifeTable',
  (
    time: NumberColumn,
    event: NumberColumn,
    boundaries: readonly number[],
    options: LifeTableOptions = {},
  ): LifeTable => {
    const rows = requireSameLength({ time, event })
    requireNonNegative('time', time)
    requireZeroOne('event', event)
    requireAscending(boundaries)
    const events = new Float64Array(boundaries.length)
    const withdrawn = new Float64Array(boundaries.length)
    for (let row = 0; row < rows; row++) {
      let interval = 0
      while (interval + 1 < boundaries.length && boundaries[interval + 1]! <= time[row]!) interval++
      if (event[row] === 1) events[interval]!++
      else withdrawn[interval]!++
    }
    const atStart = new Float64Array(boundaries.length)
    let left = rows
    for (let i = 0; i < boundaries.length; i++) {
      atStart[i] = left
      left -= events[i]! + withdrawn[i]!
    }
    return lifeTableFromCounts(boundaries, atStart, events, withdrawn, options)
  },
)

const nobody = notEstimable('nobody-in-interval')

function lifeTableRow(
  intervalStart: number,
  intervalEnd: Quantity,
  counts: { readonly atStart: number; readonly events: number; readonly withdrawn: number },
  state: { survival: number; varianceLog: number },
  level: number,
  scale: IntervalScale,
): LifeTableRow {
  const effective = counts.atStart - counts.withdrawn / 2
  if (effective === 0) state.survival = Number.NaN
  const q = counts.events / effective
  state.survival *= 1 - q
  if (counts.events > 0) state.varianceLog += counts.events / (effective * (effective - counts.events))
  const given = (value: number): Quantity => (Number.isNaN(value) ? nobody : value)
  const deviation = Math.sqrt(state.varianceLog)
  const { lower, upper } = probabilityInterval(
    state.survival,
    deviation,
    normalUpperQuantile((1 - level) / 2),
    scale,
  )
  return {
    intervalStart,
    intervalEnd,
    ...counts,
    effective,
    eventProbability: given(q),
    survivalInInterval: given(1 - q),
    survivalAtEnd: given(state.survival),
    standardError: state.survival > 0 ? state.survival * deviation : notEstimable('curve-without-value'),
    lower,
    upper,
  }
}

function tooManyLeave(interval: number): NumericalError {
  return new NumericalError({
    code: 'more-leave-than-enter',
    problem: `in interval ${interval + 1} more had the event or withdrew than were there at its start.`,
    expected: 'events plus withdrawn of at most the number at the start.',
    mend: 'check the counts of that interval.',
  })
}

function requireAscending(boundaries: readonly number[]): void {
  const ascending = boundaries.every((value, i) => (i === 0 ? value === 0 : value > boundaries[i - 1]!))
  if (ascending && boundaries.length > 0) return
  throw new NumericalError({
    code: 'boundaries-not-ascending',
    problem: 'the boundaries of the life table do not ascend from 0.',
    expected: 'a list such as 0, 1, 2, 3, 4, 5.',
    mend: 'sort the boundaries and begin with 0.',
  })
}
