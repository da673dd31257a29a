import { takenRows } from '../../core/columns.js'
import type { RandomStream } from '../../core/random.js'
import { type FilledCells, roomForColumns } from '../numeric/filledCells.js'
import { type CholeskyFactor, choleskyFactor, solveFactored } from '../numeric/matrix.js'
import { type ModelRows, perturbed } from './numericDraws.js'
import type { PredictorMoments } from './predictors.js'

/**
 * Multinomial logistic model of a category (two levels: the logistic model), with coefficients by level after the
 * first, drawn from the normal approximation to their posterior.
 *
 * The sums over rows are most of the time that completed tables take. Coefficients stand by predictor, then by level, in
 * blocks of four levels (the last filled up), so that each cell of a row is read once for four levels; every sum still runs
 * over the rows in their order.
 */

/** Rows of a fit, with the moments by which rows are added to them. */
interface CategoryRows extends ModelRows, PredictorMoments {
  /** Level of every row. */
  readonly level: Float64Array
  readonly levels: number
  /** Levels after the first, rounded up to whole blocks. */
  readonly stride: number
  /**
   * Weight of the rows that are added on both sides of the mean of every predictor but the constant, once for every level:
   * they differ from the means in one predictor each.
   */
  readonly addedWeight: number
}

const maximumIterations = 40

/**
 * Twice the log-likelihood that one more step would gain, below which the estimate serves: it then lies
 * within a tenth of a standard error in all, where the draw that follows moves every coefficient by about one.
 */
const closeEnough = 1e-2

/** A step that promises less than this is taken whole where what will be left after it can be foretold. */
const foretold = 1

/** Where a fit may start: an estimate of other rounds with its factored information. */
export interface CategoryStart {
  readonly estimate: Float64Array
  readonly factor: CholeskyFactor
  /** What a step by this information last left of what it had promised. */
  readonly left: number
}

/**
 * Fits the model and draws its coefficients once. Between rounds only the values filled in differ, so that the
 * information of an earlier round serves for the steps and for the draw; it is formed anew where the steps are many. Where
 * it leads is not looked at after a step that leaves close to nothing if it does as well as the last one did.
 *
 * A few rows of small weight are added on both sides of the mean of every predictor, for every level, so that the estimate
 * stays finite where a predictor separates the levels (White, Daniel and Royston 2010).
 *
 * @param start estimate and information to start from: those of the last round
 * @returns the estimate with its information, to start the next round from, and the draw
 */
export function drawCategory(
  model: ModelRows & PredictorMoments,
  level: Float64Array,
  levels: number,
  random: RandomStream,
  start?: CategoryStart,
): CategoryStart & { readonly drawn: Float64Array } {
  const width = model.predictors.length
  const addedWeight = width / (2 * (width - 1) * levels)
  const rows = { ...model, level, levels, stride: strideOf(levels), addedWeight }
  const size = (levels - 1) * width
  let at = start?.estimate ?? new Float64Array(size)
  let point = scoreAt(rows, at)
  let factor = start?.factor ?? choleskyFactor(informationAt(rows, at), size)
  let left = start?.left ?? 1
  let before = Number.NaN
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = solveFactored(factor, point.gradient)
    let promised = 0
    for (let j = 0; j < size; j++) promised += step[j]! * point.gradient[j]!
    if (iteration > 1) left = promised / before
    before = promised
    if (promised < closeEnough) break
    if (promised < foretold && left * promised < closeEnough) {
      at = stepped(at, step, 1)
      break
    }
    const next = improved(rows, at, point.value, step)
    at = next.at
    point = next.point
    if (iteration % 6 === 0) factor = choleskyFactor(informationAt(rows, at), size)
  }
  // The information at the start of a first fit is that of no association, and too poor to draw by.
  if (start === undefined) factor = choleskyFactor(informationAt(rows, at), size)
  return { estimate: at, factor, left, drawn: perturbed(at, factor, 1, random) }
}

