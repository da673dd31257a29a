import { type Estimate, type Interval, isNumber, type Quantity } from '../../core/estimate.js'
import { type Message, message, type Part } from '../../messages/message.js'
import type { FormatName } from '../../messages/numberFormats.js'
import type { CitedNumber } from '../../messages/phrase.js'
import { reasonOf, stateOf } from '../../messages/speaker.js'

const placed = Symbol('placed')

/** A place in the results: the path that leads there and what stands there. */
export interface Place<T> {
  readonly [placed]: { readonly path: string; readonly value: T }
}

/** Every place inside a result of this type, step by step, so that the compiler knows a path that leads nowhere. */
export type Path<T> = Place<T> & Steps<T>

type Steps<T> = [T] extends [Quantity | string | boolean | undefined]
  ? unknown
  : T extends readonly (infer Entry)[]
    ? { readonly [index: number]: Path<Entry>; readonly length: Path<number> }
    : { readonly [Key in keyof T]-?: Path<Exclude<T[Key], undefined>> }

/**
 * The places of a result. Each step is remembered, so that a sentence cites `at.byDevice[0].over` and the document
 * says that it stands at `torque.byDevice.0.over`.
 *
 * @param result what the places lie in
 * @param path where the result itself lies; default: at the root
 */
export function pathsOf<T>(result: T, path = ''): Path<T> {
  return new Proxy(
    {},
    {
      get: (_, key) => {
        if (key === placed) return { path, value: result }
        if (typeof key === 'symbol') return undefined
        const inner = (result as Record<string, unknown> | undefined)?.[key]
        return pathsOf(inner, path === '' ? key : `${path}${stepOf(key)}`)
      },
    },
  ) as Path<T>
}

/** A step of a path: a name with a dot or bracket in it (that of a group, say) stands in brackets. */
function stepOf(name: string): string {
  return /^[^.[\]]+$/.test(name) ? `.${name}` : `[${JSON.stringify(name)}]`
}

/** The entries of a list that have a number in a field; their place names both: `completeness[unknown=0]`. */
export function entriesWith<Entry>(
  list: Place<readonly Entry[]>,
  field: keyof Entry & string,
  value: number,
): Path<readonly Entry[]> {
  const { path, value: entries } = list[placed]
  return pathsOf(
    entries.filter((entry) => entry[field] === value),
    `${path}[${field}=${value}]`,
  )
}

/** A place where, as was looked up, a value of the narrower type stands; undefined where it does not. */
export function narrowed<T, S extends T>(place: Place<T>, is: (value: T) => value is S): Path<S> | undefined {
  return is(valueAt(place)) ? (place as unknown as Path<S>) : undefined
}

/** What stands at a place. */
export function valueAt<T>(place: Place<T>): T {
  return place[placed].value
}

/**
 * A number with its place in the results; its text is made where it is said, in the language that it is said in.
 *
 * @throws TypeError where no number stands
 */
export function number(place: Place<Quantity | undefined>, format: FormatName): CitedNumber {
  const { path, value } = place[placed]
  if (typeof value !== 'number') throw new TypeError(`no number stands at ${path} of the results`)
  return { kind: 'number', text: '', path, format, value }
}

/** A count with its place. */
export function count(place: Place<Quantity | undefined>): CitedNumber {
  return number(place, 'count')
}

/** A quantity with its place, or its state in words. */
export function quantity(place: Place<Quantity>, format: FormatName): CitedNumber | Message {
  const value = valueAt(place)
  return isNumber(value) ? number(place, format) : stateOf(value)
}

/** "6.4% to 10.2%", or one state where there is no interval. */
export function interval(place: Path<{ readonly interval: Interval }>, format: FormatName): Message {
  const { lower, upper } = valueAt(place).interval
  if (!isNumber(lower) && !isNumber(upper) && lower.state === upper.state) return stateOf(lower)
  return message('quantity.interval', {
    lower: quantity(place.interval.lower as Place<Quantity>, format),
    upper: quantity(place.interval.upper as Place<Quantity>, format),
  })
}

/** "(95% interval 6.4% to 10.2%)", or in brackets why there is none. */
export function intervalInBrackets(place: Path<Estimate>, format: FormatName): Part {
  const { lower, upper } = valueAt(place).interval
  if (isNumber(lower) || isNumber(upper)) {
    return message('quantity.interval-in-brackets', {
      level: number(place.level as Place<Quantity>, 'level'),
      interval: interval(place, format),
    })
  }
  return lower.state === 'not-estimable'
    ? message('quantity.no-interval-because', { reason: reasonOf(lower) })
    : message('quantity.no-interval')
}

/** "3 years", the number with its place. */
export function years(place: Place<Quantity | undefined>): Message {
  return message('quantity.years', { years: number(place, 'whole') })
}

/** Level and interval of an estimate, for messages that word them: `({level} interval {interval})`. */
export function limits(
  place: Path<{ readonly interval: Interval }>,
  level: Place<number>,
  format: FormatName,
): { readonly level: CitedNumber; readonly interval: Message } {
  return { level: number(level, 'level'), interval: interval(place, format) }
}
