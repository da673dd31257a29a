import { Matrix, QrDecomposition } from 'ml-matrix'
import { NumericalError } from '../../core/errors.js'
import {
  type Interval,
  isNumber,
  notEstimable,
  type Quantity,
  quantityOf,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
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
import { addProduct, type UnevaluatedSum } from '../numeric/compensated.js'
import { fUpperTail } from '../numeric/distributions.js'
import { sandwich } from '../numeric/matrix.js'
import { clusterWarnings, fewClusters } from './clusters.js'
import { type RegressionCoefficient, waldCoefficient } from './coefficients.js'
import { type Covariates, type DesignMatrix, type DesignOptions, expandCovariates } from './design.js'
import { clusterProducts, type SmallSampleFactor, smallSampleFactor } from './fitVariance.js'
import {
  collinearCovariate,
  constantCovariate,
  covarianceInInputUnits,
  inInputUnits,
  interceptName,
  mirrorUpper,
  type StandardisedDesign,
  standardiseDesign,
} from './standardise.js'

/** Solution of a linear least-squares problem in the units of the input. */
export interface LeastSquaresSolution {
  readonly standardised: StandardisedDesign
  readonly coefficients: Float64Array
  /** Response less fit. */
  readonly residuals: Float64Array
  /** Inverse cross-product of the standardised design, row-major. */
  readonly inverse: Float64Array
}

/** Share of a column's length that must stand apart from the columns before it. */
const rankTolerance = 1e-12

/**
 * Solves linear least squares by Householder's triangularisation of the centred and scaled columns (Golub 1965),
 * then refines the coefficients on residuals taken in twice the working precision.
 *
 * @param roots root of the weight of every row; default all 1
 * @throws NumericalError `constant-covariate`, `collinear-covariate`
 */
function solveLeastSquares(
  design: DesignMatrix,
  response: Float64Array,
  intercept: boolean,
  roots?: Float64Array,
): LeastSquaresSolution {
  const standardised = standardiseDesign(design, intercept, roots, { checkRank: false })
  const { rows, width, values } = standardised
  const scaled = new Float64Array(rows * width)
  for (let row = 0; row < rows; row++) {
    const root = roots === undefined ? 1 : roots[row]!
    for (let j = 0; j < width; j++) scaled[row * width + j] = values[row * width + j]! * root
  }
  const factors = new QrDecomposition(Matrix.from1DArray(rows, width, scaled))
  const upper = factors.upperTriangularMatrix
  requireRank(upper, standardised)
  let coefficients: Float64Array = new Float64Array(width)
  let left: ExactResiduals = { high: response, low: new Float64Array(rows) }
  for (let round = 0; round < 4; round++) {
    const step =
      round < 2
        ? projection(factors, left, roots)
        : triangularSolution(upper, columnProducts(design, standardised, intercept, left, roots))
    const moved = inInputUnits(standardised, step)
    coefficients = coefficients.map((value, j) => value + moved[j]!)
    left = residualsOf(design, response, intercept, coefficients)
  }
  const inverse = inverseOfProducts(upper, width)
  return { standardised, coefficients, residuals: left.high, inverse }
}

/** Residuals as their rounded values and what the rounding left over. */
interface ExactResiduals {
  readonly high: Float64Array
  readonly low: Float64Array
}

/** Response less fit, in twice the working precision. */
function residualsOf(
  design: DesignMatrix,
  response: Float64Array,
  intercept: boolean,
  coefficients: Float64Array,
): ExactResiduals {
  const width = design.names.length
  const lead = intercept ? 1 : 0
  const high = new Float64Array(response.length)
  const low = new Float64Array(response.length)
  const sum: UnevaluatedSum = { high: 0, low: 0 }
  for (let row = 0; row < response.length; row++) {
    sum.high = response[row]!
    sum.low = 0
    if (intercept) addProduct(sum, -coefficients[0]!, 1)
    for (let j = 0; j < width; j++) addProduct(sum, -coefficients[j + lead]!, design.values[row * width + j]!)
    high[row] = sum.high + sum.low
    low[row] = sum.high - high[row]! + sum.low
  }
  return { high, low }
}

/** Standardised coefficients that fit the residuals, by the orthogonal factor. */
function projection(factors: QrDecomposition, left: ExactResiduals, roots?: Float64Array): Float64Array {
  const right = left.high.map((residual, row) => residual * (roots === undefined ? 1 : roots[row]!))
  return Float64Array.from(factors.solve(Matrix.columnVector(right)).to1DArray())
}

/**
 * Products of the residuals with the columns, which the solution makes 0, in standardised columns. Through the normal
 * equations of the triangular factor (Björck 1987) they mend what rounding of large residuals did to the projection.
 */
function columnProducts(
  design: DesignMatrix,
  standardised: StandardisedDesign,
  intercept: boolean,
  left: ExactResiduals,
  roots?: Float64Array,
): Float64Array {
  const { width, rows, map } = standardised
  const columns = design.names.length
  const products = new Float64Array(width)
  for (let j = 0; j < width; j++) {
    const sum: UnevaluatedSum = { high: 0, low: 0 }
    const column = intercept ? j - 1 : j
    for (let row = 0; row < rows; row++) {
      const x = column < 0 ? 1 : design.values[row * columns + column]!
      const weighted = roots === undefined ? x : x * roots[row]! ** 2
      addProduct(sum, left.high[row]!, weighted)
      sum.low += left.low[row]! * weighted
    }
    products[j] = sum.high + sum.low
  }
  const right = new Float64Array(width)
  for (let i = 0; i < width; i++)
    for (let j = 0; j < width; j++) right[j]! += map[i * width + j]! * products[i]!
  return right
}

/** Solves RᵀR x = right. */
function triangularSolution(upper: Matrix, right: Float64Array): Float64Array {
  const width = right.length
  const solution = Float64Array.from(right)
  for (let i = 0; i < width; i++) {
    for (let k = 0; k < i; k++) solution[i]! -= upper.get(k, i) * solution[k]!
    solution[i]! /= upper.get(i, i)
  }
  for (let i = width - 1; i >= 0; i--) {
    for (let k = i + 1; k < width; k++) solution[i]! -= upper.get(i, k) * solution[k]!
    solution[i]! /= upper.get(i, i)
  }
  return solution
}

/** (RᵀR)⁻¹ by back substitution. */
function inverseOfProducts(upper: Matrix, width: number): Float64Array {
  const inverse = new Float64Array(width * width)
  for (let j = 0; j < width; j++) {
    for (let i = j; i >= 0; i--) {
      let sum = i === j ? 1 : 0
      for (let k = i + 1; k <= j; k++) sum -= upper.get(i, k) * inverse[k * width + j]!
      inverse[i * width + j] = sum / upper.get(i, i)
    }
  }
  const products = new Float64Array(width * width)
  for (let a = 0; a < width; a++) {
    for (let b = 0; b < width; b++) {
      let sum = 0
      for (let k = Math.max(a, b); k < width; k++) sum += inverse[a * width + k]! * inverse[b * width + k]!
      products[a * width + b] = sum
    }
  }
  return products
}

/** Refuses a column that the ones before it fix, and names those that do. */
function requireRank(upper: Matrix, design: StandardisedDesign): void {
  const { names, width, rows } = design
  for (let j = 0; j < width; j++) {
    let length = 0
    for (let i = 0; i <= j && i < rows; i++) length += upper.get(i, j) ** 2
    const own = j < rows ? Math.abs(upper.get(j, j)) : 0
    if (own > rankTolerance * Math.sqrt(length)) continue
    const shares = new Float64Array(Math.min(j, rows))
    for (let i = shares.length - 1; i >= 0; i--) {
      let sum = upper.get(i, j)
      for (let k = i + 1; k < shares.length; k++) sum -= upper.get(i, k) * shares[k]!
      shares[i] = sum / upper.get(i, i)
    }
    const others = names.filter((name, i) => Math.abs(shares[i] ?? 0) > 1e-6 && name !== interceptName)
    throw others.length === 0 ? constantCovariate(names[j]!) : collinearCovariate(names[j]!, others)
  }
}

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
  readonly method: MethodName
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
    const reason = groups?.count === 1 && variance === 'robust' ? 'one-cluster' : noSpare
    const reference = { level, degreesOfFreedom: degreesOf(variance, groups, spare) }
    return deepFreeze({
      coefficients: names.map((name, j) => {
        const error = Math.sqrt(covariance[j * width + j]!)
        return plainCoefficient(waldCoefficient(name, solution.coefficients[j]!, error, reference, reason))
      }),
      covariance: names.map((_, i) => names.map((_, j) => quantityOf(covariance[i * width + j]!, reason))),
      residualStandardDeviation: quantityOf(Math.sqrt(residualVariance), noSpare),
      rSquared: quantityOf(1 - squares.residual / squares.total, 'response-does-not-vary'),
      regressionSumOfSquares: squares.total - squares.residual,
      residualSumOfSquares: squares.residual,
      residualDegreesOfFreedom: spare,
      ...overallTest(squares, width - (intercept ? 1 : 0), spare),
      fittedMeans: Array.from(y, (value, row) => value - solution.residuals[row]!),
      residuals: Array.from(solution.residuals),
      level,
      method: methodOf('linear-regression', 'least-squares', `${variance}-variance`),
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

const noSpare = 'no-more-rows-than-coefficients'

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
  const reason = slopes === 0 ? 'no-covariate' : spare > 0 ? 'response-does-not-vary' : noSpare
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
  return [warning('perfect-fit')]
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'there is no row to fit.',
    expected: 'at least one row.',
    mend: 'check the selection that led to these columns.',
  })
}
