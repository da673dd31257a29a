import type { RandomStream } from '../../core/random.js'
import { type FilledCells, filledCells } from '../numeric/filledCells.js'
import { type CholeskyFactor, choleskyFactor, solveFactored } from '../numeric/matrix.js'
import { perturbed } from './numericDraws.js'

/**
 * Multinomial logistic model of a category (two levels: the logistic model), with coefficients by level after the
 * first, drawn from the normal approximation to their posterior.
 */

/** Rows of a fit: predictors row-major and which of them are not 0, level of every row, how much it counts. */
interface CategoryRows extends FilledCells {
  readonly x: Float64Array
  readonly level: Float64Array
  readonly weight: Float64Array
}

const maximumIterations = 40

/**
 * Twice the log-likelihood that one more step would gain, below which the estimate serves: it then lies
 * within a tenth of a standard error in all, where the draw that follows moves every coefficient by about one.
 */
const closeEnough = 1e-2

/** Where a fit may start: an estimate of other rounds with its factored information. */
export interface CategoryStart {
  readonly estimate: Float64Array
  readonly factor: CholeskyFactor
}

/**
 * Fits the model and draws its coefficients once. Between rounds only the values filled in differ, so that the
 * information of an earlier round serves for the steps and for the draw; it is formed anew where the steps are many.
 *
 * @param start estimate and information to start from: those of the last round
 * @returns the estimate with its information, to start the next round from, and the draw
 */
export function drawCategory(
  x: Float64Array,
  level: Float64Array,
  levels: number,
  width: number,
  random: RandomStream,
  start?: CategoryStart,
): CategoryStart & { readonly drawn: Float64Array } {
  const rows = augmented(x, level, levels, width)
  const size = (levels - 1) * width
  let at = start?.estimate ?? new Float64Array(size)
  let point = scoreAt(rows, at, levels, width)
  let factor = start?.factor ?? choleskyFactor(informationAt(rows, at, levels, width), size)
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = solveFactored(factor, point.gradient)
    const promised = step.reduce((sum, move, j) => sum + move * point.gradient[j]!, 0)
    if (promised < closeEnough) break
    const next = improved(rows, at, point.value, step, levels, width)
    at = next.at
    point = next.point
    if (iteration % 6 === 0) factor = choleskyFactor(informationAt(rows, at, levels, width), size)
  }
  // The information at the start of a first fit is that of no association, and too poor to draw by.
  if (start === undefined) factor = choleskyFactor(informationAt(rows, at, levels, width), size)
  return { estimate: at, factor, drawn: perturbed(at, factor, 1, random) }
}

/** The whole step, or the first half, quarter … of it that does not lower the likelihood. */
function improved(
  rows: CategoryRows,
  at: Float64Array,
  value: number,
  step: Float64Array,
  levels: number,
  width: number,
): { readonly at: Float64Array; readonly point: CategoryScore } {
  let share = 1
  for (;;) {
    const next = at.map((one, j) => one + share * step[j]!)
    const point = scoreAt(rows, next, levels, width)
    if (point.value >= value - 1e-9 || share < 1e-4) return { at: next, point }
    share /= 2
  }
}

/** A level drawn for each row by its predicted probabilities. */
export function categoryDraws(
  x: Float64Array,
  drawn: Float64Array,
  levels: number,
  width: number,
  random: RandomStream,
): Float64Array {
  const shares = new Float64Array(levels)
  const count = x.length / width
  const rows = { x, ...filledCells(x, count, width) }
  const draws = new Float64Array(count)
  for (let row = 0; row < count; row++) {
    fillShares(shares, rows, row, drawn, levels, width)
    let left = random.uniform()
    let chosen = 0
    while (chosen < levels - 1 && left >= shares[chosen]!) left -= shares[chosen++]!
    draws[row] = chosen
  }
  return draws
}

/**
 * Adds a few rows of small weight on both sides of the mean of every predictor, for every level, so that the estimate
 * stays finite where a predictor separates the levels (White, Daniel and Royston 2010).
 */
function augmented(x: Float64Array, level: Float64Array, levels: number, width: number): CategoryRows {
  const rows = level.length
  const extra = addedRows(levels, width)
  const all = withRoom(x, (rows + extra) * width)
  const levelOf = new Float64Array(rows + extra)
  levelOf.set(level)
  const weight = new Float64Array(rows + extra).fill(1)
  const { means, spreads } = columnMoments(x, rows, width)
  let at = rows
  for (let j = 1; j < width; j++) {
    for (let k = 0; k < levels; k++) {
      for (const side of [-1, 1]) {
        all.set(means, at * width)
        all[at * width + j] = means[j]! + side * (spreads[j]! > 0 ? spreads[j]! : 1)
        levelOf[at] = k
        weight[at] = width / extra
        at++
      }
    }
  }
  return { x: all, ...filledCells(all, rows + extra, width), level: levelOf, weight }
}

