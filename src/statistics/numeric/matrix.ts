/**
 * Symmetric positive definite systems of small size, row-major in Float64Array. The factor is pivot-checked column
 * by column, so that a caller can name the covariate that depends on those before it.
 */

/** Cholesky factor L (row-major, lower triangle) with the columns found dependent on earlier ones. */
export interface CholeskyFactor {
  readonly size: number
  readonly lower: Float64Array
  /** Indices of columns whose pivot vanished against their own diagonal: collinear, constant or empty. */
  readonly dependent: readonly number[]
}

/**
 * Factors a symmetric matrix as L·Lᵀ.
 *
 * @param matrix row-major, size × size; unchanged
 * @param tolerance share of its own diagonal below which a pivot counts as zero; default 1e-11
 */
export function choleskyFactor(matrix: Float64Array, size: number, tolerance = 1e-11): CholeskyFactor {
  const lower = new Float64Array(size * size)
  const dependent: number[] = []
  for (let j = 0; j < size; j++) {
    const diagonal = matrix[j * size + j]!
    let pivot = diagonal
    for (let k = 0; k < j; k++) pivot -= lower[j * size + k]! ** 2
    if (!(pivot > tolerance * Math.abs(diagonal)) || !(pivot > 0)) {
      dependent.push(j)
      continue
    }
    const root = Math.sqrt(pivot)
    lower[j * size + j] = root
    for (let i = j + 1; i < size; i++) {
      lower[i * size + j] = lessProducts(matrix[i * size + j]!, lower, i * size, j * size, j) / root
    }
  }
  return { size, lower, dependent }
}

/** A number less the products of the first entries of two rows. */
function lessProducts(from: number, lower: Float64Array, row: number, other: number, count: number): number {
  let rest = from
  for (let k = 0; k < count; k++) rest -= lower[row + k]! * lower[other + k]!
  return rest
}

/** Solves A x = b from the factor of A; entries of dependent columns come out as 0. */
export function solveFactored(factor: CholeskyFactor, right: ArrayLike<number>): Float64Array {
  const { size, lower } = factor
  const solution = Float64Array.from(right)
  for (let i = 0; i < size; i++) {
    const pivot = lower[i * size + i]!
    let sum = solution[i]!
    for (let k = 0; k < i; k++) sum -= lower[i * size + k]! * solution[k]!
    solution[i] = pivot === 0 ? 0 : sum / pivot
  }
  for (let i = size - 1; i >= 0; i--) {
    const pivot = lower[i * size + i]!
    let sum = solution[i]!
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i]! * solution[k]!
    solution[i] = pivot === 0 ? 0 : sum / pivot
  }
  return solution
}

/** Inverse of A from its factor, row-major; rows and columns of dependent columns come out as 0. */
export function invertFactored(factor: CholeskyFactor): Float64Array {
  const { size } = factor
  const inverse = new Float64Array(size * size)
  const unit = new Float64Array(size)
  for (let j = 0; j < size; j++) {
    if (factor.dependent.includes(j)) continue
    unit.fill(0)
    unit[j] = 1
    const column = solveFactored(factor, unit)
    for (let i = 0; i < size; i++) inverse[i * size + j] = column[i]!
  }
  return inverse
}

/** Logarithm of the determinant of A from its factor, over the columns that are not dependent. */
export function logDeterminantFactored(factor: CholeskyFactor): number {
  let sum = 0
  for (let j = 0; j < factor.size; j++) {
    const pivot = factor.lower[j * factor.size + j]!
    if (pivot > 0) sum += 2 * Math.log(pivot)
  }
  return sum
}

/** Quadratic form xᵀ A x of a row-major matrix. */
export function quadraticForm(matrix: Float64Array, x: ArrayLike<number>): number {
  const size = x.length
  let sum = 0
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) sum += x[i]! * matrix[i * size + j]! * x[j]!
  return sum
}

/** Product of two row-major matrices, rows × inner and inner × columns. */
export function multiply(
  left: Float64Array,
  right: Float64Array,
  rows: number,
  inner: number,
  columns: number,
): Float64Array {
  const product = new Float64Array(rows * columns)
  for (let i = 0; i < rows; i++) {
    for (let k = 0; k < inner; k++) {
      const factor = left[i * inner + k]!
      if (factor === 0) continue
      for (let j = 0; j < columns; j++) product[i * columns + j]! += factor * right[k * columns + j]!
    }
  }
  return product
}

/** Sandwich bread · meat · bread of symmetric row-major matrices. */
export function sandwich(bread: Float64Array, meat: Float64Array, size: number): Float64Array {
  return multiply(multiply(bread, meat, size, size, size), bread, size, size, size)
}

/** A row-major matrix as frozen rows, for results. */
export function matrixRows(matrix: Float64Array, columns: number): readonly (readonly number[])[] {
  const rows: (readonly number[])[] = []
  for (let start = 0; start < matrix.length; start += columns) {
    rows.push(Object.freeze(Array.from(matrix.subarray(start, start + columns))))
  }
  return Object.freeze(rows)
}