/** The whole step, or the first half, quarter … of it that does not lower the likelihood. */
function improved(
  rows: CategoryRows,
  at: Float64Array,
  value: number,
  step: Float64Array,
): { readonly at: Float64Array; readonly point: CategoryScore } {
  let share = 1
  for (;;) {
    const next = stepped(at, step, share)
    const point = scoreAt(rows, next)
    if (point.value >= value - 1e-9 || share < 1e-4) return { at: next, point }
    share /= 2
  }
}

function stepped(at: Float64Array, step: Float64Array, share: number): Float64Array {
  return at.map((value, j) => value + share * step[j]!)
}

/** A level drawn for each row by its predicted probabilities. */
export function categoryDraws(
  model: ModelRows,
  drawn: Float64Array,
  levels: number,
  random: RandomStream,
): Float64Array {
  const { cells, rows } = model
  const stride = strideOf(levels)
  const coefficients = byPredictor(drawn, levels, model, stride)
  const shares = new Float64Array(stride + 1)
  const draws = new Float64Array(rows.length)
  for (let i = 0; i < rows.length; i++) {
    fillLinear(shares, cells, rows[i]!, coefficients, stride)
    toShares(shares, levels, 0)
    let left = random.uniform()
    let chosen = 0
    while (chosen < levels - 1 && left >= shares[chosen]!) left -= shares[chosen++]!
    draws[i] = chosen
  }
  return draws
}

function strideOf(levels: number): number {
  return levels === 2 ? 1 : 4 * Math.ceil((levels - 1) / 4)
}

/** Coefficients by level and predictor turned into coefficients by predictor of the table and level. */
function byPredictor(
  coefficients: Float64Array,
  levels: number,
  { predictors, width }: ModelRows,
  stride: number,
): Float64Array {
  const turned = new Float64Array(width * stride)
  for (let k = 0, from = 0; k < levels - 1; k++) {
    for (let j = 0; j < predictors.length; j++) turned[predictors[j]! * stride + k] = coefficients[from++]!
  }
  return turned
}

interface CategoryScore {
  readonly value: number
  readonly gradient: Float64Array
}

function scoreAt(fit: CategoryRows, at: Float64Array): CategoryScore {
  const { cells, rows, predictors, level, levels, width, stride } = fit
  const coefficients = byPredictor(at, levels, fit, stride)
  const sums = new Float64Array(width * stride)
  const shares = new Float64Array(stride + 1)
  let value = 0
  for (let i = 0; i < level.length; i++) {
    const own = level[i]!
    fillLinear(shares, cells, rows[i]!, coefficients, stride)
    value += toShares(shares, levels, own)
    for (let k = 1; k < levels; k++) shares[k] = (own === k ? 1 : 0) - shares[k]!
    addProducts(sums, cells, rows[i]!, shares, stride)
  }
  value = addedScore(fit, coefficients, sums, value)
  const gradient = new Float64Array((levels - 1) * predictors.length)
  for (let k = 0, to = 0; k < levels - 1; k++) {
    for (let j = 0; j < predictors.length; j++) gradient[to++] = sums[predictors[j]! * stride + k]!
  }
  return { value, gradient }
}

/**
 * What the added rows bring. Their probabilities are the same for every level that they are given, so that the rows of all levels
 * are added at once; and each differs from the means in one predictor, so that what the means bring is added once for all.
 */
