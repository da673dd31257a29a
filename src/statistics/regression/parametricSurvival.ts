import { type Interval, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { normalUpperQuantile } from '../numeric/distributions.js'
import { lifetimeFamilies, type ParametricFit } from './parametric.js'

/** Share without the event that a parametric regression predicts at a time. */
export interface PredictedSurvival {
  readonly time: number
  readonly survival: Quantity
  readonly interval: Interval
}

/**
 * Shares without the event at chosen times that a parametric regression predicts, with intervals on the
 * log-minus-log scale.
 *
 * @param at values of the columns by coefficient name; default 0
 * @example parametricSurvival(parametricRegression({ lower: [1, 2, 4], upper: [1, 2, 4] }, {}, 'exponential'), {}, [1])[0].survival // => 0.6514
 */
export const parametricSurvival = checked(
  'parametricSurvival',
  (
    fit: ParametricFit,
    at: Readonly<Record<string, number>>,
    times: readonly number[],
  ): readonly PredictedSurvival[] => {
    const family = lifetimeFamilies[fit.distribution]
    const width = fit.covariance.length
    const x = fit.coefficients.map((one, j) => (j === 0 ? 1 : (at[one.name] ?? 0)))
    const predictor = fit.coefficients.reduce((sum, one, j) => sum + Number(one.estimate) * x[j]!, 0)
    const scale = Number(fit.scale)
    const known = fit.coefficients.every((one) => typeof one.estimate === 'number')
    const quantile = normalUpperQuantile((1 - fit.level) / 2)
    return deepFreeze(
      times.map((time) => {
        const none = notEstimable('fit-without-estimate')
        if (!known) return { time, survival: none, interval: noInterval(none) }
        if (!(time > 0)) return { time, survival: 1, interval: { lower: 1, upper: 1 } }
        const w = (Math.log(time) - predictor) / scale
        const logSurvival = family.logUpper(w)
        const slope = Math.exp(family.logDensity(w) - logSurvival) / -logSurvival
        const gradient = Array.from({ length: width }, (_, j) => slope * (j < x.length ? -x[j]! / scale : -w))
        const variance = gradient.reduce(
          (sum, a, i) => sum + gradient.reduce((inner, b, j) => inner + a * fit.covariance[i]![j]! * b, 0),
          0,
        )
        const limit = (sign: number): number =>
          Math.exp(logSurvival * Math.exp(sign * quantile * Math.sqrt(variance)))
        return { time, survival: Math.exp(logSurvival), interval: { lower: limit(1), upper: limit(-1) } }
      }),
    )
  },
)
