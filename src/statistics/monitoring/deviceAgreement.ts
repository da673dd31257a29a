import { NumericalError } from '../../core/errors.js'
import {
  type Estimate,
  type Interval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type NumberColumn, requireFinite, requireLevel, requireSameLength } from '../numeric/columns.js'
import {
  chiSquareQuantile,
  chiSquareUpperQuantile,
  normalQuantile,
  studentTQuantile,
} from '../numeric/distributions.js'
import { wilsonLimits } from '../proportions/proportionLimits.js'

/** Options of an agreement study. */
export interface DeviceAgreementOptions {
  /** Largest difference that is still acceptable, in the unit of the readings; default none. */
  readonly tolerance?: number
  /** Device, operator or specimen of each pair, where several pairs share one; default each pair stands alone. */
  readonly cluster?: CodeColumn
  /** Share of differences between the limits of agreement; default 0.95. */
  readonly coverage?: number
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** Agreement of a device with a reference device. */
export interface DeviceAgreement {
  /** Mean of device less reference. */
  readonly bias: Estimate
  /** Standard deviation of a single difference. */
  readonly standardDeviation: number
  /** Limits between which differences lie, each with its interval. */
  readonly lowerLimit: Estimate
  readonly upperLimit: Estimate
  /** Share of pairs within the tolerance; absent where none was given. */
  readonly withinTolerance?: Estimate
  /** Change of the difference per unit of the mean of both readings, with its interval. */
  readonly proportionalBias: Estimate
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Agreement of a device with a reference device on the same objects: bias, limits of agreement with intervals, and the
 * share of readings within a tolerance (Bland and Altman 1986, 1999; clustered pairs 2007).
 *
 * Intervals of the limits combine those of bias and standard deviation (Zou 2013). Pairs that share a cluster count
 * by components of variance, and the share within tolerance by the effective number of pairs. Readings should come
 * without a trend in the mean; `proportionalBias` shows one.
 *
 * @param device readings of the device, such as torque in Ncm
 * @param referenceReadings readings of the reference device, in the same unit and order
 * @param options tolerance none; cluster none; coverage 0.95; level 0.95
 * @throws NumericalError `unequal-length`, `not-finite`, `too-few-pairs`, `level-out-of-range`,
 *   `tolerance-not-positive`
 * @example deviceAgreement([35, 36, 33], [35, 35, 35]).bias.estimate // => -0.333
 */
export const deviceAgreement = checked(
  'deviceAgreement',
  (
    device: NumberColumn,
    referenceReadings: NumberColumn,
    options: DeviceAgreementOptions = {},
  ): DeviceAgreement => {
    const { tolerance, cluster, coverage = 0.95, level = 0.95 } = options
    requireLevel(level)
    requireLevel(coverage)
    const n = requirePairs(device, referenceReadings, cluster)
    const differences = Float64Array.from(device, (value, i) => value - referenceReadings[i]!)
    const means = Float64Array.from(device, (value, i) => (value + referenceReadings[i]!) / 2)
    const parts = componentsOf(differences, cluster)
    const warnings = warningsOf(parts)
    const shape = {
      level,
      n,
      events: 0,
      clusters: parts.clusters,
      warnings: Object.freeze(warnings),
      reference: 'device-agreement',
    }
    const t = studentTQuantile((1 + level) / 2, parts.clusters - 1)
    const halfWidth = t * parts.standardError
    const reach = normalQuantile((1 + coverage) / 2)
    const deviation = deviationLimits(parts, level)
    // Zou's combination: the squares of both distances add up.
    const outward = Math.hypot(halfWidth, reach * (deviation.upper - parts.deviation))
    const inward = Math.hypot(halfWidth, reach * (parts.deviation - deviation.lower))
    const lower = parts.bias - reach * parts.deviation
    const upper = parts.bias + reach * parts.deviation
    const estimate = (value: Quantity, interval: Interval, method: MethodName): Estimate =>
      Object.freeze({ estimate: value, interval: Object.freeze(interval), method, ...shape })
    const share =
      tolerance === undefined ? undefined : shareWithin(differences, tolerance, parts.effectiveSize, level)
    return Object.freeze({
      bias: Object.freeze({
        ...estimate(
          parts.bias,
          { lower: parts.bias - halfWidth, upper: parts.bias + halfWidth },
          methodOf('mean-difference', 't'),
        ),
        standardError: Object.freeze({ value: parts.standardError, scale: 'difference' }),
      }),
      standardDeviation: parts.deviation,
      lowerLimit: estimate(lower, { lower: lower - outward, upper: lower + inward }, limitMethod),
      upperLimit: estimate(upper, { lower: upper - inward, upper: upper + outward }, limitMethod),
      ...(share === undefined ? {} : { withinTolerance: estimate(share.value, share.interval, shareMethod) }),
      proportionalBias: proportionalBias(differences, means, cluster, t, estimate),
      warnings: Object.freeze(warnings),
      reference: 'device-agreement',
    })
  },
)

const limitMethod: MethodName = methodOf('limit-of-agreement-zou')
const shareMethod: MethodName = methodOf('share-within-tolerance', 'wilson')

function deviationLimits(parts: Components, level: number): { lower: number; upper: number } {
  const tail = (1 - level) / 2
  if (parts.between === 0 && parts.within === 0) return { lower: 0, upper: 0 }
  // Each mean square has its own chi-square limits; their distances combine as squares do.
  let below = 0
  let above = 0
  for (const { weight, meanSquare, freedom } of parts.meanSquares) {
    const least = (freedom * meanSquare) / chiSquareUpperQuantile(tail, freedom)
    const most = (freedom * meanSquare) / chiSquareQuantile(tail, freedom)
    below += (weight * (meanSquare - least)) ** 2
    above += (weight * (most - meanSquare)) ** 2
  }
  const variance = parts.deviation ** 2
  return {
    lower: Math.sqrt(Math.max(0, variance - Math.sqrt(below))),
    upper: Math.sqrt(variance + Math.sqrt(above)),
  }
}

function shareWithin(
  differences: Float64Array,
  tolerance: number,
  effectiveSize: number,
  level: number,
): { value: number; interval: Interval } {
  if (!(tolerance > 0)) {
    throw new NumericalError({
      code: 'tolerance-not-positive',
      problem: `the tolerance is ${tolerance}.`,
      expected: 'a difference above 0 in the unit of the readings.',
      mend: 'give the largest difference that is still acceptable.',
    })
  }
  const value = differences.filter((one) => Math.abs(one) <= tolerance).length / differences.length
  const [lower, upper] = wilsonLimits(value, effectiveSize, normalQuantile((1 + level) / 2))
  return { value, interval: { lower, upper } }
}

function proportionalBias(
  differences: Float64Array,
  means: Float64Array,
  cluster: CodeColumn | undefined,
  t: number,
  estimate: (value: Quantity, interval: Interval, method: MethodName) => Estimate,
): Estimate {
  const n = means.length
  const centre = means.reduce((a, b) => a + b, 0) / n
  const bias = differences.reduce((a, b) => a + b, 0) / n
  const spread = means.reduce((sum, mean) => sum + (mean - centre) ** 2, 0)
  const method: MethodName = methodOf('regression-of-difference-on-mean', 'robust')
  if (!(spread > 0)) {
    const none = notEstimable('means-equal')
    return estimate(none, { lower: none, upper: none }, method)
  }
  const slope = means.reduce((sum, mean, i) => sum + (mean - centre) * (differences[i]! - bias), 0) / spread
  const sums = new Map<number | string, number>()
  means.forEach((mean, i) => {
    const key = cluster?.[i] ?? i
    const residual = differences[i]! - bias - slope * (mean - centre)
    sums.set(key, (sums.get(key) ?? 0) + (mean - centre) * residual)
  })
  let squares = 0
  for (const sum of sums.values()) squares += sum * sum
  const error = Math.sqrt((squares * sums.size) / (sums.size - 1)) / spread
  return estimate(slope, { lower: slope - t * error, upper: slope + t * error }, method)
}

function requirePairs(
  device: NumberColumn,
  referenceReadings: NumberColumn,
  cluster: CodeColumn | undefined,
): number {
  const n = requireSameLength({ device, reference: referenceReadings, cluster })
  requireFinite('device', device)
  requireFinite('reference', referenceReadings)
  const clusters = cluster === undefined ? n : new Set(Array.from(cluster)).size
  if (clusters >= 2) return n
  throw new NumericalError({
    code: 'too-few-pairs',
    problem: `there are ${n} pairs of readings from ${clusters} clusters.`,
    expected: 'at least two independent pairs.',
    mend: 'read more objects with both devices.',
  })
}

function warningsOf(parts: Components): Warning[] {
  if (parts.clusters >= 30) return []
  return [warning('few-pairs', { pairs: parts.clusters })]
}

/** Bias and spread of differences that may share clusters. */
export interface Components {
  readonly bias: number
  readonly standardError: number
  /** Standard deviation of a single difference. */
  readonly deviation: number
  readonly between: number
  readonly within: number
  /** Mean squares whose weighted sum is the variance of a single difference. */
  readonly meanSquares: readonly {
    readonly weight: number
    readonly meanSquare: number
    readonly freedom: number
  }[]
  readonly clusters: number
  /** Pairs that the clustered ones are worth for a share. */
  readonly effectiveSize: number
}

/**
 * Components of variance of differences by the one-way analysis of variance (Bland and Altman 2007); differences
 * without clusters have one component, their variance.
 */
function componentsOf(differences: Float64Array, cluster: CodeColumn | undefined): Components {
  const n = differences.length
  const bias = differences.reduce((a, b) => a + b, 0) / n
  const groups = new Map<number | string, { sum: number; count: number }>()
  differences.forEach((difference, i) => {
    const key = cluster?.[i] ?? i
    const group = groups.get(key) ?? { sum: 0, count: 0 }
    groups.set(key, { sum: group.sum + difference, count: group.count + 1 })
  })
  const m = groups.size
  let betweenSquares = 0
  let sizeSquares = 0
  for (const { sum, count } of groups.values()) {
    betweenSquares += count * (sum / count - bias) ** 2
    sizeSquares += count * count
  }
  const total = differences.reduce((sum, one) => sum + (one - bias) ** 2, 0)
  if (m === n) {
    const variance = total / (n - 1)
    return {
      bias,
      standardError: Math.sqrt(variance / n),
      deviation: Math.sqrt(variance),
      between: 0,
      within: variance,
      meanSquares: [{ weight: 1, meanSquare: variance, freedom: n - 1 }],
      clusters: n,
      effectiveSize: n,
    }
  }
  const betweenMean = betweenSquares / (m - 1)
  const withinMean = Math.max(0, total - betweenSquares) / (n - m)
  const typical = (n - sizeSquares / n) / (m - 1)
  const between = Math.max(0, (betweenMean - withinMean) / typical)
  const share = between === 0 ? 0 : 1 / typical
  const variance = between + withinMean
  // Variance of the overall mean when clusters differ: Σ mᵢ² σb² / n² + σw² / n.
  const meanVariance = (sizeSquares * between) / n ** 2 + withinMean / n
  return {
    bias,
    standardError: Math.sqrt(meanVariance),
    deviation: Math.sqrt(variance),
    between,
    within: withinMean,
    meanSquares: [
      { weight: share, meanSquare: betweenMean, freedom: m - 1 },
      { weight: 1 - share, meanSquare: withinMean, freedom: n - m },
    ],
    clusters: m,
    effectiveSize: variance === 0 ? m : variance / meanVariance,
  }
}
