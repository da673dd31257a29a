import { type CholeskyFactor, choleskyFactor, invertFactored } from '../numeric/matrix.js'
import { type LikelihoodPoint, newtonMaximum } from '../numeric/optimise.js'
import type { CoxDesign } from './coxDesign.js'
import { exactLikelihood } from './coxExact.js'
import { partialLikelihood, type Ties } from './coxLikelihood.js'
import { sideBySide } from './design.js'
import { standardiseDesign } from './standardise.js'

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
