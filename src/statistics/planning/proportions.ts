import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { brentRoot } from '../numeric/roots.js'
import {
  type ComparisonOptions,
  type Planned,
  quantileSum,
  requireAbove,
  requireDifference,
  requireShare,
  roundedUp,
} from './planningOptions.js'

/** Options of planning a comparison of two proportions. */
export interface TwoProportionOptions extends ComparisonOptions {
  /** Size of the second group over that of the first; default 1. */
  readonly ratio?: number
}

/** Size of the first group by three formulas; the second is `ratio` times as large. */
export interface PlannedTwoProportions extends Planned {
  /** By the pooled variance under no effect. */
  readonly first: number
  readonly firstRoundedUp: number
  readonly secondRoundedUp: number
  /** With the continuity correction. */
  readonly firstWithContinuity: number
  readonly firstWithContinuityRoundedUp: number
  readonly secondWithContinuityRoundedUp: number
  /** By the unpooled variance. */
  readonly firstUnpooled: number
}

/** Second proportions that given group sizes can tell from the first. */
export interface DetectableProportion extends Planned {
  readonly above: number | undefined
  readonly below: number | undefined
}

const reference = 'planning-proportions'

/**
 * Sizes of two groups for the comparison of two proportions (Fleiss, Levin and Paik 2003, section 4.2), with and
 * without the continuity correction (Fleiss, Tytun and Ury 1980), and by the unpooled variance.
 *
 * @param first proportion expected in the first group, in (0, 1)
 * @param second proportion expected in the second group, in (0, 1), other than the first
 * @param options.alpha two-sided, default 0.05; power default 0.8; ratio of second to first group default 1
 * @throws NumericalError `share-out-of-range`, `not-above`, `no-difference`, `power-below-error`
 * @example sizesForTwoProportions(0.1, 0.2).firstRoundedUp // => 199
 */
export const sizesForTwoProportions = checked(
  'sizesForTwoProportions',
  (first: number, second: number, options: TwoProportionOptions = {}): PlannedTwoProportions => {
    const { ratio = 1 } = options
    requireShare('first', first)
    requireShare('second', second)
    requireDifference('proportions', first, second)
    requireAbove('ratio', ratio)
    const { zAlpha, zPower, sum } = quantileSum(options)
    const difference = Math.abs(first - second)
    const size = pooledSize(first, second, ratio, zAlpha, zPower)
    const corrected = (size / 4) * (1 + Math.sqrt(1 + (2 * (1 + ratio)) / (size * ratio * difference))) ** 2
    const spread = first * (1 - first) + (second * (1 - second)) / ratio
    return Object.freeze({
      first: size,
      firstRoundedUp: roundedUp(size),
      secondRoundedUp: roundedUp(size * ratio),
      firstWithContinuity: corrected,
      firstWithContinuityRoundedUp: roundedUp(corrected),
      secondWithContinuityRoundedUp: roundedUp(corrected * ratio),
      firstUnpooled: (sum ** 2 * spread) / difference ** 2,
      method: methodOf('two-proportions', 'pooled-variance-fleiss'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

/**
 * Proportions in the second group, one above and one below the first, that groups of a given size can tell from it,
 * by the pooled formula; undefined where even 0 or 1 would not do.
 *
 * @param first proportion expected in the first group, in (0, 1)
 * @param size units in the first group, above 0
 * @param options as sizesForTwoProportions
 * @throws NumericalError `share-out-of-range`, `not-above`, `power-below-error`
 * @example detectableProportion(0.1, 199).above // => 0.2
 */
export const detectableProportion = checked(
  'detectableProportion',
  (first: number, size: number, options: TwoProportionOptions = {}): DetectableProportion => {
    const { ratio = 1 } = options
    requireShare('first', first)
    requireAbove('size', size)
    requireAbove('ratio', ratio)
    const { zAlpha, zPower } = quantileSum(options)
    const missing = (second: number): number => pooledSize(first, second, ratio, zAlpha, zPower) - size
    const towards = (end: number): number | undefined => {
      const near = first + (end - first) * 1e-9
      if (missing(end) > 0) return undefined
      return missing(near) <= 0 ? near : brentRoot(missing, near, end)
    }
    return Object.freeze({
      above: towards(1),
      below: towards(0),
      method: methodOf('two-proportions', 'pooled-variance-fleiss'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

function pooledSize(first: number, second: number, ratio: number, zAlpha: number, zPower: number): number {
  const mean = (first + ratio * second) / (1 + ratio)
  const underNone = zAlpha * Math.sqrt((1 + ratio) * mean * (1 - mean))
  const underEffect = zPower * Math.sqrt(ratio * first * (1 - first) + second * (1 - second))
  return (underNone + underEffect) ** 2 / (ratio * (first - second) ** 2)
}
