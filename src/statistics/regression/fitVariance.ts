import type { Codes } from '../kernel/codes.js'
import { choleskyFactor, invertFactored, sandwich } from '../numeric/matrix.js'
import type { RowTerms } from './family.js'
import type { WorkingFit } from './reweighting.js'
import { addOuterProduct, covarianceInInputUnits, mirrorUpper } from './standardise.js'
import { predictorAt, type WorkingProblem } from './workingProblem.js'

/**
 * Factor on the sandwich variance for a finite number of clusters C, rows n and coefficients k: none; C/(C − 1);
 * or C/(C − 1) · (n − 1)/(n − k). Where every row is its own cluster the last is n/(n − k).
 */
export type SmallSampleFactor = 'none' | 'clusters' | 'clusters-and-coefficients'

/** Value of the small-sample factor. */
export function smallSampleFactor(
  form: SmallSampleFactor,
  clusters: number,
  rows: number,
  coefficients: number,
): number {
  if (form === 'none') return 1
  const ofClusters = clusters / (clusters - 1)
  return form === 'clusters' ? ofClusters : (ofClusters * (rows - 1)) / (rows - coefficients)
}

/** Inverse expected information in the units of the input, row-major. */
export function modelCovariance(problem: WorkingProblem, fit: WorkingFit): Float64Array {
  return covarianceInInputUnits(problem.design.map, invertedInformation(fit), problem.design.width)
}

/**
 * Sandwich covariance of the coefficients in the units of the input, row-major: inverse information around the outer
 * products of the scores summed within clusters (Huber 1967; Liang and Zeger 1986), times the small-sample factor.
 */
export function robustCovariance(
  problem: WorkingProblem,
  fit: WorkingFit,
  clusters: Codes,
  factor: number,
): Float64Array {
  const { width } = problem.design
  const meat = mirrorUpper(clusterProducts(clusterScores(problem, fit, clusters), width), width)
  const covariance = sandwich(invertedInformation(fit), meat, width)
  return covarianceInInputUnits(problem.design.map, covariance, width).map((value) => value * factor)
}

/** Sums of the outer products of the rows of a row-major matrix, upper triangle. */
export function clusterProducts(scores: Float64Array, width: number): Float64Array {
  const meat = new Float64Array(width * width)
  for (let start = 0; start < scores.length; start += width) {
    addOuterProduct(meat, scores, start, width, 1)
  }
  return meat
}

/** Score of every cluster at the fit, row-major clusters × coefficients; separated rows have none in the limit. */
function clusterScores(problem: WorkingProblem, fit: WorkingFit, clusters: Codes): Float64Array {
  const { design, family, response } = problem
  const { width, values } = design
  const scores = new Float64Array(clusters.count * width)
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  for (let row = 0; row < design.rows; row++) {
    if (fit.separatedRows[row] === 1 || problem.weights[row] === 0) continue
    family.evaluate(response[row]!, predictorOf(problem, fit, row), terms)
    const score = problem.weights[row]! * terms.score
    const into = clusters.codes[row]! * width
    for (let j = 0; j < width; j++) scores[into + j]! += score * values[row * width + j]!
  }
  return scores
}

/** Linear predictor of a row that is not separated. */
export function predictorOf(problem: WorkingProblem, fit: WorkingFit, row: number): number {
  return predictorAt(problem, fit.coefficients, row)
}

function invertedInformation(fit: WorkingFit): Float64Array {
  const width = fit.coefficients.length
  return invertFactored(choleskyFactor(fit.information, width))
}
