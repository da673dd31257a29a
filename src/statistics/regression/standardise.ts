import { NumericalError } from '../../core/errors.js'
import { choleskyFactor, multiply, solveFactored } from '../numeric/matrix.js'
import type { DesignMatrix } from './design.js'

/** Name of the constant term in every result. */
export const interceptName = 'intercept'

/**
 * Design matrix with its columns centred (where there is an intercept to take up the shift) and scaled, so that
 * Newton steps are well conditioned whatever the units; the intercept is column 0.
 */
export interface StandardisedDesign {
  readonly names: readonly string[]
  readonly rows: number
  readonly width: number
  /** Row-major, rows × width. */
  readonly values: Float64Array
  /** Row-major width × width: coefficients in the units of the input = map · standardised coefficients. */
  readonly map: Float64Array
}

/** Share of its own variance that a column must keep beside the others. */
const rankTolerance = 1e-10

/**
 * Centres and scales the columns of a design and refuses those that carry no information of their own.
 *
 * @param weights rows of weight 0 do not count; default all 1
 * @param options.centred default true; where false columns are scaled only
 * @param options.checkRank default true; where false collinear columns are left to the caller
 * @throws NumericalError `constant-covariate`, `collinear-covariate`, each by name
 */
export function standardiseDesign(
  design: DesignMatrix,
  intercept: boolean,
  weights?: Float64Array,
  options: { readonly centred?: boolean; readonly checkRank?: boolean } = {},
): StandardisedDesign {
  const { centred = true, checkRank = true } = options
  const lead = intercept ? 1 : 0
  const width = design.names.length + lead
  const values = new Float64Array(design.rows * width)
  const map = new Float64Array(width * width)
  if (intercept) map[0] = 1
  for (let j = 0; j < design.names.length; j++) {
    const { centre, scale } = columnScale(design, j, intercept && centred, weights)
    if (scale === 0) throw constantCovariate(design.names[j]!)
    for (let row = 0; row < design.rows; row++) {
      values[row * width + j + lead] = (design.values[row * design.names.length + j]! - centre) / scale
    }
    map[(j + lead) * width + j + lead] = 1 / scale
    if (intercept) map[j + lead] = -centre / scale
  }
  if (intercept) for (let row = 0; row < design.rows; row++) values[row * width] = 1
  const names = intercept ? [interceptName, ...design.names] : design.names
  const standardised = { names, rows: design.rows, width, values, map }
  if (checkRank) requireFullRank(standardised, weights)
  return standardised
}

/** Coefficients in the units of the input. */
export function inInputUnits(design: StandardisedDesign, coefficients: Float64Array): Float64Array {
  return multiply(design.map, coefficients, design.width, design.width, 1)
}

/** Covariance matrix of the coefficients in the units of the input. */
export function covarianceInInputUnits(
  map: Float64Array,
  covariance: Float64Array,
  width: number,
): Float64Array {
  const transposed = new Float64Array(width * width)
  for (let i = 0; i < width; i++)
    for (let j = 0; j < width; j++) transposed[i * width + j] = map[j * width + i]!
  return multiply(multiply(map, covariance, width, width, width), transposed, width, width, width)
}

/** Adds factor · x xᵀ of one row to the upper triangle of a row-major matrix. */
export function addOuterProduct(
  matrix: Float64Array,
  values: Float64Array,
  start: number,
  width: number,
  factor: number,
): void {
  for (let i = 0; i < width; i++) {
    const scaled = factor * values[start + i]!
    if (scaled === 0) continue
    for (let j = i; j < width; j++) matrix[i * width + j]! += scaled * values[start + j]!
  }
}

/** Copies the upper triangle of a row-major matrix to the lower one. */
export function mirrorUpper(matrix: Float64Array, width: number): Float64Array {
  for (let i = 0; i < width; i++) for (let j = 0; j < i; j++) matrix[i * width + j] = matrix[j * width + i]!
  return matrix
}

/** Centre and root mean square about it; the scale is 0 where the column never changes. */
function columnScale(
  design: DesignMatrix,
  column: number,
  centred: boolean,
  weights?: Float64Array,
): { readonly centre: number; readonly scale: number } {
  const width = design.names.length
  let count = 0
  let sum = 0
  let least = Number.POSITIVE_INFINITY
  let most = Number.NEGATIVE_INFINITY
  for (let row = 0; row < design.rows; row++) {
    if (weights !== undefined && weights[row] === 0) continue
    const value = design.values[row * width + column]!
    count++
    sum += value
    if (value < least) least = value
    if (value > most) most = value
  }
  if (count === 0 || (least === most && (centred || least === 0))) return { centre: 0, scale: 0 }
  const centre = centred ? sum / count : 0
  let squares = 0
  for (let row = 0; row < design.rows; row++) {
    if (weights !== undefined && weights[row] === 0) continue
    squares += (design.values[row * width + column]! - centre) ** 2
  }
  const scale = Math.sqrt(squares / count)
  return { centre, scale: scale > 1e-13 * Math.abs(centre) ? scale : 0 }
}

function requireFullRank(design: StandardisedDesign, weights?: Float64Array): void {
  const { width, rows, values, names } = design
  const products = new Float64Array(width * width)
  for (let row = 0; row < rows; row++) {
    if (weights === undefined || weights[row] !== 0) addOuterProduct(products, values, row * width, width, 1)
  }
  mirrorUpper(products, width)
  const factor = choleskyFactor(products, width, rankTolerance)
  const dependent = factor.dependent[0]
  if (dependent === undefined) return
  const right = Float64Array.from({ length: width }, (_, i) =>
    i < dependent ? products[i * width + dependent]! : 0,
  )
  const leading = products.map((value, i) =>
    i % width < dependent && Math.floor(i / width) < dependent ? value : 0,
  )
  const shares = solveFactored(choleskyFactor(leading, width, rankTolerance), right)
  const others = names.filter((name, i) => Math.abs(shares[i]!) > 1e-6 && name !== interceptName)
  if (others.length === 0) throw constantCovariate(names[dependent]!)
  throw collinearCovariate(names[dependent]!, others)
}

/** Refusal of a covariate that never changes. */
export function constantCovariate(name: string): NumericalError {
  return new NumericalError({
    code: 'constant-covariate',
    problem: `covariate ${name} has the same value in every row that counts.`,
    expected: 'a covariate that differs between rows.',
    mend: `leave ${name} out of the model.`,
  })
}

/** Refusal of a covariate that the others fix. */
export function collinearCovariate(name: string, others: readonly string[]): NumericalError {
  return new NumericalError({
    code: 'collinear-covariate',
    problem: `covariate ${name} is fixed by ${others.join(', ')}: it adds nothing of its own.`,
    expected: 'covariates of which none is a sum of multiples of the others.',
    mend: `leave out ${name} or one of ${others.join(', ')}, or merge sparse levels.`,
  })
}
