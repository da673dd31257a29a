import {
  type Estimate,
  type Interval,
  noInterval,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireLevel } from '../numeric/columns.js'
import { studentTQuantile } from '../numeric/distributions.js'
import { type MetaAnalysisOptions, metaAnalysis, type RandomEffectsInterval } from './inverseVariance.js'
import { around, normalSpread, type PooledEffect, pooledEffect, studentSpread } from './pooledEffect.js'
import {
  binomialStudy,
  climb,
  fitRandomIntercept,
  type Objective,
  poissonStudy,
  type RandomInterceptFit,
  type StudyLikelihood,
  secondDerivatives,
} from './randomIntercept.js'
import {
  fromDoubleArcsine,
  fromDoubleSquareRoot,
  type ProportionScale,
  proportionEffects,
  type RateScale,
  rateEffects,
  requireProportions,
  requireRates,
} from './singleArmEffects.js'
import {
  allOrNothing,
  noEventsRate,
  oneSidedProportion,
  type SingleArmMetaAnalysis,
  type SingleArmSums,
} from './singleArmExtremes.js'

/** Options of pooling one group. */
export interface SingleArmOptions<Scale extends string> extends MetaAnalysisOptions {
  /**
   * Interval of the mean. With random intercepts: Student's t with a degree of freedom fewer than studies by default,
   * the normal distribution with 'normal'. With inverse variance: as in metaAnalysis.
   */
  readonly interval?: RandomEffectsInterval
  /** Default 'random-intercept': a generalised linear mixed model on the counts themselves. */
  readonly method?: Scale | 'random-intercept'
  /** Points of adaptive Gauss–Hermite quadrature; default 15; 1 is Laplace's approximation. */
  readonly quadraturePoints?: number
  /**
   * Default none. With one point: stop the search for the studies' modes at this relative change of the penalised
   * deviance, as some software does (at 1e-7), to compare with it; the default is Laplace's formula itself.
   */
  readonly laplaceStop?: number
}

/**
 * Pools proportions of one group over studies: by default a logistic model with a normal random intercept, fitted by
 * maximum likelihood, which needs no continuity correction; or inverse variance on a chosen scale.
 *
 * No events anywhere (or nothing else): exact limits of all studies taken together, as if they were one. The double
 * arcsine is read back at the harmonic mean of the sizes (Miller 1978), which can mislead where sizes differ much; a
 * warning says so (Schwarzer and others 2019).
 *
 * @param events units with the event, one entry per study
 * @param totals units, above 0
 * @param options method 'random-intercept', quadraturePoints 15, and those of metaAnalysis
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `negative`, `events-above-total`, `empty-study`
 * @see Stijnen, Hamza and Özdemir (2010); Freeman and Tukey (1950)
 * @example metaAnalysisOfProportions([3, 5, 1], [50, 60, 40]).pooled.estimate // => 0.06
 */
export const metaAnalysisOfProportions = checked(
  'metaAnalysisOfProportions',
  (
    events: NumberColumn,
    totals: NumberColumn,
    options: SingleArmOptions<ProportionScale> = {},
  ): SingleArmMetaAnalysis => {
    const { method = 'random-intercept', level = 0.95 } = options
    requireLevel(level)
    requireProportions(events, totals)
    const size = sumOf(totals)
    const sums = { events: sumOf(events), size, n: size, studies: events.length, level }
    if (sums.events === 0 || sums.events === sums.size) return oneSidedProportion(sums)
    if (method === 'random-intercept') {
      if (Array.from(totals).every((n, i) => events[i] === 0 || events[i] === n)) return allOrNothing(sums)
      const studies = Array.from(totals, (n, i) => binomialStudy(events[i]!, n))
      const start = Math.log(sums.events / (sums.size - sums.events))
      return randomIntercept(studies, start, sums, options, {
        method: methodOf('logistic-model-with-a-random-intercept'),
        scale: 'logit',
        reference: 'meta-proportions',
        back: (value) => 1 / (1 + Math.exp(-value)),
      })
    }
    const { effects, variances } = proportionEffects(events, totals, method)
    const harmonic = totals.length / sumOf(Array.from(totals, (n) => 1 / n))
    const back = proportionBack[method]
    return inverseVariance(
      effects,
      variances,
      { ...options, n: totals, events },
      {
        method: methodOf(`inverse-variance-on-the-${method}-scale`),
        scale: method,
        reference: 'meta-proportions',
        back: (value) => back(value, harmonic),
        warnings: method === 'double-arcsine' ? [warning('harmonic-mean-of-sizes')] : [],
      },
    )
  },
)

/**
 * Pools event rates of one group over studies: by default a Poisson model with a normal random intercept and the time
 * at risk as offset, fitted by maximum likelihood; or inverse variance on a chosen scale.
 *
 * No events anywhere: the exact upper limit of all studies taken together, as if they were one.
 *
 * @param events events, one entry per study
 * @param time time at risk, above 0, in any unit; the rate is per that unit
 * @param options method 'random-intercept', quadraturePoints 15, and those of metaAnalysis
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `negative`, `empty-study`
 * @see Stijnen, Hamza and Özdemir (2010)
 * @example metaAnalysisOfRates([9, 8, 3], [413, 263, 487]).pooled.estimate // => 0.0167
 */
