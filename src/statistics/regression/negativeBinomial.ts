import type { Quantity } from '../../core/estimate.js'
import { notEstimable, unbounded, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import { type CountOptions, exposureOffset, noEventWarnings, requireCounts } from './counts.js'
import type { Covariates } from './design.js'
import { negativeBinomialFamily, poissonFamily } from './family.js'
import {
  describeFit,
  type GeneralisedLinearFit,
  type PreparedModel,
  prepareModel,
  type RegressionKind,
} from './generalisedLinear.js'
import { fittedMeans } from './goodnessOfFit.js'
import { fitReweighted, type WorkingFit } from './reweighting.js'
import { type FittedCounts, isOverDispersed, scoreRoot, thetaInformation, thetaScore } from './theta.js'
import { evaluate, type WorkingProblem } from './workingProblem.js'

/** A fit to over-dispersed counts. */
export interface NegativeBinomialFit extends GeneralisedLinearFit {
  /** Shape: the variance is mean + mean² / theta. Unbounded where the counts are not over-dispersed. */
  readonly theta: Quantity
  /** From the observed information about theta. */
  readonly thetaStandardError: Quantity
  /** 1 / theta: 0 where the counts are not over-dispersed. */
  readonly alpha: Quantity
}

/**
 * Estimates log rate ratios of over-dispersed counts by maximum likelihood under the negative binomial distribution
 * with variance mean + mean² / theta; theta is estimated with the coefficients.
 *
 * @param counts whole numbers, zero or more
 * @param covariates columns of one length with the counts; texts are categories, compared with their first level
 * @param options exposure, offset, clusters, variance, smallSample, weights, intercept, interactions, baselines,
 *   level; see {@link CountOptions} for their defaults. Standard errors take theta as known (it is orthogonal to the
 *   coefficients in expectation).
 * @returns coefficients in log rates with rate ratios, and theta; where the counts vary no more than Poisson counts
 *   the Poisson fit is returned with a warning
 * @throws NumericalError as poissonRegression does
 * @see Lawless (1987) Canadian Journal of Statistics 15:209–225
 * @example negativeBinomialRegression([0, 0, 1, 9, 0, 2], { late: [0, 0, 0, 1, 1, 1] }).coefficients[1].ratio // => 11
 */
export const negativeBinomialRegression = checked(
  'negativeBinomialRegression',
  (counts: NumberColumn, covariates: Covariates, options: CountOptions = {}): NegativeBinomialFit => {
    requireCounts('counts', counts)
    const full = { ...options, ...exposureOffset(counts, options) }
    const prepared = prepareModel(counts, covariates, poissonFamily, full)
    const kind: RegressionKind = {
      method: methodOf('negative-binomial-regression', 'maximum-likelihood'),
      reference: 'negative-binomial',
      extraParameters: 1,
      warnings: noEventWarnings(counts),
    }
    const plain = fitReweighted(prepared.problem)
    const joint = plain.converged ? jointMaximum(prepared, plain) : undefined
    if (joint === undefined) return withoutSpread(prepared, plain, kind, full)
    const described = describeFit(joint.prepared, joint.fit, kind, full)
    const information = thetaInformation(fittedCounts(joint.prepared.problem, joint.fit), joint.theta)
    return Object.freeze({
      ...described,
      theta: joint.theta,
      thetaStandardError:
        information > 0 ? 1 / Math.sqrt(information) : notEstimable('likelihood-not-curved'),
      alpha: 1 / joint.theta,
    })
  },
)

interface JointFit {
  readonly prepared: PreparedModel
  readonly fit: WorkingFit
  readonly theta: number
}

/**
 * Finds the theta at which the score is 0 with the coefficients refitted to every theta that is tried; undefined where
 * theta runs off to the Poisson limit.
 */
function jointMaximum(prepared: PreparedModel, plain: WorkingFit): JointFit | undefined {
  if (!isOverDispersed(fittedCounts(prepared.problem, plain))) return undefined
  let fit = plain
  let iterations = plain.iterations
  const fitAt = (logTheta: number): number => {
    const theta = Math.exp(logTheta)
    fit = refitted({ ...prepared.problem, family: negativeBinomialFamily(theta, 'observed') }, fit)
    iterations += fit.iterations
    return thetaScore(fittedCounts(prepared.problem, fit), theta)
  }
  const logTheta = scoreRoot(fitAt)
  if (logTheta === undefined) return undefined
  fitAt(logTheta)
  const theta = Math.exp(logTheta)
  const problem = { ...prepared.problem, family: negativeBinomialFamily(theta) }
  const information = evaluate(weightsLeft(problem, fit), fit.coefficients).information
  return { prepared: { ...prepared, problem }, fit: { ...fit, information, iterations }, theta }
}

/** The problem without its separated rows. */
function weightsLeft(problem: WorkingProblem, fit: WorkingFit): WorkingProblem {
  return {
    ...problem,
    weights: problem.weights.map((weight, row) => (fit.separatedRows[row] === 1 ? 0 : weight)),
  }
}

function fittedCounts(problem: WorkingProblem, fit: WorkingFit): FittedCounts {
  return { counts: problem.response, means: fittedMeans(problem, fit), weights: problem.weights }
}

/** Separated rows have counts of 0 under either distribution, so what was proved for one holds for the other. */
function refitted(problem: WorkingProblem, last: WorkingFit): WorkingFit {
  return last.recessions.length > 0 ? fitReweighted(problem) : fitReweighted(problem, last.coefficients)
}

function withoutSpread(
  prepared: PreparedModel,
  plain: WorkingFit,
  kind: RegressionKind,
  options: CountOptions,
): NegativeBinomialFit {
  const warnings = plain.converged ? [...kind.warnings, warning('no-over-dispersion')] : kind.warnings
  const described = describeFit(prepared, plain, { ...kind, warnings }, options)
  const none = notEstimable('poisson-limit')
  return Object.freeze({
    ...described,
    theta: plain.converged ? unbounded('above') : notEstimable('not-converged'),
    thetaStandardError: none,
    alpha: plain.converged ? 0 : notEstimable('not-converged'),
  })
}
