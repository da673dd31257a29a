import { type Interval, noInterval, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireLevel, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { normalQuantile, studentTQuantile } from '../numeric/distributions.js'
import { type HeterogeneityEstimator, tauSquaredEstimate, tauSquaredLimits } from './heterogeneity.js'
import { type Heterogeneity, heterogeneityOf } from './heterogeneityAnswer.js'
import {
  around,
  normalSpread,
  type PooledEffect,
  pooledEffect,
  type Spread,
  type StudySizes,
  studentSpread,
} from './pooledEffect.js'
import { interceptDesign, type StudyDesign, weightedFit } from './weightedFit.js'

/** How the interval of the random-effects mean is made. */
export type RandomEffectsInterval = 'never-narrower' | 'hartung-knapp' | 'normal'

/** How the interval for the effect of a new study is made. */
export type PredictionMethod = 'student-two-less' | 'student-one-less' | 'normal'

/** Options of a meta-analysis. */
export interface MetaAnalysisOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Estimator of the variance between studies; default 'restricted-likelihood'. */
  readonly estimator?: HeterogeneityEstimator
  /**
   * Interval of the random-effects mean; default 'never-narrower': Hartung and Knapp's, but never narrower than the
   * common-effect interval. 'hartung-knapp' leaves it as it comes, 'normal' takes τ² as known.
   */
  readonly interval?: RandomEffectsInterval
  /**
   * Prediction interval; default 'student-two-less': t with k − 2 degrees of freedom and the standard error that
   * takes τ² as known. 'student-one-less': k − 1 and Hartung and Knapp's standard error. 'normal': neither.
   */
  readonly prediction?: PredictionMethod
  /** Scale of the effects in words, such as 'log hazard ratio'; default 'effect'. */
  readonly scale?: string
  /** Units of analysis per study; default one per study. */
  readonly n?: NumberColumn
  /** Events per study; default none known, and `events` is 0. */
  readonly events?: NumberColumn
  /** Clusters (patients) per study; default as n. */
  readonly clusters?: NumberColumn
}

/** One study as the pooled answers see it; weights are shares that sum to 1. */
export interface StudyWeight {
  readonly effect: number
  readonly standardError: number
  readonly interval: Interval
  readonly commonWeight: number
  readonly randomWeight: number
}

