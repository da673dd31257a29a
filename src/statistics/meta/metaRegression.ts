import { NumericalError } from '../../core/errors.js'
import { type Interval, notEstimable, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireFinite, requireLevel, requireSameLength } from '../numeric/columns.js'
import { chiSquareUpperTail, fUpperTail } from '../numeric/distributions.js'
import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import { type HeterogeneityEstimator, tauSquaredEstimate, tauSquaredLimits } from './heterogeneity.js'
import { normalSpread, type PooledEffect, pooledEffect, studentSpread } from './pooledEffect.js'
import { interceptDesign, requireStudies, type StudyDesign, weightedFit } from './weightedFit.js'

/** Options of a meta-regression. */
export interface MetaRegressionOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Estimator of the residual variance between studies; default 'restricted-likelihood'. */
  readonly estimator?: HeterogeneityEstimator
  /**
   * Default 'never-narrower': Knapp and Hartung's t interval with the scale of the residuals at least 1.
   * 'hartung-knapp' leaves the scale as it comes; 'normal' takes τ² as known.
   */
  readonly interval?: 'never-narrower' | 'hartung-knapp' | 'normal'
}

/** One coefficient of a meta-regression: change in effect per unit of the moderator. */
export interface ModeratorEffect extends PooledEffect {
  readonly name: string
}

