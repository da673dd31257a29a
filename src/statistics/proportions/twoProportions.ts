import {
  type Contrast,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  quantityOf,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalCritical, requireEventsAmong } from '../numeric/counts.js'
import { type Limits, proportionLimitsBy } from './proportionLimits.js'
import { hybridDifferenceLimits, scoreDifferenceLimits, scoreRatioLimits } from './scoreLimits.js'

/** Events and units of one group. */
export interface EventCount {
  readonly events: number
  readonly n: number
}

/** Names of the two groups of a contrast. */
export interface ContrastNames {
  readonly group: string
  readonly against: string
}

/** Interval methods of a risk difference. */
export type DifferenceMethod = 'newcombe' | 'newcombe-corrected' | 'score' | 'miettinen-nurminen' | 'wald'

/** Interval methods of a risk ratio. */
export type RatioMethod = 'score' | 'miettinen-nurminen' | 'log-wald'

/** Settings of a contrast of two independent proportions. */
export interface ContrastOptions<Method extends string> {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Interval method; default 'newcombe' for differences, 'score' for ratios. */
  readonly method?: Method
  /** Names of the groups; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
  /** Cut limits of a difference that leave [−1, 1], as those of Wald may; default true. */
  readonly clip?: boolean
}

const differenceNames: Readonly<Record<DifferenceMethod, MethodName>> = {
  newcombe: methodOf('newcombe-hybrid-score'),
  'newcombe-corrected': methodOf('newcombe-hybrid-score', 'continuity-corrected'),
  score: methodOf('mee-score'),
  'miettinen-nurminen': methodOf('miettinen-nurminen-score'),
  wald: methodOf('wald'),
}

const ratioNames: Readonly<Record<RatioMethod, MethodName>> = {
  score: methodOf('koopman-score'),
  'miettinen-nurminen': methodOf('miettinen-nurminen-score'),
  'log-wald': methodOf('wald-on-the-log-ratio'),
}

/** Names that stand where the caller gave none. */
export const unnamedGroups: ContrastNames = Object.freeze({ group: 'group', against: 'reference' })

/**
 * Difference of two independent proportions, the group's less the reference's. Where patients repeat, use
 * `clusteredRiskDifference`.
 *
 * @param group events and n of the group
 * @param against events and n of the reference
 * @param options level (0.95), method ('newcombe'), comparator, clip (true)
 * @returns frozen contrast; a group without units gives tagged states
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Newcombe 1998 (Stat Med 17:873); Mee 1984; Miettinen and Nurminen 1985.
 * @example riskDifference({ events: 56, n: 70 }, { events: 48, n: 80 }).interval.lower // => 0.0524
 */
export const riskDifference = checked(
  'riskDifference',
  (group: EventCount, against: EventCount, options: ContrastOptions<DifferenceMethod> = {}): Contrast => {
    const { level = 0.95, method = 'newcombe', comparator = unnamedGroups, clip = true } = options
    requireGroups(group, against, level)
    const [p1, p2] = [group.events / group.n, against.events / against.n]
    const empty = group.n === 0 || against.n === 0
    const limits = empty ? undefined : differenceLimits(group, against, method, level)
    const variance = (p1 * (1 - p1)) / group.n + (p2 * (1 - p2)) / against.n
    const [least, most] = clip ? [-1, 1] : [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY]
    return deepFreeze({
      ...commonPart(group, against, level, comparator),
      estimate: empty ? notEstimable(emptyGroup) : p1 - p2,
      interval:
        limits === undefined
          ? noInterval(emptyGroup)
          : { lower: Math.max(least, limits[0]), upper: Math.min(most, limits[1]) },
      method: differenceNames[method],
      ...(empty ? {} : { standardError: { value: Math.sqrt(variance), scale: 'risk difference' } }),
      reference: 'two-proportions',
    })
  },
)

