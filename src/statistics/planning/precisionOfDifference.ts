import { NumericalError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { normalQuantile } from '../numeric/distributions.js'

/** What the precision of a difference of two risks rests on. */
export interface DifferencePrecision {
  /** Risk by the horizon, taken for both groups. */
  readonly risk: number
  /** Share of units in the first group, above 0 and below 1. */
  readonly shareOfGroup: number
  /** Half the width that the interval should have. */
  readonly halfWidth: number
  /** How many times larger the variance is than for independent units that are all followed and all count alike. */
  readonly inflation: number
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/**
 * Units of both groups together until the interval of a difference of two risks is as narrow as asked for: the variance
 * of the difference of two independent proportions of the same risk, times what likeness within clusters, loss to
 * follow-up and weighting make of it.
 *
 * @throws NumericalError `out-of-range`
 * @example unitsForDifference({ risk: 0.1, shareOfGroup: 0.5, halfWidth: 0.02, inflation: 1 }).units // => 3458
 */
export const unitsForDifference = checked(
  'unitsForDifference',
  (
    asked: DifferencePrecision,
  ): {
    readonly units: number
    readonly reference: string
  } => {
    const { risk, shareOfGroup, halfWidth, inflation, level = 0.95 } = asked
    const inside = (one: number): boolean => one > 0 && one < 1
    if (![risk, shareOfGroup, halfWidth, level].every(inside) || !(inflation > 0)) {
      throw new NumericalError({
        code: 'out-of-range',
        problem: 'a risk, a share, a width or a level lies outside its range.',
        expected: 'risk, share, half width and level between 0 and 1, and an inflation above 0.',
        mend: 'give shares, not percentages.',
      })
    }
    const z = normalQuantile(1 - (1 - level) / 2)
    const perUnit = (risk * (1 - risk) * inflation) / (shareOfGroup * (1 - shareOfGroup))
    return deepFreeze({ units: Math.ceil((z / halfWidth) ** 2 * perUnit), reference: 'planning-precision' })
  },
)
