import type { LikelihoodPoint } from '../numeric/optimise.js'
import type { CoxDesign } from './coxDesign.js'
import { fillRisk, walkRiskSets } from './riskSums.js'

/** How tied event times enter the partial likelihood. */
export type Ties = 'efron' | 'breslow' | 'exact'

/** What the approximations for ties do with the d events of one time. */
export interface TieSteps {
  /** Terms of the denominator. */
  readonly steps: number
  /** Weight of each term. */
  readonly mean: number
}

/**
 * Terms that the tied events of one time contribute. Breslow: one term with their whole weight. Efron: one per event,
 * each with their mean weight, the l-th with a share l/d of those events taken out of the risk set. Where weights are
 * counts of repeated rows, d is the number of repeats.
 */
export function tieSteps(
  ties: 'efron' | 'breslow',
  events: number,
  weight: number,
  counts: boolean,
): TieSteps {
  if (ties === 'breslow') return { steps: weight > 0 ? 1 : 0, mean: weight }
  const steps = counts ? Math.round(weight) : events
  return { steps, mean: steps === 0 ? 0 : weight / steps }
}

/** Settings of the partial likelihood beyond its design. */
export interface LikelihoodSettings {
  readonly ties: 'efron' | 'breslow'
  /** Weight of each place in place of the design's. */
  readonly weight?: Float64Array | undefined
  /** Weights are numbers of repeated rows: a row of weight 3 is three tied rows. Default false. */
  readonly counts?: boolean
}

/** Sees the part of the gradient and of the information (lower triangle) of each event time; both are reused. */
export type EventTimeVisitor = (eventTime: number, gradient: Float64Array, information: Float64Array) => void

/**
 * Log partial likelihood with its gradient and information in the scaled covariates (Breslow 1974; Efron 1977).
 *
 * @param visit sees the part of every event time
 * @returns a function of the scaled coefficients; it reuses its own workspace, and returns fresh arrays
 */
export function partialLikelihood(
  design: CoxDesign,
  settings: LikelihoodSettings,
  visit?: EventTimeVisitor,
): (coefficients: Float64Array) => LikelihoodPoint {
  const { size, order } = design
  const weight = settings.weight ?? design.weight
  const predictor = new Float64Array(order.row.length)
  const risk = new Float64Array(order.row.length)
  return (coefficients) => {
    const shift = fillRisk(design, coefficients, predictor, risk, weight)
    const gradient = new Float64Array(size)
    const triangle = new Float64Array((size * (size + 1)) / 2)
    const partGradient = visit === undefined ? gradient : new Float64Array(size)
    const partTriangle = visit === undefined ? triangle : new Float64Array(triangle.length)
    let value = 0
    walkRiskSets(design, design.x, size, risk, 2, (k, atRisk, withEvent) => {
      const tied = tiedEvents(design, settings, weight, k)
      value += eventTerms(design, predictor, weight, shift, k, partGradient)
      value -= denominatorTerms(tied, atRisk, withEvent, size, partGradient, partTriangle)
      if (visit === undefined) return
      visit(k, partGradient, partTriangle)
      moveInto(gradient, partGradient)
      moveInto(triangle, partTriangle)
    })
    return {
      value: Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY,
      gradient,
      information: unpacked(triangle, size),
    }
  }
}

/** Adds a part to its sum and clears it. */
function moveInto(sum: Float64Array, part: Float64Array): void {
  for (let i = 0; i < sum.length; i++) sum[i]! += part[i]!
  part.fill(0)
}

/** Terms of the tied events of one event time. */
export function tiedEvents(
  design: CoxDesign,
  settings: LikelihoodSettings,
  weight: Float64Array | undefined,
  k: number,
): TieSteps {
  const from = design.order.bucketStart[k]!
  const to = design.order.eventEnd[k]!
  let sum = to - from
  if (weight !== undefined) {
    sum = 0
    for (let place = from; place < to; place++) sum += weight[place]!
  }
  return tieSteps(settings.ties, to - from, sum, settings.counts ?? false)
}

/** Weighted linear predictors of the events of one time; adds their covariates to the gradient. */
function eventTerms(
  design: CoxDesign,
  predictor: Float64Array,
  weight: Float64Array | undefined,
  shift: number,
  k: number,
  gradient: Float64Array,
): number {
  const { size, x } = design
  let value = 0
  for (let place = design.order.bucketStart[k]!; place < design.order.eventEnd[k]!; place++) {
    const share = weight === undefined ? 1 : weight[place]!
    value += share * (predictor[place]! - shift)
    for (let j = 0; j < size; j++) gradient[j]! += share * x[place * size + j]!
  }
  return value
}

/** Logarithms of the denominators of one event time; takes their means from the gradient, adds the information. */
function denominatorTerms(
  tied: TieSteps,
  atRisk: Float64Array,
  withEvent: Float64Array,
  size: number,
  gradient: Float64Array,
  triangle: Float64Array,
): number {
  let value = 0
  let riskShare = 0
  let eventShare = 0
  for (let step = 0; step < tied.steps; step++) {
    const taken = step / tied.steps
    const denominator = atRisk[0]! - taken * withEvent[0]!
    const factor = tied.mean / denominator
    value += tied.mean * Math.log(denominator)
    riskShare += factor
    eventShare += factor * taken
    let at = 0
    for (let a = 0; a < size; a++) {
      const sumA = atRisk[1 + a]! - taken * withEvent[1 + a]!
      gradient[a]! -= factor * sumA
      const scaled = (factor * sumA) / denominator
      for (let b = 0; b <= a; b++) triangle[at++]! -= scaled * (atRisk[1 + b]! - taken * withEvent[1 + b]!)
    }
  }
  const products = 1 + size
  for (let i = 0; i < triangle.length; i++) {
    triangle[i]! += riskShare * atRisk[products + i]! - eventShare * withEvent[products + i]!
  }
  return value
}

/** Symmetric row-major matrix of a lower triangle. */
export function unpacked(triangle: Float64Array, size: number): Float64Array {
  const matrix = new Float64Array(size * size)
  let at = 0
  for (let a = 0; a < size; a++) {
    for (let b = 0; b <= a; b++) {
      matrix[a * size + b] = triangle[at]!
      matrix[b * size + a] = triangle[at++]!
    }
  }
  return matrix
}
