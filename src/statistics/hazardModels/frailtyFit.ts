import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import type { CoxDesign } from './coxDesign.js'
import { expectedEvents, hazardAt } from './coxHazard.js'
import { partialLikelihood } from './coxLikelihood.js'

/** Fit of coefficients and cluster effects at one frailty variance. */
export interface FrailtyPoint {
  readonly variance: number
  /** Scaled coefficients. */
  readonly coefficients: Float64Array
  /** Logarithm of the frailty of each cluster. */
  readonly logFrailty: Float64Array
  /** Marginal log-likelihood, the frailties integrated out and the baseline hazard profiled. */
  readonly value: number
  /** Its derivative in the scaled coefficients, 0 where they were fitted. */
  readonly gradient: Float64Array
  /** Its derivative in the logarithm of the variance. */
  readonly varianceSlope: number
  readonly converged: boolean
}

/** Solver of one design and one set of clusters; points are fitted from the last one. */
export interface FrailtySolver {
  /** Fits frailties at a variance; coefficients too unless they are given. */
  at(variance: number, coefficients?: Float64Array): FrailtyPoint
}

const maxCycles = 500
const tolerance = 1e-11

/**
 * Solver of the shared gamma frailty model at a fixed variance θ = 1/ν (Klein 1992; as a penalised likelihood
 * Therneau and Grambsch 2000, chapter 9): cluster effects maximise the log partial likelihood plus ν Σ (w − e^w), which
 * is the fixed point of the EM steps z = (d + ν) / (Λ + ν). Steps are extrapolated (Varadhan and Roland 2008).
 *
 * @param cluster cluster of each row of the input, numbered from 0
 */
export function frailtySolver(
  design: CoxDesign,
  ties: 'efron' | 'breslow',
  cluster: Int32Array,
  clusters: number,
): FrailtySolver {
  const state = openState(design, ties, cluster, clusters)
  return {
    at(variance, coefficients) {
      if (coefficients !== undefined) state.coefficients.set(coefficients)
      const nu = 1 / variance
      const converged = fixedPoint(state, nu, coefficients === undefined)
      setOffset(state, state.logFrailty)
      const point = state.evaluate(state.coefficients)
      return {
        variance,
        coefficients: state.coefficients.slice(),
        logFrailty: state.logFrailty.slice(),
        value: point.value + marginalTerms(state, nu),
        gradient: point.gradient,
        varianceSlope: -nu * marginalSlope(state, nu),
        converged,
      }
    },
  }
}

interface SolverState {
  readonly design: CoxDesign & { readonly offset: Float64Array }
  readonly ties: 'efron' | 'breslow'
  readonly baseOffset: Float64Array | undefined
  /** Cluster of each place. */
  readonly cluster: Int32Array
  readonly events: Float64Array
  readonly coefficients: Float64Array
  readonly logFrailty: Float64Array
  readonly evaluate: ReturnType<typeof partialLikelihood>
}

function openState(
  design: CoxDesign,
  ties: 'efron' | 'breslow',
  cluster: Int32Array,
  clusters: number,
): SolverState {
  const { row, bucketStart, eventEnd } = design.order
  const places = Int32Array.from(row, (one) => cluster[one]!)
  const events = new Float64Array(clusters)
  for (let k = 0; k < eventEnd.length; k++) {
    for (let place = bucketStart[k]!; place < eventEnd[k]!; place++) events[places[place]!]! += 1
  }
  const withOffset = { ...design, offset: new Float64Array(row.length) }
  return {
    design: withOffset,
    ties,
    baseOffset: design.offset,
    cluster: places,
    events,
    coefficients: new Float64Array(design.size),
    logFrailty: new Float64Array(clusters),
    evaluate: partialLikelihood(withOffset, { ties }),
  }
}

function setOffset(state: SolverState, logFrailty: Float64Array): void {
  const { offset } = state.design
  for (let place = 0; place < offset.length; place++) {
    offset[place] = (state.baseOffset?.[place] ?? 0) + logFrailty[state.cluster[place]!]!
  }
}

