import { rootAlong } from '../numeric/bracket.js'
import { brentRoot } from '../numeric/roots.js'
import type { Limits } from './proportionLimits.js'

/** Two groups as shares and sizes; sizes may be effective, that is fractional. */
export interface TwoShares {
  readonly p1: number
  readonly n1: number
  readonly p2: number
  readonly n2: number
}

/**
 * Newcombe's (1998) hybrid limits of a difference from the limits of each group (his method 10 with Wilson's limits,
 * 11 with the corrected ones).
 */
export function hybridDifferenceLimits(p1: number, limits1: Limits, p2: number, limits2: Limits): Limits {
  const difference = p1 - p2
  return [
    difference - Math.hypot(p1 - limits1[0], limits2[1] - p2),
    difference + Math.hypot(limits1[1] - p1, p2 - limits2[0]),
  ]
}

/**
 * Score limits of the difference of two proportions (Mee 1984; with the variance factor N/(N − 1) those of Miettinen
 * and Nurminen 1985): all differences that the score test does not reject.
 */
export function scoreDifferenceLimits(shares: TwoShares, critical: number, varianceFactor: number): Limits {
  const { p1, n1, p2, n2 } = shares
  const difference = p1 - p2
  const scale = critical * critical * varianceFactor
  const excess = (delta: number): number => {
    const q2 = constrainedSecond(shares, delta)
    const q1 = Math.min(1, Math.max(0, q2 + delta))
    return (difference - delta) ** 2 - scale * ((q1 * (1 - q1)) / n1 + (q2 * (1 - q2)) / n2)
  }
  // Seen from the estimate, steps halve towards it first: at the ends the variance vanishes at the estimate itself.
  const from = (bound: number): number =>
    rootAlong(excess, (step) => pathTo(difference, bound, step), pathSteps) ?? difference
  return [from(-1), from(1)]
}

const pathSteps = 140

/** Points that lead from just beside a start to a bound: distances 2^-70 … 2^-1 of the way, then the rest. */
function pathTo(start: number, bound: number, step: number): number {
  const half = pathSteps / 2
  if (step < half) return start + (bound - start) * 2 ** (step - half)
  return step === pathSteps ? bound : bound + (start - bound) * 2 ** (half - 1 - step)
}

/** Maximum-likelihood share of the second group when the first is larger by delta. */
function constrainedSecond({ p1, n1, p2, n2 }: TwoShares, delta: number): number {
  const least = Math.max(0, -delta)
  const most = Math.min(1, 1 - delta)
  if (!(least < most)) return Math.min(1, Math.max(0, least))
  // Each term is decreasing in the share; a term without events is left out, since 0/0 has no slope at the end.
  const slope = (share: number): number => {
    const first = share + delta
    let sum = 0
    if (p1 > 0) sum += (p1 * n1) / first
    if (p1 < 1) sum -= ((1 - p1) * n1) / (1 - first)
    if (p2 > 0) sum += (p2 * n2) / share
    if (p2 < 1) sum -= ((1 - p2) * n2) / (1 - share)
    return sum
  }
  const width = most - least
  const low = least + width * Number.EPSILON
  const high = most - width * Number.EPSILON
  if (!(slope(low) > 0)) return least
  if (!(slope(high) < 0)) return most
  return brentRoot(slope, low, high)
}

/**
 * Score limits of the ratio of two proportions (Koopman 1984; with the variance factor N/(N − 1) those of Miettinen
 * and Nurminen 1985). No events in the second group: the upper limit is infinite; none in the first: the lower is 0.
 */
export function scoreRatioLimits(shares: TwoShares, critical: number, varianceFactor: number): Limits {
  const { p1, n1, p2, n2 } = shares
  if (p1 === 0 && p2 === 0) return [0, Number.POSITIVE_INFINITY]
  const scale = critical * critical * varianceFactor
  const excess = (logRatio: number): number => {
    const ratio = Math.exp(logRatio)
    const root = Math.exp(logRatio / 2)
    const second = constrainedForRatio(shares, ratio)
    const first = Math.min(1, ratio * second)
    const variance = (first * (1 - first)) / (ratio * n1) + (ratio * second * (1 - second)) / n2
    return (p1 / root - root * p2) ** 2 - scale * variance
  }
  const centre = Math.log((p1 * n1 + 0.5) / (n1 + 0.5)) - Math.log((p2 * n2 + 0.5) / (n2 + 0.5))
  const start = p1 > 0 && p2 > 0 ? Math.log(p1) - Math.log(p2) : centre
  return [
    p1 === 0 ? 0 : Math.exp(logLimit(excess, start, -1, p2 === 0)),
    p2 === 0 ? Number.POSITIVE_INFINITY : Math.exp(logLimit(excess, start, 1, p1 === 0)),
  ]
}

/** Limit on the log scale; where the estimate is 0 or infinite the search starts on its side of the start. */
function logLimit(
  excess: (x: number) => number,
  start: number,
  direction: 1 | -1,
  estimateIsInfinite: boolean,
): number {
  let inside = start
  if (estimateIsInfinite) {
    for (let step = 0; step < 700 && !(excess(inside) < 0); step++) inside -= direction
  }
  return rootAlong(excess, (step) => inside + direction * stepLength(step), 120) ?? start
}

/** 0, then 2^-49, 2^-48 and so on to 2^9, then 600, which spans the range of doubles. */
function stepLength(step: number): number {
  return step === 0 ? 0 : Math.min(2 ** (step - 50), 600)
}

/** Maximum-likelihood share of the second group when the first is `ratio` times as large. */
function constrainedForRatio({ p1, n1, p2, n2 }: TwoShares, ratio: number): number {
  const x1 = p1 * n1
  const x2 = p2 * n2
  const first = ratio * (n1 + x2)
  const second = x1 + n2
  const root = Math.sqrt((first - second) ** 2 + 4 * ratio * (n1 - x1) * (n2 - x2))
  return (2 * (x1 + x2)) / (first + second + root)
}
