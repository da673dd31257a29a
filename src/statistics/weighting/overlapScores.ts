import { numbersOfRows } from '../../core/columns.js'
import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { addRow, addRowProducts, cellProduct, type FilledCells, filledCells } from '../numeric/filledCells.js'
import { type CholeskyFactor, choleskyFactor, solveFactored } from '../numeric/matrix.js'

/**
 * Model of the choice between two ways, as overlap weights need it: a logistic model by maximum likelihood, nothing
 * joined and nothing penalised, so that the weighted means of every column are the same in both groups exactly.
 */

/** Probability of the group asked about for each row, with what the variance of weighted estimates needs of it. */
export interface OverlapScores {
  /** Probability of the group, one value a row. */
  readonly score: Float64Array
  /** Weight of each row before scaling: one minus the score in the group, the score in the comparator. */
  readonly weight: Float64Array
  /** Columns of the model, the constant first. */
  readonly width: number
  /** What the columns hold, row by row, where it is not 0. */
  readonly cells: FilledCells
  readonly coefficients: Float64Array
  /** Inverse information times a vector. */
  readonly solve: (right: ArrayLike<number>) => Float64Array
  /** Positions of columns that follow from those before them. */
  readonly dependent: readonly number[]
  readonly converged: boolean
  readonly iterations: number
}

/** Options of {@link overlapScores}. */
export interface OverlapScoreOptions {
  /** Coefficients to start from; default none. */
  readonly start?: Float64Array
  /** Most steps; default 30. Under separation the likelihood creeps on and the weights concerned run to 0. */
  readonly maximumIterations?: number
}

/** Gain of the log-likelihood below which the model has converged. */
const closeEnough = 1e-10

/** Gain below which the information is that of the maximum to ten digits, whatever it was formed at. */
const settled = 1e-18

/** Share of the gain before that a step may leave; where it leaves more, the information is formed anew. */
const mostLeft = 1e-3

/** Linear predictors are held within this of 0: a weight below 1e-12 is none. */
const farthest = 28

/**
 * Fits the choice of the group by logistic regression and answers overlap weights (Li, Morgan and Zaslavsky 2018,
 * Journal of the American Statistical Association 113:390).
 *
 * @param inGroup 1 in the group asked about, 0 in the comparator
 * @param design row-major, n × width, the first column 1
 * @param width number of columns
 * @throws NumericalError `unequal-length`, `one-group`
 * @example overlapScores([1, 0, 1, 0], new Float64Array([1, 0, 1, 0, 1, 1, 1, 1]), 2).score[0].toFixed(2) // => "0.50"
 */
export const overlapScores = checked(
  'overlapScores',
  (
    inGroup: ArrayLike<number>,
    design: Float64Array,
    width: number,
    options: OverlapScoreOptions = {},
  ): OverlapScores => {
    requireDesign(inGroup, design, width)
    const cells = filledCells(design, inGroup.length, width)
    const { factor: _factor, ...scores } = fittedScores(inGroup, cells, width, options)
    return scores
  },
)

/** A fit with its factored information, near which another may start. */
export interface FittedScores extends OverlapScores {
  readonly factor: CholeskyFactor
}

/** Where a fit may start: the information of another one near it serves for its first steps. */
interface FitStart extends OverlapScoreOptions {
  readonly factor?: CholeskyFactor
}

/**
 * The fit of {@link overlapScores} of a design whose cells are listed already. The information takes four times as long to
 * form as the slopes: it is formed anew only where it has become too poor to step by, and at the maximum.
 */