/** Runs the extrapolated fixed-point iteration from the state, and leaves the solution there. */
function fixedPoint(state: SolverState, nu: number, withCoefficients: boolean): boolean {
  const size = state.design.size
  let current = joined(state.coefficients, state.logFrailty)
  let converged = false
  for (let cycle = 0; cycle < maxCycles && !converged; cycle++) {
    const once = mapped(state, current, nu, withCoefficients)
    const twice = mapped(state, once, nu, withCoefficients)
    const first = once.map((value, i) => value - current[i]!)
    const bend = twice.map((value, i) => value - once[i]! - first[i]!)
    converged = largest(first) < tolerance
    const stretch = Math.max(1, norm(first) / Math.max(norm(bend), 1e-300))
    const far = current.map((value, i) => value + 2 * stretch * first[i]! + stretch * stretch * bend[i]!)
    const useful = !converged && stretch > 1 && penalised(state, far, nu) >= penalised(state, twice, nu)
    current = useful ? far : twice
  }
  state.coefficients.set(current.subarray(0, size))
  state.logFrailty.set(current.subarray(size))
  return converged
}

/** One Newton step of the coefficients, then one EM step of the frailties. */
function mapped(state: SolverState, from: Float64Array, nu: number, withCoefficients: boolean): Float64Array {
  const { design, events } = state
  const coefficients = from.slice(0, design.size)
  const logFrailty = from.slice(design.size)
  setOffset(state, logFrailty)
  if (withCoefficients) {
    const point = state.evaluate(coefficients)
    const step = solveFactored(choleskyFactor(point.information, design.size), point.gradient)
    step.forEach((value, j) => {
      coefficients[j]! += value
    })
  }
  const expected = expectedEvents(design, hazardAt(design, { ties: state.ties }, coefficients))
  const sums = new Float64Array(events.length)
  for (let place = 0; place < expected.length; place++) sums[state.cluster[place]!]! += expected[place]!
  const next = events.map((count, j) => Math.log((count + nu) / (sums[j]! * Math.exp(-logFrailty[j]!) + nu)))
  return joined(coefficients, next)
}

function penalised(state: SolverState, at: Float64Array, nu: number): number {
  const { size } = state.design
  const logFrailty = at.subarray(size)
  setOffset(state, logFrailty)
  let penalty = 0
  for (const w of logFrailty) penalty += w - Math.expm1(w)
  const value = state.evaluate(at.slice(0, size)).value + nu * penalty
  return Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY
}

/**
 * Marginal log-likelihood less the partial one: the integrals over the frailties at their fixed point, with the
 * constant by which both agree where the variance vanishes.
 */
function marginalTerms(state: SolverState, nu: number): number {
  let sum = 0
  state.logFrailty.forEach((w, j) => {
    const d = state.events[j]!
    sum += nu * (w - Math.expm1(w)) + d - nu * Math.log1p(d / nu)
    for (let k = 0; k < d; k++) sum += Math.log1p((k - d) / (nu + d))
  })
  return sum
}

/** Derivative of the marginal terms in ν. */
function marginalSlope(state: SolverState, nu: number): number {
  let sum = 0
  state.logFrailty.forEach((w, j) => {
    const d = state.events[j]!
    sum += w - Math.expm1(w) - Math.log1p(d / nu) + d / (nu + d)
    for (let k = 0; k < d; k++) sum += 1 / (nu + k) - 1 / (nu + d)
  })
  return sum
}

function joined(left: Float64Array, right: Float64Array): Float64Array {
  const both = new Float64Array(left.length + right.length)
  both.set(left)
  both.set(right, left.length)
  return both
}

function norm(vector: Float64Array): number {
  return Math.sqrt(vector.reduce((sum, value) => sum + value * value, 0))
}

function largest(vector: Float64Array): number {
  return vector.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
}
