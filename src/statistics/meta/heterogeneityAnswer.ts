import { type Interval, notEstimable, type Quantity } from '../../core/estimate.js'
import { chiSquareUpperTail } from '../numeric/distributions.js'
import { type HeterogeneityEstimator, typicalVariance } from './heterogeneity.js'
import type { StudyDesign } from './weightedFit.js'

/** How much the effects of the studies differ beyond chance. */
export interface Heterogeneity {
  /** Variance between studies. */
  readonly tauSquared: Quantity
  /** Limits of τ² by inverting Q. */
  readonly tauSquaredInterval: Interval
  readonly estimator: HeterogeneityEstimator
  /** Cochran's Q at the common effect, with its degrees of freedom and P value. */
  readonly q: Quantity
  readonly degreesOfFreedom: number
  readonly pValue: Quantity
  /** Share of the spread that chance does not explain, (Q − df) / Q, at least 0 (Higgins and Thompson 2002). */
  readonly iSquaredFromQ: Quantity
  /** The same share as τ² / (τ² + variance of a typical study); equals the other for DerSimonian and Laird only. */
  readonly iSquaredFromTau: Quantity
  /** Q / df, which may be below 1. */
  readonly hSquaredFromQ: Quantity
  /** 1 + τ² / variance of a typical study. */
  readonly hSquaredFromTau: Quantity
}

/** Puts what is known of heterogeneity together; one study tells nothing of it. */
export function heterogeneityOf(
  studies: StudyDesign,
  estimator: HeterogeneityEstimator,
  tauSquared: number,
  q: number,
  tauSquaredInterval: Interval,
): Heterogeneity {
  const degreesOfFreedom = studies.k - 1
  if (degreesOfFreedom === 0) {
    const one = notEstimable('one-study')
    return Object.freeze({
      tauSquared: one,
      tauSquaredInterval,
      estimator,
      q: one,
      degreesOfFreedom,
      pValue: one,
      iSquaredFromQ: one,
      iSquaredFromTau: one,
      hSquaredFromQ: one,
      hSquaredFromTau: one,
    })
  }
  const typical = typicalVariance(studies)
  return Object.freeze({
    tauSquared,
    tauSquaredInterval,
    estimator,
    q,
    degreesOfFreedom,
    pValue: chiSquareUpperTail(q, degreesOfFreedom),
    iSquaredFromQ: q > degreesOfFreedom ? (q - degreesOfFreedom) / q : 0,
    iSquaredFromTau: tauSquared / (tauSquared + typical),
    hSquaredFromQ: q / degreesOfFreedom,
    hSquaredFromTau: 1 + tauSquared / typical,
  })
}
