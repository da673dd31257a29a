import { type Contrast, noInterval, notEstimable, type Quantity, quantityOf } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalCritical, requireAmount, requireCount, requireEventsAmong } from '../numeric/counts.js'
import { type ContrastNames, type EventCount, unnamedGroups } from './twoProportions.js'

/** One stratum of a comparison of proportions. */
export interface ProportionStratum {
  readonly group: EventCount
  readonly against: EventCount
}

/** Events and time at risk of one group. */
export interface EventTime {
  readonly events: number
  readonly timeAtRisk: number
}

/** One stratum of a comparison of rates. */
export interface RateStratum {
  readonly group: EventTime
  readonly against: EventTime
}

/** Settings of a pooled contrast. */
export interface PooledOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Names of the groups; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
}

/** Cells of one stratum: a, b with and without event in the group; c, d in the reference; m events; N units. */
export interface Cells {
  readonly a: number
  readonly b: number
  readonly c: number
  readonly d: number
  readonly n1: number
  readonly n2: number
  readonly m: number
  readonly total: number
}

const noInformation = 'no-informative-stratum'

/**
 * Odds ratio common to strata, by Mantel and Haenszel, with the variance of Robins, Breslow and Greenland.
 *
 * @param strata events and n of both groups in each stratum; strata without one of the groups add nothing
 * @param options level (0.95), comparator
 * @returns frozen contrast; without events in one group the ratio is 0 or unbounded, and has no interval
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Mantel and Haenszel 1959; Robins, Breslow and Greenland 1986 (Biometrics 42:311).
 * @example pooledOddsRatio([{ group: { events: 3, n: 10 }, against: { events: 1, n: 15 } }]).estimate // => 6
 */
export const pooledOddsRatio = checked(
  'pooledOddsRatio',
  (strata: readonly ProportionStratum[], options: PooledOptions = {}): Contrast => {
    const cells = informativeCells(strata)
    const sums = { r: 0, s: 0, pr: 0, cross: 0, qs: 0 }
    for (const { a, b, c, d, total } of cells) {
      const [p, q] = [(a + d) / total, (b + c) / total]
      const [r, s] = [(a * d) / total, (b * c) / total]
      sums.r += r
      sums.s += s
      sums.pr += p * r
      sums.cross += p * s + q * r
      sums.qs += q * s
    }
    const variance =
      sums.pr / (2 * sums.r * sums.r) + sums.cross / (2 * sums.r * sums.s) + sums.qs / (2 * sums.s * sums.s)
    return pooledRatio(cells, sums.r / sums.s, variance, options, {
      scale: 'log odds ratio',
      method: methodOf('mantel-haenszel', 'robins-breslow-greenland-variance'),
      reference: 'mantel-haenszel',
    })
  },
)

/**
 * Risk ratio common to strata, by Mantel and Haenszel, with the variance of Greenland and Robins.
 *
 * @param strata events and n of both groups in each stratum; strata without one of the groups add nothing
 * @param options level (0.95), comparator
 * @returns frozen contrast; without events in one group the ratio is 0 or unbounded, and has no interval
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Source: Greenland and Robins 1985 (Biometrics 41:55).
 * @example pooledRiskRatio([{ group: { events: 3, n: 10 }, against: { events: 1, n: 15 } }]).estimate // => 4.5
 */
export const pooledRiskRatio = checked(
  'pooledRiskRatio',
  (strata: readonly ProportionStratum[], options: PooledOptions = {}): Contrast => {
    const cells = informativeCells(strata)
    let r = 0
    let s = 0
    let spread = 0
    for (const { a, c, n1, n2, m, total } of cells) {
      r += (a * n2) / total
      s += (c * n1) / total
      spread += ((m / total) * n1 * n2 - a * c) / total
    }
    return pooledRatio(cells, r / s, spread / (r * s), options, {
      scale: 'log risk ratio',
      method: methodOf('mantel-haenszel', 'greenland-robins-variance'),
      reference: 'mantel-haenszel',
    })
  },
)

/** Variances of the pooled risk difference. */
export type PooledDifferenceVariance = 'sato' | 'greenland-robins'

/**
 * Risk difference common to strata, by Mantel and Haenszel's weights.
 *
 * @param strata events and n of both groups in each stratum; strata without one of the groups add nothing
 * @param options level (0.95), comparator, variance ('sato', which holds for few large and many small strata)
 * @returns frozen contrast
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Greenland and Robins 1985; Sato 1989 (Biometrics 45:1323).
 * @example pooledRiskDifference([{ group: { events: 3, n: 10 }, against: { events: 1, n: 20 } }]).estimate // => 0.25
 */
