import { sandwich } from '../statistics/numeric/matrix.js'
import { type CoxDesign, prepareCox } from '../statistics/regression/coxDesign.js'
import { fitCore } from '../statistics/regression/coxFit.js'
import { partialLikelihood } from '../statistics/regression/coxLikelihood.js'
import { type ClusterCodes, clusterScores, outerProducts } from '../statistics/regression/coxRobust.js'
import { type ModelRows, modelDesign } from './modelRows.js'

/** What a clinic adds to the model at given coefficients; lists of size p, matrices row by row. */
export interface ModelSums {
  readonly logLikelihood: number
  readonly score: readonly number[]
  readonly information: readonly (readonly number[])[]
}

/** A clinic's own log hazard ratio of the group, adjusted as the model is. */
export interface OwnEstimate {
  readonly logHazardRatio: number
  /** Variance that allows for several restorations in one patient. */
  readonly robustVariance: number
  readonly modelVariance: number
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

/** A clinic's own estimate, or undefined where its events or groups do not give one. */
export function ownEstimate(model: ModelRows, byPatient: boolean): OwnEstimate | undefined {
  if (model.kept.length === 0 || model.events === 0) return undefined
  const varying = Object.fromEntries(
    Object.entries(model.columns).filter(([, column]) => column.includes(0) && column.includes(1)),
  )
  const [group] = Object.keys(model.columns)
  if (varying[group!] === undefined) return undefined
  const core = fitCore(prepareCox(model.times, varying, { strata: model.block }), 'efron')
  const at = core.fitted.indexOf(0)
  if (at < 0 || !core.converged || core.monotone.includes(true)) return undefined
  const size = core.fitted.length
  const codes = byPatient ? patientCodes(model) : undefined
  const scores = clusterScores(core.design, { ties: 'efron' }, core.coefficients, codes)
  const robust = sandwich(core.covariance, outerProducts(scores, size), size)
  const scale = core.design.scale[at]!
  const variance = (matrix: Float64Array): number => matrix[at * size + at]! / (scale * scale)
  if (!(variance(robust) > 0)) return undefined
  return {
    logHazardRatio: core.coefficients[at]! / scale,
    robustVariance: variance(robust),
    modelVariance: variance(core.covariance),
  }
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