/**
 * Ratio of two independent proportions, the group's over the reference's. Where patients repeat, use
 * `clusteredRiskRatio`.
 *
 * @param group events and n of the group
 * @param against events and n of the reference
 * @param options level (0.95), method ('score'), comparator
 * @returns frozen contrast; unbounded where only the reference has no events, not estimable where both have none
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Koopman 1984 (Biometrics 40:513); Miettinen and Nurminen 1985; Katz et al. 1978 (log-wald).
 * @example riskRatio({ events: 36, n: 40 }, { events: 16, n: 80 }).interval.lower // => 2.93957
 */
export const riskRatio = checked(
  'riskRatio',
  (group: EventCount, against: EventCount, options: ContrastOptions<RatioMethod> = {}): Contrast => {
    const { level = 0.95, method = 'score', comparator = unnamedGroups } = options
    requireGroups(group, against, level)
    const [x1, x2] = [group.events, against.events]
    const empty = group.n === 0 || against.n === 0
    const variance = 1 / x1 - 1 / group.n + 1 / x2 - 1 / against.n
    const ratio = x1 / group.n / (x2 / against.n)
    return deepFreeze({
      ...commonPart(group, against, level, comparator),
      estimate: empty ? notEstimable(emptyGroup) : quantityOf(ratio, noEvents),
      interval: empty ? noInterval(emptyGroup) : ratioInterval(group, against, method, level),
      method: ratioNames[method],
      ...(x1 > 0 && x2 > 0
        ? { standardError: { value: Math.sqrt(Math.max(0, variance)), scale: 'log risk ratio' } }
        : {}),
      reference: 'two-proportions',
    })
  },
)

const emptyGroup = 'group-without-units'
const noEvents = 'no-event-in-either-group'

function requireGroups(group: EventCount, against: EventCount, level: number): void {
  requireEventsAmong(group.events, group.n)
  requireEventsAmong(against.events, against.n)
  requireLevel(level)
}

function commonPart(group: EventCount, against: EventCount, level: number, comparator: ContrastNames) {
  const n = group.n + against.n
  return {
    level,
    n,
    events: group.events + against.events,
    clusters: n,
    warnings: [],
    comparator: { group: comparator.group, against: comparator.against },
  }
}

function differenceLimits(
  group: EventCount,
  against: EventCount,
  method: DifferenceMethod,
  level: number,
): Limits {
  const [n1, n2] = [group.n, against.n]
  const shares = { p1: group.events / n1, n1, p2: against.events / n2, n2 }
  const critical = normalCritical(level)
  if (method === 'score') return scoreDifferenceLimits(shares, critical, 1)
  if (method === 'miettinen-nurminen') {
    return scoreDifferenceLimits(shares, critical, (n1 + n2) / (n1 + n2 - 1))
  }
  const { p1, p2 } = shares
  if (method === 'wald') {
    const half = critical * Math.sqrt((p1 * (1 - p1)) / n1 + (p2 * (1 - p2)) / n2)
    return [p1 - p2 - half, p1 - p2 + half]
  }
  const each = proportionLimitsBy[method === 'newcombe' ? 'wilson' : 'wilson-corrected']
  return hybridDifferenceLimits(p1, each(group.events, n1, level), p2, each(against.events, n2, level))
}

function ratioInterval(group: EventCount, against: EventCount, method: RatioMethod, level: number): Interval {
  const [n1, n2] = [group.n, against.n]
  const shares = { p1: group.events / n1, n1, p2: against.events / n2, n2 }
  const critical = normalCritical(level)
  if (method === 'log-wald') {
    if (group.events === 0 || against.events === 0) return noInterval('group-without-event')
    const variance = 1 / group.events - 1 / n1 + 1 / against.events - 1 / n2
    const factor = Math.exp(critical * Math.sqrt(Math.max(0, variance)))
    return { lower: shares.p1 / shares.p2 / factor, upper: (shares.p1 / shares.p2) * factor }
  }
  const factor = method === 'score' ? 1 : (n1 + n2) / (n1 + n2 - 1)
  const [lower, upper] = scoreRatioLimits(shares, critical, factor)
  const limit = (value: number): Quantity => quantityOf(value, noEvents)
  return { lower: limit(lower), upper: limit(upper) }
}
