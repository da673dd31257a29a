import { NumericalError } from '../../core/errors.js'
import type { Interval, Quantity, Warning } from '../../core/estimate.js'
import { isNumber, notEstimable, quantityOf, warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesAsSeen } from '../kernel/codes.js'
import {
  asDoubles,
  compensatedSum,
  type NumberColumn,
  requireFinite,
  requireLevel,
  requireNonNegative,
  requireSameLength,
} from '../numeric/columns.js'
import { fUpperTail } from '../numeric/distributions.js'
import { sandwich } from '../numeric/matrix.js'
import { clusterWarnings, fewClusters } from './clusters.js'
import { type RegressionCoefficient, waldCoefficient } from './coefficients.js'
import { type Covariates, type DesignOptions, expandCovariates } from './design.js'
import { clusterProducts, type SmallSampleFactor, smallSampleFactor } from './fitVariance.js'
import { type LeastSquaresSolution, solveLeastSquares } from './leastSquares.js'
import { covarianceInInputUnits, mirrorUpper } from './standardise.js'

/** One coefficient of a linear regression, in units of the response. */
export type LinearCoefficient = Omit<RegressionCoefficient, 'ratio' | 'ratioInterval'>

/** Options of {@link linearRegression}. */
export interface LinearOptions extends DesignOptions {
  /** Patient of every row; the variance is then robust over patients. Default: rows independent. */
  readonly cluster?: CodeColumn
  /** `model`: one residual variance for all rows. `robust`: sandwich. Default: `robust` where clusters are given. */
  readonly variance?: 'model' | 'robust'
  /** Factor on the robust variance; default `none`. */
  readonly smallSample?: SmallSampleFactor
  /** Inverse variances of the rows up to a factor; default 1. */
  readonly weights?: NumberColumn
  /** Whether the model has a constant term; default true. */
  readonly intercept?: boolean
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** What a linear regression answers. */
export interface LinearFit {
  readonly coefficients: readonly LinearCoefficient[]
  readonly covariance: readonly (readonly Quantity[])[]
  readonly residualStandardDeviation: Quantity
  /** Share of the squares about the mean (about 0 without a constant) that the fit takes up. */
  readonly rSquared: Quantity
  readonly regressionSumOfSquares: number
  readonly residualSumOfSquares: number
  readonly regressionDegreesOfFreedom: number
  readonly residualDegreesOfFreedom: number
  readonly fStatistic: Quantity
  readonly fPValue: Quantity
  readonly fittedMeans: readonly number[]
  readonly residuals: readonly number[]
  readonly level: number
  readonly method: string
  readonly n: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Estimates the coefficients of a linear model by least squares.
 *
 * @param response measured values, in their own unit
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param options clusters, variance, smallSample, weights, intercept, interactions, baselines, level; see
 *   {@link LinearOptions} for their defaults
 * @returns coefficients with Student's t intervals on the residual degrees of freedom (robust: normal, or t on
 *   clusters − 1 below 30 clusters)
 * @throws NumericalError `not-finite`, `unequal-length`, `constant-covariate`, `collinear-covariate`,
 *   `single-level`, `missing-level`, `no-rows`
 * @see Golub (1965) for the triangularisation; checked against the NIST Statistical Reference Datasets
 * @example linearRegression([1, 3, 5, 7], { x: [0, 1, 2, 3] }).coefficients[1].estimate // => 2
 */
export const linearRegression = checked(
  'linearRegression',
  (response: NumberColumn, covariates: Covariates, options: LinearOptions = {}): LinearFit => {
    const { level = 0.95, intercept = true, cluster: clusters, weights } = options
    requireLevel(level)
    const rows = requireSameLength({ response, clusters, weights })
    if (rows === 0) throw noRows()
    requireFinite('response', response)
    if (weights !== undefined) requireNonNegative('weights', weights)
    const y = asDoubles(response)
    const roots = weights === undefined ? undefined : asDoubles(weights).map(Math.sqrt)
    const solution = solveLeastSquares(expandCovariates(covariates, rows, options), y, intercept, roots)
    const groups = clusters === undefined ? undefined : codesAsSeen('cluster', clusters)
    const squares = sumsOfSquares(y, solution.residuals, intercept, weights)
    const { width, names } = solution.standardised
    const spare = rows - width
    const residualVariance = spare > 0 ? squares.residual / spare : Number.NaN
    const variance = options.variance ?? (groups === undefined ? 'model' : 'robust')
    const covariance =
      variance === 'model'
        ? covarianceInInputUnits(solution.standardised.map, solution.inverse, width).map(
            (v) => v * residualVariance,
          )
        : robustCovariance(solution, groups, weights, options.smallSample ?? 'none')
    const reason = groups?.count === 1 && variance === 'robust' ? 'all rows belong to one cluster.' : noSpare
    const reference = { level, degreesOfFreedom: degreesOf(variance, groups, spare) }
    return deepFreeze({
      coefficients: names.map((name, j) => {
        const error = Math.sqrt(covariance[j * width + j]!)
        return plainCoefficient(waldCoefficient(name, solution.coefficients[j]!, error, reference, reason))
      }),
      covariance: names.map((_, i) => names.map((_, j) => quantityOf(covariance[i * width + j]!, reason))),
      residualStandardDeviation: quantityOf(Math.sqrt(residualVariance), noSpare),
      rSquared: quantityOf(1 - squares.residual / squares.total, 'the response never changes.'),
      regressionSumOfSquares: squares.total - squares.residual,
      residualSumOfSquares: squares.residual,
      residualDegreesOfFreedom: spare,
      ...overallTest(squares, width - (intercept ? 1 : 0), spare),
      fittedMeans: Array.from(y, (value, row) => value - solution.residuals[row]!),
      residuals: Array.from(solution.residuals),
      level,
      method: `linear regression, least squares, ${variance} variance`,
      n: rows,
      clusters: groups?.count ?? rows,
      warnings: [
        ...perfectWarnings(squares, rows),
        ...(groups !== undefined && variance === 'robust' ? clusterWarnings(groups.count, width) : []),
      ],
      reference: 'least-squares',
    })
  },
)

const noSpare = 'there are no more rows than coefficients.'

interface Squares {
  readonly total: number
  readonly residual: number
}

function sumsOfSquares(
  y: Float64Array,
  residuals: Float64Array,
  intercept: boolean,
  weights?: NumberColumn,
): Squares {
  const weightOf = (row: number): number => weights?.[row] ?? 1
  const weightSum = weights === undefined ? y.length : compensatedSum(weights)
  const centre = intercept ? compensatedSum(y.map((value, row) => weightOf(row) * value)) / weightSum : 0
  const shift = intercept
    ? compensatedSum(y.map((value, row) => weightOf(row) * (value - centre))) / weightSum
    : 0
  return {
    total: compensatedSum(y.map((value, row) => weightOf(row) * (value - centre - shift) ** 2)),
    residual: compensatedSum(residuals.map((value, row) => weightOf(row) * value ** 2)),
  }
}

function overallTest(
  squares: Squares,
  slopes: number,
  spare: number,
): Pick<LinearFit, 'regressionDegreesOfFreedom' | 'fStatistic' | 'fPValue'> {
  const statistic = (squares.total - squares.residual) / slopes / (squares.residual / spare)
  const reason = slopes === 0 ? 'there is no covariate.' : spare > 0 ? 'the response never changes.' : noSpare
  const fStatistic = slopes > 0 && spare > 0 ? quantityOf(statistic, reason) : notEstimable(reason)
  return {
    regressionDegreesOfFreedom: slopes,
    fStatistic,
    fPValue: isNumber(fStatistic) ? fUpperTail(fStatistic, slopes, spare) : notEstimable(reason),
  }
}

function robustCovariance(
  solution: LeastSquaresSolution,
  groups: Codes | undefined,
  weights: NumberColumn | undefined,
  form: SmallSampleFactor,
): Float64Array {
  const { width, rows, values, map } = solution.standardised
  const count = groups?.count ?? rows
  if (count < 2) return new Float64Array(width * width).fill(Number.NaN)
  const scores = new Float64Array(count * width)
  for (let row = 0; row < rows; row++) {
    const into = (groups?.codes[row] ?? row) * width
    const score = (weights?.[row] ?? 1) * solution.residuals[row]!
    for (let j = 0; j < width; j++) scores[into + j]! += score * values[row * width + j]!
  }
  const meat = mirrorUpper(clusterProducts(scores, width), width)
  const factor = smallSampleFactor(form, count, rows, width)
  return covarianceInInputUnits(map, sandwich(solution.inverse, meat, width), width).map((v) => v * factor)
}

function degreesOf(variance: string, groups: Codes | undefined, spare: number): number {
  if (variance === 'model') return spare
  return groups !== undefined && groups.count < fewClusters ? groups.count - 1 : Number.POSITIVE_INFINITY
}

function plainCoefficient(coefficient: RegressionCoefficient): LinearCoefficient {
  const { name, estimate, standardError, statistic, pValue } = coefficient
  const interval: Interval = coefficient.interval
  return { name, estimate, standardError, interval, statistic, pValue }
}

function perfectWarnings(squares: Squares, rows: number): readonly Warning[] {
  if (squares.residual > rows * Number.EPSILON ** 2 * squares.total) return []
  const text = 'The fit is perfect to within rounding: standard errors and tests mean nothing.'
  return [warning('perfect-fit', text)]
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'there is no row to fit.',
    expected: 'at least one row.',
    mend: 'check the selection that led to these columns.',
  })
}
