import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import type { RowTerms } from './family.js'
import { type Recession, recessionAlong, rowProducts } from './separation.js'
import { addOuterProduct, mirrorUpper } from './standardise.js'
import { evaluate, type WorkingPoint, type WorkingProblem } from './workingProblem.js'

/** Where iteratively reweighted least squares ended. */
export interface WorkingFit {
  /** Standardised coefficients; those of columns that the remaining rows cannot tell apart are 0. */
  readonly coefficients: Float64Array
  readonly information: Float64Array
  readonly logLikelihood: number
  readonly iterations: number
  readonly converged: boolean
  /** Directions of recession in the order in which they were found; empty where the estimate is finite. */
  readonly recessions: readonly Recession[]
  /** 1 for each row that lies on its boundary in the limit. */
  readonly separatedRows: Uint8Array
  /** 1 for each column that the remaining rows cannot tell from those before it; its coefficient is held at 0. */
  readonly held: Uint8Array
}

const maximumIterations = 100

/** Movement of every linear predictor below which one last step ends the iteration. */
const finalMovement = 1e-9

/**
 * Maximises the likelihood by iteratively reweighted least squares with step halving. Where a direction of
 * recession is proved, the rows that it carries away are fitted exactly in the limit; they are set aside and the
 * rest is fitted again, until what remains has a finite maximum.
 *
 * @param start standardised coefficients to start from; default a weighted least-squares fit near the responses
 */
export function fitReweighted(problem: WorkingProblem, start?: Float64Array): WorkingFit {
  const separatedRows = new Uint8Array(problem.design.rows)
  const recessions: Recession[] = []
  let current = problem
  let held: Uint8Array = new Uint8Array(problem.design.width)
  let iterations = 0
  for (;;) {
    const run = iterate(current, held, recessions.length === 0 ? start : undefined)
    iterations += run.iterations
    if (run.recession === undefined) {
      const { at, point, converged } = run
      return {
        coefficients: at,
        information: point.information,
        logLikelihood: point.value,
        iterations,
        converged,
        recessions,
        separatedRows,
        held,
      }
    }
    recessions.push(run.recession)
    run.recession.rows.forEach((gone, row) => {
      if (gone === 1) separatedRows[row] = 1
    })
    current = {
      ...problem,
      weights: problem.weights.map((weight, row) => (separatedRows[row] === 1 ? 0 : weight)),
    }
    held = heldColumns(current, separatedRows)
  }
}

interface Run {
  readonly at: Float64Array
  readonly point: WorkingPoint
  readonly iterations: number
  readonly converged: boolean
  readonly recession: Recession | undefined
}

function iterate(problem: WorkingProblem, held: Uint8Array, start?: Float64Array): Run {
  let at = start ?? startingCoefficients(problem, held)
  let point = evaluate(problem, at)
  let idle = 0
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = newtonStep(point, held)
    const moved = largestMovement(problem, step)
    const ended = { at, point, iterations: iteration }
    if (moved > 0.3 && iteration > 5) {
      const recession = recessionAlong(problem, step)
      if (recession !== undefined) return { ...ended, converged: true, recession }
    }
    const next = halved(problem, at, point, step)
    if (next === undefined) return { ...ended, converged: moved < 1e-4, recession: undefined }
    idle = next.point.value > point.value ? 0 : idle + 1
    at = next.at
    point = next.point
    if (moved < finalMovement || (idle > 2 && moved < 1e-4)) {
      return { at, point, iterations: iteration, converged: true, recession: undefined }
    }
  }
  return { at, point, iterations: maximumIterations, converged: false, recession: undefined }
}

function newtonStep(point: WorkingPoint, held: Uint8Array): Float64Array {
  return solveFactored(choleskyFactor(withoutHeld(point.information, held), held.length), point.gradient)
}

/** Information with the rows and columns of held coefficients emptied, so that their steps come out as 0. */
export function withoutHeld(information: Float64Array, held: Uint8Array): Float64Array {
  const width = held.length
  if (!held.includes(1)) return information
  return information.map((value, i) =>
    held[i % width] === 1 || held[Math.floor(i / width)] === 1 ? 0 : value,
  )
}

function largestMovement(problem: WorkingProblem, step: Float64Array): number {
  const { width, rows, values } = problem.design
  let largest = 0
  for (let row = 0; row < rows; row++) {
    if (problem.weights[row] === 0) continue
    let move = 0
    for (let j = 0; j < width; j++) move += values[row * width + j]! * step[j]!
    if (Math.abs(move) > largest) largest = Math.abs(move)
  }
  return largest
}

/** The first of the whole step, its half, its quarter … that does not lower the likelihood beyond rounding. */
function halved(
  problem: WorkingProblem,
  at: Float64Array,
  point: WorkingPoint,
  step: Float64Array,
): { readonly at: Float64Array; readonly point: WorkingPoint } | undefined {
  const rounding = 1e-13 * (Math.abs(point.value) + 1)
  for (let share = 1; share > 1e-10; share /= 2) {
    const nextAt = at.map((value, j) => value + share * step[j]!)
    const nextPoint = evaluate(problem, nextAt)
    if (nextPoint.value >= point.value - rounding) return { at: nextAt, point: nextPoint }
  }
  return undefined
}

/** Weighted least squares on means near the responses, or nothing at all where that fits worse. */
function startingCoefficients(problem: WorkingProblem, held: Uint8Array): Float64Array {
  const { design, response, offset, weights, family } = problem
  const { width, rows, values } = design
  const gradient = new Float64Array(width)
  const information = new Float64Array(width * width)
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  for (let row = 0; row < rows; row++) {
    if (weights[row] === 0) continue
    const predictor = family.link(family.startingMean(response[row]!))
    family.evaluate(response[row]!, predictor, terms)
    const weight = weights[row]! * terms.weight
    const target = weights[row]! * terms.score + weight * (predictor - offset[row]!)
    for (let j = 0; j < width; j++) gradient[j]! += target * values[row * width + j]!
    addOuterProduct(information, values, row * width, width, weight)
  }
  mirrorUpper(information, width)
  const near = newtonStep({ value: 0, gradient, information }, held)
  const none = new Float64Array(width)
  const better = evaluate(problem, near).value >= evaluate(problem, none).value
  return better ? near : none
}

/** Columns that the rows still left cannot tell from those before them. */
function heldColumns(problem: WorkingProblem, separatedRows: Uint8Array): Uint8Array {
  const held = new Uint8Array(problem.design.width)
  const { dependent } = choleskyFactor(rowProducts(problem, separatedRows), problem.design.width, 1e-10)
  for (const column of dependent) held[column] = 1
  return held
}
