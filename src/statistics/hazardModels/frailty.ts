import { NumericalError } from '../../core/errors.js'
import {
  type Contrast,
  type Interval,
  isNumber,
  notEstimable,
  type Quantity,
  quantityOf,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { requireLevel } from '../numeric/columns.js'
import { normalUpperQuantile, normalUpperTail } from '../numeric/distributions.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { coxRegression } from './cox.js'
import { type CoxDesign, comparatorsOf, prepareCox } from './coxDesign.js'
import { type CoxCore, fitCore } from './coxFit.js'
import { exponential } from './coxHazardRatios.js'
import type { HazardRatio } from './coxResult.js'
import { chiSquareTest, clusterCodes } from './coxTests.js'
import { type FrailtySolver, frailtySolver } from './frailtyFit.js'
import {
  type BestVariance,
  bestVariance,
  type FrailtyVariance,
  jointCovariance,
  varianceAnswers,
} from './frailtyVariance.js'
import { type RowOptions, refuseWeights, type TimesAtRisk } from './timesAtRisk.js'

const method: MethodName = methodOf('cox-regression-with-shared-gamma-frailty')

/** Options of a frailty regression. */
export interface FrailtyOptions extends Omit<RowOptions, 'weights'>, DesignOptions {
  /** Default `efron`. */
  readonly ties?: 'efron' | 'breslow'
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** Hazard ratio within a cluster: of two rows that share their frailty. */
export type ConditionalHazardRatio = Omit<HazardRatio, 'robustStandardError'>

/** What a shared gamma frailty regression answers. */
export interface FrailtyFit {
  readonly hazardRatios: readonly ConditionalHazardRatio[]
  readonly frailtyVariance: FrailtyVariance
  /** Rank correlation (Kendall) of two rows of one cluster: variance / (variance + 2). */
  readonly withinClusterTau: Quantity
  /** Marginal log-likelihood, equal to the partial one where the variance is 0. */
  readonly logLikelihood: number
  /** Log partial likelihood without frailty. */
  readonly logLikelihoodWithoutFrailty: number
  readonly ties: 'efron' | 'breslow'
  readonly level: number
  readonly method: MethodName
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly converged: boolean
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Hazard ratios of a Cox regression in which the rows of a cluster share an unseen gamma-distributed factor of mean 1
 * on their hazard, and the variance of that factor.
 *
 * The variance maximises the marginal likelihood, baseline hazard profiled; standard errors come from the information
 * about coefficients and log variance together.
 *
 * @param cluster label of the cluster of every row
 * @param options ties default `efron`; level default 0.95; strata, offset, interactions, baselines default none
 * @returns hazard ratios within clusters; a variance of 0 gives those of the Cox regression
 * @throws NumericalError `no-estimate` where a covariate has no log hazard ratio; else as `coxRegression`
 *
 * Sources: Clayton (1978); Klein (1992); Nielsen, Gill, Andersen and Sørensen (1992); Therneau and Grambsch (2000).
 *
 * @example frailtyRegression({ time: [1, 2, 3, 4, 5, 6], event: [1, 1, 1, 1, 0, 1] }, { x: [1, 0, 1, 0, 0, 1] }, [1, 2, 3, 1, 2, 3]).frailtyVariance.estimate // => 0
 */
export const frailtyRegression = checked(
  'frailtyRegression',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    cluster: CodeColumn,
    options: FrailtyOptions = {},
  ): FrailtyFit => {
    const { ties = 'efron', level = 0.95 } = options
    requireLevel(level)
    refuseWeights(options, 'frailty regression')
    const whole = prepareCox(times, covariates, options, { cluster })
    if (whole.rows.events === 0) return withoutEvents(times, covariates, cluster, { ...options, ties, level })
    const core = fitCore(whole, ties)
    requireEstimates(whole, core)
    const coded = clusterCodes(cluster, undefined)
    const solver = frailtySolver(core.design, ties, coded.codes, coded.count)
    const best = bestVariance(solver, core)
    const sizes = { n: whole.rows.n, events: whole.rows.events, clusters: coded.present }
    const warnings = frailtyWarnings(best, sizes.clusters, sizes.n, core.design.rows.start !== undefined)
    const frame = { ...sizes, warnings, reference: 'frailty' }
    return deepFreeze({
      hazardRatios: ratiosOf(core, solver, best, covariates, options, { level, method, ...frame }),
      frailtyVariance: varianceAnswers(core, solver, best, level, frame),
      withinClusterTau: best.point === undefined ? 0 : best.point.variance / (best.point.variance + 2),
      logLikelihood: best.point?.value ?? core.point.value,
      logLikelihoodWithoutFrailty: core.point.value,
      ties,
      level,
      method,
      ...frame,
      converged: core.converged && (best.point?.converged ?? true) && !best.unbounded,
    })
  },
)

/** Nothing can be compared, and no spread seen, where nobody had the event: states instead of numbers, as Cox gives. */
function withoutEvents(
  times: TimesAtRisk,
  covariates: Covariates,
  cluster: CodeColumn,
  options: FrailtyOptions & { readonly ties: 'efron' | 'breslow'; readonly level: number },
): FrailtyFit {
  const plain = coxRegression(times, covariates, options)
  const none = notEstimable('no-event-observed')
  const clusters = clusterCodes(cluster, undefined).present
  const { n, events, warnings, converged, logLikelihood } = plain
  const frame = { n, events, clusters, warnings, reference: 'frailty' }
  const test = chiSquareTest(none, 1, methodOf('likelihood-ratio-test'), frame)
  return deepFreeze({
    hazardRatios: plain.hazardRatios.map(({ robustStandardError: _robust, ...ratio }) => ({
      ...ratio,
      ...frame,
      method,
    })),
    frailtyVariance: { estimate: none, interval: { lower: none, upper: none }, test },
    withinClusterTau: none,
    logLikelihood,
    logLikelihoodWithoutFrailty: logLikelihood,
    ties: options.ties,
    level: options.level,
    method,
    ...frame,
    converged,
  })
}

function ratiosOf(
  core: CoxCore,
  solver: FrailtySolver,
  best: BestVariance,
  covariates: Covariates,
  options: DesignOptions,
  frame: Omit<Contrast, 'estimate' | 'interval' | 'comparator'>,
): readonly ConditionalHazardRatio[] {
  const { design } = core
  const comparators = comparatorsOf(covariates, options)
  const coefficients = best.point?.coefficients ?? core.coefficients
  const covariance = best.point === undefined ? core.covariance : jointCovariance(solver, best.point)
  const width = best.point === undefined ? design.size : design.size + 1
  const quantile = normalUpperQuantile((1 - frame.level) / 2)
  return design.names.map((name, j) => {
    const scale = design.scale[j]!
    const coefficient = coefficients[j]! / scale
    const error = Math.sqrt(covariance[j * width + j]!) / scale
    const statistic = quantityOf(coefficient / error, 'no-standard-error')
    return {
      name,
      comparator: comparators.get(name) ?? { group: `${name} + 1`, against: name },
      ...frame,
      estimate: exponential(coefficient, 1),
      interval: intervalOf(coefficient, quantile * error),
      logHazardRatio: coefficient,
      modelStandardError: quantityOf(error, 'no-standard-error'),
      ...(Number.isFinite(error) ? { standardError: { value: error, scale: 'log hazard ratio' } } : {}),
      statistic,
      pValue: isNumber(statistic) ? 2 * normalUpperTail(Math.abs(statistic)) : statistic,
    }
  })
}

function intervalOf(coefficient: number, width: number): Interval {
  if (Number.isFinite(width))
    return { lower: exponential(coefficient - width, 1), upper: exponential(coefficient + width, 1) }
  const none = notEstimable('no-standard-error')
  return { lower: none, upper: none }
}

function requireEstimates(whole: CoxDesign, core: CoxCore): void {
  const without = whole.names.filter(
    (_, j) => !core.fitted.includes(j) || core.monotone[core.fitted.indexOf(j)] === true,
  )
  if (without.length === 0) return
  throw new NumericalError({
    code: 'no-estimate',
    problem: `${without.join(', ')} has no log hazard ratio in these data.`,
    expected: 'covariates that vary among those at risk and do not separate the events from the rest.',
    mend: `leave out ${without.join(', ')}, merge sparse levels, or use the Firth-penalised fit.`,
  })
}

function frailtyWarnings(best: BestVariance, clusters: number, n: number, late: boolean): readonly Warning[] {
  const warnings: Warning[] = []
  if (best.unbounded) {
    warnings.push(warning('frailty-variance-unbounded'))
  }
  if (clusters === n) {
    warnings.push(warning('frailty-from-single-rows'))
  }
  if (clusters === 1) warnings.push(warning('one-cluster-no-frailty'))
  if (late) {
    warnings.push(warning('late-entry'))
  }
  return Object.freeze(warnings)
}
