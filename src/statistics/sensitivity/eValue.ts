import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalQuantile } from '../numeric/distributions.js'
import { brentRoot } from '../numeric/roots.js'

/**
 * What kind of ratio an estimate is. Odds and hazard ratios of rare events (below about 15%) are read as risk ratios;
 * those of common events are turned into approximate ones first.
 */
export type RatioScale =
  | 'risk-ratio'
  | 'rate-ratio'
  | 'odds-ratio-rare'
  | 'odds-ratio-common'
  | 'hazard-ratio-rare'
  | 'hazard-ratio-common'

/** Options of an E-value of a ratio. */
export interface EValueOptions {
  /** Default 'risk-ratio'. */
  readonly scale?: RatioScale
  /** Limits of the estimate's interval; default none. */
  readonly lower?: number
  readonly upper?: number
  /** Ratio to which unmeasured confounding would have to move the estimate; default 1: no association. */
  readonly towards?: number
}

/** How strong unmeasured confounding would have to be to explain an estimate. */
export interface EValue {
  /** The estimate on the scale of risk ratios. */
  readonly riskRatio: number
  /** Smallest risk ratio of a confounder with both exposure and outcome that could move the estimate all the way. */
  readonly eValue: number
  /** The same for the limit nearer to it; 1 where the interval already holds it. */
  readonly eValueOfLimit: Quantity
  readonly method: MethodName
  readonly reference: string
}

/** Counts behind a risk difference. */
export interface RiskCounts {
  readonly events1: number
  readonly total1: number
  readonly events0: number
  readonly total0: number
}

/**
 * E-value of a ratio: how strongly a confounder would have to go with both exposure and outcome, beyond what was
 * adjusted for, to explain the estimate away (VanderWeele and Ding 2017).
 *
 * @param estimate ratio, above 0
 * @param options scale 'risk-ratio'; lower and upper limits, default none; towards 1
 * @throws NumericalError `ratio-not-positive`, `limits-disordered`
 * @example eValue(3.9, { lower: 1.8, upper: 8.7 }).eValue // => 7.26
 */
export const eValue = checked('eValue', (estimate: number, options: EValueOptions = {}): EValue => {
  const { scale = 'risk-ratio', lower, upper, towards = 1 } = options
  for (const ratio of [estimate, lower, upper, towards]) if (ratio !== undefined) requireRatio(ratio)
  requireOrder(lower, estimate, upper)
  const read = asRiskRatio[scale]
  const target = read(towards)
  const riskRatio = read(estimate)
  return Object.freeze({
    riskRatio,
    eValue: strength(riskRatio / target),
    eValueOfLimit: ofLimit(riskRatio, lower, upper, read, target),
    method: methodOf('e-value', scale),
    reference: 'e-value',
  })
})

/**
 * E-value of a standardised mean difference, by the risk ratio exp(0.91 d) that goes with it (VanderWeele and Ding
 * 2017); the limits by exp(0.91 d ∓ 1.78 standard errors).
 *
 * @param difference mean difference over the standard deviation
 * @param standardError of the difference, above 0
 * @throws NumericalError `ratio-not-positive`
 * @example eValueOfMeanDifference(-0.42, 0.14).eValue // => 2.29
 */
export const eValueOfMeanDifference = checked(
  'eValueOfMeanDifference',
  (difference: number, standardError: number): EValue => {
    requireRatio(standardError)
    const ratio = Math.exp(0.91 * difference)
    const reach = Math.exp(1.78 * standardError)
    return Object.freeze({
      ...eValue(ratio, { lower: ratio / reach, upper: ratio * reach }),
      method: methodOf('e-value', 'standardised-mean-difference'),
    })
  },
)

/**
 * E-value of a risk difference between exposed (1) and unexposed (0): the confounding that would bring the difference,
 * and the limit of its interval, to 0 (Ding and VanderWeele 2016).
 *
 * @param counts events and totals of both groups
 * @param options.level of the interval, default 0.95
 * @throws NumericalError `counts-not-usable`, `level-out-of-range`
 * @example eValueOfRiskDifference({ events1: 30, total1: 100, events0: 10, total0: 100 }).eValue // => 5.45
 */
