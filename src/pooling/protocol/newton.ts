import { unpacked } from '../../statistics/hazardModels/coxLikelihood.js'
import { choleskyFactor, invertFactored, sandwich, solveFactored } from '../../statistics/numeric/matrix.js'
import { coefficientNames, type Sums } from './layout.js'
import type { Protocol } from './protocol.js'

/** Longest last step, in any coefficient, at which a model has settled; rounding of the sums allows no shorter one. */
export const settledStep = 0.002

/** The model in rounds at coefficients: the step that its totals give, and the variance that is robust by patient. */
export interface ModelAt {
  readonly coefficients: readonly number[]
  readonly step: readonly number[]
  /** Robust covariance of the coefficients, row by row. */
  readonly covariance: readonly (readonly number[])[]
  readonly restorations: number
  readonly events: number
}

/** Largest coefficient of a model in rounds; beyond it a level has no events, or nothing but events. */
const largestCoefficient = 6

/**
 * Newton's step of the model in rounds from totals at given coefficients.
 *
 * @returns undefined where the totals hold no information on some coefficient
 */
export function modelAt(
  totals: Sums,
  protocol: Protocol,
  endpoint: string,
  coefficients: readonly number[],
): ModelAt | undefined {
  const size = coefficientNames(protocol).length
  const score = totals[`${endpoint}/model/score`]!
  const information = unpacked(totals[`${endpoint}/model/information`]!, size)
  const factor = choleskyFactor(information, size)
  if (factor.dependent.length > 0 || !information.some((one) => one !== 0)) return undefined
  const covariance = sandwich(
    invertFactored(factor),
    unpacked(totals[`${endpoint}/model/patientSquares`]!, size),
    size,
  )
  const [restorations, events] = totals[`${endpoint}/model/counts`]!
  return {
    coefficients,
    step: Array.from(solveFactored(factor, score)),
    covariance: coefficients.map((_one, a) => coefficients.map((_other, b) => covariance[a * size + b]!)),
    restorations: restorations!,
    events: events!,
  }
}

/** Coefficients of the next round; undefined where the model has settled, runs away, or cannot be had. */
export function nextCoefficients(at: ModelAt | undefined): readonly number[] | undefined {
  if (at === undefined || at.step.every((one) => Math.abs(one) < settledStep)) return undefined
  const next = at.coefficients.map((one, j) => one + at.step[j]!)
  return next.every((one) => Math.abs(one) <= largestCoefficient) ? next : undefined
}
