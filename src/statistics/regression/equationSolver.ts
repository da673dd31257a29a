import type { Codes } from '../kernel/codes.js'
import { choleskyFactor, invertFactored, sandwich, solveFactored } from '../numeric/matrix.js'
import { rowsByCluster } from './clusters.js'
import type { RowTerms } from './family.js'
import { clusterProducts, predictorOf } from './fitVariance.js'
import type { WorkingFit } from './reweighting.js'
import { addOuterProduct, mirrorUpper } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Correlation that the rows of one cluster are given while weighting. */
export type WorkingCorrelation = 'independence' | 'exchangeable'

/** Solution of the estimating equations in standardised columns. */
export interface EquationFit {
  readonly coefficients: Float64Array
  /** Sandwich covariance, row-major. */
  readonly robust: Float64Array
  /** Scale times the inverse of the weighted cross-product, row-major. */
  readonly naive: Float64Array
  readonly scale: number
  readonly correlation: number
  /** Pairs of rows within clusters. */
  readonly pairs: number
  readonly largestCluster: number
  /** Moment estimate of the correlation where it had to be moved inside what the clusters allow. */
  readonly cutShort: number | undefined
  /** Whether the correlation agrees with its moment estimate at the solution. */
  readonly settled: boolean
  readonly converged: boolean
  readonly iterations: number
}

interface Settings {
  readonly correlation: WorkingCorrelation
  /** Taken off the divisors of the moment estimates. */
  readonly freed: number
}

/** Rows divided by the root of their variance: residuals and design, as the equations see them. */
interface ScaledRows {
  readonly residuals: Float64Array
  readonly design: Float64Array
}

interface Moments {
  readonly scale: number
  readonly correlation: number
}

const maximumIterations = 200

/** Step in standardised coefficients that no single iteration exceeds. */
const longestStep = 0.5

/** Iterations after which the correlation is left where it is: any working correlation gives valid equations. */
const settlingIterations = 80

/** Correlation above which the rows of a cluster would all but count as one. */
const largestCorrelation = 0.99

/** Share of the least correlation that the largest cluster allows, at which a lower one is cut short. */
const lowestShare = 0.95

/**
 * Alternates moment estimates of scale and correlation with a scoring step for the coefficients, from a fit under
 * independence, until no linear predictor moves.
 */
export function solveEquations(
  problem: WorkingProblem,
  start: WorkingFit,
  clusters: Codes,
  settings: Settings,
): EquationFit {
  const groups = rowsByCluster(clusters)
  const largestCluster = groups.reduce((most, rows) => Math.max(most, rows.length), 0)
  const pairs = groups.reduce((sum, rows) => sum + (rows.length * (rows.length - 1)) / 2, 0)
  const least = largestCluster > 1 ? -1 / (largestCluster - 1) : -1
  let fit = start
  let correlation = 0
  for (let iteration = 1; ; iteration++) {
    const rows = scaledRows(problem, fit)
    const found = momentsOf(rows, groups, pairs, settings)
    const allowed = Math.min(largestCorrelation, Math.max(lowestShare * least, found.correlation))
    if (iteration <= settlingIterations) correlation = iteration < 20 ? allowed : (correlation + allowed) / 2
    const moments = { scale: found.scale, correlation }
    const sums = equationSums(rows, groups, fit.coefficients.length, correlation)
    const factor = choleskyFactor(sums.products, fit.coefficients.length)
    const step = solveFactored(factor, sums.total)
    const converged = largest(step) < 1e-11 * (1 + largest(fit.coefficients))
    if (converged || iteration === maximumIterations) {
      const bread = invertFactored(factor)
      const width = fit.coefficients.length
      const meat = mirrorUpper(clusterProducts(sums.scores, width), width)
      return {
        coefficients: fit.coefficients,
        robust: sandwich(bread, meat, width),
        naive: bread.map((value) => value * moments.scale),
        ...moments,
        pairs,
        largestCluster,
        cutShort: allowed === found.correlation ? undefined : found.correlation,
        settled: Math.abs(correlation - allowed) < 1e-6,
        converged,
        iterations: iteration,
      }
    }
    const share = Math.min(1, longestStep / largest(step)) * (iteration < 30 ? 1 : 0.5)
    fit = { ...fit, coefficients: fit.coefficients.map((value, j) => value + share * step[j]!) }
  }
}

/** Separated rows have neither residual nor weight in the limit, and stay 0. */
function scaledRows(problem: WorkingProblem, fit: WorkingFit): ScaledRows {
  const { width, rows, values } = problem.design
  const residuals = new Float64Array(rows)
  const design = new Float64Array(rows * width)
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  for (let row = 0; row < rows; row++) {
    if (fit.separatedRows[row] === 1) continue
    problem.family.evaluate(problem.response[row]!, predictorOf(problem, fit, row), terms)
    const root = Math.sqrt(terms.weight)
    residuals[row] = terms.score / root
    for (let j = 0; j < width; j++) design[row * width + j] = values[row * width + j]! * root
  }
  return { residuals, design }
}

/** Mean square of the residuals, and the mean product of pairs within clusters over it. */
function momentsOf(
  rows: ScaledRows,
  groups: readonly Int32Array[],
  pairs: number,
  settings: Settings,
): Moments {
  let squares = 0
  let products = 0
  for (const group of groups) {
    let sum = 0
    let own = 0
    for (const row of group) {
      sum += rows.residuals[row]!
      own += rows.residuals[row]! ** 2
    }
    squares += own
    products += (sum * sum - own) / 2
  }
  const scale = squares / (rows.residuals.length - settings.freed)
  if (settings.correlation === 'independence' || pairs === 0) return { scale, correlation: 0 }
  return { scale, correlation: products / (scale * (pairs - settings.freed)) }
}

interface EquationSums {
  readonly products: Float64Array
  readonly total: Float64Array
  /** Contribution of every cluster to the equations, row-major. */
  readonly scores: Float64Array
}

/** The inverse of an exchangeable correlation matrix is a multiple of the identity less a constant. */
function equationSums(
  rows: ScaledRows,
  groups: readonly Int32Array[],
  width: number,
  correlation: number,
): EquationSums {
  const products = new Float64Array(width * width)
  const total = new Float64Array(width)
  const scores = new Float64Array(groups.length * width)
  const own = 1 / (1 - correlation)
  const designSum = new Float64Array(width)
  groups.forEach((group, cluster) => {
    const shared = (correlation * own) / (1 + (group.length - 1) * correlation)
    designSum.fill(0)
    let residualSum = 0
    for (const row of group) {
      residualSum += rows.residuals[row]!
      addOuterProduct(products, rows.design, row * width, width, own)
      for (let j = 0; j < width; j++) {
        designSum[j]! += rows.design[row * width + j]!
        scores[cluster * width + j]! += own * rows.design[row * width + j]! * rows.residuals[row]!
      }
    }
    addOuterProduct(products, designSum, 0, width, -shared)
    for (let j = 0; j < width; j++) {
      scores[cluster * width + j]! -= shared * designSum[j]! * residualSum
      total[j]! += scores[cluster * width + j]!
    }
  })
  return { products: mirrorUpper(products, width), total, scores }
}

function largest(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
}
