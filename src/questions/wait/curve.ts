import { HoldfastError } from '../../core/errors.js'
import { type Interval, isNumber, type Quantity, type TestResult, type Warning } from '../../core/estimate.js'
import { type MethodName, methodOf, term } from '../../core/method.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { hazardRatioCurve, waldTest } from '../../statistics/hazardModels/coxContrasts.js'
import { quantileOfSorted } from '../../statistics/means/summary.js'
import {
  restrictedCubicSpline,
  splineColumnName,
  splineCovariates,
  splineKnots,
} from '../../statistics/numeric/splines.js'
import { type CohortRows, timesAtRisk } from '../rows/cohortRows.js'

/** Hazard at one wait against the wait of reference. */
export interface WaitCurvePoint {
  readonly minutes: number
  readonly hazardRatio: Quantity
  readonly interval: Interval
}

/** Why there is no curve. */
export type WaitCurveReason = 'too-few-events' | 'too-few-different-waits' | 'not-fitted'

/** Hazard ratio along the wait, a restricted cubic spline. */
export interface WaitCurve {
  /** Wait at which the ratio is 1: the middle of the window, or the median wait where that lies outside the waits. */
  readonly referenceMinutes: number
  readonly referenceIs: 'window-middle' | 'median-wait'
  /** From the 2.5th to the 97.5th percentile of the waits, equally spaced. */
  readonly points: readonly WaitCurvePoint[]
  readonly knots: readonly number[]
  /** Whether the hazard goes with the wait at all. */
  readonly association: TestResult
  /** Whether it departs from a straight line on the logarithmic scale. */
  readonly curvature: TestResult
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Fewest events of a curve with three knots (five for each of its two coefficients), and with four. */
const eventsForKnots = { three: 10, four: 50 } as const

/** Equally spaced places at which the curve is read. */
const steps = 40

const column = 'wait'

/** Fits the curve, or says why there is none. */
export function waitCurve(
  rows: CohortRows,
  waits: Float64Array,
  options: {
    readonly window: { readonly from: number; readonly to: number }
    readonly strata: readonly string[] | undefined
    readonly level: number
  },
): { readonly curve?: WaitCurve; readonly reason?: WaitCurveReason } {
  const events = rows.event.reduce((sum, one) => sum + one, 0)
  if (events < eventsForKnots.three) return { reason: 'too-few-events' }
  const knots = knotsOf(waits, events, options.window)
  if (knots === undefined) return { reason: 'too-few-different-waits' }
  try {
    const fit = coxRegression(timesAtRisk(rows), splineCovariates(column, waits, knots), {
      cluster: rows.patient,
      level: options.level,
      ...(options.strata === undefined ? {} : { strata: options.strata }),
    })
    const sorted = Float64Array.from(waits).sort()
    const first = quantileOfSorted(sorted, 0.025)
    const last = quantileOfSorted(sorted, 0.975)
    const middle = (options.window.from + options.window.to) / 2
    const within = middle >= sorted[0]! && middle <= sorted[sorted.length - 1]!
    const referenceMinutes = within ? middle : quantileOfSorted(sorted, 0.5)
    const places = Array.from({ length: steps + 1 }, (_, step) => first + ((last - first) * step) / steps)
    const points = hazardRatioCurve(fit, column, knots, places, referenceMinutes)
    if (!points.every(({ estimate }) => isNumber(estimate))) return { reason: 'not-fitted' }
    const names = restrictedCubicSpline([0], knots).map((_, i) => splineColumnName(column, i))
    return {
      curve: {
        referenceMinutes,
        referenceIs: within ? 'window-middle' : 'median-wait',
        points: points.map(({ value, estimate, interval }) => ({
          minutes: value,
          hazardRatio: estimate,
          interval,
        })),
        knots,
        association: waldTest(fit, names),
        curvature: waldTest(fit, names.slice(1)),
        n: fit.n,
        events: fit.events,
        clusters: fit.clusters,
        level: fit.level,
        method: methodOf(...fit.method, term('restricted-cubic-spline', { knots: knots.length })),
        warnings: fit.warnings,
        reference: 'splines',
      },
    }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return { reason: 'not-fitted' }
    throw thrown
  }
}

/** Different waits that a curve needs. */
const leastDifferentWaits = 4

/**
 * Four knots at quantiles where events bear them, else three. Practices write down round minutes: where quantiles
 * coincide, the knots stand at the ends and the middle of the window. Undefined where waits are too often the same.
 */
function knotsOf(
  waits: Float64Array,
  events: number,
  window: { readonly from: number; readonly to: number },
): readonly number[] | undefined {
  if (new Set(waits).size < leastDifferentWaits) return undefined
  for (const count of events >= eventsForKnots.four ? [4, 3] : [3]) {
    try {
      return splineKnots(waits, count)
    } catch (thrown) {
      if (!(thrown instanceof HoldfastError)) throw thrown
    }
  }
  const { from, to } = window
  return from < to ? [from, (from + to) / 2, to] : undefined
}