export const pooledRiskDifference = checked(
  'pooledRiskDifference',
  (
    strata: readonly ProportionStratum[],
    options: PooledOptions & { readonly variance?: PooledDifferenceVariance } = {},
  ): Contrast => {
    const { level = 0.95, variance = 'sato' } = options
    requireLevel(level)
    const cells = informativeCells(strata)
    let weight = 0
    let sum = 0
    let robins = 0
    let p = 0
    let q = 0
    for (const { a, b, c, d, n1, n2, total } of cells) {
      const [f1, f2] = [n1 / total, n2 / total]
      weight += f1 * n2
      sum += a * f2 - c * f1
      robins += ((a * b) / n1) * f2 * f2 + ((c * d) / n2) * f1 * f1
      p += f1 * f1 * c - f2 * f2 * a + (f1 * f2 * (n2 - n1)) / 2
      q += (a * (d / total) + c * (b / total)) / 2
    }
    const difference = sum / weight
    const spread = variance === 'sato' ? (difference * p + q) / (weight * weight) : robins / (weight * weight)
    const value = Math.sqrt(Math.max(0, spread))
    const half = normalCritical(level) * value
    const missing = cells.length === 0
    return deepFreeze({
      ...commonPart(cells, level, options.comparator),
      estimate: missing ? notEstimable('no-stratum-of-both-groups') : difference,
      interval: missing
        ? noInterval('no-stratum-of-both-groups')
        : { lower: difference - half, upper: difference + half },
      ...(missing ? {} : { standardError: { value, scale: 'risk difference' } }),
      method: methodOf('mantel-haenszel', `${variance}-variance`),
      reference: 'mantel-haenszel',
    })
  },
)

/**
 * Rate ratio common to strata, by Mantel and Haenszel, with the variance of Greenland and Robins.
 *
 * @param strata events and time at risk of both groups in each stratum
 * @param options level (0.95), comparator
 * @returns frozen contrast; n counts events, since rates have no units
 * @throws NumericalError `not-a-count`, `not-an-amount`, `level-out-of-range`
 * Source: Greenland and Robins 1985 (Biometrics 41:55); Rothman and Greenland 1998.
 * @example pooledRateRatio([{ group: { events: 4, timeAtRisk: 2 }, against: { events: 6, timeAtRisk: 9 } }]).estimate // => 3
 */
export const pooledRateRatio = checked(
  'pooledRateRatio',
  (strata: readonly RateStratum[], options: PooledOptions = {}): Contrast => {
    let r = 0
    let s = 0
    let spread = 0
    const counted: Cells[] = []
    for (const { group, against } of strata) {
      for (const one of [group, against]) {
        requireCount('events', one.events)
        requireAmount('timeAtRisk', one.timeAtRisk)
      }
      const time = group.timeAtRisk + against.timeAtRisk
      const m = group.events + against.events
      if (group.timeAtRisk === 0 || against.timeAtRisk === 0) continue
      const [share1, share2] = [group.timeAtRisk / time, against.timeAtRisk / time]
      r += group.events * share2
      s += against.events * share1
      spread += m * share1 * share2
      counted.push({ a: 0, b: 0, c: 0, d: 0, n1: m, n2: 0, m, total: m })
    }
    return pooledRatio(counted, r / s, spread / (r * s), options, {
      scale: 'log rate ratio',
      method: methodOf('mantel-haenszel', 'greenland-robins-variance'),
      reference: 'mantel-haenszel',
    })
  },
)

function pooledRatio(
  cells: readonly Cells[],
  ratio: number,
  variance: number,
  options: PooledOptions,
  { scale, ...names }: { readonly scale: string; readonly method: MethodName; readonly reference: string },
): Contrast {
  const { level = 0.95 } = options
  requireLevel(level)
  const common = { ...commonPart(cells, level, options.comparator), ...names }
  const estimate: Quantity = quantityOf(ratio, noInformation)
  if (!(ratio > 0) || !Number.isFinite(variance)) {
    const reason = Number.isNaN(ratio) ? noInformation : 'group-without-event-or-all'
    return deepFreeze({ ...common, estimate, interval: noInterval(reason) })
  }
  const value = Math.sqrt(variance)
  const factor = Math.exp(normalCritical(level) * value)
  return deepFreeze({
    ...common,
    estimate,
    interval: { lower: ratio / factor, upper: ratio * factor },
    standardError: { value, scale },
  })
}

function commonPart(cells: readonly Cells[], level: number, comparator: ContrastNames = unnamedGroups) {
  const n = cells.reduce((sum, one) => sum + one.total, 0)
  return {
    level,
    n,
    events: cells.reduce((sum, one) => sum + one.m, 0),
    clusters: n,
    warnings: [],
    comparator: { group: comparator.group, against: comparator.against },
  }
}

/** Cells of the strata that hold units of both groups. */
export function informativeCells(strata: readonly ProportionStratum[]): readonly Cells[] {
  return strata.flatMap(({ group, against }) => {
    requireEventsAmong(group.events, group.n)
    requireEventsAmong(against.events, against.n)
    if (group.n === 0 || against.n === 0) return []
    const [a, c, n1, n2] = [group.events, against.events, group.n, against.n]
    return [{ a, b: n1 - a, c, d: n2 - c, n1, n2, m: a + c, total: n1 + n2 }]
  })
}