/** What a meta-regression answers. */
export interface MetaRegression {
  /** Intercept first, then the moderators in the order given. */
  readonly coefficients: readonly ModeratorEffect[]
  /** Variance between studies that the moderators leave, with limits by inverting Q. */
  readonly tauSquared: number
  readonly tauSquaredInterval: Interval
  /** Test of all moderators together: χ², or F under Knapp and Hartung. */
  readonly moderators: {
    readonly statistic: number
    readonly degreesOfFreedom: number
    readonly residualDegreesOfFreedom: Quantity
    readonly pValue: number
  }
  /** Cochran's Q of the residuals at τ² = 0. */
  readonly residual: { readonly q: number; readonly degreesOfFreedom: number; readonly pValue: number }
  /** Share of the variance between studies that the moderators explain, at least 0. */
  readonly explainedShare: Quantity
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Regresses effects of studies on what the studies are like, with a random effect for what that leaves.
 *
 * Coefficients are per unit of the moderator as given; categories come as columns of 0 and 1. Missing values are
 * refused, and a moderator that is constant or follows from the others is named.
 *
 * @param effects one effect per study
 * @param variances their squared standard errors, above 0
 * @param moderators columns by name, one entry per study
 * @param options level 0.95, estimator 'restricted-likelihood', interval 'never-narrower'
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `variance-not-positive`, `too-few-studies`,
 *   `collinear-moderator`, `no-moderators`
 * @see Berkey and others (1995); Knapp and Hartung (2003)
 * @example metaRegression([0, 1, 2.1, 3], [1, 1, 1, 1], { dose: [0, 1, 2, 3] }).coefficients[1].estimate // => 1.01
 */
export const metaRegression = checked(
  'metaRegression',
  (
    effects: NumberColumn,
    variances: NumberColumn,
    moderators: Readonly<Record<string, NumberColumn>>,
    options: MetaRegressionOptions = {},
  ): MetaRegression => {
    const { level = 0.95, estimator = 'restricted-likelihood', interval = 'never-narrower' } = options
    requireLevel(level)
    requireStudies(effects, variances)
    const names = requireModerators(effects, moderators)
    const scaled = scaledDesign(effects, variances, names, moderators)
    const { k, p } = scaled.studies
    const tauSquared = tauSquaredEstimate(scaled.studies, estimator)
    const fit = weightedFit(scaled.studies, tauSquared)
    const { coefficients, covariance } = unscaled(scaled, fit.coefficients, fit.covariance)
    const residualScale = fit.q / (k - p)
    const inflation =
      interval === 'normal' ? 1 : interval === 'hartung-knapp' ? residualScale : Math.max(1, residualScale)
    const warnings = warningsOf(k, p)
    const method = methodOf(`random-effects-meta-regression-${estimator}`, `${interval}-interval`)
    const fields = {
      level,
      method,
      scale: 'effect',
      studies: k,
      sizes: { n: k, events: 0, clusters: k },
      warnings,
      reference: 'meta-regression',
    }
    const rows = ['intercept', ...names].map((name, a) => {
      const effect = coefficients[a]!
      const standardError = Math.sqrt(inflation * covariance[a * p + a]!)
      const spread =
        interval === 'normal'
          ? normalSpread(effect, standardError, level)
          : studentSpread(effect, standardError, k - p, level)
      return Object.freeze({ name, ...pooledEffect(effect, spread, fields) })
    })
    const q = weightedFit(scaled.studies, 0).q
    return Object.freeze({
      coefficients: Object.freeze(rows),
      tauSquared,
      tauSquaredInterval: tauSquaredLimits(scaled.studies, level).interval,
      moderators: moderatorTest(
        coefficients,
        covariance,
        p,
        k,
        interval === 'normal' ? undefined : inflation,
      ),
      residual: Object.freeze({ q, degreesOfFreedom: k - p, pValue: chiSquareUpperTail(q, k - p) }),
      explainedShare: explainedShare(effects, variances, estimator, tauSquared),
      method,
      warnings: Object.freeze(warnings),
      reference: 'meta-regression',
    })
  },
)

interface ScaledDesign {
  readonly studies: StudyDesign
  readonly centres: Float64Array
  readonly scales: Float64Array
}

/** Centres and scales the moderators, since a calendar year beside an intercept would cost half the digits. */
function scaledDesign(
  effects: NumberColumn,
  variances: NumberColumn,
  names: readonly string[],
  moderators: Readonly<Record<string, NumberColumn>>,
): ScaledDesign {
  const base = interceptDesign(effects, variances)
  const p = names.length + 1
  const centres = new Float64Array(p)
  const scales = new Float64Array(p).fill(1)
  const design = new Float64Array(base.k * p)
  for (let i = 0; i < base.k; i++) design[i * p] = 1
  names.forEach((name, position) => {
    const a = position + 1
    const column = moderators[name]!
    let sum = 0
    for (let i = 0; i < base.k; i++) sum += column[i]!
    centres[a] = sum / base.k
    let squares = 0
    for (let i = 0; i < base.k; i++) squares += (column[i]! - centres[a]!) ** 2
    const spread = Math.sqrt(squares / base.k)
    scales[a] = spread > 1e-12 * Math.abs(centres[a]!) && spread > 0 ? spread : 1
    const constant = scales[a] === 1 && !(spread === 1)
    for (let i = 0; i < base.k; i++)
      design[i * p + a] = constant ? 0 : (column[i]! - centres[a]!) / scales[a]!
  })
  const studies = { ...base, p, design }
  requireIndependent(studies, names)
  return { studies, centres, scales }
}

function requireIndependent(studies: StudyDesign, names: readonly string[]): void {
  const { dependent } = weightedFit(studies, 0).factor
  if (dependent.length === 0) return
  throw new NumericalError({
    code: 'collinear-moderator',
    problem: `moderator ${names[dependent[0]! - 1]} is constant or follows from those before it.`,
    expected: 'moderators that each tell something of their own.',
    mend: 'leave out that moderator.',
  })
}

function requireModerators(
  effects: NumberColumn,
  moderators: Readonly<Record<string, NumberColumn>>,
): readonly string[] {
  const names = Object.keys(moderators)
  if (names.length === 0) {
    throw new NumericalError({
      code: 'no-moderators',
      problem: 'there are no moderators.',
      expected: 'at least one column by name.',
      mend: 'use metaAnalysis where there is nothing to regress on.',
    })
  }
  requireSameLength({ effects, ...moderators })
  for (const name of names) requireFinite(name, moderators[name]!)
  if (effects.length < names.length + 2) {
    throw new NumericalError({
      code: 'too-few-studies',
      problem: `${effects.length} studies for ${names.length} moderators and an intercept.`,
      expected: `at least ${names.length + 2} studies.`,
      mend: 'use fewer moderators.',
    })
  }
  return names
}

/** Takes coefficients and covariance from centred and scaled moderators back to those as given. */
function unscaled(
  { studies, centres, scales }: ScaledDesign,
  coefficients: Float64Array,
  covariance: Float64Array,
): { coefficients: Float64Array; covariance: Float64Array } {
  const { p } = studies
  const back = new Float64Array(p * p)
  back[0] = 1
  for (let a = 1; a < p; a++) {
    back[a * p + a] = 1 / scales[a]!
    back[a] = -centres[a]! / scales[a]!
  }
  const plain = new Float64Array(p)
  const spread = new Float64Array(p * p)
  for (let a = 0; a < p; a++) {
    for (let b = 0; b < p; b++) {
      plain[a]! += back[a * p + b]! * coefficients[b]!
      for (let c = 0; c < p; c++)
        for (let d = 0; d < p; d++)
          spread[a * p + b]! += back[a * p + c]! * covariance[c * p + d]! * back[b * p + d]!
    }
  }
  return { coefficients: plain, covariance: spread }
}

function moderatorTest(
  coefficients: Float64Array,
  covariance: Float64Array,
  p: number,
  k: number,
  inflation: number | undefined,
): MetaRegression['moderators'] {
  const m = p - 1
  const block = new Float64Array(m * m)
  for (let a = 0; a < m; a++) for (let b = 0; b < m; b++) block[a * m + b] = covariance[(a + 1) * p + b + 1]!
  const slopes = coefficients.subarray(1)
  const solved = solveFactored(choleskyFactor(block, m), slopes)
  const wald = slopes.reduce((sum, slope, a) => sum + slope * solved[a]!, 0)
  if (inflation === undefined) {
    return Object.freeze({
      statistic: wald,
      degreesOfFreedom: m,
      residualDegreesOfFreedom: notEstimable('chi-square-reference'),
      pValue: chiSquareUpperTail(wald, m),
    })
  }
  const statistic = inflation > 0 ? wald / (inflation * m) : 0
  return Object.freeze({
    statistic,
    degreesOfFreedom: m,
    residualDegreesOfFreedom: k - p,
    pValue: fUpperTail(statistic, m, k - p),
  })
}

function explainedShare(
  effects: NumberColumn,
  variances: NumberColumn,
  estimator: HeterogeneityEstimator,
  tauSquared: number,
): Quantity {
  const without = tauSquaredEstimate(interceptDesign(effects, variances), estimator)
  if (without === 0) return notEstimable('studies-alike-without-moderators')
  return Math.max(0, 1 - tauSquared / without)
}

function warningsOf(k: number, p: number): Warning[] {
  if (k >= 10 * (p - 1)) return []
  return [warning('few-studies-per-moderator', { studies: k, moderators: p - 1 })]
}
