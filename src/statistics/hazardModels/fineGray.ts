import { UsageError } from '../../core/errors.js'
import { notEstimable, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type AmountColumn, type NumberColumn, requireLevel } from '../numeric/columns.js'
import { choleskyFactor, invertFactored, matrixRows, sandwich } from '../numeric/matrix.js'
import { type LikelihoodPoint, type Maximum, newtonMaximum } from '../numeric/optimise.js'
import { type RegressionCoefficient, waldCoefficient } from '../regression/coefficients.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { addOuterProduct, mirrorUpper } from '../regression/standardise.js'
import {
  type CensoringTies,
  type FineGrayDesign,
  orderedClusters,
  prepareFineGray,
} from './fineGrayDesign.js'
import {
  type FineGraySums,
  type FineGrayTies,
  fineGrayLikelihood,
  fineGraySums,
} from './fineGrayLikelihood.js'

/** Variance of the coefficients. */
export type FineGrayVariance = 'robust' | 'weights-known' | 'model'

/** Options of the Fine–Gray regression. */
export interface FineGrayOptions extends DesignOptions {
  /** Number of the cause of interest; every other above 0 competes. Default: 1. */
  readonly cause?: number | undefined
  /** Delayed entry: a row is at risk where entry < t ≤ time. Default: none. */
  readonly entry?: AmountColumn | undefined
  /** Case weights, zero or more. Default: 1 each. */
  readonly weights?: AmountColumn | undefined
  /** Patient of each row. Default: every row its own. */
  readonly cluster?: CodeColumn | undefined
  /**
   * 'robust' (default without delayed entry): scores summed over patients, the estimated distribution of censoring
   * allowed for; 'weights-known' (default with it): the same without that allowance; 'model': inverse information.
   */
  readonly variance?: FineGrayVariance | undefined
  /** Tied events of interest. Default: 'breslow'; 'efron' has no 'robust' variance. */
  readonly ties?: FineGrayTies | undefined
  /** Censorings tied with events in the distribution of censoring. Default: 'together'. */
  readonly censoringTies?: CensoringTies | undefined
  /** Confidence level. Default: 0.95. */
  readonly level?: number | undefined
  /** With fewer than 30 patients: Student's t on patients − 1 (default) or the normal. */
  readonly fewClusters?: 'student-t' | 'normal' | undefined
}