/** The same numbers with room behind them: those of the caller's own buffer where it has room, else a copy. */
function withRoom(x: Float64Array, size: number): Float64Array {
  if (x.byteOffset === 0 && x.buffer.byteLength >= size * 8) return new Float64Array(x.buffer, 0, size)
  const all = new Float64Array(size)
  all.set(x)
  return all
}

/** Rows that the fit of a category adds to those observed. */
export function addedRows(levels: number, width: number): number {
  return 2 * (width - 1) * levels
}

interface CategoryScore {
  readonly value: number
  readonly gradient: Float64Array
}

function scoreAt(
  rows: CategoryRows,
  coefficients: Float64Array,
  levels: number,
  width: number,
): CategoryScore {
  const gradient = new Float64Array((levels - 1) * width)
  const shares = new Float64Array(levels)
  const { x, first, column } = rows
  let value = 0
  for (let row = 0; row < rows.level.length; row++) {
    const start = row * width
    const level = rows.level[row]!
    const weight = rows.weight[row]!
    value += weight * fillShares(shares, rows, row, coefficients, levels, width, level)
    for (let k = 1; k < levels; k++) {
      const score = weight * ((level === k ? 1 : 0) - shares[k]!)
      const offset = (k - 1) * width
      for (let at = first[row]!; at < first[row + 1]!; at++) {
        const j = column[at]!
        gradient[offset + j]! += score * x[start + j]!
      }
    }
  }
  return { value, gradient }
}

/**
 * Information in blocks by pair of levels; every block is symmetric, so that the products of each pair of predictors
 * are formed once a row and added to all blocks.
 */
function informationAt(
  rows: CategoryRows,
  coefficients: Float64Array,
  levels: number,
  width: number,
): Float64Array {
  const shares = new Float64Array(levels)
  const others = levels - 1
  const triangle = (width * (width + 1)) / 2
  const blocks = Array.from({ length: others * others }, () => new Float64Array(triangle))
  const products = new Float64Array(triangle)
  const cells = new Int32Array(triangle)
  const { x, first, column } = rows
  for (let row = 0; row < rows.level.length; row++) {
    const start = row * width
    fillShares(shares, rows, row, coefficients, levels, width)
    let count = 0
    for (let i = first[row]!; i < first[row + 1]!; i++) {
      const a = column[i]!
      const left = rows.weight[row]! * x[start + a]!
      for (let j = first[row]!; j <= i; j++) {
        products[count] = left * x[start + column[j]!]!
        cells[count++] = (a * (a + 1)) / 2 + column[j]!
      }
    }
    for (let k = 1; k < levels; k++) {
      for (let l = k; l < levels; l++) {
        const factor = shares[k]! * ((k === l ? 1 : 0) - shares[l]!)
        const block = blocks[(k - 1) * others + l - 1]!
        for (let at = 0; at < count; at++) block[cells[at]!]! += factor * products[at]!
      }
    }
  }
  const size = others * width
  return new Float64Array(size * size).map((_, cell) => {
    const [i, j] = [Math.floor(cell / size), cell % size]
    const [k, l] = [Math.floor(i / width), Math.floor(j / width)]
    const [a, b] = [Math.max(i % width, j % width), Math.min(i % width, j % width)]
    return blocks[Math.min(k, l) * others + Math.max(k, l)]![(a * (a + 1)) / 2 + b]!
  })
}

/** Fills the probabilities of the levels; answers the log-probability of one of them. */
function fillShares(
  shares: Float64Array,
  { x, first, column }: FilledCells & { readonly x: Float64Array },
  row: number,
  coefficients: Float64Array,
  levels: number,
  width: number,
  asked = 0,
): number {
  const start = row * width
  shares[0] = 0
  let most = 0
  for (let k = 1; k < levels; k++) {
    let sum = 0
    const offset = (k - 1) * width
    for (let at = first[row]!; at < first[row + 1]!; at++) {
      const j = column[at]!
      sum += x[start + j]! * coefficients[offset + j]!
    }
    shares[k] = sum
    if (sum > most) most = sum
  }
  const own = shares[asked]! - most
  let total = 0
  for (let k = 0; k < levels; k++) {
    shares[k] = Math.exp(shares[k]! - most)
    total += shares[k]!
  }
  for (let k = 0; k < levels; k++) shares[k]! /= total
  return own - Math.log(total)
}

function columnMoments(
  x: Float64Array,
  rows: number,
  width: number,
): { readonly means: Float64Array; readonly spreads: Float64Array } {
  const means = new Float64Array(width)
  const spreads = new Float64Array(width)
  for (let row = 0, i = 0; row < rows; row++) for (let j = 0; j < width; j++) means[j]! += x[i++]! / rows
  for (let row = 0, i = 0; row < rows; row++)
    for (let j = 0; j < width; j++) spreads[j]! += (x[i++]! - means[j]!) ** 2 / rows
  return { means, spreads: spreads.map(Math.sqrt) }
}
