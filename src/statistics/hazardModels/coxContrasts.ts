import { UsageError } from '../../core/errors.js'
import {
  type Interval,
  isNumber,
  noInterval,
  notEstimable,
  type Quantity,
  quantityOf,
  type TestResult,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { normalUpperQuantile, studentTQuantile } from '../numeric/distributions.js'
import { restrictedCubicSpline, splineColumnName } from '../numeric/splines.js'
import type { CoxFit } from './coxResult.js'
import { chiSquareTest, inverseQuadraticForm } from './coxTests.js'

/**
 * Wald test that several log hazard ratios of a fit are all 0, by the variance in force: of a category with several
 * levels, or of the curvature of a spline.
 *
 * @throws UsageError `unknown-covariate`
 * @example waldTest(coxRegression({ time: [1, 2, 3, 4, 5], event: [1, 1, 0, 1, 1] }, { x: [1, 0, 1, 1, 0] }), ['x']).degreesOfFreedom // => 1
 */
export const waldTest = checked('waldTest', (fit: CoxFit, names: readonly string[]): TestResult => {
  const columns = names.map((name) => columnOf(fit, name))
  const { n, events, clusters, warnings, reference } = fit
  const values = columns.map((column) => fit.hazardRatios[column]!.logHazardRatio)
  const matrix = columns.flatMap((a) => columns.map((b) => fit.covariance[a]![b]!))
  const known = [...values, ...matrix].every(isNumber)
  const statistic: Quantity = known
    ? inverseQuadraticForm(
        Float64Array.from(matrix, Number),
        Float64Array.from(values, Number),
        'clusters-too-few-together',
      )
    : notEstimable('covariate-without-variance')
  return chiSquareTest(
    statistic,
    columns.length,
    methodOf('wald-test'),
    { n, events, clusters, warnings, reference },
    fit.degreesOfFreedom,
  )
})

/** Hazard ratio at one value of a spline against its value of reference. */
export interface CurvePoint {
  readonly value: number
  readonly estimate: Quantity
  readonly interval: Interval
}

/**
 * Hazard ratio along a spline against a value of reference, with a pointwise band, from a fit on `splineCovariates`
 * of the same name and knots.
 *
 * @param values where the curve is wanted; beyond the outer knots it is a straight line
 * @throws UsageError `unknown-covariate`
 * @example hazardRatioCurve(coxRegression({ time: [1, 2, 3, 4, 5, 6], event: [1, 1, 1, 0, 1, 1] }, splineCovariates('wait', [0, 1, 2, 3, 4, 2], [0, 2, 4])), 'wait', [0, 2, 4], [2], 2)[0].estimate // => 1
 */
export const hazardRatioCurve = checked(
  'hazardRatioCurve',
  (
    fit: CoxFit,
    name: string,
    knots: readonly number[],
    values: readonly number[],
    reference: number,
  ): readonly CurvePoint[] => {
    const basis = restrictedCubicSpline([reference, ...values], knots)
    const columns = basis.map((_, i) => columnOf(fit, splineColumnName(name, i)))
    const tail = (1 - fit.level) / 2
    const { degreesOfFreedom } = fit
    const quantile =
      degreesOfFreedom === undefined ? normalUpperQuantile(tail) : -studentTQuantile(tail, degreesOfFreedom)
    return deepFreeze(
      values.map((value, i) => {
        const weights = basis.map((column) => column[i + 1]! - column[0]!)
        const log = combined(
          weights,
          columns.map((column) => fit.hazardRatios[column]!.logHazardRatio),
        )
        const variance = columns.reduce<number>(
          (sum, a, row) =>
            sum +
            weights[row]! *
              combined(
                weights,
                columns.map((b) => fit.covariance[a]![b]!),
              ),
          0,
        )
        const half = quantile * Math.sqrt(Math.max(0, variance))
        const none = 'fit-without-estimate'
        if (Number.isNaN(log)) return { value, estimate: notEstimable(none), interval: noInterval(none) }
        const ratio = (change: number): Quantity => quantityOf(Math.exp(log + change), none)
        return {
          value,
          estimate: ratio(0),
          interval: Number.isNaN(half) ? noInterval(none) : { lower: ratio(-half), upper: ratio(half) },
        }
      }),
    )
  },
)

/** Weighted sum; NaN where a quantity is not a number. */
function combined(weights: readonly number[], quantities: readonly Quantity[]): number {
  return quantities.reduce<number>((sum, one, i) => sum + weights[i]! * (isNumber(one) ? one : Number.NaN), 0)
}

function columnOf(fit: CoxFit, name: string): number {
  const column = fit.hazardRatios.findIndex((one) => one.name === name)
  if (column >= 0) return column
  throw new UsageError({
    code: 'unknown-covariate',
    problem: `the fit has no covariate ${name}.`,
    expected: `names out of ${fit.hazardRatios.map((one) => one.name).join(', ')}.`,
    mend: 'name a column of the fit, with name=level for a category.',
  })
}