/** A fitted Fine–Gray regression. */
export interface FineGrayFit {
  /** One per covariate; `ratio` is the subdistribution hazard ratio. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Covariance of the coefficients, in the units of the input. */
  readonly covariance: readonly (readonly number[])[]
  readonly logLikelihood: number
  readonly logLikelihoodAtZero: number
  readonly level: number
  readonly method: MethodName
  readonly n: number
  /** Events of the cause of interest. */
  readonly events: number
  readonly competingEvents: number
  readonly clusters: number
  readonly iterations: number
  readonly converged: boolean
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Last Newton step, times the widest covariate, above which the likelihood has no maximum in that direction. */
const runawayStep = 0.1

/**
 * Subdistribution hazard ratios of one cause where others compete (Fine and Gray 1999). Rows with a competing event
 * stay in later risk sets with the probability of still being uncensored, from one pooled product-limit curve of
 * censoring; computed in time linear in rows.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param covariates columns by name; texts are categories and become treatment contrasts
 * @param options cause of interest (1), delayed entry (then the weights follow Geskus 2011), case weights, patients, variance ('robust'), ties ('breslow'), tied censorings ('together'),
 * level (0.95), interactions, baselines
 * @returns coefficients with ratios and intervals; a covariate that separates the events has none
 * @throws NumericalError for columns as in `cumulativeIncidence`, no event of the cause, constant or collinear
 * covariates; UsageError for the robust variance with Efron's ties
 *
 * @example fineGrayRegression([1, 2, 3, 4, 5, 6], [1, 2, 1, 0, 1, 1], { x: [1, 0, 0, 1, 1, 0] }).coefficients[0].ratio // => 2.7374
 */
export const fineGrayRegression = checked(
  'fineGrayRegression',
  (
    time: NumberColumn,
    cause: NumberColumn,
    covariates: Covariates,
    options: FineGrayOptions = {},
  ): FineGrayFit => {
    const { ties = 'breslow', censoringTies = 'together', level = 0.95, fewClusters = 'student-t' } = options
    const known = ties === 'efron' || options.entry !== undefined
    const variance = options.variance ?? (known ? 'weights-known' : 'robust')
    requireLevel(level)
    if (ties === 'efron' && variance === 'robust') throw noRobustEfron()
    if (options.entry !== undefined && variance === 'robust') throw noRobustEntry()
    if (ties === 'efron' && options.weights !== undefined) throw noWeightedEfron()
    const design = prepareFineGray(time, cause, options.cause ?? 1, covariates, censoringTies, options)
    const maximum = newtonMaximum(fineGrayLikelihood(design, ties), new Float64Array(design.size))
    const separated = Array.from(maximum.step, (step, j) => Math.abs(step) * design.spread[j]! > runawayStep)
    const clusters = orderedClusters(design, options.cluster)
    const scaled =
      variance === 'model'
        ? invertFactored(maximum.factor)
        : robustCovariance(design, maximum, ties, clusters, variance === 'robust')
    const covariance = scaled.map(
      (value, at) => value / (design.scale[Math.floor(at / design.size)]! * design.scale[at % design.size]!),
    )
    const repeats = options.cluster !== undefined && variance !== 'model'
    const few = repeats && clusters.count < 30 && fewClusters === 'student-t'
    const coefficients = design.names.map((name, j) => {
      const error = repeats && clusters.count < 2 ? Number.NaN : Math.sqrt(covariance[j * design.size + j]!)
      const reason = separated[j] ? 'covariate-separates-events' : 'one-patient'
      const estimate = separated[j] ? notEstimable(reason) : maximum.at[j]! / design.scale[j]!
      const degreesOfFreedom = few ? clusters.count - 1 : Number.POSITIVE_INFINITY
      return waldCoefficient(name, estimate, error, { level, degreesOfFreedom }, reason)
    })
    return deepFreeze({
      coefficients,
      covariance: matrixRows(covariance, design.size),
      logLikelihood: maximum.point.value,
      logLikelihoodAtZero: fineGraySums(design, ties, new Float64Array(design.size)).logLikelihood,
      level,
      method: methodName(ties, variance, options.cluster !== undefined),
      n: design.rows,
      events: design.outcome.reduce((sum, outcome) => sum + (outcome === 1 ? 1 : 0), 0),
      competingEvents: design.outcome.reduce((sum, outcome) => sum + (outcome === 2 ? 1 : 0), 0),
      clusters: clusters.count,
      iterations: maximum.iterations,
      converged: maximum.converged && !separated.includes(true),
      warnings: fitWarnings(design, maximum, separated, repeats ? clusters.count : undefined),
      reference: 'fine-gray',
    })
  },
)

function robustCovariance(
  design: FineGrayDesign,
  maximum: Maximum<LikelihoodPoint>,
  ties: FineGrayTies,
  clusters: { readonly codes: Int32Array; readonly count: number },
  censoringEstimated: boolean,
): Float64Array {
  const { size } = design
  const sums = fineGraySums(design, ties, maximum.at)
  const scores = fineGrayClusterScores(design, sums, clusters, censoringEstimated)
  const meat = new Float64Array(size * size)
  for (let at = 0; at < scores.length; at += size) addOuterProduct(meat, scores, at, size, 1)
  const bread = invertFactored(choleskyFactor(maximum.point.information, size))
  return sandwich(bread, mirrorUpper(meat, size), size)
}

function methodName(ties: FineGrayTies, variance: FineGrayVariance, clustered: boolean): MethodName {
  const robust = `variance-robust-by-${clustered ? 'patient' : 'row'}` as const
  const names = {
    robust: methodOf(robust, 'censoring-estimated'),
    'weights-known': methodOf(robust, 'weights-taken-as-known'),
    model: methodOf('model-variance'),
  }
  return methodOf('fine-gray-regression', `${ties}-s-ties`, ...names[variance])
}

function fitWarnings(
  design: FineGrayDesign,
  maximum: Maximum<LikelihoodPoint>,
  separated: readonly boolean[],
  clusters: number | undefined,
): Warning[] {
  const warnings: Warning[] = []
  const names = design.names.filter((_name, j) => separated[j])
  if (names.length > 0) {
    warnings.push(warning('separated-competing', { names }))
  } else if (!maximum.converged) {
    warnings.push(warning('no-maximum-found', { iterations: maximum.iterations }))
  }
  if (clusters !== undefined && clusters < 2) {
    warnings.push(warning('one-patient'))
  } else if (clusters !== undefined && clusters < 30) {
    warnings.push(warning('few-patients-with-care', { patients: clusters }))
  }
  return warnings
}

function noRobustEntry(): UsageError {
  return new UsageError({
    code: 'contradicting-options',
    problem: 'the variance that allows for estimated censoring is not known for delayed entry.',
    expected: "the variance 'weights-known' or 'model' beside entry.",
    mend: 'leave variance out.',
  })
}

function noWeightedEfron(): UsageError {
  return new UsageError({
    code: 'contradicting-options',
    problem: "ties: 'efron' goes without case weights here.",
    expected: "Breslow's ties beside weights.",
    mend: 'leave ties out.',
  })
}

function noRobustEfron(): UsageError {
  return new UsageError({
    code: 'no-robust-efron',
    problem: "the variance that allows for estimated censoring is known for Breslow's ties only.",
    expected: "Breslow's ties, or a variance that takes the weights as known.",
    mend: "leave ties out, or ask for the variance 'weights-known'.",
  })
}

/**
 * Score of each cluster at the fit, row-major clusters × size: what its rows add to the score, and, unless the weights
 * are taken as known, what they add through the estimated distribution of censoring (Fine and Gray 1999, appendix).
 * Linear in rows and cells.
 */
function fineGrayClusterScores(
  design: FineGrayDesign,
  sums: FineGraySums,
  clusters: { readonly codes: Int32Array; readonly count: number },
  censoringEstimated: boolean,
): Float64Array {
  const { size } = design
  const scores = new Float64Array(clusters.count * size)
  addScoreResiduals(design, sums, clusters.codes, scores)
  if (censoringEstimated) addCensoringResiduals(design, sums, clusters.codes, scores)
  return scores
}

/** Running sums of a column of `size` entries per cell, with one more cell before the first. */
function runningSums(cells: number, size: number, entry: (at: number, c: number) => number): Float64Array {
  const sums = new Float64Array((cells + 1) * size)
  for (let at = 0; at < cells * size; at++) {
    sums[at + size] = sums[at]! + entry(at, size === 1 ? at : Math.floor(at / size))
  }
  return sums
}

function addScoreResiduals(
  design: FineGrayDesign,
  sums: FineGraySums,
  cluster: Int32Array,
  scores: Float64Array,
): void {
  const { cells, size, x, cell, outcome, uncensoredBefore } = design
  const hazard = runningSums(cells, 1, (at) => sums.hazard[at]!)
  const hazardMean = runningSums(cells, size, (at) => sums.hazardMean[at]!)
  const later = runningSums(cells, 1, (at) => uncensoredBefore[at]! * sums.hazard[at]!)
  const laterMean = runningSums(cells, size, (at, c) => uncensoredBefore[c]! * sums.hazardMean[at]!)
  for (let place = 0; place < design.rows; place++) {
    const c = cell[place]!
    const isEvent = outcome[place] === 1
    const isCompeting = outcome[place] === 2
    const risk = sums.risk[place]!
    const carried = isCompeting ? risk / uncensoredBefore[c]! : 0
    const from = design.entryCell?.[place] ?? 0
    const weight = design.weight?.[place] ?? 1
    const exposure = (isEvent ? hazard[c]! + sums.eventHazard[c]! : hazard[c + 1]!) - hazard[from]!
    for (let j = 0; j < size; j++) {
      const own = x[place * size + j]!
      const at = c * size + j
      const mean =
        (isEvent ? hazardMean[at]! + sums.eventHazardMean[at]! : hazardMean[at + size]!) -
        hazardMean[from * size + j]!
      let score = -risk * (own * exposure - mean)
      if (isEvent) score += weight * (own - sums.mean[at]!)
      if (isCompeting) {
        score -=
          carried *
          (own * (later[cells]! - later[c + 1]!) - (laterMean[cells * size + j]! - laterMean[at + size]!))
      }
      scores[cluster[place]! * size + j]! += score
    }
  }
}

function addCensoringResiduals(
  design: FineGrayDesign,
  sums: FineGraySums,
  cluster: Int32Array,
  scores: Float64Array,
): void {
  const { cells, size, cell, outcome, uncensoredBefore, censored, atRiskOfCensoring } = design
  const later = runningSums(cells, 1, (at) => uncensoredBefore[at]! * sums.hazard[at]!)
  const laterMean = runningSums(cells, size, (at, c) => uncensoredBefore[c]! * sums.hazardMean[at]!)
  // how the score answers to censoring at the cell: competing events before it, weighed down from then on
  const answer = new Float64Array(cells * size)
  for (let c = 0; c < cells; c++) {
    for (let j = 0; j < size; j++) {
      const at = c * size + j
      answer[at] =
        sums.carriedX[at]! * (later[cells]! - later[c]!) -
        sums.carried[c]! * (laterMean[cells * size + j]! - laterMean[at]!)
    }
  }
  const expected = runningSums(cells, size, (at, c) =>
    censored[c] === 0 ? 0 : (answer[at]! * censored[c]!) / atRiskOfCensoring[c]! ** 2,
  )
  for (let place = 0; place < design.rows; place++) {
    const c = cell[place]!
    const isCensored = outcome[place] === 0
    const weight = design.weight?.[place] ?? 1
    // events that leave before the censorings of their time were not at risk of them
    const through = design.censoringTies === 'events-first' && !isCensored ? c : c + 1
    for (let j = 0; j < size; j++) {
      const own = isCensored ? answer[c * size + j]! / atRiskOfCensoring[c]! : 0
      scores[cluster[place]! * size + j]! += weight * (own - expected[through * size + j]!)
    }
  }
}
