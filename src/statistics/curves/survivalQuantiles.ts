import { UsageError } from '../../core/errors.js'
import { type Interval, type NotReached, notReached, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { SurvivalCurve, SurvivalRow } from './survival.js'

/** Time by which a share of the units has had the event. */
export interface SurvivalQuantile {
  /** Share with the event: 0.5 for the median. */
  readonly probability: number
  readonly estimate: Quantity
  readonly interval: Interval
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * Where a limit of the curve falls to the level, rises above it and falls again (upper limits on the log scale can):
 * the first time it is there, or the time at which its value is nearest below the level, as general software reads it.
 */
export type RisingLimits = 'first-crossing' | 'nearest-value'

/** Options of the quantiles. */
export interface SurvivalQuantileOptions {
  /** How a limit that rises again is read. Default: 'first-crossing'. */
  readonly risingLimits?: RisingLimits | undefined
}

/** Differences of survival below this count as rounding: no two steps of a real curve are so close. */
const rounding = 1e-9

/**
 * Quantiles of the time to the event, with Brookmeyer–Crowley limits (1982).
 *
 * The quantile of a share p is the first time at which survival is at most 1 − p; where survival equals 1 − p along a
 * flat stretch, the middle of the stretch. The limits apply the same rule to the limits of the curve, so they follow
 * its interval scale. A time that the curve does not reach within follow-up is tagged not-reached.
 *
 * @param curve a product-limit curve
 * @param probabilities shares between 0 and 1; default: quartiles
 * @param options how a limit that rises again is read ('first-crossing')
 * @throws UsageError for a share that is not between 0 and 1
 *
 * @example survivalQuantiles(kaplanMeier([1, 2, 3, 4, 5], [1, 1, 1, 1, 1]), [0.5])[0].estimate // => 3
 */
export const survivalQuantiles = checked(
  'survivalQuantiles',
  (
    curve: SurvivalCurve,
    probabilities: readonly number[] = [0.25, 0.5, 0.75],
    options: SurvivalQuantileOptions = {},
  ): readonly SurvivalQuantile[] => {
    const absent = notReached(curve.lastTime)
    return deepFreeze(
      probabilities.map((probability) => {
        if (!(probability > 0 && probability < 1)) throw notAShare(probability)
        const timeOf = (readValue: (row: SurvivalRow) => Quantity): number | NotReached =>
          crossing(curve.rows, readValue, 1 - probability, options.risingLimits ?? 'first-crossing') ?? absent
        return {
          probability,
          estimate: timeOf((row) => row.survival),
          interval: { lower: timeOf((row) => row.lower), upper: timeOf((row) => row.upper) },
          level: curve.level,
          method: methodOf(
            'quantile-of-the-product-limit-curve',
            `brookmeyer-crowley-limits-on-the-${curve.intervalScale}-scale`,
          ),
          reference: 'quantiles',
        }
      }),
    )
  },
)

/** Time at which the value comes down to the level; middle of the stretch on which it equals the level. */
function crossing(
  rows: readonly SurvivalRow[],
  readValue: (row: SurvivalRow) => Quantity,
  level: number,
  rising: RisingLimits,
): number | undefined {
  const reach = (bound: number): number =>
    rising === 'first-crossing' ? firstAtMost(rows, readValue, bound) : nearestAtMost(rows, readValue, bound)
  const first = reach(level + rounding)
  if (first < 0) return undefined
  const time = rows[first]!.time
  const value = readValue(rows[first]!) as number
  if (value < level - rounding) return time
  const next = reach(level - rounding)
  const end = next >= 0 ? rows[next]!.time : endOfFlat(rows, readValue)
  return end === undefined ? undefined : (time + end) / 2
}

function firstAtMost(
  rows: readonly SurvivalRow[],
  readValue: (row: SurvivalRow) => Quantity,
  bound: number,
): number {
  return rows.findIndex((row) => {
    const value = readValue(row)
    return typeof value === 'number' && value <= bound
  })
}

/** First row with the highest value that is at most the bound. */
function nearestAtMost(
  rows: readonly SurvivalRow[],
  readValue: (row: SurvivalRow) => Quantity,
  bound: number,
): number {
  let nearest = -1
  let highest = Number.NEGATIVE_INFINITY
  rows.forEach((row, at) => {
    const value = readValue(row)
    if (typeof value !== 'number' || value > bound || value <= highest) return
    nearest = at
    highest = value
  })
  return nearest
}

/** A curve that stays flat to its end is flat to the last follow-up; one that loses its limit before is not. */
function endOfFlat(
  rows: readonly SurvivalRow[],
  readValue: (row: SurvivalRow) => Quantity,
): number | undefined {
  const last = rows[rows.length - 1]!
  return typeof readValue(last) === 'number' ? last.time : undefined
}

function notAShare(probability: number): UsageError {
  return new UsageError({
    code: 'not-a-share',
    problem: `a quantile was asked for the share ${probability}.`,
    expected: 'a share between 0 and 1, such as 0.5 for the median.',
    mend: 'write 50% as 0.5.',
  })
}
