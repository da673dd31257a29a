import {
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type PlainReason,
  type Quantity,
  type Warning,
} from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import {
  normalQuantile,
  normalUpperTail,
  studentTQuantile,
  studentTUpperTail,
} from '../numeric/distributions.js'

/** A pooled effect, on the scale of the effects that went in. */
export interface PooledEffect extends Estimate {
  readonly studies: number
  /** The effect over its standard error. */
  readonly statistic: Quantity
  /** Degrees of freedom of Student's t; not estimable where the normal distribution is the reference. */
  readonly degreesOfFreedom: Quantity
  /** Two-sided P value of no effect. */
  readonly pValue: Quantity
}

/** What an interval and a test are made of: standard error, half-width, and the two-sided P value. */
export interface Spread {
  readonly standardError: number
  readonly halfWidth: number
  readonly statistic: number
  readonly degreesOfFreedom: number | undefined
  readonly pValue: number
}

/** Interval and test of an effect by the normal distribution. */
export function normalSpread(effect: number, standardError: number, level: number): Spread {
  const statistic = effect / standardError
  return {
    standardError,
    halfWidth: normalQuantile((1 + level) / 2) * standardError,
    statistic,
    degreesOfFreedom: undefined,
    pValue: 2 * normalUpperTail(Math.abs(statistic)),
  }
}

/** Interval and test of an effect by Student's t. */
export function studentSpread(
  effect: number,
  standardError: number,
  degreesOfFreedom: number,
  level: number,
): Spread {
  const statistic = standardError === 0 ? (effect === 0 ? 0 : Number.NaN) : effect / standardError
  return {
    standardError,
    halfWidth: studentTQuantile((1 + level) / 2, degreesOfFreedom) * standardError,
    statistic,
    degreesOfFreedom,
    pValue: 2 * studentTUpperTail(Math.abs(statistic), degreesOfFreedom),
  }
}

/** Sizes of the studies, summed; one per study and no events where they are not given. */
export interface StudySizes {
  readonly n: number
  readonly events: number
  readonly clusters: number
}

/** Puts a pooled effect into the one shape of every answer. */
export function pooledEffect(
  effect: number,
  spread: Spread,
  fields: {
    readonly level: number
    readonly method: MethodName
    readonly scale: string
    readonly studies: number
    readonly sizes: StudySizes
    readonly warnings: readonly Warning[]
    readonly reference: string
  },
): PooledEffect {
  const { level, method, scale, studies, sizes, warnings, reference } = fields
  const degenerate = 'standard-error-zero'
  return Object.freeze({
    estimate: effect,
    interval: around(effect, spread.halfWidth),
    level,
    method,
    standardError: Object.freeze({ value: spread.standardError, scale }),
    statistic: finite(spread.statistic, degenerate),
    degreesOfFreedom: spread.degreesOfFreedom ?? notEstimable('normal-reference'),
    pValue: finite(spread.pValue, degenerate),
    studies,
    ...sizes,
    warnings: Object.freeze([...warnings]),
    reference,
  })
}

/** A pooled effect that the studies cannot give, with the reason in every field. */
export function noPooledEffect(
  reason: PlainReason,
  fields: {
    readonly level: number
    readonly method: MethodName
    readonly studies: number
    readonly sizes: StudySizes
    readonly warnings: readonly Warning[]
    readonly reference: string
  },
): PooledEffect {
  const absent = notEstimable(reason)
  return Object.freeze({
    estimate: absent,
    interval: noInterval(reason),
    level: fields.level,
    method: fields.method,
    statistic: absent,
    degreesOfFreedom: absent,
    pValue: absent,
    studies: fields.studies,
    ...fields.sizes,
    warnings: Object.freeze([...fields.warnings]),
    reference: fields.reference,
  })
}

/** Interval of a given half-width. */
export function around(centre: number, halfWidth: number): Interval {
  return Object.freeze({ lower: centre - halfWidth, upper: centre + halfWidth })
}

function finite(value: number, reason: PlainReason): Quantity {
  return Number.isFinite(value) ? value : notEstimable(reason)
}
