import { NumericalError } from '../../core/errors.js'
import {
  type FittedModel,
  type Interval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf, term } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn, Codes } from '../kernel/codes.js'
import { compensatedSum, type NumberColumn, requireZeroOne } from '../numeric/columns.js'
import { chiSquareUpperTail, normalQuantile } from '../numeric/distributions.js'
import { gaussHermite } from '../numeric/gaussHermite.js'
import { choleskyFactor, invertFactored, solveFactored } from '../numeric/matrix.js'
import { rowsByCluster } from './clusters.js'
import { type RegressionCoefficient, waldCoefficient } from './coefficients.js'
import { type CountOptions, exposureOffset, noEventWarnings, requireCounts } from './counts.js'
import type { Covariates } from './design.js'
import { fittedCoefficients, fitWarnings, separationReason } from './estimability.js'
import { binomialFamily, poissonFamily } from './family.js'
import { prepareModel } from './generalisedLinear.js'
import { type ClusterPosterior, type MarginalPoint, marginalPoint } from './marginalLikelihood.js'
import { fitReweighted, type WorkingFit, withoutHeld } from './reweighting.js'
import { covarianceInInputUnits } from './standardise.js'
import type { WorkingProblem } from './workingProblem.js'

/** Where the marginal likelihood of a random-intercept model has its maximum, in standardised coefficients. */
export interface MixedMaximum {
  /** Coefficients and, last, the standard deviation between clusters. */
  readonly parameters: Float64Array
  /** Inverse observed information of the parameters, row-major; the spread has none at the boundary. */
  readonly covariance: Float64Array
  readonly logLikelihood: number
  /** Maximum without any spread. */
  readonly logLikelihoodWithoutSpread: number
  readonly posteriors: readonly ClusterPosterior[]
  /** Whether the maximum lies at no spread at all. */
  readonly atBoundary: boolean
  readonly converged: boolean
  readonly iterations: number
}

const maximumIterations = 200

/** Spread on the scale of the linear predictor beyond which the likelihood is taken to rise without end. */
const largestSpread = 15

/** Spread from which clusters without events are too skewed for Gauss–Hermite points, and equally spaced ones decide. */
const skewedSpread = 1.5

/** Step in standardised parameters below which the score, not the value, decides. */
const shortStep = 0.05

/**
 * Share of the log-likelihood that quadrature may get wrong: near the maximum the value must not keep the iteration
 * from the root of the score, which carries an error of its own.
 */
const quadratureError = 1e-6

/** Maximises the marginal likelihood by Newton steps, damped where the information is not positive. */
function maximiseMarginal(
  problem: WorkingProblem,
  plain: WorkingFit,
  groups: readonly Int32Array[],
  points: number,
): MixedMaximum {
  const rule = gaussHermite(points)
  const evaluateAt = (parameters: Float64Array): MarginalPoint =>
    marginalPoint(problem, groups, rule, parameters)
  const held = Uint8Array.from([...plain.held, 0])
  const starts = [0.5, 2].map((spread) =>
    climb(evaluateAt, Float64Array.from([...plain.coefficients, spread]), held),
  )
  const higher = starts.reduce((one, other) => (other.point.value > one.point.value + 1e-9 ? other : one))
  const size = held.length
  const skewed = Math.abs(higher.at[size - 1]!) > skewedSpread
  const evaluateFinely = (parameters: Float64Array): MarginalPoint =>
    marginalPoint(problem, groups, undefined, parameters)
  const best = skewed ? climb(evaluateFinely, higher.at, held) : higher
  const spread = Math.abs(best.at[size - 1]!)
  const rises = best.point.value > plain.logLikelihood + 1e-9
  const atBoundary = !rises || spread < 1e-4
  const shared = { logLikelihoodWithoutSpread: plain.logLikelihood, atBoundary, iterations: best.iterations }
  if (atBoundary) {
    const parameters = Float64Array.from([...plain.coefficients, 0])
    return {
      ...shared,
      parameters,
      covariance: padded(plain),
      logLikelihood: plain.logLikelihood,
      posteriors: evaluateAt(parameters).posteriors,
      converged: plain.converged,
    }
  }
  // The likelihood is the same for either sign of the spread; the effects are not.
  const parameters = Float64Array.from(best.at)
  parameters[size - 1] = spread
  const point = best.at[size - 1]! < 0 ? (skewed ? evaluateFinely : evaluateAt)(parameters) : best.point
  const factor = choleskyFactor(withoutHeld(point.information, held), size)
  return {
    ...shared,
    parameters,
    covariance: invertFactored(factor),
    logLikelihood: point.value,
    posteriors: point.posteriors,
    converged: best.converged && spread < largestSpread,
  }
}

