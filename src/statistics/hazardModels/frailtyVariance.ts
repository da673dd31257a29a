import { type Interval, isNumber, type Quantity, type TestResult, type Warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { chiSquareUpperTail, normalUpperQuantile } from '../numeric/distributions.js'
import { choleskyFactor, invertFactored } from '../numeric/matrix.js'
import { profileLimit } from '../numeric/profileLimit.js'
import { brentRoot } from '../numeric/roots.js'
import type { CoxCore } from './coxFit.js'
import type { FrailtyPoint, FrailtySolver } from './frailtyFit.js'

/** Logarithms of the frailty variances among which the maximum is bracketed. */
const gridOfLogVariances = [-11, -9, -7, -5, -4, -3, -2, -1.25, -0.5, 0.25, 1, 2, 3, 4]

/** Variance of the frailty, whose mean is 1; 0 where clusters are no more alike than chance. */
export interface FrailtyVariance {
  readonly estimate: Quantity
  readonly interval: Interval
  /** Likelihood-ratio test of no variance; P is halved since the variance cannot be negative. */
  readonly test: TestResult
}

/** Sizes and notes that the test carries. */
export interface FrailtyFrame {
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** The maximum over the variance; no point where it lies at zero. */
export interface BestVariance {
  readonly point: FrailtyPoint | undefined
  readonly unbounded: boolean
}

/** Searches the variance on a grid of its logarithm, then by the root of its slope. */
export function bestVariance(solver: FrailtySolver, core: CoxCore): BestVariance {
  if (core.design.rows.events === 0) return { point: undefined, unbounded: false }
  const points = gridOfLogVariances.map((log) => solver.at(Math.exp(log)))
  let best = 0
  for (let i = 1; i < points.length; i++) if (points[i]!.value > points[best]!.value) best = i
  if (best === 0 && !(points[0]!.varianceSlope > 0)) return { point: undefined, unbounded: false }
  if (best === points.length - 1 && points[best]!.varianceSlope > 0) {
    return { point: points[best]!, unbounded: true }
  }
  const slopeAt = (log: number): number => solver.at(Math.exp(log)).varianceSlope
  const rising = points[best]!.varianceSlope > 0
  const log = brentRoot(
    slopeAt,
    gridOfLogVariances[rising ? best : best - 1]!,
    gridOfLogVariances[rising ? best + 1 : best]!,
    1e-12,
  )
  const point = solver.at(Math.exp(log))
  return { point: point.value > core.point.value ? point : undefined, unbounded: false }
}

/** Estimate, profile-likelihood interval and test of the variance. */
export function varianceAnswers(
  core: CoxCore,
  solver: FrailtySolver,
  best: BestVariance,
  level: number,
  frame: FrailtyFrame,
): FrailtyVariance {
  const statistic = best.point === undefined ? 0 : Math.max(0, 2 * (best.point.value - core.point.value))
  const test: TestResult = {
    statistic,
    degreesOfFreedom: 1,
    pValue: statistic === 0 ? 1 : chiSquareUpperTail(statistic, 1) / 2,
    method: methodOf('likelihood-ratio-test-of-the-frailty-variance', 'p-halved-at-the-edge'),
    ...frame,
  }
  const root = normalUpperQuantile((1 - level) / 2)
  const maximum = best.point?.value ?? core.point.value
  const at = best.point === undefined ? gridOfLogVariances[0]! : Math.log(best.point.variance)
  const limit = (direction: 'above' | 'below'): Quantity => {
    const found = profileLimit({
      profile: (log) => {
        const point = solver.at(Math.exp(log))
        return { value: point.value, slope: point.varianceSlope }
      },
      at,
      maximum,
      distance: 1,
      root,
      direction,
      farthest: direction === 'above' ? 6 - at : at + 12,
    })
    return isNumber(found) ? Math.exp(found) : direction === 'below' ? 0 : found
  }
  const lower = best.point === undefined || statistic < root * root ? 0 : limit('below')
  return { estimate: best.point?.variance ?? 0, interval: { lower, upper: limit('above') }, test }
}

/** Inverse information about coefficients and log variance, from central differences of the analytic slopes. */
export function jointCovariance(solver: FrailtySolver, best: FrailtyPoint): Float64Array {
  const size = best.coefficients.length
  const width = size + 1
  const information = new Float64Array(width * width)
  const step = 1e-4
  const slopes = (shifted: number, by: number): Float64Array => {
    const coefficients = best.coefficients.slice()
    if (shifted < size) coefficients[shifted]! += by
    const point = solver.at(best.variance * Math.exp(shifted === size ? by : 0), coefficients)
    return Float64Array.of(...point.gradient, point.varianceSlope)
  }
  for (let j = 0; j < width; j++) {
    const above = slopes(j, step)
    const below = slopes(j, -step)
    for (let i = 0; i < width; i++) {
      const value = (below[i]! - above[i]!) / (4 * step)
      information[i * width + j]! += value
      information[j * width + i]! += value
    }
  }
  const factor = choleskyFactor(information, width)
  return factor.dependent.length > 0
    ? new Float64Array(width * width).fill(Number.NaN)
    : invertFactored(factor)
}
