import type { Family, RowTerms } from './family.js'
import { addOuterProduct, mirrorUpper, type StandardisedDesign } from './standardise.js'

/** All that a fit needs, in standardised columns. */
export interface WorkingProblem {
  readonly design: StandardisedDesign
  readonly response: Float64Array
  readonly offset: Float64Array
  /** How much each row counts; rows of weight 0 are passed over. */
  readonly weights: Float64Array
  readonly family: Family
}

/** Log-likelihood with its gradient and expected information at one coefficient vector. */
export interface WorkingPoint {
  readonly value: number
  readonly gradient: Float64Array
  readonly information: Float64Array
}

/** Value, gradient and information in one pass over the rows. */
export function evaluate(problem: WorkingProblem, coefficients: Float64Array): WorkingPoint {
  const { design, response, offset, weights, family } = problem
  const { width, rows, values } = design
  const gradient = new Float64Array(width)
  const information = new Float64Array(width * width)
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  let value = 0
  let lost = 0
  for (let row = 0; row < rows; row++) {
    const weight = weights[row]!
    if (weight === 0) continue
    const start = row * width
    let predictor = offset[row]!
    for (let j = 0; j < width; j++) predictor += values[start + j]! * coefficients[j]!
    family.evaluate(response[row]!, predictor, terms)
    const added = weight * terms.logLikelihood
    const next = value + added
    lost += Math.abs(value) >= Math.abs(added) ? value - next + added : added - next + value
    value = next
    const score = weight * terms.score
    for (let j = 0; j < width; j++) gradient[j]! += score * values[start + j]!
    addOuterProduct(information, values, start, width, weight * terms.weight)
  }
  return { value: value + lost, gradient, information: mirrorUpper(information, width) }
}

/** Linear predictor of a row at standardised coefficients. */
export function predictorAt(problem: WorkingProblem, coefficients: Float64Array, row: number): number {
  const { width, values } = problem.design
  let predictor = problem.offset[row]!
  for (let j = 0; j < width; j++) predictor += values[row * width + j]! * coefficients[j]!
  return predictor
}
