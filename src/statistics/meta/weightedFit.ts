import { NumericalError } from '../../core/errors.js'
import { requireFinite, requireSameLength } from '../numeric/columns.js'
import { type CholeskyFactor, choleskyFactor, invertFactored, solveFactored } from '../numeric/matrix.js'

/** Effects of k studies with known sampling variances and a design of p columns, row-major. */
export interface StudyDesign {
  readonly k: number
  readonly p: number
  readonly effects: Float64Array
  readonly variances: Float64Array
  /** k × p, row-major; one column of ones where there is no moderator. */
  readonly design: Float64Array
}

/** Weighted least squares with weights 1 / (variance + τ²). */
export interface WeightedFit {
  readonly weights: Float64Array
  readonly coefficients: Float64Array
  /** Inverse of XᵀWX, p × p. */
  readonly covariance: Float64Array
  readonly residuals: Float64Array
  /** xᵢᵀ (XᵀWX)⁻¹ xᵢ of each study. */
  readonly leverages: Float64Array
  /** Weighted residual sum of squares. */
  readonly q: number
  readonly factor: CholeskyFactor
}

/** Copies and checks effects and variances; the design is the intercept alone. */
export function interceptDesign(effects: ArrayLike<number>, variances: ArrayLike<number>): StudyDesign {
  requireStudies(effects, variances)
  const k = effects.length
  return {
    k,
    p: 1,
    effects: Float64Array.from(effects),
    variances: Float64Array.from(variances),
    design: new Float64Array(k).fill(1),
  }
}

/** Refuses effects or variances that are missing, no studies at all, and variances that are not positive. */
export function requireStudies(effects: ArrayLike<number>, variances: ArrayLike<number>): void {
  const k = requireSameLength({ effects, variances })
  requireAnyStudy(k)
  requireFinite('effects', effects)
  requireFinite('variances', variances)
  for (let i = 0; i < k; i++) {
    if (!(variances[i]! > 0)) {
      throw new NumericalError({
        code: 'variance-not-positive',
        problem: `column variances holds a value that is not positive, first in study ${i + 1} of ${k}.`,
        expected: 'the squared standard error of each effect, above 0.',
        mend: 'leave out studies without a variance, or pool counts by a method for rare events.',
      })
    }
  }
}

/** Refuses an empty set of studies. */
export function requireAnyStudy(k: number): void {
  if (k > 0) return
  throw new NumericalError({
    code: 'no-studies',
    problem: 'there are no studies.',
    expected: 'at least one study.',
    mend: 'pass one entry per study.',
  })
}

/** Fits the design by weighted least squares at a given τ². */
export function weightedFit(studies: StudyDesign, tauSquared: number): WeightedFit {
  const { k, p, effects, variances, design } = studies
  const weights = Float64Array.from(variances, (variance) => 1 / (variance + tauSquared))
  const information = new Float64Array(p * p)
  const right = new Float64Array(p)
  for (let i = 0; i < k; i++) {
    for (let a = 0; a < p; a++) {
      const weighted = weights[i]! * design[i * p + a]!
      right[a]! += weighted * effects[i]!
      for (let b = 0; b < p; b++) information[a * p + b]! += weighted * design[i * p + b]!
    }
  }
  const factor = choleskyFactor(information, p)
  const coefficients = solveFactored(factor, right)
  const covariance = invertFactored(factor)
  const residuals = new Float64Array(k)
  const leverages = new Float64Array(k)
  let q = 0
  let size = 0
  for (let i = 0; i < k; i++) {
    let fitted = 0
    let leverage = 0
    for (let a = 0; a < p; a++) {
      const x = design[i * p + a]!
      fitted += x * coefficients[a]!
      for (let b = 0; b < p; b++) leverage += x * covariance[a * p + b]! * design[i * p + b]!
    }
    residuals[i] = effects[i]! - fitted
    leverages[i] = leverage
    q += weights[i]! * residuals[i]! ** 2
    size += weights[i]! * effects[i]! ** 2
  }
  // Equal effects leave residuals of rounding only; they must not pass for a tiny spread.
  if (q <= (8 * Number.EPSILON) ** 2 * size) q = 0
  return { weights, coefficients, covariance, residuals, leverages, q, factor }
}

/** Traces of P and P² for P = W − WX(XᵀWX)⁻¹XᵀW, the matrix that takes the effects to weighted residuals. */
export function projectionTraces(studies: StudyDesign, fit: WeightedFit): { first: number; second: number } {
  const { k, p, design } = studies
  const { weights, covariance, leverages } = fit
  let first = 0
  let second = 0
  const squared = new Float64Array(p * p)
  for (let i = 0; i < k; i++) {
    const w = weights[i]!
    first += w - w * w * leverages[i]!
    second += w * w - 2 * w * w * w * leverages[i]!
    for (let a = 0; a < p; a++)
      for (let b = 0; b < p; b++) squared[a * p + b]! += w * w * design[i * p + a]! * design[i * p + b]!
  }
  const product = new Float64Array(p * p)
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++)
      for (let c = 0; c < p; c++) product[a * p + b]! += covariance[a * p + c]! * squared[c * p + b]!
  for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) second += product[a * p + b]! * product[b * p + a]!
  return { first, second }
}
