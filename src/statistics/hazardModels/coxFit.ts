import { NumericalError } from '../../core/errors.js'
import { type CholeskyFactor, choleskyFactor, invertFactored } from '../numeric/matrix.js'
import { type LikelihoodPoint, newtonMaximum } from '../numeric/optimise.js'
import { sideBySide } from '../regression/design.js'
import { standardiseDesign } from '../regression/standardise.js'
import type { CoxDesign } from './coxDesign.js'
import { partialLikelihood, type Ties, unpacked } from './coxLikelihood.js'

/** Work, in sums over subsets, above which the exact likelihood is refused. */
const largestWork = 4e9

/**
 * Exact log partial likelihood for events tied in discrete time (Cox 1972; recursion of Gail, Lubin and Rubinstein
 * 1981): the probability that those with the event are the ones among all subsets of their number. Also the
 * conditional logistic likelihood of matched sets.
 *
 * @throws NumericalError `exact-too-large` where the sums over subsets would take too long or leave the range of
 *   doubles
 */
function exactLikelihood(design: CoxDesign): (coefficients: Float64Array) => LikelihoodPoint {
  const ends = stratumEnds(design)
  requireFeasible(design, ends)
  return (coefficients) => {
    const { size } = design
    const gradient = new Float64Array(size)
    const triangle = new Float64Array((size * (size + 1)) / 2)
    let value = 0
    for (let k = 0; k < ends.length && !Number.isNaN(value); k++) {
      value += exactTerm(design, coefficients, k, membersAt(design, k, ends[k]!), gradient, triangle)
    }
    // Out of range at no effect at all the sums are too large; elsewhere the step was too long, and is halved.
    if (Number.isNaN(value) && coefficients.every((one) => one === 0)) throw tooLarge()
    return { value, gradient, information: unpacked(triangle, size) }
  }
}

/** Event time after the last one of the stratum of each event time. */
function stratumEnds(design: CoxDesign): Int32Array {
  const { stratumOfEventTime } = design.order
  const ends = new Int32Array(stratumOfEventTime.length)
  for (let k = ends.length - 1; k >= 0; k--) {
    ends[k] = stratumOfEventTime[k] === stratumOfEventTime[k + 1] ? ends[k + 1]! : k + 1
  }
  return ends
}

/** Places at risk at an event time, those with the event first. */
function membersAt(design: CoxDesign, k: number, end: number): Uint32Array {
  const { bucketStart, firstCovered } = design.order
  const members = new Uint32Array(bucketStart[end]! - bucketStart[k]!)
  let count = 0
  for (let place = bucketStart[k]!; place < bucketStart[end]!; place++) {
    if (firstCovered === undefined || firstCovered[place]! <= k) members[count++] = place
  }
  return members.subarray(0, count)
}

function requireFeasible(design: CoxDesign, ends: Int32Array): void {
  const { bucketStart, eventEnd } = design.order
  const products = (design.size + 1) * (design.size + 2)
  let work = 0
  for (let k = 0; k < ends.length; k++) {
    work += (bucketStart[ends[k]!]! - bucketStart[k]!) * (eventEnd[k]! - bucketStart[k]!) * products
  }
  if (work > largestWork) throw tooLarge()
}

function tooLarge(): NumericalError {
  return new NumericalError({
    code: 'exact-too-large',
    problem: 'the exact likelihood of these tied events is too large to sum over their subsets.',
    expected: 'few events tied at one time, or few rows at risk there.',
    mend: "use ties: 'efron', which lies close where ties are many.",
  })
}

/** Log probability of one event time, NaN where its sums leave the range of doubles; adds its score and information. */
function exactTerm(
  design: CoxDesign,
  coefficients: Float64Array,
  k: number,
  members: Uint32Array,
  gradient: Float64Array,
  triangle: Float64Array,
): number {
  const { size, x, offset } = design
  const events = design.order.eventEnd[k]! - design.order.bucketStart[k]!
  const predictor = Float64Array.from(members, (place) => {
    let sum = offset === undefined ? 0 : offset[place]!
    for (let j = 0; j < size; j++) sum += coefficients[j]! * x[place * size + j]!
    return sum
  })
  const shift = typicalRisk(predictor)
  let value = 0
  for (let i = 0; i < events; i++) {
    value += predictor[i]! - shift
    for (let j = 0; j < size; j++) gradient[j]! += x[members[i]! * size + j]!
  }
  const sums = subsetSums(design, members, predictor, shift, events)
  const width = 1 + size + triangle.length
  const total = sums[events * width]!
  if (!(total > 0) || !Number.isFinite(total)) return Number.NaN
  let at = 0
  for (let a = 0; a < size; a++) {
    const meanA = sums[events * width + 1 + a]! / total
    gradient[a]! -= meanA
    for (let b = 0; b <= a; b++) {
      const meanB = sums[events * width + 1 + b]! / total
      triangle[at]! += sums[events * width + 1 + size + at]! / total - meanA * meanB
      at++
    }
  }
  return value - Math.log(total) - logChoose(members.length, events)
}