function addedScore(
  fit: CategoryRows,
  coefficients: Float64Array,
  sums: Float64Array,
  before: number,
): number {
  const { levels, stride, predictors, means, addedWeight: weight } = fit
  const row = meanRow(fit)
  const atMeans = new Float64Array(stride + 1)
  fillLinear(atMeans, row, 0, coefficients, stride)
  const shares = new Float64Array(stride + 1)
  const together = new Float64Array(stride + 1)
  let value = before
  for (let j = 1; j < predictors.length; j++) {
    const place = predictors[j]! * stride - 1
    for (let side = 0; side < 2; side++) {
      const off = besideMean(fit, j, side) - means[predictors[j]!]!
      for (let k = 1; k < levels; k++) shares[k] = atMeans[k]! + off * coefficients[place + k]!
      shares[0] = 0
      value += weight * toSharesOfAll(shares, levels)
      for (let k = 1; k < levels; k++) {
        const score = weight * (1 - levels * shares[k]!)
        together[k]! += score
        sums[place + k]! += score * off
      }
    }
  }
  addProducts(sums, row, 0, together, stride)
  return value
}

/** The means of the predictors as a row by itself. */
function meanRow({ predictors, means, width }: CategoryRows): FilledCells {
  const column = roomForColumns(width, predictors.length)
  column.set(predictors)
  return {
    first: Int32Array.of(0, predictors.length),
    column,
    value: takenRows(means, predictors),
  }
}

/** Value of a predictor one spread below its mean, or above. */
function besideMean({ predictors, means, spreads }: CategoryRows, j: number, side: number): number {
  const spread = spreads[predictors[j]!]!
  return means[predictors[j]!]! + (side === 0 ? -1 : 1) * (spread > 0 ? spread : 1)
}

/** Fills the linear predictors of the levels after the first, from position 1; that of the first is 0. */
function fillLinear(
  linear: Float64Array,
  { first, column, value }: FilledCells,
  row: number,
  coefficients: Float64Array,
  stride: number,
): void {
  const from = first[row]!
  const end = first[row + 1]!
  linear[0] = 0
  if (stride === 1) {
    let sum = 0
    for (let at = from; at < end; at++) sum += value[at]! * coefficients[column[at]!]!
    linear[1] = sum
    return
  }
  for (let block = 0; block < stride; block += 4) {
    let a = 0
    let b = 0
    let c = 0
    let d = 0
    for (let at = from; at < end; at++) {
      const x = value[at]!
      const j = column[at]! * stride + block
      a += x * coefficients[j]!
      b += x * coefficients[j + 1]!
      c += x * coefficients[j + 2]!
      d += x * coefficients[j + 3]!
    }
    linear[block + 1] = a
    linear[block + 2] = b
    linear[block + 3] = c
    linear[block + 4] = d
  }
}

/** Adds a row times the score of each level to the sums by predictor. */
function addProducts(
  sums: Float64Array,
  { first, column, value }: FilledCells,
  row: number,
  scores: Float64Array,
  stride: number,
): void {
  const from = first[row]!
  const end = first[row + 1]!
  if (stride === 1) {
    const score = scores[1]!
    for (let at = from; at < end; at++) sums[column[at]!]! += score * value[at]!
    return
  }
  for (let block = 0; block < stride; block += 4) {
    const a = scores[block + 1]!
    const b = scores[block + 2]!
    const c = scores[block + 3]!
    const d = scores[block + 4]!
    for (let at = from; at < end; at++) {
      const x = value[at]!
      const j = column[at]! * stride + block
      sums[j]! += a * x
      sums[j + 1]! += b * x
      sums[j + 2]! += c * x
      sums[j + 3]! += d * x
    }
  }
}

/** Turns linear predictors into probabilities; answers the log-probability of one of the levels. */
function toShares(shares: Float64Array, levels: number, asked: number): number {
  const most = greatest(shares, levels)
  const own = shares[asked]! - most
  return own - logOfSum(shares, levels, most)
}

/** The same, with the log-probabilities of all levels together. */
function toSharesOfAll(shares: Float64Array, levels: number): number {
  const most = greatest(shares, levels)
  let logs = 0
  for (let k = 0; k < levels; k++) logs += shares[k]! - most
  return logs - levels * logOfSum(shares, levels, most)
}

function greatest(linear: Float64Array, levels: number): number {
  let most = 0
  for (let k = 1; k < levels; k++) if (linear[k]! > most) most = linear[k]!
  return most
}