/** What a meta-analysis answers. */
export interface MetaAnalysis {
  readonly common: PooledEffect
  readonly random: PooledEffect
  /** Interval for the effect in a new study like these. */
  readonly predictionInterval: Interval
  readonly heterogeneity: Heterogeneity
  readonly studies: readonly StudyWeight[]
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Pools effects by the inverse of their variances: the common effect, the mean of random effects with its interval,
 * the interval for a new study, and how much the studies differ.
 *
 * Effects are on a scale on which they are near normal (a log ratio, a difference); the answer is on that scale.
 * One study: both pooled effects are its own, and what needs two studies is not estimable. Missing values are
 * refused. The statistic and P value of the default interval are those of whichever interval was used.
 *
 * @param effects one effect per study
 * @param variances their squared standard errors, above 0
 * @param options see MetaAnalysisOptions; level 0.95, estimator 'restricted-likelihood', interval 'never-narrower',
 *   prediction 'student-two-less', scale 'effect'
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `variance-not-positive`, `level-out-of-range`
 * @see DerSimonian and Laird (1986); Hartung and Knapp (2001); Higgins, Thompson and Spiegelhalter (2009);
 *   Viechtbauer (2005, 2007)
 * @example metaAnalysis([0.2, 0.4, 0.9], [0.04, 0.09, 0.01]).common.estimate // => 0.7306
 */
export const metaAnalysis = checked(
  'metaAnalysis',
  (effects: NumberColumn, variances: NumberColumn, options: MetaAnalysisOptions = {}): MetaAnalysis => {
    const { level = 0.95, estimator = 'restricted-likelihood', interval = 'never-narrower' } = options
    const { prediction = 'student-two-less', scale = 'effect' } = options
    requireLevel(level)
    const studies = interceptDesign(effects, variances)
    const sizes = summedSizes(studies.k, options)
    const tauSquared = studies.k > 1 ? tauSquaredEstimate(studies, estimator) : 0
    const commonFit = weightedFit(studies, 0)
    const randomFit = weightedFit(studies, tauSquared)
    const limits = tauSquaredLimits(studies, level)
    const warnings = warningsOf(studies.k, limits.empty)
    const fields = { level, scale, studies: studies.k, sizes, warnings }
    const commonMean = commonFit.coefficients[0]!
    const randomMean = randomFit.coefficients[0]!
    const commonSpread = normalSpread(commonMean, Math.sqrt(commonFit.covariance[0]!), level)
    const wald = Math.sqrt(randomFit.covariance[0]!)
    const hartungKnapp = wald * Math.sqrt(randomFit.q / Math.max(1, studies.k - 1))
    const randomSpread = randomSpreadOf(
      randomMean,
      { wald, hartungKnapp, commonSpread, interval, level },
      studies.k,
    )
    return Object.freeze({
      common: pooledEffect(commonMean, commonSpread, {
        ...fields,
        method: methodOf('common-effect', 'inverse-variance', 'normal-interval'),
        reference: 'meta-analysis',
      }),
      random: pooledEffect(randomMean, randomSpread.spread, {
        ...fields,
        method: methodOf(`random-effects-${estimator}`, ...randomSpread.method),
        reference: interval === 'normal' ? 'meta-analysis' : 'hartung-knapp',
      }),
      predictionInterval: predictionOf(
        randomMean,
        tauSquared,
        wald,
        hartungKnapp,
        studies.k,
        prediction,
        level,
      ),
      heterogeneity: heterogeneityOf(studies, estimator, tauSquared, commonFit.q, limits.interval),
      studies: studyWeights(studies, commonFit.weights, randomFit.weights, level),
      warnings: Object.freeze(warnings),
      reference: 'meta-analysis',
    })
  },
)

function summedSizes(k: number, options: MetaAnalysisOptions): StudySizes {
  const columns = { n: options.n, events: options.events, clusters: options.clusters }
  requireSameLength({ effects: { length: k }, ...columns })
  const summed = (name: string, column: NumberColumn | undefined): number | undefined => {
    if (column === undefined) return undefined
    requireNonNegative(name, column)
    return Array.from(column).reduce((sum, value) => sum + value, 0)
  }
  const n = summed('n', columns.n) ?? k
  return {
    n,
    events: summed('events', columns.events) ?? 0,
    clusters: summed('clusters', columns.clusters) ?? n,
  }
}

interface RandomParts {
  readonly wald: number
  readonly hartungKnapp: number
  readonly commonSpread: Spread
  readonly interval: RandomEffectsInterval
  readonly level: number
}

/** The interval asked for; under 'never-narrower' the wider of Hartung and Knapp's and the common-effect one. */
function randomSpreadOf(
  mean: number,
  parts: RandomParts,
  k: number,
): { readonly spread: Spread; readonly method: MethodName } {
  const { wald, hartungKnapp, commonSpread, interval, level } = parts
  if (interval === 'normal' || k === 1) {
    return { spread: normalSpread(mean, wald, level), method: methodOf('normal-interval') }
  }
  const plain = studentSpread(mean, hartungKnapp, k - 1, level)
  if (interval === 'hartung-knapp') return { spread: plain, method: methodOf('hartung-knapp-interval') }
  if (plain.halfWidth >= commonSpread.halfWidth) {
    return { spread: plain, method: methodOf('hartung-knapp-interval', 'never-narrower-than-common-effect') }
  }
  return {
    spread: normalSpread(mean, commonSpread.standardError, level),
    method: methodOf('hartung-knapp-interval', 'widened-to-the-common-effect-one'),
  }
}

function predictionOf(
  mean: number,
  tauSquared: number,
  wald: number,
  hartungKnapp: number,
  k: number,
  method: PredictionMethod,
  level: number,
): Interval {
  if (k < 2) return noInterval('one-study-no-spread')
  const tail = (1 + level) / 2
  if (method === 'normal') return around(mean, normalQuantile(tail) * Math.sqrt(tauSquared + wald ** 2))
  if (method === 'student-one-less') {
    return around(mean, studentTQuantile(tail, k - 1) * Math.sqrt(tauSquared + hartungKnapp ** 2))
  }
  if (k < 3) return noInterval('fewer-than-three-studies')
  return around(mean, studentTQuantile(tail, k - 2) * Math.sqrt(tauSquared + wald ** 2))
}

function studyWeights(
  studies: StudyDesign,
  common: Float64Array,
  random: Float64Array,
  level: number,
): readonly StudyWeight[] {
  const commonTotal = common.reduce((sum, w) => sum + w, 0)
  const randomTotal = random.reduce((sum, w) => sum + w, 0)
  const z = normalQuantile((1 + level) / 2)
  return Object.freeze(
    Array.from({ length: studies.k }, (_, i) => {
      const effect = studies.effects[i]!
      const standardError = Math.sqrt(studies.variances[i]!)
      return Object.freeze({
        effect,
        standardError,
        interval: around(effect, z * standardError),
        commonWeight: common[i]! / commonTotal,
        randomWeight: random[i]! / randomTotal,
      })
    }),
  )
}

function warningsOf(k: number, empty: boolean): readonly Warning[] {
  const warnings: Warning[] = []
  if (k === 1) {
    warnings.push(warning('one-study'))
  } else if (k < 5) {
    warnings.push(warning('few-studies', { studies: k }))
  }
  if (empty) {
    warnings.push(warning('less-spread-than-chance'))
  }
  return warnings
}
