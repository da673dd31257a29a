import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import type { InnermostIntervals } from './innermostIntervals.js'

/** Maximum-likelihood mass of innermost intervals. */
export interface InnermostMass {
  readonly mass: Float64Array
  readonly logLikelihood: number
  /** Largest excess of a derivative over its bound, relative to the total weight; 0 at the maximum. */
  readonly excess: number
  readonly iterations: number
  readonly converged: boolean
}

const maxRounds = 3000
const coarse = 1e-6
const fine = 1e-11
/** Support beyond which no full Newton step is taken. */
const largestSupport = 600

/**
 * Maximises the likelihood of mass on innermost intervals: steps of the EM algorithm and of the iterative convex
 * minorant in turn (Wellner and Zhan 1997), then Newton steps on the intervals that keep mass, until the conditions of
 * the maximum hold (Gentleman and Geyer 1994).
 */
export function maximumMass(intervals: InnermostIntervals): InnermostMass {
  const size = intervals.left.length
  let mass: Float64Array = new Float64Array(size).fill(1 / size)
  let iterations = 0
  while (iterations < maxRounds) {
    iterations++
    const excess = excessOf(intervals, mass)
    if (excess <= fine) return finished(intervals, mass, iterations, true)
    if (excess <= coarse || iterations % 50 === 0) {
      const next = newtonOnSupport(intervals, mass)
      if (next !== undefined) {
        mass = next
        if (excessOf(intervals, mass) <= fine) return finished(intervals, mass, iterations, true)
      }
    }
    mass = convexMinorantStep(intervals, emStep(intervals, mass))
  }
  return finished(intervals, mass, iterations, excessOf(intervals, mass) <= 1e-8)
}

function finished(
  intervals: InnermostIntervals,
  mass: Float64Array,
  iterations: number,
  converged: boolean,
): InnermostMass {
  return {
    mass,
    logLikelihood: logLikelihood(intervals, mass),
    excess: excessOf(intervals, mass),
    iterations,
    converged,
  }
}

/** Mass that each distinct row covers. */
function covered(intervals: InnermostIntervals, mass: Float64Array): Float64Array {
  const sums = new Float64Array(mass.length + 1)
  for (let k = 0; k < mass.length; k++) sums[k + 1] = sums[k]! + mass[k]!
  return Float64Array.from(intervals.first, (first, row) => {
    const last = intervals.last[row]!
    // A single interval is read off, not taken from a difference of sums.
    return first === last ? mass[first]! : sums[last + 1]! - sums[first]!
  })
}

function logLikelihood(intervals: InnermostIntervals, mass: Float64Array): number {
  const { weight } = intervals
  return covered(intervals, mass).reduce((sum, one, row) => sum + weight[row]! * Math.log(one), 0)
}

/** Derivative of the log-likelihood in the mass of every interval. */
function derivatives(intervals: InnermostIntervals, mass: Float64Array): Float64Array {
  const { first, last, weight } = intervals
  const change = new Float64Array(mass.length + 1)
  covered(intervals, mass).forEach((one, row) => {
    change[first[row]!]! += weight[row]! / one
    change[last[row]! + 1]! -= weight[row]! / one
  })
  for (let k = 1; k < mass.length; k++) change[k]! += change[k - 1]!
  return change.subarray(0, mass.length)
}

/** How far the conditions of the maximum are missed: no derivative above the total, equality where there is mass. */
function excessOf(intervals: InnermostIntervals, mass: Float64Array): number {
  const slopes = derivatives(intervals, mass)
  let excess = 0
  for (let k = 0; k < mass.length; k++) {
    const over = slopes[k]! / intervals.total - 1
    excess = Math.max(excess, over, mass[k]! * -over)
  }
  return excess
}

function emStep(intervals: InnermostIntervals, mass: Float64Array): Float64Array {
  const slopes = derivatives(intervals, mass)
  return normalised(mass.map((one, k) => (one * slopes[k]!) / intervals.total))
}

function normalised(mass: Float64Array): Float64Array {
  const total = mass.reduce((sum, one) => sum + one, 0)
  return mass.map((one) => one / total)
}

