import type { Interval, Quantity, Warning } from '../../core/estimate.js'
import { notEstimable, unbounded, warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { compensatedSum, type NumberColumn, requireZeroOne } from '../numeric/columns.js'
import { chiSquareQuantile, chiSquareUpperTail } from '../numeric/distributions.js'
import { invertFactored, matrixRows } from '../numeric/matrix.js'
import { brentRoot } from '../numeric/roots.js'
import { type RegressionCoefficient, waldCoefficient, withRatio } from './coefficients.js'
import type { Covariates } from './design.js'
import { binomialFamily } from './family.js'
import { type GeneralisedLinearOptions, type PreparedModel, prepareModel } from './generalisedLinear.js'
import { maximisePenalised, movedTo, type PenalisedFit } from './penalisedLikelihood.js'
import { covarianceInInputUnits, inInputUnits } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Options of {@link firthLogisticRegression}. */
export interface FirthLogisticOptions
  extends Pick<
    GeneralisedLinearOptions,
    'cluster' | 'weights' | 'offset' | 'interactions' | 'baselines' | 'level'
  > {
  /** `profile`: limits and P values of the penalised likelihood ratio. `wald`: from the standard error, for speed. */
  readonly interval?: 'profile' | 'wald'
}

/** What a penalised logistic regression answers. */
export interface FirthLogisticFit {
  /** `statistic` is the signed root of the penalised likelihood ratio where limits are profiled. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Inverse information at the penalised estimate. */
  readonly covariance: readonly (readonly number[])[]
  /** Log-likelihood plus half the log determinant of the information, in the units of the input. */
  readonly penalisedLogLikelihood: number
  readonly level: number
  readonly method: string
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly converged: boolean
  readonly iterations: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Estimates log odds ratios by Firth's penalised likelihood, which stays finite under separation and is less biased
 * than maximum likelihood where events are few.
 *
 * @param eventObserved 1 where the event was observed, 0 where it was not
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param options limits (default `profile`), clusters (counted, and warned about: the interval takes rows as
 *   independent), weights, offset, interactions, baselines, level (default 0.95)
 * @returns coefficients in log odds with odds ratios; profile limits hold one coefficient and maximise the penalised
 *   likelihood of the whole model over the rest
 * @throws NumericalError as logisticRegression does, but never for separation
 * @see Firth (1993) Biometrika 80:27–38; Heinze and Schemper (2002) Statistics in Medicine 21:2409–2419
 * @example firthLogisticRegression([0, 0, 0, 1, 1, 1], { late: [0, 0, 0, 1, 1, 1] }).coefficients[1].ratio // => 49
 */
export const firthLogisticRegression = checked(
  'firthLogisticRegression',
  (
    eventObserved: NumberColumn,
    covariates: Covariates,
    options: FirthLogisticOptions = {},
  ): FirthLogisticFit => {
    const { level = 0.95, interval: limits = 'profile' } = options
    requireZeroOne('eventObserved', eventObserved)
    const prepared = prepareModel(eventObserved, covariates, binomialFamily, options)
    const { problem } = prepared
    const { width, names, map, rows } = problem.design
    const fit = maximisePenalised(problem, evenOdds(problem))
    const estimates = inInputUnits(problem.design, fit.coefficients)
    const covariance = covarianceInInputUnits(map, invertFactored(fit.point.factor), width)
    const scales = names.reduce((sum, _, j) => sum + Math.log(map[j * width + j]!), 0)
    const wald = names.map((name, j) => {
      const estimate: Quantity = fit.converged
        ? estimates[j]!
        : notEstimable('the iteration did not converge.')
      const reference = { level, degreesOfFreedom: Number.POSITIVE_INFINITY }
      return waldCoefficient(name, estimate, Math.sqrt(covariance[j * width + j]!), reference, notConverged)
    })
    const profiled = limits === 'profile' && fit.converged
    return deepFreeze({
      coefficients: profiled ? wald.map((one, j) => profiledCoefficient(prepared, one, j, fit, level)) : wald,
      covariance: matrixRows(covariance, width),
      penalisedLogLikelihood: fit.point.value - scales,
      level,
      method: `logistic regression, Firth's penalised likelihood, ${limits} limits`,
      n: rows,
      events: compensatedSum(problem.response),
      clusters: prepared.clusters?.count ?? rows,
      converged: fit.converged,
      iterations: fit.iterations,
      warnings: warningsOf(prepared, fit),
      reference: 'firth-logistic',
    })
  },
)

/** Start: the constant term makes up for the mean offset, so that the fitted probabilities lie inside their range. */
function evenOdds(problem: WorkingProblem): Float64Array {
  const start = new Float64Array(problem.design.width)
  start[0] = -compensatedSum(problem.offset) / problem.offset.length
  return start
}

const manyMaxima = 'the penalised likelihood has several maxima near this limit.'
const notConverged = 'the iteration did not converge.'

function profiledCoefficient(
  prepared: PreparedModel,
  wald: RegressionCoefficient,
  j: number,
  fit: PenalisedFit,
  level: number,
): RegressionCoefficient {
  const profile = profileOf(prepared, j, fit)
  const estimate = wald.estimate as number
  const error = wald.standardError as number
  const allowed = chiSquareQuantile(level, 1)
  const limit = (side: -1 | 1): Quantity => {
    const beyond = (distance: number): number => profile.loss(estimate + side * distance) - allowed
    let near = 0
    let far = error * Math.sqrt(allowed)
    while (beyond(far) < 0 && far < 1e6 * error) {
      near = far
      far *= 1.6
    }
    if (far >= 1e6 * error) return unbounded(side < 0 ? 'below' : 'above')
    if (!(beyond(near) < 0 && beyond(far) >= 0)) return notEstimable(manyMaxima)
    return estimate + side * brentRoot(beyond, near, far, 1e-11)
  }
  const interval: Interval = { lower: limit(-1), upper: limit(1) }
  const ratio = Math.max(0, profile.loss(0))
  return withRatio({
    name: wald.name,
    estimate,
    standardError: error,
    interval,
    statistic: Math.sign(estimate) * Math.sqrt(ratio),
    pValue: chiSquareUpperTail(ratio, 1),
  })
}

/** Twice the penalised log-likelihood lost by holding a coefficient at a value. */
interface Profile {
  loss(value: number): number
}

/**
 * A coefficient in the units of the input is a sum of multiples of the standardised ones. The penalised likelihood may
 * have more than one maximum: each fit starts from the last one and from the estimate, and the better stands.
 */
function profileOf(prepared: PreparedModel, j: number, fit: PenalisedFit): Profile {
  const { problem } = prepared
  const { map, width } = problem.design
  const held = map.subarray(j * width, (j + 1) * width)
  let last = fit
  return {
    loss(value) {
      const starts = last === fit ? [fit] : [last, fit]
      const ends = starts.map((start) => maximisePenalised(problem, movedTo(start, held, value), held))
      last = ends.reduce((best, one) => (one.point.value > best.point.value ? one : best))
      return 2 * (fit.point.value - last.point.value)
    },
  }
}

function warningsOf(prepared: PreparedModel, fit: PenalisedFit): readonly Warning[] {
  const warnings: Warning[] = []
  if (prepared.clusters !== undefined && prepared.clusters.count < prepared.problem.design.rows) {
    const text =
      'The interval takes rows as independent although clusters repeat; set a permutation test of whole clusters beside it.'
    warnings.push(warning('clusters-ignored', text))
  }
  if (!fit.converged) {
    const text = `The penalised fit did not converge in ${fit.iterations} iterations; no coefficient is given.`
    warnings.push(warning('not-converged', text))
  }
  return warnings
}