/** Log of the mean relative risk, about which subset sums stay near 1. */
function typicalRisk(predictor: Float64Array): number {
  let most = Number.NEGATIVE_INFINITY
  for (const one of predictor) if (one > most) most = one
  let sum = 0
  for (const one of predictor) sum += Math.exp(one - most)
  return most + Math.log(sum / predictor.length)
}

/**
 * Mean over the subsets of each number of members of the product of their risks, with its first and second
 * derivatives; row-major, one row per number of members. Means instead of sums keep the values in range.
 */
function subsetSums(
  design: CoxDesign,
  members: Uint32Array,
  predictor: Float64Array,
  shift: number,
  events: number,
): Float64Array {
  const { size, x } = design
  const width = 1 + size + (size * (size + 1)) / 2
  const sums = new Float64Array((events + 1) * width)
  sums[0] = 1
  for (let i = 0; i < members.length; i++) {
    const risk = Math.exp(predictor[i]! - shift)
    const start = members[i]! * size
    for (let chosen = Math.min(i + 1, events); chosen >= 1; chosen--) {
      const kept = (i + 1 - chosen) / (i + 1)
      const joined = (chosen / (i + 1)) * risk
      joinMember(sums, chosen * width, (chosen - 1) * width, kept, joined, x, start, size)
    }
  }
  return sums
}

/** Subsets with the member joined to those without it: S ← kept · S + joined · S₋ · risk, and its derivatives. */
function joinMember(
  sums: Float64Array,
  to: number,
  from: number,
  kept: number,
  joined: number,
  x: Float64Array,
  start: number,
  size: number,
): void {
  const value = sums[from]!
  let at = 1 + size
  for (let a = 0; a < size; a++) {
    const xa = x[start + a]!
    const slopeA = sums[from + 1 + a]!
    for (let b = 0; b <= a; b++, at++) {
      const xb = x[start + b]!
      const curvature = sums[from + at]! + slopeA * xb + sums[from + 1 + b]! * xa + value * xa * xb
      sums[to + at] = kept * sums[to + at]! + joined * curvature
    }
  }
  for (let a = 0; a < size; a++) {
    sums[to + 1 + a] = kept * sums[to + 1 + a]! + joined * (sums[from + 1 + a]! + value * x[start + a]!)
  }
  sums[to] = kept * sums[to]! + joined * value
}

function logChoose(n: number, k: number): number {
  let sum = 0
  for (let i = 1; i <= k; i++) sum += Math.log((n - k + i) / i)
  return sum
}

/** Fit in scaled covariates, over those columns that the risk sets can tell apart. */
export interface CoxCore {
  /** Design of the columns that were fitted. */
  readonly design: CoxDesign
  /** Column of each fitted coefficient in the design that was asked for. */
  readonly fitted: readonly number[]
  readonly coefficients: Float64Array
  readonly point: LikelihoodPoint
  readonly atZero: LikelihoodPoint
  /** Inverse information, row-major. */
  readonly covariance: Float64Array
  /** Fitted coefficients along which the likelihood rises without end. */
  readonly monotone: readonly boolean[]
  readonly iterations: number
  readonly converged: boolean
  readonly evaluate: (coefficients: Float64Array) => LikelihoodPoint
}

/** Information per event, in scaled covariates, at or below which a covariate does not vary within risk sets. */
const leastInformation = 1e-11

/** Last Newton step, times the widest covariate, above which the likelihood has no maximum in that direction. */
const runawayStep = 0.1

