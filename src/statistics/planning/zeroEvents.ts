import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { type Planned, requireShare, roundedUp } from './planningOptions.js'

/** Units without an event that rule a risk out. */
export interface PlannedZeroEvents extends Planned {
  /** Exact: log(1 − level) / log(1 − risk), one-sided. */
  readonly exact: number
  readonly exactRoundedUp: number
  /** Rule of three, 3 / risk; for 95% only, an approximation. */
  readonly ruleOfThree: number
  readonly level: number
}

/**
 * Units that must all stay free of the event for a risk as high as the given one to be ruled out, by the
 * one-sided exact limit.
 *
 * @param risk to be ruled out, in (0, 1)
 * @param options.level one-sided confidence, default 0.95
 * @throws NumericalError `share-out-of-range`, `level-out-of-range`
 * @example sizeForZeroEvents(0.05).exactRoundedUp // => 59
 */
export const sizeForZeroEvents = checked(
  'sizeForZeroEvents',
  (risk: number, options: { readonly level?: number } = {}): PlannedZeroEvents => {
    const { level = 0.95 } = options
    requireLevel(level)
    requireShare('risk', risk)
    const exact = Math.log1p(-level) / Math.log1p(-risk)
    return Object.freeze({
      exact,
      exactRoundedUp: roundedUp(exact),
      ruleOfThree: 3 / risk,
      level,
      method: methodOf('exact-one-sided-binomial-limit-with-no-events'),
      warnings: Object.freeze([]),
      reference: 'planning-precision',
    })
  },
)