interface Climb {
  readonly at: Float64Array
  readonly point: MarginalPoint
  readonly converged: boolean
  readonly iterations: number
}

function climb(
  evaluateAt: (parameters: Float64Array) => MarginalPoint,
  start: Float64Array,
  held: Uint8Array,
): Climb {
  let at = start
  let point = evaluateAt(at)
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = ascent(point, held)
    const size = step.reduce((most, move) => Math.max(most, Math.abs(move)), 0)
    const next = halved(evaluateAt, at, point, step, size)
    if (next === undefined) return { at, point, converged: size < 1e-5, iterations: iteration }
    const small = size < 1e-9
    at = next.at
    point = next.point
    const runaway = Math.abs(at[at.length - 1]!) > largestSpread
    if (small || runaway) return { at, point, converged: small, iterations: iteration }
  }
  return { at, point, converged: false, iterations: maximumIterations }
}

/** Newton's step where the information is positive, else one damped until it is. */
function ascent(point: MarginalPoint, held: Uint8Array): Float64Array {
  const size = held.length
  const expectedDependent = held.reduce((sum, one) => sum + one, 0)
  const diagonal = Math.max(
    ...Array.from({ length: size }, (_, j) => Math.abs(point.information[j * size + j]!)),
  )
  for (let damping = 0; ; damping = damping === 0 ? 1e-3 : damping * 4) {
    const information = withoutHeld(point.information, held)
    if (damping > 0) {
      for (let j = 0; j < size; j++) if (held[j] === 0) information[j * size + j]! += damping * diagonal
    }
    const factor = choleskyFactor(information, size)
    if (factor.dependent.length === expectedDependent || damping > 1e6) {
      const step = solveFactored(factor, point.gradient)
      return step.map((move, j) => (held[j] === 1 ? 0 : move))
    }
  }
}

function halved(
  evaluateAt: (parameters: Float64Array) => MarginalPoint,
  at: Float64Array,
  point: MarginalPoint,
  step: Float64Array,
  size: number,
): { readonly at: Float64Array; readonly point: MarginalPoint } | undefined {
  const error = size < shortStep ? quadratureError : 1e-12
  const rounding = error * (Math.abs(point.value) + 1)
  for (let share = Math.min(1, 3 / size); share > 1e-10; share /= 2) {
    const nextAt = at.map((value, j) => value + share * step[j]!)
    const nextPoint = evaluateAt(nextAt)
    if (nextPoint.value >= point.value - rounding) return { at: nextAt, point: nextPoint }
  }
  return undefined
}

/** Covariance of the fit without spread, an empty row and column added for the spread. */
function padded(plain: WorkingFit): Float64Array {
  const width = plain.coefficients.length
  const inverse = invertFactored(choleskyFactor(withoutHeld(plain.information, plain.held), width))
  const covariance = new Float64Array((width + 1) ** 2)
  for (let i = 0; i < width; i++) {
    for (let j = 0; j < width; j++) covariance[i * (width + 1) + j] = inverse[i * width + j]!
  }
  return covariance
}

/** Options of {@link randomInterceptRegression}. */
export interface RandomInterceptOptions
  extends Pick<CountOptions, 'exposure' | 'offset' | 'interactions' | 'baselines' | 'level'> {
  /** `logistic` for events coded 0 and 1, `poisson` for counts; default `logistic`. */
  readonly model?: 'logistic' | 'poisson'
  /** Quadrature points for each cluster, from 20 to 100; default 50. Above a spread of 1.5 as many as it takes. */
  readonly points?: number
}

/** How far one cluster lies from the average one, shrunk towards it by what the cluster itself can tell. */
export interface ClusterEffect {
  readonly cluster: string
  readonly n: number
  readonly events: number
  /** Most likely effect on the scale of the linear predictor, given the data. */
  readonly effect: number
  /** From the curvature about it, the model's parameters taken as known. */
  readonly standardError: number
  readonly interval: Interval
  /** Mean and standard deviation of the effect given the data. */
  readonly posteriorMean: number
  readonly posteriorDeviation: number
}

