import { choleskyFactor, invertFactored, logDeterminantFactored } from '../numeric/matrix.js'
import type { LikelihoodPoint } from '../numeric/optimise.js'
import type { CoxDesign } from './coxDesign.js'
import { type LikelihoodSettings, partialLikelihood, tiedEvents } from './coxLikelihood.js'
import { fillRisk, productPosition, walkRiskSets } from './riskSums.js'

/** Penalised likelihood at a point; `gradient` is the modified score, `information` that of the plain likelihood. */
export interface PenalisedPoint extends LikelihoodPoint {
  readonly unpenalised: number
}

/**
 * Log partial likelihood plus half the log determinant of its information (Firth 1993; Heinze and Schemper 2001),
 * with the modified score: the derivative of the penalty needs the third moments of the risk sets against the inverse
 * information, which one more pass gives.
 */
export function firthLikelihood(
  design: CoxDesign,
  settings: LikelihoodSettings,
): (coefficients: Float64Array) => PenalisedPoint {
  const plain = partialLikelihood(design, settings)
  const { size } = design
  return (coefficients) => {
    const point = plain(coefficients)
    const factor = choleskyFactor(point.information, size)
    const unpenalised = point.value
    if (factor.dependent.length > 0) return { ...point, unpenalised, value: Number.NEGATIVE_INFINITY }
    const slope = penaltySlope(design, settings, coefficients, invertFactored(factor))
    return {
      value: unpenalised + 0.5 * logDeterminantFactored(factor),
      gradient: point.gradient.map((one, j) => one + slope[j]!),
      information: point.information,
      unpenalised,
    }
  }
}

/**
 * Half the trace of inverse information times the derivative of the information in each coefficient. Within a risk
 * set that is half the mean of (x − x̄) · (x − x̄)ᵀV(x − x̄), so beside the usual sums those of q = xᵀVx and of q x
 * suffice: the columns of an extended design (x, q).
 */
function penaltySlope(
  design: CoxDesign,
  settings: LikelihoodSettings,
  coefficients: Float64Array,
  inverse: Float64Array,
): Float64Array {
  const { size, order } = design
  const wide = size + 1
  const x = withQuadraticForm(design, inverse)
  const predictor = new Float64Array(order.row.length)
  const risk = new Float64Array(order.row.length)
  const weight = settings.weight ?? design.weight
  fillRisk(design, coefficients, predictor, risk, weight)
  const slope = new Float64Array(size)
  const mean = new Float64Array(wide)
  walkRiskSets(design, x, wide, risk, 2, (k, atRisk, withEvent) => {
    const tied = tiedEvents(design, settings, weight, k)
    for (let step = 0; step < tied.steps; step++) {
      const taken = step / tied.steps
      const denominator = atRisk[0]! - taken * withEvent[0]!
      const moment = (at: number): number => (atRisk[at]! - taken * withEvent[at]!) / denominator
      for (let j = 0; j < wide; j++) mean[j] = moment(1 + j)
      addThirdMoment(slope, 0.5 * tied.mean, mean, moment, inverse, size)
    }
  })
  return slope
}

/** Adds factor · mean of (x_a − x̄_a)(x − x̄)ᵀV(x − x̄) for every covariate a. */
function addThirdMoment(
  slope: Float64Array,
  factor: number,
  mean: Float64Array,
  moment: (position: number) => number,
  inverse: Float64Array,
  size: number,
): void {
  const wide = size + 1
  for (let a = 0; a < size; a++) {
    let third = moment(productPosition(wide, size, a)) - mean[a]! * mean[size]!
    for (let b = 0; b < size; b++) {
      let projected = 0
      for (let c = 0; c < size; c++) projected += inverse[b * size + c]! * mean[c]!
      const covariance = moment(productPosition(wide, Math.max(a, b), Math.min(a, b))) - mean[a]! * mean[b]!
      third -= 2 * projected * covariance
    }
    slope[a]! += factor * third
  }
}

/** Covariates of every place with xᵀVx as one more column, row-major. */
function withQuadraticForm(design: CoxDesign, inverse: Float64Array): Float64Array {
  const { size, x } = design
  const places = design.order.row.length
  const wide = size + 1
  const extended = new Float64Array(places * wide)
  for (let place = 0; place < places; place++) {
    let form = 0
    for (let a = 0; a < size; a++) {
      const value = x[place * size + a]!
      extended[place * wide + a] = value
      for (let b = 0; b < size; b++) form += value * inverse[a * size + b]! * x[place * size + b]!
    }
    extended[place * wide + size] = form
  }
  return extended
}