export const metaAnalysisOfRates = checked(
  'metaAnalysisOfRates',
  (
    events: NumberColumn,
    time: NumberColumn,
    options: SingleArmOptions<RateScale> = {},
  ): SingleArmMetaAnalysis => {
    const { method = 'random-intercept', level = 0.95 } = options
    requireLevel(level)
    requireRates(events, time)
    const sums = { events: sumOf(events), size: sumOf(time), n: events.length, studies: events.length, level }
    if (sums.events === 0) return noEventsRate(sums)
    if (method === 'random-intercept') {
      const studies = Array.from(time, (t, i) => poissonStudy(events[i]!, t))
      return randomIntercept(studies, Math.log(sums.events / sums.size), sums, options, {
        method: methodOf('poisson-model-with-a-random-intercept'),
        scale: 'log rate',
        reference: 'meta-proportions',
        back: Math.exp,
      })
    }
    const { effects, variances } = rateEffects(events, time, method)
    const harmonic = time.length / sumOf(Array.from(time, (t) => 1 / t))
    const back = rateBack[method]
    return inverseVariance(
      effects,
      variances,
      { ...options, events },
      {
        method: methodOf(`inverse-variance-on-the-${method}-scale`),
        scale: method,
        reference: 'meta-proportions',
        back: (value) => back(value, harmonic),
        warnings: method === 'double-square-root' ? [warning('harmonic-mean-of-times')] : [],
      },
    )
  },
)

interface Reading {
  readonly method: MethodName
  readonly scale: string
  readonly reference: string
  readonly back: (value: number) => number
  readonly warnings?: readonly Warning[]
}

const proportionBack: Readonly<Record<ProportionScale, (value: number, harmonic: number) => number>> = {
  logit: (value) => 1 / (1 + Math.exp(-value)),
  arcsine: (value) => Math.sin(Math.min(Math.max(value, 0), Math.PI / 2)) ** 2,
  'double-arcsine': fromDoubleArcsine,
  untransformed: (value) => Math.min(Math.max(value, 0), 1),
}

const rateBack: Readonly<Record<RateScale, (value: number, harmonic: number) => number>> = {
  log: Math.exp,
  'square-root': (value) => Math.max(value, 0) ** 2,
  'double-square-root': fromDoubleSquareRoot,
}

function randomIntercept(
  studies: readonly StudyLikelihood[],
  start: number,
  sums: SingleArmSums,
  options: SingleArmOptions<string>,
  reading: Reading,
): SingleArmMetaAnalysis {
  const { quadraturePoints = 15, laplaceStop } = options
  const fit =
    quadraturePoints === 1 && laplaceStop !== undefined
      ? fitLaplaceStoppedAt(studies, laplaceStop)
      : fitRandomIntercept(studies, start, quadraturePoints)
  const warnings: Warning[] = []
  if (sums.studies === 1) {
    warnings.push(warning('one-study'))
  }
  if (!fit.converged) {
    warnings.push(warning('random-intercepts-not-converged'))
  }
  const sizes = { n: sums.n, events: sums.events, clusters: sums.n }
  // τ² by maximum likelihood errs downwards where studies are few; Student's t makes up for it (docs/verification).
  const spreadOfMean =
    options.interval === 'normal' || sums.studies < 2
      ? normalSpread(fit.intercept, fit.standardError, sums.level)
      : studentSpread(fit.intercept, fit.standardError, sums.studies - 1, sums.level)
  const onScale = pooledEffect(fit.intercept, spreadOfMean, {
    ...reading,
    level: sums.level,
    studies: sums.studies,
    sizes,
    warnings,
  })
  const spread = Math.sqrt(fit.tauSquared + fit.standardError ** 2)
  const prediction =
    sums.studies < 3
      ? noInterval('fewer-than-three-studies')
      : around(fit.intercept, studentTQuantile((1 + sums.level) / 2, sums.studies - 2) * spread)
  return Object.freeze({
    pooled: readBack(onScale, reading, reading.method, warnings),
    onScale,
    tauSquared: fit.tauSquared,
    predictionInterval: intervalBack(prediction, reading.back),
    converged: fit.converged,
    iterations: fit.iterations,
  })
}

function inverseVariance(
  effects: readonly number[],
  variances: readonly number[],
  options: SingleArmOptions<string>,
  reading: Reading,
): SingleArmMetaAnalysis {
  const { method: _method, quadraturePoints: _points, laplaceStop: _stop, ...pooling } = options
  const analysis = metaAnalysis(effects, variances, { ...pooling, scale: reading.scale })
  const warnings = [...analysis.warnings, ...(reading.warnings ?? [])]
  return Object.freeze({
    pooled: readBack(
      analysis.random,
      reading,
      methodOf(...reading.method, ...analysis.random.method),
      warnings,
    ),
    onScale: analysis.random,
    tauSquared: analysis.heterogeneity.tauSquared,
    predictionInterval: intervalBack(analysis.predictionInterval, reading.back),
    analysis,
    converged: true,
    iterations: 1,
  })
}

