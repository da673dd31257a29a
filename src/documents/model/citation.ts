import { type Estimate, type Interval, isNumber, type Quantity } from '../../core/estimate.js'
import { type Arguments, type MessageCode, message } from '../../messages/message.js'
import type { FormatName } from '../../messages/numberFormats.js'
import { quantityWords, type Speaker, speaker } from '../../messages/speaker.js'
import type { CitedNumber, Inline, Phrase } from './document.js'

/** Reads numbers out of a result by their path, so that what is printed and where it came from cannot part. */
export interface Citations {
  /** Who says it: the language of the document. */
  readonly by: Speaker
  /** A message in the language of the document. */
  say<Code extends MessageCode>(code: Code, ...parameters: Arguments<Code>): Phrase
  /** The same as plain text, for titles and heads of columns. */
  text<Code extends MessageCode>(code: Code, ...parameters: Arguments<Code>): string
  /** A number that is always there, such as a count. */
  number(path: string, format: FormatName): CitedNumber
  /** A quantity: the number, or its state in words. */
  quantity(path: string, format: FormatName): Inline
  /** The quantity itself, for choosing words. */
  read(path: string): Quantity
  /** The estimate at a path. */
  estimate(path: string): Estimate
  /** "6.4% to 10.2%", or one phrase where there is no interval; the path leads to the object that holds it. */
  interval(path: string, format: FormatName): Phrase
}

/**
 * Opens the citations of one result.
 *
 * @param by speaker of the document; default English
 */
export function citationsOf(result: object, by = speaker()): Citations {
  const number = (path: string, format: FormatName): CitedNumber => {
    const value = resolvePath(result, path)
    if (typeof value !== 'number') throw new TypeError(`no number stands at ${path} of the results`)
    return { kind: 'number', text: by.number(value, format), path, format, value }
  }
  const read = (path: string): Quantity => resolvePath(result, path) as Quantity
  const quantity = (path: string, format: FormatName): Inline => {
    const value = read(path)
    return isNumber(value) ? number(path, format) : quantityWords(value, format, by)
  }
  const interval = (path: string, format: FormatName): Phrase => {
    const { lower, upper } = resolvePath(result, `${path}.interval`) as Interval
    if (!isNumber(lower) && !isNumber(upper) && lower.state === upper.state) {
      return [quantityWords(lower, format, by)]
    }
    return by.phrase(
      message('quantity.interval', {
        lower: quantity(`${path}.interval.lower`, format),
        upper: quantity(`${path}.interval.upper`, format),
      }),
    )
  }
  return {
    by,
    say: (code, ...parameters) => by.phrase(message(code, ...parameters)),
    text: (code, ...parameters) => by.text(message(code, ...parameters)),
    number,
    read,
    quantity,
    interval,
    estimate: (path) => resolvePath(result, path) as Estimate,
  }
}

/**
 * Value at a path such as `retention.byGroup.0.horizons.1.retention.estimate`; undefined where there is none. A step
 * whose name holds a dot (the name of a group) is written in brackets: `comparison.events["a.b"]`. `[unknown=0]` keeps
 * the entries of a list whose field has that number, and `length` counts them: `fields[unknown=0].length`.
 */
export function resolvePath(result: unknown, path: string): unknown {
  const steps = path.match(/\["(?:[^"\\]|\\.)*"\]|\[\w+=[\d.]+\]|[^.[\]]+/g) ?? []
  let value: unknown = result
  for (const step of steps) {
    const chosen = Array.isArray(value) ? chosenEntries(value, step) : undefined
    if (chosen !== undefined) {
      value = chosen
      continue
    }
    const key = step.startsWith('[') ? (JSON.parse(step.slice(1, -1)) as string) : step
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, key)) return undefined
    value = (value as Record<string, unknown>)[key]
  }
  return value
}

/** The entries of a list that a step such as `[unknown=0]` chooses; undefined where the step is of another kind. */
function chosenEntries(list: readonly unknown[], step: string): readonly unknown[] | undefined {
  const [, field, number] = /^\[(\w+)=([\d.]+)\]$/.exec(step) ?? []
  if (field === undefined) return undefined
  return list.filter((entry) => (entry as Record<string, unknown>)[field] === Number(number))
}
