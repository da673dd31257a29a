import type { CoxDesign } from '../statistics/regression/coxDesign.js'
import { partialLikelihood } from '../statistics/regression/coxLikelihood.js'
import { type ClusterCodes, clusterScores, outerProducts } from '../statistics/regression/coxRobust.js'
import { type ModelRows, modelDesign } from './modelRows.js'

/** What a clinic adds to the model at given coefficients; lists of size p, matrices row by row. */
export interface ModelSums {
  readonly logLikelihood: number
  readonly score: readonly number[]
  readonly information: readonly (readonly number[])[]
}

/** Score and information of the stratified model (Cox 1972, ties by Efron 1977) at coefficients. */
export function modelSums(model: ModelRows, coefficients: readonly number[]): ModelSums {
  const design = modelDesign(model)
  const point = partialLikelihood(design, { ties: 'efron' })(scaled(design, coefficients))
  return {
    logLikelihood: point.value,
    score: coefficients.map((_one, j) => point.gradient[j]! * design.scale[j]!),
    information: inInput(design, point.information),
  }
}

/**
 * Outer products of the scores of patients (Lin and Wei 1989; Lee, Wei and Amato 1992), at coefficients.
 *
 * @param byPatient whether the restorations of a patient are summed first; each stands alone otherwise
 */
export function modelOuterProducts(
  model: ModelRows,
  coefficients: readonly number[],
  byPatient: boolean,
): readonly (readonly number[])[] {
  const design = modelDesign(model)
  const scores = clusterScores(
    design,
    { ties: 'efron' },
    scaled(design, coefficients),
    byPatient ? patientCodes(model) : undefined,
  )
  return inInput(design, outerProducts(scores, design.size))
}

function patientCodes(model: ModelRows): ClusterCodes {
  const seen = new Map<number, number>()
  const codes = model.patient.map((patient) => {
    const known = seen.get(patient) ?? seen.size
    seen.set(patient, known)
    return known
  })
  return { codes, count: seen.size }
}

function scaled(design: CoxDesign, coefficients: readonly number[]): Float64Array {
  return Float64Array.from(coefficients, (one, j) => one * design.scale[j]!)
}

function inInput(design: CoxDesign, matrix: Float64Array): readonly (readonly number[])[] {
  const { size, scale } = design
  return Array.from({ length: size }, (_row, a) =>
    Array.from({ length: size }, (_column, b) => matrix[a * size + b]! * scale[a]! * scale[b]!),
  )
}
