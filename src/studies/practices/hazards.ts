import type { PracticeTraits } from './scenario.js'

/** What the hazard of loosening depends on over time since delivery. */
export type HazardShape = Pick<PracticeTraits, 'hazard' | 'earlyExcess' | 'excessFadesYears'>

/** Hazard of loosening of the reference crown, a year, at a time since delivery in years. */
export function baselineHazard(shape: HazardShape, years: number): number {
  return shape.hazard * (1 + shape.earlyExcess * Math.exp(-years / shape.excessFadesYears))
}

/** Cumulative hazard of loosening of the reference crown. */
export function baselineCumulativeHazard(shape: HazardShape, years: number): number {
  const faded = -Math.expm1(-years / shape.excessFadesYears)
  return shape.hazard * (years + shape.earlyExcess * shape.excessFadesYears * faded)
}

/** Time at which the cumulative hazard reaches a value: by bisection, since the hazard never vanishes. */
export function timeOfCumulativeHazard(shape: HazardShape, target: number): number {
  let lower = 0
  let upper = target / shape.hazard
  for (let step = 0; step < 60; step++) {
    const middle = (lower + upper) / 2
    if (baselineCumulativeHazard(shape, middle) < target) lower = middle
    else upper = middle
  }
  return (lower + upper) / 2
}

/** Hazard of everything that competes with loosening, a year, for a patient of an age at delivery. */
export function competingHazard(traits: PracticeTraits, ageYears: number): number {
  return traits.removalPerYear + traits.implantLossPerYear + deathHazard(traits, ageYears)
}

/** Hazard of death, a year. */
export function deathHazard(traits: PracticeTraits, ageYears: number): number {
  return traits.deathPerYear * Math.exp(0.09 * (ageYears - 60))
}

/**
 * Probability that a crown has loosened by each horizon, competing events as they come, once the gamma frailty is
 * integrated out: the integral of r h(t) (1 + v r H(t))^(-1/v - 1) exp(-K t), by Simpson's rule between horizons.
 *
 * @param ratio hazard ratio of the crown against the reference, r
 * @param competing constant competing hazard, K
 * @param horizonsYears ascending
 */
export function risksByHorizon(
  traits: PracticeTraits,
  ratio: number,
  competing: number,
  horizonsYears: readonly number[],
): readonly number[] {
  const variance = traits.frailtyVariance
  const density = (years: number): number => {
    const cumulative = ratio * baselineCumulativeHazard(traits, years)
    const survival =
      variance === 0 ? Math.exp(-cumulative) : (1 + variance * cumulative) ** (-1 / variance - 1)
    return ratio * baselineHazard(traits, years) * survival * Math.exp(-competing * years)
  }
  let risk = 0
  let from = 0
  return horizonsYears.map((horizon) => {
    risk += simpson(density, from, horizon)
    from = horizon
    return risk
  })
}

function simpson(value: (at: number) => number, from: number, to: number): number {
  const pieces = 16
  const step = (to - from) / pieces
  let sum = value(from) + value(to)
  for (let piece = 1; piece < pieces; piece++) sum += value(from + piece * step) * (piece % 2 === 1 ? 4 : 2)
  return (sum * step) / 3
}
