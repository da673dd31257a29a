import type { Estimate } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { singleCode } from '../kernel/codes.js'
import type { NumberColumn } from '../numeric/columns.js'
import type { CurveOptions } from './curveOptions.js'
import { counter, limitsOfNone, noEvents } from './riskAtTimes.js'
import { kaplanMeier } from './survival.js'
import { survivalAt } from './survivalAt.js'

/** Probability that the event has not happened by a time. */
export interface SurvivalsAtTime extends Estimate {
  readonly time: number
  /** Rows at risk just before the time. */
  readonly atRisk: number
}

/**
 * Survival at chosen times as estimates with intervals (product-limit; variance and scale as `kaplanMeier`). Where no
 * event has happened by a time the curve says nothing of its error: the lower limit is then exact, with the clusters
 * still at risk there as n.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param times times of zero or more, in the unit of follow-up
 * @param options as `kaplanMeier`, without weights
 * @returns one estimate per time; not estimable past the last follow-up of a curve that has not reached zero
 * @throws NumericalError as `kaplanMeier`
 *
 * @example survivalsAt([1, 2, 3, 4], [1, 0, 1, 0], [3])[0].estimate // => 0.375
 */
export const survivalsAt = checked(
  'survivalsAt',
  (
    time: NumberColumn,
    event: NumberColumn,
    times: readonly number[],
    options: Omit<CurveOptions, 'weights'> = {},
  ): readonly SurvivalsAtTime[] => {
    const curve = kaplanMeier(time, event, options)
    const count = counter(time, event, singleCode(time.length), options)
    return deepFreeze(
      survivalAt(curve, times).map((at) => {
        const { events, atRisk, clustersAtRisk } = count(0, at.time)
        const common = {
          time: at.time,
          estimate: at.survival,
          level: curve.level,
          n: curve.n,
          events,
          clusters: curve.clusters,
          atRisk,
          reference: curve.reference,
        }
        if (events === 0 && typeof at.survival === 'number') {
          const { lower, upper } = limitsOfNone(clustersAtRisk, curve.level)
          const interval = {
            lower: typeof upper === 'number' ? 1 - upper : upper,
            upper: typeof lower === 'number' ? 1 : lower,
          }
          const method: MethodName = methodOf('product-limit', 'exact-lower-limit-with-clusters-at-risk-as-n')
          return { ...common, interval, method, warnings: [...curve.warnings, noEvents] }
        }
        return {
          ...common,
          interval: at.interval,
          method: curve.method,
          warnings: curve.warnings,
          ...(typeof at.standardError === 'number' && typeof at.survival === 'number'
            ? { standardError: { value: at.standardError, scale: 'probability' } }
            : {}),
        }
      }),
    )
  },
)
