import {
  notEstimable,
  type PlainReason,
  type Quantity,
  type TestResult,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { choleskyFactor, sandwich, solveFactored } from '../numeric/matrix.js'
import type { Covariates } from '../regression/design.js'
import { type CoxDesign, prepareCox } from './coxDesign.js'
import { type CoxCore, fitCore } from './coxFit.js'
import { hazardRatiosOf, inInputScale, type VarianceInForce } from './coxHazardRatios.js'
import type { Ties } from './coxLikelihood.js'
import { type CoxOptions, type SettledCoxOptions, settledCoxOptions } from './coxOptions.js'
import type { CoxFit } from './coxResult.js'
import { clusterScores, outerProducts } from './coxRobust.js'
import {
  chiSquareTest,
  clusterCodes,
  clusterDegreesOfFreedom,
  fewClustersWarning,
  inverseQuadraticForm,
  robustScoreStatistic,
  type TestFrame,
} from './coxTests.js'
import type { TimesAtRisk } from './timesAtRisk.js'

export type { CoxOptions } from './coxOptions.js'
export type { CoxFit, HazardRatio } from './coxResult.js'

/**
 * Estimates hazard ratios by Cox's proportional hazards regression.
 *
 * @param times time at risk and event (0 or 1) of every row: `time` from the origin, or `start` and `stop` for
 *   (start, stop], which also carries covariates that change with time
 * @param covariates columns by name; texts are categories and become treatment contrasts
 * @param options.ties default `efron`, with case weights the mean weight of the tied events; `breslow`; `exact`
 *   (discrete time, without weights)
 * @param options.strata, options.weights, options.offset, options.interactions, options.baselines default none
 * @param options.cluster default none; options.variance default `robust` with clusters or weights, else `model`
 * @param options.interval default `wald`; options.level default 0.95; options.fewClusters default `student-t`
 * @returns hazard ratios with intervals, tests and warnings. A covariate that separates the events from the rest has
 *   a `not-estimable` ratio; so has one that varies within no risk set
 * @throws NumericalError `constant-covariate`, `collinear-covariate`, `not-finite`, `negative`, `not-zero-one`,
 *   `empty-interval`, `unequal-length`, `no-rows`, `exact-too-large`; each names its column
 * @throws UsageError where options contradict each other
 *
 * Sources: Cox (1972); Efron (1977); Breslow (1974); robust variance Lin and Wei (1989), clusters Lee, Wei and Amato
 * (1992); profile limits Venzon and Moolgavkar (1988).
 *
 * @example coxRegression({ time: [1, 2, 3, 4, 5], event: [1, 1, 0, 1, 1] }, { x: [1, 0, 1, 1, 0] }).hazardRatios[0].estimate // => 1.7583
 */
export const coxRegression = checked(
  'coxRegression',
  (times: TimesAtRisk, covariates: Covariates, options: CoxOptions = {}): CoxFit => {
    const settings = settledCoxOptions(options)
    const design = prepareCox(times, covariates, options, { clusters: options.cluster })
    const core = fitCore(design, settings.ties)
    const robust = settings.variance === 'robust' ? robustPart(core, design, settings) : undefined
    const clusters = robust?.clusters ?? design.rows.n
    const denominator =
      robust === undefined ? undefined : clusterDegreesOfFreedom(clusters, settings.fewClusters)
    const warnings = fitWarnings(core, design, denominator === undefined ? undefined : clusters)
    const reference = robust === undefined ? 'cox' : 'patient-robust-cox'
    const frame: TestFrame = { n: design.rows.n, events: design.rows.events, clusters, warnings, reference }
    const method = methodName(settings.ties, robust !== undefined, options.cluster !== undefined)
    const variance: VarianceInForce = { robust: robust?.covariance, reason: robust?.reason, denominator }
    const ratios = hazardRatiosOf(core, design, covariates, { ...options, ...settings }, variance, {
      ...frame,
      method,
    })
    return deepFreeze({
      hazardRatios: ratios,
      covariance: inInputScale(
        core,
        design,
        robust === undefined ? core.covariance : robust.covariance,
        robust?.reason,
      ),
      modelCovariance: inInputScale(core, design, core.covariance),
      logLikelihood: core.point.value,
      logLikelihoodAtZero: core.atZero.value,
      ...testsOf(core, frame, variance),
      ...(robust === undefined
        ? {}
        : {
            robustScoreTest: chiSquareTest(
              clusters < 2 ? notEstimable(oneCluster) : robust.score,
              core.fitted.length,
              robustScoreMethod,
              frame,
              denominator,
            ),
          }),
      ties: settings.ties,
      ...(denominator === undefined ? {} : { degreesOfFreedom: denominator }),
      level: settings.level,
      method,
      ...frame,
      iterations: core.iterations,
      converged: core.converged,
    })
  },
)

const oneCluster = 'one-cluster'
const robustScoreMethod: MethodName = methodOf('robust-score-test')

interface RobustPart {
  readonly covariance: Float64Array
  readonly clusters: number
  readonly score: Quantity
  /** Why there is no robust variance, where there is none. */
  readonly reason: PlainReason | undefined
}

function robustPart(core: CoxCore, design: CoxDesign, settings: SettledCoxOptions): RobustPart {
  const ties = settings.ties === 'breslow' ? 'breslow' : 'efron'
  const size = core.fitted.length
  const coded =
    settings.cluster === undefined ? undefined : clusterCodes(settings.cluster, design.rows.weight)
  const scores = clusterScores(core.design, { ties }, core.coefficients, coded)
  const clusters = coded?.present ?? design.rows.n
  return {
    covariance: sandwich(core.covariance, outerProducts(scores, size), size),
    clusters,
    score: robustScoreStatistic(core.design, ties, coded),
    reason: clusters < 2 ? oneCluster : undefined,
  }
}

function testsOf(
  core: CoxCore,
  frame: TestFrame,
  variance: VarianceInForce,
): { likelihoodRatioTest: TestResult; waldTest: TestResult; scoreTest: TestResult } {
  const size = core.fitted.length
  const none = notEstimable(noInformation)
  const score = solveFactored(choleskyFactor(core.atZero.information, size), core.atZero.gradient)
  const scoreStatistic = score.reduce((sum, one, j) => sum + one * core.atZero.gradient[j]!, 0)
  const ratio = Math.max(0, 2 * (core.point.value - core.atZero.value))
  const wald = core.monotone.includes(true)
    ? notEstimable('no-maximum-other-tests-stand')
    : variance.reason !== undefined
      ? notEstimable(variance.reason)
      : inverseQuadraticForm(
          variance.robust ?? core.covariance,
          core.coefficients,
          'clusters-too-few-together',
        )
  return {
    likelihoodRatioTest: chiSquareTest(
      size === 0 ? none : ratio,
      size,
      methodOf('likelihood-ratio-test'),
      frame,
    ),
    waldTest: chiSquareTest(
      size === 0 ? none : wald,
      size,
      methodOf('wald-test'),
      frame,
      variance.denominator,
    ),
    scoreTest: chiSquareTest(size === 0 ? none : scoreStatistic, size, methodOf('score-test'), frame),
  }
}

const noInformation = 'no-covariate-varies-at-risk'

function fitWarnings(core: CoxCore, design: CoxDesign, fewClusters: number | undefined): readonly Warning[] {
  const warnings: Warning[] = []
  if (design.rows.events === 0) warnings.push(warning('no-event-to-compare'))
  const separated = core.design.names.filter((_, j) => core.monotone[j])
  if (separated.length > 0) {
    warnings.push(warning('separated', { names: separated }))
  }
  const apart = design.names.filter((_, j) => !core.fitted.includes(j))
  if (apart.length > 0 && design.rows.events > 0) {
    warnings.push(warning('no-variation-at-risk', { names: apart }))
  }
  if (!core.converged && separated.length === 0) {
    warnings.push(warning('no-maximum-found', { iterations: core.iterations }))
  }
  if (fewClusters !== undefined && fewClusters > 1) warnings.push(fewClustersWarning(fewClusters))
  if (fewClusters === 1) warnings.push(warning('one-cluster'))
  return Object.freeze(warnings)
}

function methodName(ties: Ties, robust: boolean, clustered: boolean): MethodName {
  const names = { efron: 'efron-s-ties', breslow: 'breslow-s-ties', exact: 'exact-ties' } as const
  const fitted = methodOf('cox-regression', names[ties])
  return robust ? methodOf(...fitted, `variance-robust-by-${clustered ? 'cluster' : 'row'}`) : fitted
}
