import type { ReasonParameters, WarningParameters } from './codes.js'
import type { MethodName } from './method.js'

/** What a code needs to be put into words: numbers and names, never words of ours. */
export type CodeParameters = Readonly<Record<string, string | number | readonly (string | number)[]>>

/** A quantity that the data cannot give, with the reason; stands where a number would otherwise be invented. */
export interface NotEstimable {
  readonly state: 'not-estimable'
  /** Code of the reason, worded in the messages under `reason.…`. */
  readonly reason: string
  readonly parameters?: CodeParameters
}

/** A quantile or time that the curve does not reach within follow-up. */
export interface NotReached {
  readonly state: 'not-reached'
  /** Last time that was observed, in the unit of the input. */
  readonly lastTime: number
}

/** A limit that runs to infinity, as the upper limit of a ratio does when its denominator had no events. */
export interface Unbounded {
  readonly state: 'unbounded'
  readonly direction: 'above' | 'below'
}

/** A finite number, or a tagged state that says why there is none. Never NaN, null or Infinity. */
export type Quantity = number | NotEstimable | NotReached | Unbounded

/** Two-sided interval; each limit is a quantity of its own. */
export interface Interval {
  readonly lower: Quantity
  readonly upper: Quantity
}

/** Standard error together with the scale it lives on. */
export interface StandardError {
  readonly value: number
  readonly scale: string
}

/** Something that bears on how a result may be read. */
export interface Warning {
  /** Stable kebab-case code, worded in the messages under `warning.…`. */
  readonly code: string
  readonly parameters?: CodeParameters
}

/** The one shape of every answer. */
export interface Estimate {
  readonly estimate: Quantity
  readonly interval: Interval
  /** Confidence level, such as 0.95. */
  readonly level: number
  /** Name of the method: its terms, worded in the messages under `method.…`. */
  readonly method: MethodName
  readonly standardError?: StandardError
  /** Units of analysis (rows) behind the estimate. */
  readonly n: number
  readonly events: number
  /** Patients, or whatever the cluster is; equal to n where rows are independent. */
  readonly clusters: number
  readonly warnings: readonly Warning[]
  /** Key of the page in docs/methods. */
  readonly reference: string
}

/** A ratio or difference of one group against another. */
export interface Contrast extends Estimate {
  readonly comparator: { readonly group: string; readonly against: string }
}

/** What a hypothesis test answers. */
export interface TestResult {
  readonly statistic: Quantity
  readonly degreesOfFreedom: Quantity
  readonly pValue: Quantity
  readonly method: MethodName
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Codes of the reasons why something cannot be estimated. */
export type ReasonCode = keyof ReasonParameters

/** Codes of warnings. */
export type WarningCode = keyof WarningParameters

/** Codes whose words need nothing more. */
type WithoutNeeds<All> = { [Code in keyof All]: keyof All[Code] extends never ? Code : never }[keyof All]

/** Codes of the reasons whose words need nothing more. */
export type PlainReason = WithoutNeeds<ReasonParameters>

type Needs<All, Code extends keyof All> = [Code] extends [WithoutNeeds<All>]
  ? readonly []
  : readonly [parameters: All[Code]]

/** Tags a quantity as not estimable, by the code of the reason and what its words need. */
export function notEstimable<Code extends ReasonCode>(
  reason: Code,
  ...[parameters]: Needs<ReasonParameters, Code>
): NotEstimable {
  return Object.freeze({
    state: 'not-estimable',
    reason,
    ...(parameters === undefined ? {} : { parameters: parameters as CodeParameters }),
  })
}

/** Tags a quantity as not estimable because a method refused the data; the words are those of its error. */
export function refusedBy({ problem }: { readonly problem: string }): NotEstimable {
  return notEstimable('refused', { problem })
}

/** Tags a time as not reached within follow-up. */
export function notReached(lastTime: number): NotReached {
  return Object.freeze({ state: 'not-reached', lastTime })
}

/** Tags a limit as unbounded. */
export function unbounded(direction: 'above' | 'below'): Unbounded {
  return Object.freeze({ state: 'unbounded', direction })
}

/** Whether a quantity is a finite number. */
export function isNumber(quantity: Quantity): quantity is number {
  return typeof quantity === 'number'
}

/** An interval of which neither limit can be had, for one reason: its code, or the state that gives it. */
export function noInterval(reason: PlainReason | NotEstimable): Interval {
  const limit = typeof reason === 'string' ? notEstimable(reason) : reason
  return Object.freeze({ lower: limit, upper: limit })
}

/** A number as a quantity: finite as it is, infinite as unbounded, NaN as not estimable with the reason given. */
export function quantityOf(value: number, reason: PlainReason): Quantity {
  if (Number.isFinite(value)) return value
  if (value === Number.POSITIVE_INFINITY) return unbounded('above')
  if (value === Number.NEGATIVE_INFINITY) return unbounded('below')
  return notEstimable(reason)
}

/** A warning by its code and what its words need. */
export function warning<Code extends WarningCode>(
  code: Code,
  ...[parameters]: Needs<WarningParameters, Code>
): Warning {
  return Object.freeze({ code, parameters: (parameters ?? {}) as CodeParameters })
}

/** What every fitted model says besides what it estimates. */
export interface FittedModel {
  readonly level: number
  readonly method: MethodName
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly iterations: number
  readonly converged: boolean
  readonly warnings: readonly Warning[]
  readonly reference: string
}
