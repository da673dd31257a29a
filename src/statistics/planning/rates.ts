import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import {
  type ComparisonOptions,
  type Planned,
  quantileSum,
  requireAbove,
  requireDifference,
} from './planningOptions.js'

/** Options of planning a comparison of two rates. */
export interface TwoRateOptions extends ComparisonOptions {
  /** Time at risk in the second group over that in the first; default 1. */
  readonly ratio?: number
}

/** Time at risk that a comparison of two Poisson rates needs, in the unit of the rates. */
export interface PlannedTwoRates extends Planned {
  /** Time at risk in the first group for a test of the difference. */
  readonly timeForDifference: number
  /** Time at risk in the first group for a test of the log ratio. */
  readonly timeForLogRatio: number
  /** Events expected in both groups together, at the time for the log ratio. */
  readonly eventsForLogRatio: number
}

/**
 * Time at risk for the comparison of two Poisson rates by a Wald test, of the difference or of the log ratio.
 *
 * @param first rate expected in the first group, above 0
 * @param second rate expected in the second group, above 0, other than the first
 * @param options.alpha two-sided, default 0.05; power default 0.8; ratio of times at risk default 1
 * @throws NumericalError `not-above`, `no-difference`, `share-out-of-range`, `power-below-error`
 * @see Breslow and Day (1987), chapter 7
 * @example timeForTwoRates(0.02, 0.01).timeForLogRatio // => 2450.5
 */
export const timeForTwoRates = checked(
  'timeForTwoRates',
  (first: number, second: number, options: TwoRateOptions = {}): PlannedTwoRates => {
    const { ratio = 1 } = options
    requireAbove('first', first)
    requireAbove('second', second)
    requireDifference('rates', first, second)
    requireAbove('ratio', ratio)
    const { sum } = quantileSum(options)
    const timeForLogRatio = (sum ** 2 * (1 / first + 1 / (ratio * second))) / Math.log(first / second) ** 2
    return Object.freeze({
      timeForDifference: (sum ** 2 * (first + second / ratio)) / (first - second) ** 2,
      timeForLogRatio,
      eventsForLogRatio: timeForLogRatio * (first + ratio * second),
      method: methodOf('two-poisson-rates', 'wald-test'),
      warnings: Object.freeze([]),
      reference: 'planning-rates',
    })
  },
)
