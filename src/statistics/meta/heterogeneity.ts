import { mean } from 'simple-statistics'
import type { Interval } from '../../core/estimate.js'
import { notEstimable } from '../../core/estimate.js'
import { chiSquareQuantile, chiSquareUpperQuantile } from '../numeric/distributions.js'
import { logDeterminantFactored } from '../numeric/matrix.js'
import { brentRoot } from '../numeric/roots.js'
import { projectionTraces, type StudyDesign, weightedFit } from './weightedFit.js'

/** How the variance between studies, τ², is estimated. */
export type HeterogeneityEstimator =
  | 'restricted-likelihood'
  | 'likelihood'
  | 'dersimonian-laird'
  | 'paule-mandel'
  | 'hedges'
  | 'sidik-jonkman'
  | 'hunter-schmidt'

/**
 * Variance between studies by the estimator named, never negative. With moderators, the residual variance.
 * Needs more studies than coefficients; callers check.
 */
export function tauSquaredEstimate(studies: StudyDesign, estimator: HeterogeneityEstimator): number {
  switch (estimator) {
    case 'dersimonian-laird':
      return dersimonianLaird(studies)
    case 'hedges':
      return hedges(studies)
    case 'hunter-schmidt':
      return hunterSchmidt(studies)
    case 'sidik-jonkman':
      return sidikJonkman(studies)
    case 'paule-mandel':
      return rootOfQ(studies, studies.k - studies.p)
    case 'likelihood':
      return likelihoodMaximum(studies, likelihoodScore, likelihoodValue)
    case 'restricted-likelihood':
      return likelihoodMaximum(studies, restrictedScore, restrictedValue)
  }
}

function dersimonianLaird(studies: StudyDesign): number {
  const fit = weightedFit(studies, 0)
  const trace = projectionTraces(studies, fit).first
  return Math.max(0, (fit.q - (studies.k - studies.p)) / trace)
}

function hunterSchmidt(studies: StudyDesign): number {
  const fit = weightedFit(studies, 0)
  const total = fit.weights.reduce((sum, w) => sum + w, 0)
  return Math.max(0, (fit.q - studies.k) / total)
}

function hedges(studies: StudyDesign): number {
  const { k, p, variances } = studies
  const fit = unweighted(studies)
  let trace = 0
  for (let i = 0; i < k; i++) trace += variances[i]! * (1 - fit.leverages[i]!)
  return Math.max(0, (fit.q - trace) / (k - p))
}

function sidikJonkman(studies: StudyDesign): number {
  const { k, p, effects } = studies
  const mean = effects.reduce((sum, effect) => sum + effect, 0) / k
  const start = effects.reduce((sum, effect) => sum + (effect - mean) ** 2, 0) / k
  return start === 0 ? 0 : (start * weightedFit(studies, start).q) / (k - p)
}

/** Ordinary least squares: all weights 1. */
function unweighted(studies: StudyDesign): ReturnType<typeof weightedFit> {
  return weightedFit({ ...studies, variances: new Float64Array(studies.k).fill(1) }, 0)
}

/**
 * The τ² at which the weighted residual sum of squares, which falls as τ² grows, equals a target; 0 where it lies
 * below the target from the start.
 */
function rootOfQ(studies: StudyDesign, target: number): number {
  const excess = (tauSquared: number): number => weightedFit(studies, tauSquared).q - target
  if (!(excess(0) > 0)) return 0
  let upper = spread(studies)
  while (excess(upper) > 0) upper *= 4
  return brentRoot(excess, 0, upper)
}

/** A variance of the size of what is seen between and within studies, from which searches start. */
function spread(studies: StudyDesign): number {
  return unweighted(studies).q / Math.max(1, studies.k - studies.p) + mean(Array.from(studies.variances))
}

function likelihoodValue(studies: StudyDesign, tauSquared: number): number {
  const fit = weightedFit(studies, tauSquared)
  return 0.5 * (fit.weights.reduce((sum, w) => sum + Math.log(w), 0) - fit.q)
}

function restrictedValue(studies: StudyDesign, tauSquared: number): number {
  const fit = weightedFit(studies, tauSquared)
  const logWeights = fit.weights.reduce((sum, w) => sum + Math.log(w), 0)
  return 0.5 * (logWeights - fit.q - logDeterminantFactored(fit.factor))
}

function likelihoodScore(studies: StudyDesign, tauSquared: number): number {
  const fit = weightedFit(studies, tauSquared)
  return scoreOf(
    fit,
    fit.weights.reduce((sum, w) => sum + w, 0),
  )
}

function restrictedScore(studies: StudyDesign, tauSquared: number): number {
  const fit = weightedFit(studies, tauSquared)
  return scoreOf(fit, projectionTraces(studies, fit).first)
}

function scoreOf(fit: ReturnType<typeof weightedFit>, trace: number): number {
  let squares = 0
  for (let i = 0; i < fit.weights.length; i++) squares += (fit.weights[i]! * fit.residuals[i]!) ** 2
  return 0.5 * (squares - trace)
}

type OfTauSquared = (studies: StudyDesign, tauSquared: number) => number

/**
 * The highest of the likelihood's maxima in τ² ≥ 0. Few studies can give it several, so every fall of the score
 * through zero on a logarithmic grid is followed to its root.
 */
function likelihoodMaximum(studies: StudyDesign, score: OfTauSquared, value: OfTauSquared): number {
  let upper = 4 * spread(studies)
  while (score(studies, upper) > 0) upper *= 4
  const grid = [0]
  for (let step = 80; step >= 0; step--) grid.push(upper * 10 ** (-step / 8))
  let best = 0
  let bestValue = value(studies, 0)
  let previous = score(studies, 0)
  for (let i = 1; i < grid.length; i++) {
    const next = score(studies, grid[i]!)
    if (previous > 0 && next <= 0) {
      const root = brentRoot((t) => score(studies, t), grid[i - 1]!, grid[i]!)
      const reached = value(studies, root)
      if (reached > bestValue) {
        best = root
        bestValue = reached
      }
    }
    previous = next
  }
  return best
}

/** Limits of τ² by inverting Q (Viechtbauer 2007), with whether no τ² at all is compatible with the effects. */
export function tauSquaredLimits(
  studies: StudyDesign,
  level: number,
): { readonly interval: Interval; readonly empty: boolean } {
  const freedom = studies.k - studies.p
  if (freedom < 1) {
    const limit = notEstimable('no-more-studies-than-coefficients')
    return { interval: Object.freeze({ lower: limit, upper: limit }), empty: false }
  }
  const tail = (1 - level) / 2
  const least = chiSquareQuantile(tail, freedom)
  const interval = Object.freeze({
    lower: rootOfQ(studies, chiSquareUpperQuantile(tail, freedom)),
    upper: rootOfQ(studies, least),
  })
  return { interval, empty: weightedFit(studies, 0).q < least }
}

/** The variance of a typical study (Higgins and Thompson 2002, equation 9), extended to moderators. */
export function typicalVariance(studies: StudyDesign): number {
  const fit = weightedFit(studies, 0)
  return (studies.k - studies.p) / projectionTraces(studies, fit).first
}
