import { rootAlong } from '../numeric/bracket.js'
import { normalCritical } from '../numeric/counts.js'
import {
  betaQuantile,
  betaUpperQuantile,
  binomialCdf,
  binomialLogPmf,
  binomialUpperTail,
} from '../numeric/distributions.js'
import { brentRoot } from '../numeric/roots.js'

/** Lower and upper limit as bare numbers. */
export type Limits = readonly [lower: number, upper: number]

/** Interval methods for one proportion. */
export type ProportionMethod =
  | 'wilson'
  | 'wilson-corrected'
  | 'exact'
  | 'mid-p'
  | 'jeffreys'
  | 'jeffreys-modified'
  | 'likelihood-ratio'
  | 'agresti-coull'
  | 'wald'
  | 'wald-corrected'

/** Limits for x events in n ≥ 1 at a confidence level, as the formula gives them (Wald types may leave [0, 1]). */
export const proportionLimitsBy: Readonly<
  Record<ProportionMethod, (x: number, n: number, level: number) => Limits>
> = {
  wilson: (x, n, level) => wilsonLimits(x / n, n, normalCritical(level)),
  'wilson-corrected': wilsonCorrectedLimits,
  exact: exactLimits,
  'mid-p': midPLimits,
  jeffreys: (x, n, level) => jeffreysLimits(x, n, level),
  'jeffreys-modified': (x, n, level) => {
    const [lower, upper] = jeffreysLimits(x, n, level)
    return [x === 0 ? 0 : lower, x === n ? 1 : upper]
  },
  'likelihood-ratio': likelihoodRatioLimits,
  'agresti-coull': agrestiCoullLimits,
  wald: (x, n, level) => waldLimits(x, n, level, 0),
  'wald-corrected': (x, n, level) => waldLimits(x, n, level, 0.5 / n),
}

/**
 * Wilson's score limits for a proportion on any positive sample size, whole or effective. The lower limit comes from
 * the product of the two roots, so that it keeps its digits where events are few.
 */
export function wilsonLimits(p: number, n: number, critical: number): Limits {
  const squared = critical * critical
  const spread = critical * Math.sqrt((p * (1 - p)) / n + squared / (4 * n * n))
  const sum = p + squared / (2 * n) + spread
  return [p === 0 ? 0 : (p * p) / sum, p === 1 ? 1 : Math.min(1, sum / (1 + squared / n))]
}

/** Newcombe's (1998) method 4, the lower limit's difference of two near numbers turned into a quotient. */
function wilsonCorrectedLimits(x: number, n: number, level: number): Limits {
  const critical = normalCritical(level)
  const squared = critical * critical
  const p = x / n
  const below = 2 * x + squared - 1 + critical * Math.sqrt(squared - 2 - 1 / n + 4 * p * (n - x + 1))
  const above = 2 * x + squared + 1 + critical * Math.sqrt(squared + 2 - 1 / n + 4 * p * (n - x - 1))
  return [
    x === 0 ? 0 : (2 * x - 1) ** 2 / (2 * n * below),
    x === n ? 1 : Math.min(1, above / (2 * (n + squared))),
  ]
}

/** Clopper and Pearson's (1934) limits through beta quantiles. */
export function exactLimits(x: number, n: number, level: number): Limits {
  const tail = (1 - level) / 2
  return [
    x === 0 ? 0 : betaQuantile(tail, x, n - x + 1),
    x === n ? 1 : x === 0 ? exactUpperOfNone(n, tail) : betaUpperQuantile(tail, x + 1, n - x),
  ]
}

/** 1 − tail^(1/n): the exact one-sided upper limit when none of n had the event. */
export function exactUpperOfNone(n: number, tail: number): number {
  return -Math.expm1(Math.log(tail) / n)
}

/** Limits that count only half of the probability of what was observed (Lancaster 1961). */
export function midPLimits(x: number, n: number, level: number): Limits {
  const tail = (1 - level) / 2
  const [least, most] = exactLimits(x, n, level)
  const half = (p: number): number => 0.5 * Math.exp(binomialLogPmf(x, n, p))
  const above = (p: number): number => Math.log((binomialUpperTail(x, n, p) + half(p)) / tail)
  const below = (p: number): number => Math.log((binomialCdf(x - 1, n, p) + half(p)) / tail)
  return [
    x === 0 ? 0 : x === n ? (2 * tail) ** (1 / n) : brentRoot(above, least, most),
    x === n ? 1 : x === 0 ? exactUpperOfNone(n, 2 * tail) : brentRoot(below, least, most),
  ]
}

function jeffreysLimits(x: number, n: number, level: number): Limits {
  const tail = (1 - level) / 2
  return [betaQuantile(tail, x + 0.5, n - x + 0.5), betaUpperQuantile(tail, x + 0.5, n - x + 0.5)]
}

function likelihoodRatioLimits(x: number, n: number, level: number): Limits {
  const squared = normalCritical(level) ** 2
  const highest = binomialLogPmf(x, n, x / n)
  const excess = (p: number): number => 2 * (highest - binomialLogPmf(x, n, p)) - squared
  const p = x / n
  const q = (n - x) / n
  const lower = (): number => rootAlong(excess, (step) => p / 2 ** step, 1000) ?? 0
  const upper = (): number => rootAlong(excess, (step) => 1 - q / 2 ** step, 52) ?? 1
  return [
    x === 0 ? 0 : x === n ? Math.exp(-squared / (2 * n)) : lower(),
    x === n ? 1 : x === 0 ? -Math.expm1(-squared / (2 * n)) : upper(),
  ]
}

function agrestiCoullLimits(x: number, n: number, level: number): Limits {
  const critical = normalCritical(level)
  const size = n + critical * critical
  const centre = (x + 0.5 * critical * critical) / size
  const half = critical * Math.sqrt((centre * (1 - centre)) / size)
  return [centre - half, centre + half]
}

function waldLimits(x: number, n: number, level: number, correction: number): Limits {
  const p = x / n
  const half = normalCritical(level) * Math.sqrt((p * ((n - x) / n)) / n) + correction
  return [p - half, p + half]
}