/** What a random-intercept regression answers. */
export interface RandomInterceptFit extends FittedModel {
  /** Coefficients within clusters: ratios compare rows of one and the same cluster. */
  readonly coefficients: readonly RegressionCoefficient[]
  /** Covariance of the coefficients in their order. */
  readonly covariance: readonly (readonly Quantity[])[]
  /** Standard deviation between clusters on the scale of the linear predictor. */
  readonly spread: Quantity
  readonly spreadInterval: Interval
  /** One-sided likelihood-ratio P value against no spread (half the chi-square tail with 1 degree of freedom). */
  readonly spreadPValue: Quantity
  /** Median ratio between two clusters drawn at random, the higher over the lower (Larsen and Merlo 2005). */
  readonly medianRatio: Quantity
  readonly effects: readonly ClusterEffect[]
  readonly logLikelihood: Quantity
}

/**
 * Estimates log odds or log rate ratios within clusters, and the spread between clusters, from a model in which every
 * clinic or operator has a normal intercept of its own; gives each of them a shrunken effect.
 *
 * @param response events coded 0 and 1, or counts
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param cluster clinic, operator or patient of every row; rows of one cluster need not lie together
 * @param options model, points, exposure, offset, interactions, baselines, level; see
 *   {@link RandomInterceptOptions} for their defaults
 * @throws NumericalError as logisticRegression and poissonRegression do, and `missing-cluster`, `one-cluster`,
 *   `clusters-without-repeats` (logistic), `points-out-of-range`
 * @see Pinheiro and Bates (1995) Journal of Computational and Graphical Statistics 4:12–35 for the quadrature
 * @example randomInterceptRegression([1, 1, 1, 0, 0, 0, 0, 1, 1, 1], {}, ['a', 'a', 'a', 'b', 'b', 'b', 'b', 'c', 'c', 'c']).clusters // => 3
 */
export const randomInterceptRegression = checked(
  'randomInterceptRegression',
  (
    response: NumberColumn,
    covariates: Covariates,
    cluster: CodeColumn,
    options: RandomInterceptOptions = {},
  ): RandomInterceptFit => {
    const { model = 'logistic', points = 50, level = 0.95 } = options
    if (model === 'logistic') requireZeroOne('response', response)
    else requireCounts('response', response)
    requirePoints(points)
    const full = { ...options, ...exposureOffset(response, options), cluster }
    const family = model === 'logistic' ? binomialFamily : poissonFamily
    const prepared = prepareModel(response, covariates, family, full)
    const groups = rowsByCluster(prepared.clusters!)
    requireRepeats(groups, model)
    const plain = fitReweighted(prepared.problem)
    const problem: WorkingProblem = {
      ...prepared.problem,
      weights: prepared.problem.weights.map((weight, row) => (plain.separatedRows[row] === 1 ? 0 : weight)),
    }
    const maximum = maximiseMarginal(problem, plain, groups, points)
    const fit = { ...plain, coefficients: maximum.parameters.subarray(0, -1), converged: maximum.converged }
    const { estimates, separated } = fittedCoefficients(prepared.problem, fit)
    const { width, names, rows, map } = problem.design
    const covariance = covarianceInInputUnits(map, leading(maximum.covariance, width), width)
    const reason = !fit.converged ? 'not-converged' : separationReason
    const normal = { level, degreesOfFreedom: Number.POSITIVE_INFINITY }
    return deepFreeze({
      coefficients: names.map((name, j) =>
        waldCoefficient(name, estimates[j]!, Math.sqrt(covariance[j * width + j]!), normal, reason),
      ),
      covariance: estimates.map((row, i) =>
        estimates.map((column, j) =>
          typeof row === 'number' && typeof column === 'number'
            ? covariance[i * width + j]!
            : notEstimable(reason),
        ),
      ),
      ...spreadOf(maximum, width, level),
      effects: fit.converged ? effectsOf(problem, prepared.clusters!, cluster, groups, maximum, level) : [],
      logLikelihood: fit.converged ? maximum.logLikelihood : notEstimable(reason),
      level,
      method: methodOf(
        `${model}-regression-with-random-intercepts`,
        'adaptive-gauss-hermite-quadrature',
        term('quadrature-points', { points }),
      ),
      n: rows,
      events: compensatedSum(problem.response),
      clusters: groups.length,
      converged: fit.converged,
      iterations: plain.iterations + maximum.iterations,
      warnings: [
        ...(model === 'poisson' ? noEventWarnings(response) : []),
        ...fitWarnings(prepared.problem, fit, separated),
        ...spreadWarnings(maximum, groups.length, plain),
      ],
      reference: 'random-intercepts',
    })
  },
)