/** Turns linear predictors into probabilities; answers the logarithm of what they were divided by. */
function logOfSum(shares: Float64Array, levels: number, most: number): number {
  let total = 0
  for (let k = 0; k < levels; k++) {
    const off = shares[k]! - most
    const share = off === 0 ? 1 : Math.exp(off)
    shares[k] = share
    total += share
  }
  for (let k = 0; k < levels; k++) shares[k]! /= total
  // What fills up the last block takes no part.
  for (let k = levels; k < shares.length; k++) shares[k] = 0
  return Math.log(total)
}

/**
 * Information in blocks by pair of levels; every block is symmetric, so that the products of each pair of predictors
 * are formed once a row and added to all blocks, which stand beside each other.
 */
function informationAt(fit: CategoryRows, at: Float64Array): Float64Array {
  const { cells, rows, predictors, level, levels, width, stride } = fit
  const others = levels - 1
  const sums = new Float64Array(((width * (width + 1)) / 2) * ((others * (others + 1)) / 2))
  const coefficients = byPredictor(at, levels, fit, stride)
  const shares = new Float64Array(stride + 1)
  const factors = new Float64Array((others * (others + 1)) / 2)
  for (let i = 0; i < level.length; i++) {
    fillLinear(shares, cells, rows[i]!, coefficients, stride)
    toShares(shares, levels, 0)
    fillFactors(factors, shares, levels)
    addSquares(sums, cells, rows[i]!, 1, factors)
  }
  const row = meanRow(fit)
  for (let j = 1; j < row.value.length; j++) {
    for (let side = 0; side < 2; side++) {
      row.value[j] = besideMean(fit, j, side)
      fillLinear(shares, row, 0, coefficients, stride)
      toShares(shares, levels, 0)
      fillFactors(factors, shares, levels)
      addSquares(sums, row, 0, fit.addedWeight * levels, factors)
    }
    row.value[j] = fit.means[predictors[j]!]!
  }
  return squareOf(sums, others, predictors)
}

/** What the products of a row count for in the block of each pair of levels. */
function fillFactors(factors: Float64Array, shares: Float64Array, levels: number): void {
  let block = 0
  for (let k = 1; k < levels; k++) {
    for (let l = k; l < levels; l++) factors[block++] = shares[k]! * ((k === l ? 1 : 0) - shares[l]!)
  }
}

function addSquares(
  sums: Float64Array,
  { first, column, value }: FilledCells,
  row: number,
  weight: number,
  factors: Float64Array,
): void {
  const from = first[row]!
  const end = first[row + 1]!
  const blocks = factors.length
  for (let i = from; i < end; i++) {
    const a = column[i]!
    const left = weight * value[i]!
    for (let j = from; j <= i; j++) {
      const product = left * value[j]!
      const cell = ((a * (a + 1)) / 2 + column[j]!) * blocks
      for (let block = 0; block < blocks; block++) sums[cell + block]! += factors[block]! * product
    }
  }
}

/** The whole matrix, by level and predictor, from the triangles of the blocks. */
function squareOf(sums: Float64Array, others: number, predictors: Int32Array): Float64Array {
  const width = predictors.length
  const size = others * width
  const blocks = (others * (others + 1)) / 2
  const square = new Float64Array(size * size)
  let block = 0
  for (let k = 0; k < others; k++) {
    for (let l = k; l < others; l++, block++) {
      for (let a = 0; a < width; a++) {
        const triangle = (predictors[a]! * (predictors[a]! + 1)) / 2
        for (let b = 0; b <= a; b++) {
          const sum = sums[(triangle + predictors[b]!) * blocks + block]!
          square[(k * width + a) * size + l * width + b] = sum
          square[(k * width + b) * size + l * width + a] = sum
          square[(l * width + a) * size + k * width + b] = sum
          square[(l * width + b) * size + k * width + a] = sum
        }
      }
    }
  }
  return square
}