export function fittedScores(
  inGroup: ArrayLike<number>,
  cells: FilledCells,
  width: number,
  options: FitStart = {},
): FittedScores {
  requireBothGroups(inGroup)
  const { maximumIterations = 30 } = options
  const score = new Float64Array(inGroup.length)
  let coefficients: Float64Array = new Float64Array(width)
  if (options.start?.length === width) coefficients.set(options.start)
  let value = logLikelihood(inGroup, cells, coefficients, score)
  const given = options.factor?.size === width ? options.factor : undefined
  const here = (): Step => stepBy(informationAt(width, cells, score), slopesAt(inGroup, width, cells, score))
  let step = given === undefined ? here() : stepBy(given, slopesAt(inGroup, width, cells, score))
  let own = given === undefined
  let before = Number.POSITIVE_INFINITY
  let converged = false
  let iterations = 0
  for (;;) {
    const isPoor = step.promised < settled || step.promised > mostLeft * before
    if (!own && (isPoor || iterations === maximumIterations)) {
      step = here()
      own = true
    }
    converged = step.promised < (own ? closeEnough : settled)
    if (converged || iterations === maximumIterations) break
    iterations++
    let share = 1
    let next = coefficients
    let reached = Number.NEGATIVE_INFINITY
    while (share > 1e-3) {
      next = moved(coefficients, step.move, share)
      reached = logLikelihood(inGroup, cells, next, score)
      if (reached >= value - 1e-12 * Math.abs(value)) break
      share /= 2
    }
    coefficients = next
    value = reached
    before = step.promised
    step = stepBy(step.factor, slopesAt(inGroup, width, cells, score))
    own = false
  }
  if (converged) {
    // A gain of 1e-10 leaves means that differ by 1e-7: one more step is exact to the last digits.
    coefficients = moved(coefficients, step.move, 1)
    logLikelihood(inGroup, cells, coefficients, score)
    if (step.promised > settled) step = here()
  }
  const { factor } = step
  return {
    score,
    weight: numbersOfRows(score.length, (i) => (inGroup[i] === 1 ? 1 - score[i]! : score[i]!)),
    width,
    cells,
    coefficients,
    factor,
    solve: (right) => solveFactored(factor, right),
    dependent: factor.dependent,
    converged,
    iterations,
  }
}

function moved(coefficients: Float64Array, move: Float64Array, share: number): Float64Array {
  const next = new Float64Array(coefficients.length)
  for (let j = 0; j < next.length; j++) next[j] = coefficients[j]! + share * move[j]!
  return next
}

interface Step {
  readonly factor: CholeskyFactor
  readonly move: Float64Array
  /** Twice the log-likelihood that the move gains. */
  readonly promised: number
}

function stepBy(factor: CholeskyFactor, slopes: Float64Array): Step {
  const move = solveFactored(factor, slopes)
  for (const j of factor.dependent) move[j] = 0
  let promised = 0
  for (let j = 0; j < move.length; j++) promised += move[j]! * slopes[j]!
  return { factor, move, promised }
}

/** Slopes of the log-likelihood at the scores. */
function slopesAt(
  inGroup: ArrayLike<number>,
  width: number,
  cells: FilledCells,
  score: Float64Array,
): Float64Array {
  const slopes = new Float64Array(width)
  for (let i = 0; i < score.length; i++) addRow(slopes, cells, i, inGroup[i]! - score[i]!)
  return slopes
}

/** Information at the scores, factored. */
function informationAt(width: number, cells: FilledCells, score: Float64Array): CholeskyFactor {
  const information = new Float64Array(width * width)
  for (let i = 0; i < score.length; i++)
    addRowProducts(information, width, cells, i, score[i]! * (1 - score[i]!))
  for (let j = 0; j < width; j++)
    for (let k = 0; k < j; k++) information[k * width + j] = information[j * width + k]!
  return choleskyFactor(information, width, 1e-10)
}

function logLikelihood(
  inGroup: ArrayLike<number>,
  cells: FilledCells,
  coefficients: Float64Array,
  score: Float64Array,
): number {
  let value = 0
  for (let i = 0; i < score.length; i++) {
    const sum = cellProduct(cells, i, coefficients)
    const held = Math.max(-farthest, Math.min(farthest, sum))
    const odds = Math.exp(-Math.abs(held))
    score[i] = (held >= 0 ? 1 : odds) / (1 + odds)
    value += (inGroup[i] === 1 ? held : 0) - Math.log1p(odds) - Math.max(held, 0)
  }
  return value
}

function requireDesign(inGroup: ArrayLike<number>, design: Float64Array, width: number): void {
  if (design.length !== inGroup.length * width) {
    throw new NumericalError({
      code: 'unequal-length',
      problem: `the design holds ${design.length} values for ${inGroup.length} rows of ${width} columns.`,
      expected: 'one row of columns for every row.',
      mend: 'make the design and the groups of the same rows.',
    })
  }
}

function requireBothGroups(inGroup: ArrayLike<number>): void {
  let members = 0
  for (let i = 0; i < inGroup.length; i++) members += inGroup[i]!
  if (members > 0 && members < inGroup.length) return
  throw new NumericalError({
    code: 'one-group',
    problem: 'all rows belong to one group.',
    expected: 'at least one row of each group.',
    mend: 'compare two groups that both hold rows.',
  })
}