/** One step of the iterative convex minorant on the cumulative mass, halved until the likelihood does not fall. */
function convexMinorantStep(intervals: InnermostIntervals, mass: Float64Array): Float64Array {
  const size = mass.length
  if (size < 2) return mass
  const { first, last, weight } = intervals
  const slope = new Float64Array(size + 1)
  const curvature = new Float64Array(size + 1)
  covered(intervals, mass).forEach((one, row) => {
    const pull = weight[row]! / one
    slope[last[row]! + 1]! += pull
    slope[first[row]!]! -= pull
    curvature[last[row]! + 1]! += pull / one
    curvature[first[row]!]! += pull / one
  })
  const before = logLikelihood(intervals, mass)
  const target = new Float64Array(size - 1)
  let sum = 0
  const cumulative = new Float64Array(size - 1)
  for (let k = 0; k < size - 1; k++) {
    sum += mass[k]!
    cumulative[k] = sum
    target[k] = sum + slope[k + 1]! / curvature[k + 1]!
  }
  const minorant = isotonic(target, curvature.subarray(1, size)).map((one) => Math.min(1, Math.max(0, one)))
  for (let share = 1; share > 1e-6; share /= 2) {
    const trial = differences(cumulative, minorant, share)
    if (logLikelihood(intervals, trial) >= before) return trial
  }
  return mass
}

function differences(from: Float64Array, to: Float64Array, share: number): Float64Array {
  const mass = new Float64Array(from.length + 1)
  let previous = 0
  for (let k = 0; k < from.length; k++) {
    const value = from[k]! + share * (to[k]! - from[k]!)
    mass[k] = Math.max(0, value - previous)
    previous = Math.max(previous, value)
  }
  mass[from.length] = Math.max(0, 1 - previous)
  return mass
}

/** Weighted isotonic regression by pooling adjacent violators. */
function isotonic(values: Float64Array, weights: Float64Array): Float64Array {
  const mean: number[] = []
  const total: number[] = []
  const count: number[] = []
  for (let k = 0; k < values.length; k++) {
    mean.push(values[k]!)
    total.push(weights[k]!)
    count.push(1)
    while (mean.length > 1 && mean[mean.length - 2]! > mean[mean.length - 1]!) {
      const [value, weight, size] = [mean.pop()!, total.pop()!, count.pop()!]
      const at = mean.length - 1
      const sum = total[at]! + weight
      mean[at] = (mean[at]! * total[at]! + value * weight) / sum
      total[at] = sum
      count[at]! += size
    }
  }
  const result = new Float64Array(values.length)
  let k = 0
  mean.forEach((value, block) => {
    for (let i = 0; i < count[block]!; i++) result[k++] = value
  })
  return result
}

/**
 * Newton steps on the intervals that hold mass or whose derivative asks for some, with the multiplier of the total
 * known to be the total weight; an interval whose mass would turn negative is left at 0.
 */
function newtonOnSupport(intervals: InnermostIntervals, start: Float64Array): Float64Array | undefined {
  let mass = start
  for (let step = 0; step < 100; step++) {
    const slopes = derivatives(intervals, mass)
    const support = Array.from(mass.keys()).filter(
      (k) => mass[k]! > 1e-9 || (slopes[k]! > intervals.total && mass[k]! > 0),
    )
    if (support.length > largestSupport) return undefined
    const change = supportStep(intervals, mass, slopes, support)
    let share = 1
    support.forEach((k, i) => {
      if (mass[k]! + change[i]! < 0) share = Math.min(share, -mass[k]! / change[i]!)
    })
    const next = new Float64Array(mass.length)
    support.forEach((k, i) => {
      next[k] = Math.max(0, mass[k]! + share * change[i]!)
    })
    const trial = normalised(next)
    const value = logLikelihood(intervals, trial)
    if (!(value >= logLikelihood(intervals, mass) - 1e-12 * Math.abs(value)))
      return mass === start ? undefined : mass
    const moved = trial.reduce((most, one, k) => Math.max(most, Math.abs(one - mass[k]!)), 0)
    mass = trial
    if (moved < 1e-14) return mass
  }
  return mass
}

function supportStep(
  intervals: InnermostIntervals,
  mass: Float64Array,
  slopes: Float64Array,
  support: readonly number[],
): Float64Array {
  const size = support.length
  const position = new Int32Array(mass.length + 1)
  for (let k = 0, i = 0; k <= mass.length; k++) {
    position[k] = i
    if (support[i] === k) i++
  }
  const curvature = new Float64Array(size * size)
  covered(intervals, mass).forEach((one, row) => {
    const from = position[intervals.first[row]!]!
    const to = position[intervals.last[row]! + 1]!
    const pull = intervals.weight[row]! / (one * one)
    for (let i = from; i < to; i++) for (let j = from; j <= i; j++) curvature[i * size + j]! += pull
  })
  for (let i = 0; i < size; i++)
    for (let j = 0; j < i; j++) curvature[j * size + i] = curvature[i * size + j]!
  const gradient = Float64Array.from(support, (k) => slopes[k]! - intervals.total)
  return solveFactored(choleskyFactor(curvature, size), gradient)
}
