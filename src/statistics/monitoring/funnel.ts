import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { type FunnelLimitOptions, type FunnelLimits, funnelLimits, targetSpread } from './funnelLimits.js'

/** How limits allow for more spread between units than chance gives. */
export type OverDispersionRule = 'where-needed' | 'multiplicative' | 'additive' | 'none'

/** Options of a funnel plot. */
export interface FunnelOptions extends FunnelLimitOptions {
  /** Proportion or ratio aimed at; default that of all units together (binomial) or 1 (Poisson). */
  readonly target?: number
  /**
   * Default 'where-needed': multiplicative, but only with ten units or more (among fewer, one that stands out would
   * hide itself) whose winsorised z values spread beyond chance. 'additive' adds a variance between units instead.
   */
  readonly overDispersion?: OverDispersionRule
  /** Share of z values pulled in at each end before the spread is taken; default 0.1. */
  readonly winsorised?: number
}

/** Where a unit lies against the limits. */
export type FunnelPosition = 'within' | 'above-outer' | 'above-inner' | 'below-inner' | 'below-outer'

/** One unit of a funnel plot, in the order given: a funnel does not rank. */
export interface FunnelUnit {
  readonly events: number
  readonly size: number
  readonly value: number
  /** Distance from the target in standard deviations, before and after correction for over-dispersion. */
  readonly z: number
  readonly zCorrected: number
  /** Limits at the unit's size, corrected where correction applies. */
  readonly limits: readonly number[]
  readonly position: FunnelPosition
}

/** A funnel plot as numbers. */
export interface FunnelPlot {
  readonly target: number
  readonly units: readonly FunnelUnit[]
  readonly tails: readonly number[]
  readonly overDispersion: {
    /** Mean of the squared winsorised z values; 1 where chance explains all. */
    readonly factor: number
    /** Variance between units, on the scale of the value. */
    readonly betweenVariance: number
    readonly beyondChance: boolean
    readonly applied: 'multiplicative' | 'additive' | 'none'
  }
  readonly n: number
  readonly events: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Sets units (clinics, operators) against a common target with limits that allow for their size, and for over-
 * dispersion where units differ more than chance gives (Spiegelhalter 2005).
 *
 * @param events events of each unit
 * @param sizes cases of each unit, or its expected events for 'poisson'
 * @param options target all units together or 1; family 'binomial'; tails 0.001, 0.025, 0.975, 0.999, in
 *   pairs; overDispersion 'where-needed'; winsorised 0.1
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `size-not-usable`, `target-out-of-range`,
 *   `events-above-total`, `tails-not-paired`, `share-out-of-range`
 * @example funnelPlot([5, 2, 30], [100, 80, 90], { target: 0.05 }).units[2].position // => "above-outer"
 */
export const funnelPlot = checked(
  'funnelPlot',
  (events: NumberColumn, sizes: NumberColumn, options: FunnelOptions = {}): FunnelPlot => {
    const { family = 'binomial', overDispersion = 'where-needed', winsorised = 0.1 } = options
    requireUnits(events, sizes, family === 'binomial')
    requireWinsorised(winsorised)
    const totalEvents = total(events)
    const target = options.target ?? (family === 'binomial' ? totalEvents / total(sizes) : 1)
    const limits = funnelLimits(sizes, target, {
      family,
      ...(options.tails !== undefined && { tails: options.tails }),
    })
    const tails = limits[0]!.tails
    requirePairs(tails)
    const spreads = limits.map(({ size }) => targetSpread(size, target, family))
    const z = limits.map(({ size }, i) => (events[i]! / size - target) / spreads[i]!)
    const factor = meanSquare(pulledIn(z, winsorised))
    const count = z.length
    const beyondChance = count > 1 && factor > 1 + 2 * Math.sqrt(2 / count)
    const betweenVariance = variancesBetween(factor, spreads)
    const applied = appliedRule(overDispersion, beyondChance && count >= 10)
    const inflation = (spread: number): number => {
      if (applied === 'multiplicative') return Math.sqrt(Math.max(1, factor))
      return applied === 'additive' ? Math.sqrt(1 + betweenVariance / spread ** 2) : 1
    }
    const units = limits.map((limit, i) => unitOf(events[i]!, limit, z[i]!, inflation(spreads[i]!)))
    return Object.freeze({
      target,
      units: Object.freeze(units),
      tails,
      overDispersion: Object.freeze({ factor, betweenVariance, beyondChance, applied }),
      n: family === 'binomial' ? total(sizes) : count,
      events: totalEvents,
      warnings: Object.freeze(warningsOf(count, beyondChance, applied)),
      reference: 'funnel',
    })
  },
)

function unitOf(events: number, limit: FunnelLimits, z: number, inflation: number): FunnelUnit {
  const value = events / limit.size
  const limits = limit.exact.map((one) => limit.target + (one - limit.target) * inflation)
  return Object.freeze({
    events,
    size: limit.size,
    value,
    z,
    zCorrected: z / inflation,
    limits: Object.freeze(limits),
    position: positionOf(value, limits, limit.tails),
  })
}

/** Outer limits are the lowest and highest tail; a unit beyond any other limit lies beyond an inner one. */
function positionOf(value: number, limits: readonly number[], tails: readonly number[]): FunnelPosition {
  const order = tails.map((tail, i) => ({ tail, limit: limits[i]! })).sort((a, b) => a.tail - b.tail)
  const lower = order.slice(0, order.length / 2)
  const upper = order.slice(order.length / 2)
  if (value > upper[upper.length - 1]!.limit) return 'above-outer'
  if (value > upper[0]!.limit) return 'above-inner'
  if (value < lower[0]!.limit) return 'below-outer'
  return value < lower[lower.length - 1]!.limit ? 'below-inner' : 'within'
}

function pulledIn(z: readonly number[], share: number): readonly number[] {
  const sorted = [...z].sort((a, b) => a - b)
  const pulled = Math.floor(share * z.length)
  const least = sorted[pulled]!
  const most = sorted[sorted.length - 1 - pulled]!
  return z.map((one) => Math.min(Math.max(one, least), most))
}

function meanSquare(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value * value, 0) / values.length
}