function readBack(
  onScale: PooledEffect,
  reading: Reading,
  method: MethodName,
  warnings: readonly Warning[],
): Estimate {
  const { n, events, clusters, level } = onScale
  return Object.freeze({
    estimate: quantityBack(onScale.estimate, reading.back),
    interval: intervalBack(onScale.interval, reading.back),
    level,
    method,
    ...(onScale.standardError === undefined ? {} : { standardError: onScale.standardError }),
    n,
    events,
    clusters,
    warnings: Object.freeze([...warnings]),
    reference: reading.reference,
  })
}

function quantityBack(quantity: Quantity, back: (value: number) => number): Quantity {
  return typeof quantity === 'number' ? back(quantity) : quantity
}

function intervalBack({ lower, upper }: Interval, back: (value: number) => number): Interval {
  return Object.freeze({ lower: quantityBack(lower, back), upper: quantityBack(upper, back) })
}

function sumOf(column: NumberColumn): number {
  let sum = 0
  for (let i = 0; i < column.length; i++) sum += column[i]!
  return sum
}

/** Where penalised reweighted least squares stopped. */
interface Stopped {
  readonly predictors: Float64Array
  readonly intercept: number
  readonly value: number
  readonly rounds: number
}

/**
 * Fits a random intercept by Laplace's approximation as software that searches the studies' modes by penalised
 * reweighted least squares does it (Bates and DebRoy 2004): the search stops once the penalised deviance changes by
 * less than a share, and the determinant comes from the weights before the last step. With a coarse share the answer
 * is that of the early stop, not of Laplace's formula; it exists to be set beside such software.
 *
 * @param tolerance relative change of the penalised deviance at which the search stops
 */
function fitLaplaceStoppedAt(studies: readonly StudyLikelihood[], tolerance: number): RandomInterceptFit {
  const near = Float64Array.from(studies, (study) => study.near)
  const first = (sigma: number): Stopped => reweighted(studies, sigma, undefined, near, tolerance)
  const joint = climb((_, sigma) => first(sigma).value, [0, 0.7])
  const from = first(joint.sigma)
  let rounds = reweighted(studies, joint.sigma, from.intercept, from.predictors, tolerance).rounds
  let peak = joint
  let objective: Objective = (_, sigma) => first(sigma).value
  // The number of rounds jumps from point to point; the maximum is sought with the number that it itself needs.
  for (let attempt = 0; attempt < 4; attempt++) {
    const fixed = rounds
    objective = (beta, sigma) => reweighted(studies, sigma, beta, from.predictors, tolerance, fixed).value
    peak = climb(objective, [from.intercept, joint.sigma])
    rounds = reweighted(studies, peak.sigma, peak.beta, from.predictors, tolerance).rounds
    if (rounds === fixed) break
  }
  const { bb, bs, ss } = secondDerivatives(objective, peak)
  const variance = Math.abs(peak.sigma) < 1e-4 ? -1 / bb : -ss / (bb * ss - bs * bs)
  return {
    intercept: peak.beta,
    standardError: Math.sqrt(variance),
    tauSquared: peak.sigma ** 2,
    iterations: peak.iterations,
    converged: peak.converged && variance > 0,
  }
}

/** Rounds of penalised reweighted least squares, with the intercept given or, where undefined, estimated too. */
function reweighted(
  studies: readonly StudyLikelihood[],
  sigma: number,
  given: number | undefined,
  from: Float64Array,
  tolerance: number,
  fixedRounds?: number,
): Stopped {
  const predictors = Float64Array.from(from)
  let before = Number.POSITIVE_INFINITY
  for (let rounds = 1; ; rounds++) {
    const weights = studies.map((study, i) => -study.curvature(predictors[i]!))
    const working = studies.map((study, i) => predictors[i]! + study.slope(predictors[i]!) / weights[i]!)
    const shrunk = weights.map((w) => w / (sigma * sigma * w + 1))
    const intercept = given ?? weightedMean(working, shrunk)
    let penalty = 0
    let value = 0
    let deviance = 0
    studies.forEach((study, i) => {
      const u = sigma * shrunk[i]! * (working[i]! - intercept)
      predictors[i] = intercept + sigma * u
      penalty += u * u
      value += study.value(predictors[i]!) - 0.5 * Math.log(sigma * sigma * weights[i]! + 1)
      deviance += 2 * (study.saturated - study.value(predictors[i]!))
    })
    const now = deviance + penalty
    const done = fixedRounds === undefined ? Math.abs(before - now) < tolerance * now : rounds >= fixedRounds
    if (done || rounds > 200) return { predictors, intercept, value: value - 0.5 * penalty, rounds }
    before = now
  }
}

function weightedMean(values: readonly number[], weights: readonly number[]): number {
  let top = 0
  let bottom = 0
  values.forEach((value, i) => {
    top += weights[i]! * value
    bottom += weights[i]!
  })
  return top / bottom
}
