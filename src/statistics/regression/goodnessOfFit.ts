import { notEstimable, type Quantity } from '../../core/estimate.js'
import { compensatedSum } from '../numeric/columns.js'
import { predictorOf } from './fitVariance.js'
import { fitReweighted, type WorkingFit } from './reweighting.js'
import { standardiseDesign } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Deviance of a fit; separated rows add nothing in the limit. */
export function devianceOf(problem: WorkingProblem, fit: WorkingFit): number {
  const parts = new Float64Array(problem.design.rows)
  for (let row = 0; row < parts.length; row++) {
    if (fit.separatedRows[row] === 1 || problem.weights[row] === 0) continue
    parts[row] =
      problem.weights[row]! * problem.family.deviance(problem.response[row]!, predictorOf(problem, fit, row))
  }
  return compensatedSum(parts)
}

/** Sum of the squared Pearson residuals. */
export function pearsonOf(problem: WorkingProblem, fit: WorkingFit): number {
  const { family, response, weights } = problem
  const means = fittedMeans(problem, fit)
  const parts = new Float64Array(means.length)
  for (let row = 0; row < parts.length; row++) {
    if (fit.separatedRows[row] === 1 || weights[row] === 0) continue
    parts[row] = (weights[row]! * (response[row]! - means[row]!) ** 2) / family.variance(means[row]!)
  }
  return compensatedSum(parts)
}

/** Fitted mean of every row; that of a separated row is its response. */
export function fittedMeans(problem: WorkingProblem, fit: WorkingFit): readonly number[] {
  const terms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  return Array.from({ length: problem.design.rows }, (_, row) => {
    if (fit.separatedRows[row] === 1) return problem.response[row]!
    problem.family.evaluate(problem.response[row]!, predictorOf(problem, fit, row), terms)
    return terms.mean
  })
}

/** Deviance of the model that has the constant and the offset only. */
export function nullDevianceOf(problem: WorkingProblem, intercept: boolean): Quantity {
  const rows = problem.design.rows
  const design = standardiseDesign({ names: [], rows, values: new Float64Array(0) }, intercept)
  const constant: WorkingProblem = { ...problem, design }
  const fit = fitReweighted(constant)
  return fit.converged ? devianceOf(constant, fit) : notEstimable('not-converged')
}
