import { allRows, takenRows } from '../../core/columns.js'
import type { RandomStream } from '../../core/random.js'
import { addRow, addRowProducts, cellProduct, type FilledCells } from '../numeric/filledCells.js'
import { type CholeskyFactor, choleskyFactor, solveFactored } from '../numeric/matrix.js'
import { mirrorUpper } from '../regression/standardise.js'
import { spreadOut } from './predictors.js'

/** Rows of a table of predictors, of which some take part in a model. */
export interface ModelRows {
  readonly cells: FilledCells
  readonly rows: Int32Array
  /** Positions of the predictors that take part, ascending. */
  readonly predictors: Int32Array
  /** Predictors of the table. */
  readonly width: number
}

/** A linear model of the observed values with one draw of its parameters. */
export interface LinearDraw {
  /** Coefficients by predictor of the table, 0 for those that take no part. */
  readonly estimate: Float64Array
  /** Coefficients drawn from their posterior. */
  readonly drawn: Float64Array
  /** Residual standard deviation drawn from its posterior. */
  readonly spread: number
}

/** Share of each predictor's own square that is added to it, so that collinear predictors can be solved. */
const ridge = 1e-6

/** Products of all predictors with each other, lower triangle, and with the values. */
interface CrossProducts {
  readonly sums: Float64Array
  readonly bySide: Float64Array
}

/** What the rows bring in which no predictor is ever filled in: the same in every round of every chain. */
export interface SteadyProducts extends CrossProducts {
  /** Positions, among the rows of the model, of all others. */
  readonly others: Int32Array
}

/** @param changes rows of the table in which some predictor is filled in */
export function steadyProducts(
  model: ModelRows,
  y: Float64Array,
  changes: ReadonlySet<number>,
): SteadyProducts {
  const positions = Int32Array.from(model.rows.keys())
  const products = { sums: new Float64Array(model.width ** 2), bySide: new Float64Array(model.width) }
  const steady = positions.filter((i) => !changes.has(model.rows[i]!))
  addProducts(products, model, y, steady)
  return { ...products, others: positions.filter((i) => changes.has(model.rows[i]!)) }
}

/**
 * Draws the parameters of a linear model under the usual flat prior (Rubin 1987, example 5.1).
 *
 * @param steady products of the rows that do not change, by {@link steadyProducts}
 */
export function drawLinear(
  model: ModelRows,
  y: Float64Array,
  steady: SteadyProducts,
  random: RandomStream,
): LinearDraw {
  const { cells, rows, predictors, width: all } = model
  const sums = steady.sums.slice()
  const bySide = steady.bySide.slice()
  addProducts({ sums, bySide }, model, y, steady.others)
  const width = predictors.length
  const products = new Float64Array(width * width)
  for (let i = 0; i < width; i++) {
    for (let j = i; j < width; j++) products[i * width + j] = sums[predictors[j]! * all + predictors[i]!]!
  }
  for (let j = 0; j < width; j++) products[j * width + j]! += ridge * (products[j * width + j]! + 1)
  const factor = choleskyFactor(mirrorUpper(products, width), width)
  const estimate = solveFactored(factor, takenRows(bySide, predictors))
  const everywhere = spreadOut(estimate, predictors, all)
  let squares = 0
  for (let i = 0; i < y.length; i++) squares += (y[i]! - cellProduct(cells, rows[i]!, everywhere)) ** 2
  const degrees = Math.max(1, y.length - width)
  const spread = Math.sqrt(squares / (2 * random.gamma(degrees / 2)))
  const drawn = perturbed(estimate, factor, spread, random)
  return { estimate: everywhere, drawn: spreadOut(drawn, predictors, all), spread }
}

function addProducts(
  { sums, bySide }: CrossProducts,
  { cells, rows, width }: ModelRows,
  y: Float64Array,
  positions: Int32Array,
): void {
  for (const i of positions) {
    addRow(bySide, cells, rows[i]!, y[i]!)
    addRowProducts(sums, width, cells, rows[i]!, 1)
  }
}

