import { EigenvalueDecomposition, Matrix } from 'ml-matrix'
import { addOuterProduct, mirrorUpper } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** A direction in which the likelihood only ever rises, and the rows that it carries to their boundary. */
export interface Recession {
  /** Standardised coefficients; every row is moved towards its response or not at all. */
  readonly direction: Float64Array
  /** 1 for each row whose fitted mean reaches its response in the limit. */
  readonly rows: Uint8Array
}

/** Movement of a linear predictor below which a row counts as standing still. */
const stillness = 0.05

/**
 * Checks whether a Newton step is, but for rounding, a direction of recession. Under separation the steps never die
 * down but settle at a movement of about 1 in the linear predictor of the separated rows; the step is projected on
 * the directions that leave all other rows exactly where they are, and must then move every separated row towards
 * its response. That is a proof of separation (Albert and Anderson 1984 for the logit; Correia, Guimarães and
 * Zylkin 2019 for counts), not a guess from the size of a coefficient.
 */
export function recessionAlong(problem: WorkingProblem, step: Float64Array): Recession | undefined {
  const { design } = problem
  const rows = new Uint8Array(design.rows)
  let found = false
  for (let row = 0; row < design.rows; row++) {
    if (problem.weights[row] === 0) continue
    const towards = movement(problem, row, step)
    if (towards === undefined || towards < -stillness) return undefined
    if (towards > stillness) {
      rows[row] = 1
      found = true
    }
  }
  if (!found) return undefined
  const direction = projected(step, nullSpace(rowProducts(problem, rows), design.width))
  return confirmed(problem, direction, rows) ? { direction, rows } : undefined
}

/** Cross-product of the design over the rows that count and are not among those left out. */
export function rowProducts(problem: WorkingProblem, leftOut: Uint8Array): Float64Array {
  const { design, weights } = problem
  const products = new Float64Array(design.width ** 2)
  for (let row = 0; row < design.rows; row++) {
    if (weights[row] === 0 || leftOut[row] === 1) continue
    addOuterProduct(products, design.values, row * design.width, design.width, 1)
  }
  return mirrorUpper(products, design.width)
}

/** Orthonormal vectors that a cross-product sends to nothing. */
export function nullSpace(products: Float64Array, width: number): readonly Float64Array[] {
  const decomposition = new EigenvalueDecomposition(Matrix.from1DArray(width, width, products), {
    assumeSymmetric: true,
  })
  const values = decomposition.realEigenvalues
  const largest = Math.max(...values)
  return values.flatMap((value, k) =>
    value <= 1e-11 * largest ? [Float64Array.from(decomposition.eigenvectorMatrix.getColumn(k))] : [],
  )
}

/** Movement of a row towards its boundary; undefined where a row inside the range would move. */
function movement(problem: WorkingProblem, row: number, step: Float64Array): number | undefined {
  const { design, family, response } = problem
  let move = 0
  for (let j = 0; j < design.width; j++) move += design.values[row * design.width + j]! * step[j]!
  if (response[row] === family.boundary.below) return -move
  if (response[row] === family.boundary.above) return move
  return Math.abs(move) > stillness ? undefined : 0
}

function projected(step: Float64Array, basis: readonly Float64Array[]): Float64Array {
  const direction = new Float64Array(step.length)
  for (const vector of basis) {
    let share = 0
    for (let j = 0; j < step.length; j++) share += vector[j]! * step[j]!
    for (let j = 0; j < step.length; j++) direction[j]! += share * vector[j]!
  }
  return direction
}

function confirmed(problem: WorkingProblem, direction: Float64Array, rows: Uint8Array): boolean {
  if (direction.every((part) => part === 0)) return false
  return rows.every((separated, row) => {
    if (separated === 0) return true
    const towards = movement(problem, row, direction)
    return towards !== undefined && towards > stillness / 10
  })
}