export const eValueOfRiskDifference = checked(
  'eValueOfRiskDifference',
  (counts: RiskCounts, options: { readonly level?: number } = {}): EValue => {
    const { level = 0.95 } = options
    requireLevel(level)
    requireCounts(counts)
    const flipped = counts.events1 / counts.total1 < counts.events0 / counts.total0
    const high = flipped ? { x: counts.events0, n: counts.total0 } : { x: counts.events1, n: counts.total1 }
    const low = flipped ? { x: counts.events1, n: counts.total1 } : { x: counts.events0, n: counts.total0 }
    const ratio = high.x / high.n / (low.x / low.n)
    const limit = limitFactor(high, low, normalQuantile((1 + level) / 2), ratio)
    return Object.freeze({
      riskRatio: flipped ? 1 / ratio : ratio,
      eValue: strength(ratio),
      eValueOfLimit: strength(limit),
      method: methodOf('e-value', 'risk-difference'),
      reference: 'e-value',
    })
  },
)

const asRiskRatio: Readonly<Record<RatioScale, (ratio: number) => number>> = {
  'risk-ratio': (ratio) => ratio,
  'rate-ratio': (ratio) => ratio,
  'odds-ratio-rare': (ratio) => ratio,
  'hazard-ratio-rare': (ratio) => ratio,
  'odds-ratio-common': Math.sqrt,
  'hazard-ratio-common': (ratio) => (1 - 0.5 ** Math.sqrt(ratio)) / (1 - 0.5 ** Math.sqrt(1 / ratio)),
}

function strength(ratio: number): number {
  const above = ratio < 1 ? 1 / ratio : ratio
  return above + Math.sqrt(above * (above - 1))
}

function ofLimit(
  riskRatio: number,
  lower: number | undefined,
  upper: number | undefined,
  read: (ratio: number) => number,
  target: number,
): Quantity {
  const nearer = riskRatio >= target ? lower : upper
  if (nearer === undefined) return notEstimable('limit-not-given')
  const limit = read(nearer)
  const holds = riskRatio >= target ? limit <= target : limit >= target
  return holds ? 1 : strength(limit / target)
}

interface Group {
  readonly x: number
  readonly n: number
}

/** Bias factor at which the lower limit of the corrected difference is 0, at least 1. */
function limitFactor(high: Group, low: Group, z: number, ratio: number): number {
  const total = high.n + low.n
  const exposed = high.n / total
  const [p1, p0] = [high.x / high.n, low.x / low.n]
  const lowerLimit = (factor: number): number => {
    const shrink = exposed + (1 - exposed) / factor
    const difference = p1 - p0 * factor
    const spread =
      ((p1 * (1 - p1)) / high.n + (factor ** 2 * p0 * (1 - p0)) / low.n) * shrink ** 2 +
      (difference * (1 - 1 / factor)) ** 2 * ((exposed * (1 - exposed)) / total)
    return difference * shrink - z * Math.sqrt(spread)
  }
  if (!(lowerLimit(1) > 0)) return 1
  return brentRoot(lowerLimit, 1, ratio)
}

function requireRatio(ratio: number): void {
  if (Number.isFinite(ratio) && ratio > 0) return
  throw new NumericalError({
    code: 'ratio-not-positive',
    problem: `a ratio or standard error is ${ratio}.`,
    expected: 'a finite number above 0.',
    mend: 'give ratios as such, not as logarithms.',
  })
}

function requireOrder(lower: number | undefined, estimate: number, upper: number | undefined): void {
  if ((lower ?? estimate) <= estimate && estimate <= (upper ?? estimate)) return
  throw new NumericalError({
    code: 'limits-disordered',
    problem: `the estimate ${estimate} does not lie within its interval.`,
    expected: 'lower limit, estimate and upper limit in rising order.',
    mend: 'check which limit is which.',
  })
}

function requireCounts({ events1, total1, events0, total0 }: RiskCounts): void {
  const usable = [
    [events1, total1],
    [events0, total0],
  ].every(([x, n]) => Number.isFinite(x) && Number.isFinite(n) && x! > 0 && x! <= n!)
  if (usable) return
  throw new NumericalError({
    code: 'counts-not-usable',
    problem: 'a group has no events, or more events than units.',
    expected: 'at least one event in each group.',
    mend: 'a group without events has no ratio; state the exact limits instead.',
  })
}