/** Whether the last Newton step of a coefficient is too long for one near a maximum. */
export function isRunaway(step: number, spread: number): boolean {
  return Math.abs(step) * spread > runawayStep
}

/** Share of its information at zero below which a coefficient has run to where the likelihood is flat. */
const vanishedShare = 1e-9

/**
 * Whether nothing is left of a coefficient's information: where all events are separated, gradient and step round to
 * zero together with it, so that the step alone cannot tell a runaway from a maximum.
 */
function hasVanished(information: Float64Array, atZero: Float64Array, column: number): boolean {
  const at = column * (Math.sqrt(information.length) + 1)
  return !(information[at]! > vanishedShare * atZero[at]!)
}

/** Log partial likelihood of a design by the way ties are treated. */
export function likelihoodOf(design: CoxDesign, ties: Ties): (coefficients: Float64Array) => LikelihoodPoint {
  return ties === 'exact' ? exactLikelihood(design) : partialLikelihood(design, { ties })
}

/**
 * Maximises the partial likelihood from zero.
 *
 * @throws NumericalError `constant-covariate`, `collinear-covariate`
 */
export function fitCore(whole: CoxDesign, ties: Ties): CoxCore {
  const evaluateWhole = likelihoodOf(whole, ties)
  const wholeAtZero = evaluateWhole(new Float64Array(whole.size))
  const fitted = estimableColumns(whole, wholeAtZero)
  const all = fitted.length === whole.size
  const design = all ? whole : chosenColumns(whole, fitted)
  const evaluate = all ? evaluateWhole : likelihoodOf(design, ties)
  const start = new Float64Array(fitted.length)
  const atZero = all ? wholeAtZero : evaluate(start)
  const maximum = newtonMaximum(evaluate, start, { startPoint: atZero })
  const monotone = Array.from(
    maximum.step,
    (step, j) =>
      isRunaway(step, design.spread[j]!) || hasVanished(maximum.point.information, atZero.information, j),
  )
  return {
    design,
    fitted,
    coefficients: maximum.at,
    point: maximum.point,
    atZero,
    covariance: invertFactored(maximum.factor),
    monotone,
    iterations: maximum.iterations,
    converged: maximum.converged && !monotone.includes(true),
    evaluate,
  }
}

/** The design without columns that the risk sets cannot tell apart; refuses columns as `fitCore` does. */
export function estimableDesign(design: CoxDesign, ties: Ties): CoxDesign {
  const fitted = estimableColumns(design, likelihoodOf(design, ties)(new Float64Array(design.size)))
  return fitted.length === design.size ? design : chosenColumns(design, fitted)
}

/** Columns that vary within risk sets beside those before them; refuses columns that never could. */
function estimableColumns(design: CoxDesign, atZero: LikelihoodPoint): readonly number[] {
  const { dependent } = rankedFactor(atZero.information, design.size, design.rows.events)
  if (dependent.length > 0) {
    standardiseDesign(sideBySide(design.columns, design.rows.rows), true, design.rows.weight)
  }
  return design.names.map((_, j) => j).filter((j) => !dependent.includes(j))
}

/** Factor of an information matrix that takes rounding left in an uninformative row for the zero that it stands for. */
function rankedFactor(information: Float64Array, size: number, events: number): CholeskyFactor {
  const cleaned = information.slice()
  for (let j = 0; j < size; j++) {
    if (information[j * size + j]! > leastInformation * Math.max(events, 1)) continue
    for (let i = 0; i < size; i++) {
      cleaned[i * size + j] = 0
      cleaned[j * size + i] = 0
    }
  }
  return choleskyFactor(cleaned, size)
}

function chosenColumns(design: CoxDesign, chosen: readonly number[]): CoxDesign {
  const size = chosen.length
  const x = new Float64Array(design.order.row.length * size)
  for (let place = 0; place < design.order.row.length; place++) {
    for (let j = 0; j < size; j++) x[place * size + j] = design.x[place * design.size + chosen[j]!]!
  }
  const picked = (column: Float64Array): Float64Array => Float64Array.from(chosen, (j) => column[j]!)
  return {
    ...design,
    columns: chosen.map((j) => design.columns[j]!),
    names: chosen.map((j) => design.names[j]!),
    size,
    x,
    centre: picked(design.centre),
    scale: picked(design.scale),
    spread: picked(design.spread),
  }
}
