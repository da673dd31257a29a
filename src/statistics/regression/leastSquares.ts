import { Matrix, QrDecomposition } from 'ml-matrix'
import { addProduct, type UnevaluatedSum } from '../numeric/compensated.js'
import type { DesignMatrix } from './design.js'
import {
  collinearCovariate,
  constantCovariate,
  inInputUnits,
  interceptName,
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
export function solveLeastSquares(
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