/** DerSimonian and Laird's variance with the winsorised mean square in the place of Q. */
function variancesBetween(factor: number, spreads: readonly number[]): number {
  const count = spreads.length
  if (count < 2) return 0
  const weights = spreads.map((spread) => 1 / spread ** 2)
  const sum = weights.reduce((a, b) => a + b, 0)
  const squares = weights.reduce((a, b) => a + b * b, 0)
  return Math.max(0, (count * factor - (count - 1)) / (sum - squares / sum))
}

function appliedRule(
  rule: OverDispersionRule,
  beyondChance: boolean,
): 'multiplicative' | 'additive' | 'none' {
  if (rule === 'where-needed') return beyondChance ? 'multiplicative' : 'none'
  return rule
}

function warningsOf(count: number, beyondChance: boolean, applied: string): readonly Warning[] {
  const warnings: Warning[] = []
  if (count < 10) {
    warnings.push(warning('few-units', { units: count }))
  }
  if (beyondChance && applied !== 'none') {
    warnings.push(warning('limits-widened'))
  }
  if (beyondChance && applied === 'none') {
    warnings.push(warning('over-dispersed'))
  }
  return warnings
}

function requireUnits(events: NumberColumn, sizes: NumberColumn, within: boolean): void {
  requireSameLength({ events, sizes })
  if (sizes.length === 0) {
    throw new NumericalError({
      code: 'no-units',
      problem: 'there are no units.',
      expected: 'at least one clinic or operator.',
      mend: 'pass one entry per unit.',
    })
  }
  requireNonNegative('events', events)
  requireNonNegative('sizes', sizes)
  for (let i = 0; within && i < events.length; i++) {
    if (events[i]! > sizes[i]!) {
      throw new NumericalError({
        code: 'events-above-total',
        problem: `unit ${i + 1} has more events than cases.`,
        expected: 'events counted once per case.',
        mend: 'count cases with the event, or use expected events and the Poisson family.',
      })
    }
  }
}

function requirePairs(tails: readonly number[]): void {
  const below = tails.filter((tail) => tail < 0.5).length
  if (tails.length > 0 && 2 * below === tails.length && !tails.includes(0.5)) return
  throw new NumericalError({
    code: 'tails-not-paired',
    problem: `${below} of ${tails.length} tails lie below one half.`,
    expected: 'as many lower as upper limits.',
    mend: 'give tails in pairs, such as 0.025 and 0.975.',
  })
}

function requireWinsorised(share: number): void {
  if (share >= 0 && share < 0.5) return
  throw new NumericalError({
    code: 'share-out-of-range',
    problem: `the winsorised share is ${share}.`,
    expected: 'a share from 0 to below one half.',
    mend: 'use 0.1.',
  })
}

function total(column: NumberColumn): number {
  let sum = 0
  for (let i = 0; i < column.length; i++) sum += column[i]!
  return sum
}