/** Value drawn for each missing row from the linear model. */
export function normalDraws(
  { cells, rows }: ModelRows,
  draw: LinearDraw,
  random: RandomStream,
): Float64Array {
  return Float64Array.from(rows, (row) => cellProduct(cells, row, draw.drawn) + draw.spread * random.normal())
}

/**
 * Predictive mean matching: the observed value of one of the donors whose predicted means, at the estimated
 * coefficients, lie nearest to that of the missing row at the drawn ones (Little 1988; Van Buuren 2018, type 1).
 */
export function matchedDraws(
  observed: ModelRows,
  observedY: Float64Array,
  missing: ModelRows,
  draw: LinearDraw,
  donors: number,
  random: RandomStream,
): Float64Array {
  const count = observedY.length
  const predicted = new Float64Array(count)
  for (let row = 0; row < count; row++)
    predicted[row] = cellProduct(observed.cells, observed.rows[row]!, draw.estimate)
  const order = orderByValue(predicted, random)
  const sorted = new Float64Array(count)
  for (let i = 0; i < count; i++) sorted[i] = predicted[order[i]!]!
  const taken = Math.min(donors, count)
  const values = new Float64Array(missing.rows.length)
  for (let row = 0; row < values.length; row++) {
    const first = nearestWindow(sorted, cellProduct(missing.cells, missing.rows[row]!, draw.drawn), taken)
    values[row] = observedY[order[first + random.index(taken)]!]!
  }
  return values
}

/** Estimate plus a normal draw with the inverse of the factored matrix times spread² as covariance. */
export function perturbed(
  estimate: Float64Array,
  factor: CholeskyFactor,
  spread: number,
  random: RandomStream,
): Float64Array {
  const { size, lower } = factor
  const step = Float64Array.from({ length: size }, () => random.normal())
  for (let i = size - 1; i >= 0; i--) {
    const pivot = lower[i * size + i]!
    let sum = step[i]!
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i]! * step[k]!
    step[i] = pivot === 0 ? 0 : sum / pivot
  }
  return estimate.map((value, j) => value + spread * step[j]!)
}

/** Where the run of the given length that lies nearest to the target starts in an ascending list. */
function nearestWindow(sorted: Float64Array, target: number, length: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < target) low = middle + 1
    else high = middle
  }
  let first = low
  for (let taken = 0; taken < length; taken++) {
    const end = first + taken
    const takeBelow =
      first > 0 && (end >= sorted.length || target - sorted[first - 1]! <= sorted[end]! - target)
    if (takeBelow) first--
  }
  return first
}

/**
 * Positions in ascending order of a value, ties in random order. Value and place in a random order are packed into one
 * whole number below 2^52 each, which sorts without a comparison function; values closer than the packing resolves
 * count as ties.
 */
function orderByValue(values: Float64Array, random: RandomStream): Int32Array {
  const count = values.length
  const places = 2 ** Math.ceil(Math.log2(count + 1))
  const order = shuffled(count, random)
  let least = Number.POSITIVE_INFINITY
  let most = Number.NEGATIVE_INFINITY
  for (let i = 0; i < count; i++) {
    if (values[i]! < least) least = values[i]!
    if (values[i]! > most) most = values[i]!
  }
  const steps = (2 ** 52 / places - 1) / (most > least ? most - least : 1)
  const keys = new Float64Array(count)
  for (let i = 0; i < count; i++) keys[i] = Math.floor((values[order[i]!]! - least) * steps) * places + i
  keys.sort()
  const sorted = new Int32Array(count)
  for (let i = 0; i < count; i++) sorted[i] = order[keys[i]! % places]!
  return sorted
}

/** Positions in random order, so that ties among predicted means fall by chance. */
function shuffled(count: number, random: RandomStream): Int32Array {
  const order = allRows(count)
  for (let i = count - 1; i > 0; i--) {
    const other = random.index(i + 1)
    const kept = order[i]!
    order[i] = order[other]!
    order[other] = kept
  }
  return order
}
