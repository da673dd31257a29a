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
  /** Words in place of a message; only where the code has none yet. */
  readonly text?: string
}

/** The one shape of every answer. */
export interface Estimate {
  readonly estimate: Quantity
  readonly interval: Interval
  /** Confidence level, such as 0.95. */
  readonly level: number
  /** Name of the method as docs/methods calls it. */
  readonly method: string
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
  readonly method: string
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Tags a quantity as not estimable, by the code of the reason and what its words need. */
export function notEstimable(reason: string, parameters?: CodeParameters): NotEstimable {
  return Object.freeze({
    state: 'not-estimable',
    reason,
    ...(parameters === undefined ? {} : { parameters }),
  })
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

/** An interval of which neither limit can be had, for one reason. */
export function noInterval(reason: string, parameters?: CodeParameters): Interval {
  const limit = notEstimable(reason, parameters)
  return Object.freeze({ lower: limit, upper: limit })
}

/** A number as a quantity: finite as it is, infinite as unbounded, NaN as not estimable with the reason given. */
export function quantityOf(value: number, reason: string, parameters?: CodeParameters): Quantity {
  if (Number.isFinite(value)) return value
  if (value === Number.POSITIVE_INFINITY) return unbounded('above')
  if (value === Number.NEGATIVE_INFINITY) return unbounded('below')
  return notEstimable(reason, parameters)
}

/** A warning by its code and what its words need. */
export function warning(code: string, parameters: CodeParameters | string = {}): Warning {
  return Object.freeze(typeof parameters === 'string' ? { code, text: parameters } : { code, parameters })
}
