import type { Interval, Quantity, Warning } from '../../core/estimate.js'
import { type MethodName, withTerm } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type CauseColumn, type NumberColumn, requireFinite, requireSameLength } from '../numeric/columns.js'
import type { CurveOptions } from './curveOptions.js'
import { kaplanMeier, kaplanMeierByGroup, type SurvivalCurve } from './survival.js'
import { survivalQuantiles } from './survivalQuantiles.js'

/** Median follow-up of one group. */
export interface FollowUp {
  readonly group: string
  readonly estimate: Quantity
  readonly interval: Interval
  /** First and third quartile. */
  readonly quartiles: readonly [Quantity, Quantity]
  readonly level: number
  readonly method: MethodName
  readonly n: number
  /** Rows whose follow-up ended with an event of any kind. */
  readonly events: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Median follow-up by the reverse product-limit method (Schemper and Smith 1996): the time to the end of observation,
 * with every event, competing ones too, counted as censoring of it.
 *
 * @param time follow-up, zero or more
 * @param event 0 where the follow-up ended without an event, any cause above 0 where it ended with one
 * @param options as for `kaplanMeier`
 * @returns the median with Brookmeyer–Crowley limits; not reached where most follow-ups ended with an event
 * @throws NumericalError as `kaplanMeier`
 *
 * @example medianFollowUp([1, 2, 3, 4], [1, 0, 0, 0]).estimate // => 3
 */
export const medianFollowUp = checked(
  'medianFollowUp',
  (time: NumberColumn, event: CauseColumn, options: CurveOptions = {}): FollowUp => {
    requireSameLength({ time, event })
    return followUpOf(kaplanMeier(time, withoutEvent(event), options))
  },
)

/**
 * Median follow-up in each group; see `medianFollowUp`.
 *
 * @example medianFollowUpByGroup([1, 2, 3], [0, 0, 1], ['a', 'a', 'b'])[0].estimate // => 1.5
 */
export const medianFollowUpByGroup = checked(
  'medianFollowUpByGroup',
  (
    time: NumberColumn,
    event: CauseColumn,
    group: CodeColumn,
    options: CurveOptions = {},
  ): readonly FollowUp[] => {
    requireSameLength({ time, event, group })
    return Object.freeze(kaplanMeierByGroup(time, withoutEvent(event), group, options).map(followUpOf))
  },
)

function withoutEvent(event: CauseColumn): Uint8Array {
  requireFinite('event', event)
  return Uint8Array.from(event, (value) => (value === 0 ? 1 : 0))
}

function followUpOf(curve: SurvivalCurve): FollowUp {
  const [first, median, third] = survivalQuantiles(curve, [0.25, 0.5, 0.75])
  return deepFreeze({
    group: curve.group,
    estimate: median!.estimate,
    interval: median!.interval,
    quartiles: [first!.estimate, third!.estimate] as const,
    level: curve.level,
    method: withTerm(curve.method, 'product-limit', 'reverse-product-limit'),
    n: curve.n,
    events: curve.n - curve.events,
    clusters: curve.clusters,
    warnings: curve.warnings,
    reference: 'follow-up',
  })
}
