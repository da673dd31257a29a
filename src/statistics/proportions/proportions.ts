import { NumericalError } from '../../core/errors.js'
import { type Estimate, type Interval, noInterval, notEstimable } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { requireCount, requireEventsAmong } from '../numeric/counts.js'
import {
  exactUpperOfNone,
  type Limits,
  type ProportionMethod,
  proportionLimitsBy,
} from './proportionLimits.js'

/** Settings of a proportion's interval. */
export interface ProportionOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Interval method; default 'wilson'. */
  readonly method?: ProportionMethod
  /** Cut limits that leave [0, 1], as those of Wald and of Agresti and Coull may; default true. */
  readonly clip?: boolean
}

const methodNames: Readonly<Record<ProportionMethod, MethodName>> = {
  wilson: methodOf('wilson-score'),
  'wilson-corrected': methodOf('wilson-score', 'continuity-corrected'),
  exact: methodOf('clopper-pearson-exact'),
  'mid-p': methodOf('mid-p-exact'),
  jeffreys: methodOf('jeffreys', 'equal-tailed'),
  'jeffreys-modified': methodOf('jeffreys', 'modified-at-the-ends'),
  'likelihood-ratio': methodOf('likelihood-ratio'),
  'agresti-coull': methodOf('agresti-coull'),
  wald: methodOf('wald'),
  'wald-corrected': methodOf('wald', 'continuity-corrected'),
}

/**
 * Binomial proportion of independent units with its confidence interval. Where patients repeat, use
 * `clusteredProportion`.
 *
 * @param events units with the event, a whole number
 * @param n units, a whole number; 0 gives an estimate tagged not estimable
 * @param options level (0.95), method ('wilson'), clip (true)
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Wilson 1927; Clopper and Pearson 1934; Newcombe 1998 (Stat Med 17:857); Brown, Cai and DasGupta 2001.
 * @example proportion(15, 148).estimate // => 0.10135
 */
export const proportion = checked(
  'proportion',
  (events: number, n: number, options: ProportionOptions = {}): Estimate => {
    const { level = 0.95, method = 'wilson', clip = true } = options
    requireEventsAmong(events, n)
    requireLevel(level)
    const p = events / n
    return deepFreeze({
      estimate: n === 0 ? notEstimable('no-units') : p,
      interval:
        n === 0 ? noInterval('no-units') : intervalOf(proportionLimitsBy[method](events, n, level), clip),
      level,
      method: methodNames[method],
      ...(n === 0 ? {} : { standardError: { value: Math.sqrt((p * (1 - p)) / n), scale: 'proportion' } }),
      n,
      events,
      clusters: n,
      warnings: [],
      reference: 'proportion',
    })
  },
)

function intervalOf([lower, upper]: Limits, clip: boolean): Interval {
  return clip ? { lower: Math.max(0, lower), upper: Math.min(1, upper) } : { lower, upper }
}

/** What none in n still leaves possible. */
export interface ZeroEventLimits {
  readonly n: number
  readonly level: number
  /** Upper limit of the two-sided exact interval: the one the toolkit reports. */
  readonly exactTwoSided: number
  /** Exact one-sided upper limit at the same level. */
  readonly exactOneSided: number
  /** 3 / n, the rule of three: an approximation to the one-sided 95% limit, whatever the level asked for. */
  readonly ruleOfThree: number
}

/**
 * Upper limits of a proportion when no event was seen among n independent units.
 *
 * @param n units, at least 1 (patients where they repeat)
 * @param options level (0.95)
 * @throws NumericalError `not-a-count`, `no-units`, `level-out-of-range`
 * Source: Hanley and Lippman-Hand 1983 (JAMA 249:1743).
 * @example zeroEventLimits(40).exactTwoSided // => 0.0881
 */
export const zeroEventLimits = checked(
  'zeroEventLimits',
  (n: number, options: { readonly level?: number } = {}): ZeroEventLimits => {
    const { level = 0.95 } = options
    requireCount('n', n)
    requireLevel(level)
    if (n === 0) throw noUnits()
    return Object.freeze({
      n,
      level,
      exactTwoSided: exactUpperOfNone(n, (1 - level) / 2),
      exactOneSided: exactUpperOfNone(n, 1 - level),
      ruleOfThree: 3 / n,
    })
  },
)

function noUnits(): NumericalError {
  return new NumericalError({
    code: 'no-units',
    problem: 'n is 0.',
    expected: 'at least one unit.',
    mend: 'nothing can be said of no units; leave the group out.',
  })
}
