import type { Quantity, Warning } from '../../core/estimate.js'
import { notEstimable, unbounded, warning } from '../../core/estimate.js'
import type { WorkingFit } from './reweighting.js'
import { nullSpace, rowProducts } from './separation.js'
import { inInputUnits, interceptName, type StandardisedDesign } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Coefficients in the units of the input, those that have no finite estimate as tagged states. */
export interface FittedCoefficients {
  readonly estimates: readonly Quantity[]
  /** Covariates that separate the responses. */
  readonly separated: readonly string[]
}

/** Why a coefficient has no standard error. */
export const separationReason = 'separation'

const notConverged = 'not-converged'

/**
 * Reads the coefficients of a fit. After separation a coefficient is kept where the rows that are left determine it;
 * one that runs off in a known direction is unbounded; any other is not estimable.
 */
export function fittedCoefficients(problem: WorkingProblem, fit: WorkingFit): FittedCoefficients {
  const { design } = problem
  const plain = inInputUnits(design, fit.coefficients)
  if (!fit.converged) {
    return { estimates: design.names.map(() => notEstimable(notConverged)), separated: [] }
  }
  if (fit.recessions.length === 0) return { estimates: Array.from(plain), separated: [] }
  const lost = nullSpace(rowProducts(problem, fit.separatedRows), design.width)
  const moves = design.names.map((_, j) => {
    const row = mapRow(design, j)
    const along = fit.recessions.map((one) => cosine(row, one.direction))
    return along.find((move) => Math.abs(move) > 1e-8) ?? 0
  })
  const estimates = design.names.map((_, j): Quantity => {
    if (lost.every((direction) => Math.abs(cosine(mapRow(design, j), direction)) < 1e-8)) return plain[j]!
    if (moves[j] === 0 || lost.length > 1) return notEstimable(separationReason)
    return unbounded(moves[j]! > 0 ? 'above' : 'below')
  })
  const slopes = moves.map((move, j) => (design.names[j] === interceptName ? 0 : Math.abs(move)))
  const telling = 0.01 * Math.max(...slopes)
  return { estimates, separated: design.names.filter((_, j) => slopes[j]! > telling) }
}

function mapRow(design: StandardisedDesign, j: number): Float64Array {
  return design.map.subarray(j * design.width, (j + 1) * design.width)
}

/** Warnings about separation and non-convergence, by covariate. */
export function fitWarnings(
  problem: WorkingProblem,
  fit: WorkingFit,
  separated: readonly string[],
): readonly Warning[] {
  const warnings: Warning[] = []
  if (fit.recessions.length > 0) {
    const rows = fit.separatedRows.reduce((sum, gone) => sum + gone, 0)
    const all = rows === problem.weights.reduce((sum, weight) => sum + (weight > 0 ? 1 : 0), 0)
    const complete = all ? 'yes' : 'other'
    warnings.push(
      separated.length > 0
        ? warning('separation', { complete, names: separated, rows })
        : warning('separation-by-constant', { complete, rows }),
    )
  }
  if (!fit.converged) {
    warnings.push(warning('not-converged', { iterations: fit.iterations }))
  }
  return warnings
}

function cosine(left: Float64Array, right: Float64Array): number {
  let product = 0
  let leftSquares = 0
  let rightSquares = 0
  for (let j = 0; j < left.length; j++) {
    product += left[j]! * right[j]!
    leftSquares += left[j]! ** 2
    rightSquares += right[j]! ** 2
  }
  return product / Math.sqrt(leftSquares * rightSquares)
}
