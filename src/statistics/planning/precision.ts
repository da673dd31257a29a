import { NumericalError } from '../../core/errors.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { chiSquareQuantile, chiSquareUpperQuantile, normalQuantile } from '../numeric/distributions.js'
import { brentRoot } from '../numeric/roots.js'
import { type Planned, requireAbove, requireShare, roundedUp } from './planningOptions.js'

/** A size from the width that an interval should have. */
export interface PlannedPrecision extends Planned {
  readonly size: number
  readonly sizeRoundedUp: number
  readonly level: number
}

const reference = 'planning-precision'

/**
 * Units for which Wilson's interval of a proportion has the given width (upper less lower limit), if the
 * proportion comes out as expected.
 *
 * @param proportion expected, from 0 to 1
 * @param width wanted, in (0, 1)
 * @param options.level default 0.95
 * @throws NumericalError `share-out-of-range`, `proportion-out-of-range`, `level-out-of-range`
 * @example sizeForProportionWidth(0.05, 0.04).sizeRoundedUp // => 469
 */
export const sizeForProportionWidth = checked(
  'sizeForProportionWidth',
  (proportion: number, width: number, options: { readonly level?: number } = {}): PlannedPrecision => {
    const { level = 0.95 } = options
    requireLevel(level)
    requireShare('width', width)
    if (!(proportion >= 0 && proportion <= 1)) {
      throw new NumericalError({
        code: 'proportion-out-of-range',
        problem: `the expected proportion is ${proportion}.`,
        expected: 'a share from 0 to 1.',
        mend: 'write 5% as 0.05.',
      })
    }
    const z = normalQuantile((1 + level) / 2)
    const excess = (n: number): number => wilsonWidth(proportion, n, z) - width
    let upper = 1
    while (excess(upper) > 0) upper *= 2
    // Near no units at all the interval is as wide as can be: 1.
    const size = brentRoot(excess, 1e-12, upper)
    return answer(size, { level, method: methodOf('width-of-wilson-s-interval') })
  },
)

/**
 * Events for which the exact interval of a Poisson rate spans at most the given ratio of upper to lower limit;
 * divide by the expected rate for the time at risk.
 *
 * @param ratio upper over lower limit, above 1
 * @param options.level default 0.95
 * @throws NumericalError `not-above`, `level-out-of-range`
 * @example eventsForRatePrecision(2).size // => 35
 */
export const eventsForRatePrecision = checked(
  'eventsForRatePrecision',
  (ratio: number, options: { readonly level?: number } = {}): PlannedPrecision => {
    const { level = 0.95 } = options
    requireLevel(level)
    requireAbove('ratio', ratio, 1)
    const tail = (1 - level) / 2
    const spans = (events: number): number =>
      chiSquareUpperQuantile(tail, 2 * events + 2) / chiSquareQuantile(tail, 2 * events)
    let upper = 1
    while (spans(upper) > ratio) upper *= 2
    let lower = upper / 2
    while (upper - lower > 1 && upper > 1) {
      const middle = Math.floor((lower + upper) / 2)
      if (spans(middle) > ratio) lower = middle
      else upper = middle
    }
    return answer(upper, { level, method: methodOf('exact-poisson-limits') })
  },
)

/**
 * Events in two groups together for which the interval of a hazard ratio spans at most the given ratio of upper to
 * lower limit: (2z / log ratio)² / (w(1 − w)).
 *
 * @param ratio upper over lower limit, above 1
 * @param options.level default 0.95; allocation, share of events in one group, default 0.5
 * @throws NumericalError `not-above`, `share-out-of-range`, `level-out-of-range`
 * @example eventsForHazardRatioPrecision(2).sizeRoundedUp // => 128
 */
export const eventsForHazardRatioPrecision = checked(
  'eventsForHazardRatioPrecision',
  (
    ratio: number,
    options: { readonly level?: number; readonly allocation?: number } = {},
  ): PlannedPrecision => {
    const { level = 0.95, allocation = 0.5 } = options
    requireLevel(level)
    requireAbove('ratio', ratio, 1)
    requireShare('allocation', allocation)
    const z = normalQuantile((1 + level) / 2)
    const size = ((2 * z) / Math.log(ratio)) ** 2 / (allocation * (1 - allocation))
    return answer(size, { level, method: methodOf('width-of-the-interval-of-a-log-hazard-ratio') })
  },
)

/**
 * Units in the first group for which the interval of a risk difference has the given width, by its large-sample
 * variance: 4z²(p₁q₁ + p₂q₂/r) / width².
 *
 * @param first risk expected in the first group, in (0, 1)
 * @param second risk expected in the second group, in (0, 1)
 * @param width upper less lower limit, in (0, 1)
 * @param options.level default 0.95; ratio of second to first group default 1
 * @throws NumericalError `share-out-of-range`, `not-above`, `level-out-of-range`
 * @example sizeForDifferenceWidth(0.1, 0.05, 0.08).sizeRoundedUp // => 331
 */
export const sizeForDifferenceWidth = checked(
  'sizeForDifferenceWidth',
  (
    first: number,
    second: number,
    width: number,
    options: { readonly level?: number; readonly ratio?: number } = {},
  ): PlannedPrecision => {
    const { level = 0.95, ratio = 1 } = options
    requireLevel(level)
    requireShare('first', first)
    requireShare('second', second)
    requireShare('width', width)
    requireAbove('ratio', ratio)
    const z = normalQuantile((1 + level) / 2)
    const spread = first * (1 - first) + (second * (1 - second)) / ratio
    return answer((4 * z * z * spread) / width ** 2, {
      level,
      method: methodOf('width-of-the-interval-of-a-risk-difference'),
    })
  },
)

function wilsonWidth(proportion: number, n: number, z: number): number {
  const z2 = z * z
  return (2 * z * Math.sqrt(n * proportion * (1 - proportion) + z2 / 4)) / (n + z2)
}

function answer(
  size: number,
  { level, method }: { readonly level: number; readonly method: MethodName },
): PlannedPrecision {
  return Object.freeze({
    size,
    sizeRoundedUp: roundedUp(size),
    level,
    method,
    warnings: Object.freeze([]),
    reference,
  })
}
