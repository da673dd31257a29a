import { type Interval, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { atRiskJustBefore } from './delayedEntry.js'
import type { SurvivalCurve, SurvivalRow } from './survival.js'

/** A curve read at a chosen time. */
export interface SurvivalAtTime {
  readonly time: number
  /** At risk just before the time. */
  readonly atRisk: number
  /** Events up to and including the time. */
  readonly events: number
  readonly censored: number
  readonly survival: Quantity
  readonly standardError: Quantity
  readonly interval: Interval
}

/** How to read beyond the last follow-up. */
export interface SurvivalAtOptions {
  /**
   * Beyond the last follow-up of a curve that has not reached zero: 'not-estimable' (default), or 'carried-forward',
   * the value at the last follow-up.
   */
  readonly beyondFollowUp?: 'not-estimable' | 'carried-forward' | undefined
  /**
   * Before the first event, where the variance of the curve is 0: no interval ('not-estimable', default), or the
   * limits of the curve itself ('curve'), which claim a certainty that nobody has.
   */
  readonly beforeEvents?: 'not-estimable' | 'curve' | undefined
}

/**
 * Survival at chosen times, with numbers at risk, and events and censorings until then.
 *
 * @param curve a product-limit curve
 * @param times times of zero or more, in any order
 * @returns one entry per time; beyond the last follow-up the value is not estimable unless the curve has reached zero.
 *   Where no event has happened by a time above 0 there is no interval: `survivalsAt` gives the exact limit
 *
 * @example survivalAt(kaplanMeier([1, 2, 3], [1, 0, 1]), [2])[0].atRisk // => 2
 */
export const survivalAt = checked(
  'survivalAt',
  (
    curve: SurvivalCurve,
    times: readonly number[],
    options: SurvivalAtOptions = {},
  ): readonly SurvivalAtTime[] => {
    return deepFreeze(times.map((time) => readAt(curve, time, options)))
  },
)

/** Last step at or before a time; the first step where the time lies before all. */
export function stepAt<T extends { readonly time: number }>(rows: readonly T[], time: number): T {
  let low = 0
  let high = rows.length - 1
  while (low < high) {
    const middle = (low + high + 1) >>> 1
    if (rows[middle]!.time <= time) low = middle
    else high = middle - 1
  }
  return rows[low]!
}

function readAt(curve: SurvivalCurve, time: number, options: SurvivalAtOptions): SurvivalAtTime {
  const carry = options.beyondFollowUp === 'carried-forward'
  const row = stepAt(curve.rows, time)
  const until = curve.rows.filter((step) => step.time <= time)
  const sum = (readValue: (step: SurvivalRow) => number): number =>
    until.reduce((total, step) => total + readValue(step), 0)
  const counts = {
    time,
    atRisk: atRiskJustBefore(curve.rows, curve.entries, time),
    events: sum((step) => step.events),
    censored: sum((step) => step.censored),
  }
  if (time > curve.lastTime && row.survival > 0 && !carry) {
    const absent = notEstimable('follow-up-ends-at', { time: curve.lastTime })
    return { ...counts, survival: absent, standardError: absent, interval: noInterval(absent) }
  }
  if (counts.events === 0 && time > 0 && options.beforeEvents !== 'curve') {
    const unknown = notEstimable(noEventYet)
    return { ...counts, survival: row.survival, standardError: unknown, interval: noInterval(noEventYet) }
  }
  return {
    ...counts,
    survival: row.survival,
    standardError: row.standardError,
    interval: { lower: row.lower, upper: row.upper },
  }
}

/** Before the first event the variance of the curve is 0 and says nothing; `survivalsAt` has an exact limit. */
const noEventYet = 'no-event-by-then'

/**
 * Last time up to which a curve has at least a chosen number at risk, where a drawing of it is cut.
 *
 * @param curve a product-limit curve
 * @param fewest number at risk below which the curve is cut; default 10
 * @returns the last such time; 0 where there never are so many
 *
 * @example curveCutTime(kaplanMeier([1, 2, 3], [1, 0, 1]), 2) // => 2
 */
export const curveCutTime = checked('curveCutTime', (curve: SurvivalCurve, fewest = 10): number => {
  return curve.rows.reduce((cut, row) => (row.atRisk >= fewest ? Math.max(cut, row.time) : cut), 0)
})