/** Leading block of the covariance: the coefficients without the spread. */
function leading(covariance: Float64Array, width: number): Float64Array {
  return Float64Array.from(
    { length: width * width },
    (_, i) => covariance[Math.floor(i / width) * (width + 1) + (i % width)]!,
  )
}

type SpreadPart = Pick<RandomInterceptFit, 'spread' | 'spreadInterval' | 'spreadPValue' | 'medianRatio'>

function spreadOf(maximum: MixedMaximum, width: number, level: number): SpreadPart {
  if (!maximum.converged) {
    const none = notEstimable('not-converged')
    return {
      spread: none,
      spreadInterval: { lower: none, upper: none },
      spreadPValue: none,
      medianRatio: none,
    }
  }
  if (maximum.atBoundary) {
    const upper = notEstimable('on-the-boundary')
    return { spread: 0, spreadInterval: { lower: 0, upper }, spreadPValue: 1, medianRatio: 1 }
  }
  const spread = maximum.parameters[width]!
  const error = Math.sqrt(maximum.covariance[(width + 1) ** 2 - 1]!) / spread
  const half = -normalQuantile((1 - level) / 2) * error
  const gained = Math.max(0, 2 * (maximum.logLikelihood - maximum.logLikelihoodWithoutSpread))
  return {
    spread,
    spreadInterval: { lower: spread * Math.exp(-half), upper: spread * Math.exp(half) },
    spreadPValue: chiSquareUpperTail(gained, 1) / 2,
    medianRatio: Math.exp(Math.SQRT2 * spread * normalQuantile(0.75)),
  }
}

function effectsOf(
  problem: WorkingProblem,
  index: Codes,
  labels: CodeColumn,
  groups: readonly Int32Array[],
  maximum: MixedMaximum,
  level: number,
): readonly ClusterEffect[] {
  const spread = maximum.parameters[maximum.parameters.length - 1]!
  const z = -normalQuantile((1 - level) / 2)
  return Array.from({ length: index.count }, (_, cluster) => {
    const rows = groups[cluster]!
    const { mode, modeError, mean, deviation } = maximum.posteriors[cluster]!
    const effect = spread * mode
    const standardError = spread * modeError
    return {
      cluster: String(labels[rows[0]!]!),
      n: rows.length,
      events: rows.reduce((sum, row) => sum + problem.response[row]!, 0),
      effect,
      standardError,
      interval: { lower: effect - z * standardError, upper: effect + z * standardError },
      posteriorMean: spread * mean,
      posteriorDeviation: spread * deviation,
    }
  })
}

function spreadWarnings(maximum: MixedMaximum, clusters: number, plain: WorkingFit): readonly Warning[] {
  const warnings: Warning[] = []
  if (maximum.atBoundary && plain.converged) {
    warnings.push(warning('no-spread-between-clusters'))
  }
  if (!maximum.converged && maximum.parameters[maximum.parameters.length - 1]! > 5) {
    warnings.push(warning('spread-runs-off'))
  }
  if (clusters < 10) {
    warnings.push(warning('few-clusters-for-spread', { clusters }))
  }
  return warnings
}

function requirePoints(points: number): void {
  if (Number.isInteger(points) && points >= 20 && points <= 100) return
  throw new NumericalError({
    code: 'points-out-of-range',
    problem: `${points} quadrature points were asked for.`,
    expected: 'a whole number from 20 to 100.',
    mend: 'leave the option out: 50 points are enough for almost any data.',
  })
}

function requireRepeats(groups: readonly Int32Array[], model: string): void {
  if (groups.length < 2) {
    throw new NumericalError({
      code: 'one-cluster',
      problem: 'all rows belong to one cluster.',
      expected: 'at least two clusters, for there to be a spread between them.',
      mend: 'use a regression without random intercepts.',
    })
  }
  if (model === 'logistic' && groups.every((rows) => rows.length < 2)) {
    throw new NumericalError({
      code: 'clusters-without-repeats',
      problem: 'no cluster holds two rows, so that a spread between clusters cannot be told from chance.',
      expected: 'clusters of which some hold several rows.',
      mend: 'use logisticRegression, or name a coarser cluster such as the clinic.',
    })
  }
}
