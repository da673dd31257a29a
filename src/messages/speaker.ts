import { IntlMessageFormat } from 'intl-messageformat'
import { isNumber, type NotEstimable, type Quantity, type Warning } from '../core/estimate.js'
import { formatCount, formatDay } from '../core/format.js'
import type { MethodName } from '../core/method.js'
import { catalogueOf, firstLanguage } from './catalogue.js'
import type { Message, MessageCode, Part, WordList, Words } from './message.js'
import { methodWords } from './methodWords.js'
import { type FormatName, numberFormats } from './numberFormats.js'
import { blank, foreign, type Inline, type Phrase, plainText } from './phrase.js'

/** Says messages in one language. */
export interface Speaker {
  readonly language: string
  /** Running text in which cited numbers, pointers and text of the data are still parts of their own. */
  phrase(words: Words): Phrase
  /** Plain text. */
  text(words: Words): string
  /** A number by its rule of rounding, as the language writes it. */
  number(value: number, format: FormatName): string
  /** A calendar day, with the month in words. */
  day(day: number): string
}

const speakers = new Map<string, Speaker>()

/**
 * The speaker of a language; a message that the language lacks is said in English.
 *
 * @param language folder of the catalogues; default `en`
 * @throws UsageError `unknown-name`
 * @example speaker().text(message('quantity.not-reached')) // => "not reached"
 */
export function speaker(language = firstLanguage): Speaker {
  const known = speakers.get(language)
  if (known !== undefined) return known
  // English is read when its first message is said: every other language falls back on it so.
  const made = speakerOf(language, language === firstLanguage ? new Map() : catalogueOf(language))
  speakers.set(language, made)
  return made
}

/** A speaker of a catalogue that need not be one of the toolkit's own. */
export function speakerOf(language: string, catalogue: ReadonlyMap<string, string>): Speaker {
  const compiled = new Map<string, IntlMessageFormat>()
  const spoken = language === 'en' ? 'en-GB' : language

  const formatOf = (code: string): IntlMessageFormat => {
    const own = compiled.get(code)
    if (own !== undefined) return own
    const text = catalogue.get(code) ?? catalogueOf(firstLanguage).get(code)
    if (text === undefined) throw new TypeError(`no message has the code ${code}`)
    const made = new IntlMessageFormat(text, spoken, formatNames, { formatters: formattersOf(language) })
    compiled.set(code, made)
    return made
  }

  const said = ({ code, parameters }: Message): Phrase => {
    const values = Object.fromEntries(
      Object.entries(parameters).map(([name, part]) => [name, argument(part, (one) => phrase(one))]),
    )
    const parts = formatOf(code).formatToParts<unknown>({ ...richText, ...values } as never)
    return merged(parts.flatMap(({ value }) => inlinesOf(value, language)))
  }

  const joined = ({ items, joined: by }: WordList): Phrase => {
    if (by === 'comma' || by === 'semicolon') {
      const between =
        by === 'comma'
          ? ', '
          : plainText(said({ kind: 'message', code: 'quantity.semicolon', parameters: {} }))
      return items.flatMap((item, index) => (index === 0 ? phrase(item) : [between, ...phrase(item)]))
    }
    const list = new Intl.ListFormat(spoken, { type: by === 'or' ? 'disjunction' : 'conjunction' })
    const parts = list.formatToParts(items.map((_, index) => String(index)))
    return parts.flatMap(({ type, value }) => (type === 'element' ? phrase(items[Number(value)]!) : [value]))
  }

  const phrase = (words: Words): Phrase => {
    if (Array.isArray(words)) return merged((words as readonly Part[]).flatMap((part) => phrase(part)))
    const part = words as Exclude<Part, Phrase>
    if (typeof part === 'string') return part === '' ? [] : [part]
    if (typeof part === 'number') return [formatCount(part, language)]
    if (part.kind === 'message') return said(part)
    if (part.kind === 'list') return joined(part)
    if (part.kind === 'opening') return capitalised(phrase(part.words))
    return inlinesOf(part, language)
  }

  return Object.freeze({
    language,
    phrase,
    text: (words: Words) => plainText(phrase(words)),
    number: (value: number, format: FormatName) => numberText(value, format, language),
    day: (day: number) => formatDay(day, 'long', language),
  })
}

/** Whether a language, or else English, has a message of this code. */
export function hasMessage(code: string): boolean {
  return catalogueOf(firstLanguage).has(code)
}

/** Code of a term that stands in results as a name: its letters and digits, all else as hyphens. */
export function termCode(term: string): string {
  const letters = term.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase()
  return letters.replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '')
}

/** Why something cannot be estimated; a code that no message words (of a later release) stands as it is. */
export function reasonOf({ reason, parameters }: Omit<NotEstimable, 'state'>): Message | Inline {
  return coded(`reason.${reason}`, parameters) ?? foreign(reason)
}

/** A warning in words; a code that no message words stands as it is. */
export function warningOf({ code, parameters }: Warning): Message | Inline {
  return coded(`warning.${code}`, parameters) ?? foreign(code)
}

/** The state of a quantity that is no number: "not reached", "no upper limit". */
export function stateOf(quantity: Exclude<Quantity, number>): Message {
  const { state } = quantity
  const code: MessageCode =
    state === 'unbounded' ? `quantity.unbounded-${quantity.direction}` : `quantity.${state}`
  return { kind: 'message', code, parameters: {} }
}

/**
 * Puts a warning, a reason, a quantity that is no number or the name of a method into words; results hold codes and what
 * their words need.
 *
 * @param coded a warning of a result, why it has no number, or its method
 * @param language folder of the catalogues; default `en`
 * @throws UsageError `unknown-name`
 * @example inWords({ code: 'few-pairs', parameters: { pairs: 12 } }) // => "12 independent pairs: limits of agreement are known poorly below 30."
 */
export function inWords(
  coded: Warning | Omit<NotEstimable, 'state'> | Exclude<Quantity, number> | MethodName,
  language?: string,
): string {
  return speaker(language).text(isMethod(coded) ? methodWords(coded) : codedWords(coded))
}

function codedWords(coded: Warning | Omit<NotEstimable, 'state'> | Exclude<Quantity, number>): Part {
  return 'code' in coded ? warningOf(coded) : 'reason' in coded ? reasonOf(coded) : stateOf(coded)
}

function isMethod(coded: object): coded is MethodName {
  return Array.isArray(coded)
}

/** A quantity by its rule of rounding, or its state. */
export function quantityWords(quantity: Quantity, format: FormatName, by: Speaker): string {
  return isNumber(quantity) ? by.number(quantity, format) : by.text(stateOf(quantity))
}

function coded(code: string, parameters: NotEstimable['parameters'] = {}): Message | undefined {
  if (!hasMessage(code)) return undefined
  // A parameter `field` names a field of the vocabulary; any other text came with the data.
  const shown = (name: string, value: string | number): Part => {
    if (typeof value === 'number') return value
    const field = `field.${value}`
    return name === 'field' && hasMessage(field)
      ? { kind: 'message', code: field, parameters: {} }
      : foreign(value)
  }
  const parts = Object.entries(parameters).map(([name, value]): [string, Part] => [
    name,
    typeof value === 'object'
      ? { kind: 'list', joined: 'and', items: value.map((one) => shown(name, one)) }
      : shown(name, value),
  ])
  return { kind: 'message', code, parameters: Object.fromEntries(parts) }
}

/** A parameter that a message can count and choose by, and that stays what it was where it is shown. */
class Argument {
  constructor(
    readonly value: string | number,
    readonly shown: Phrase,
  ) {}
  toString(): string {
    return String(this.value)
  }
  valueOf(): string | number {
    return this.value
  }
}

function argument(part: Part, phrase: (part: Part) => Phrase): unknown {
  if (typeof part === 'number') return new Argument(part, phrase(part))
  const cited = typeof part === 'object' && 'kind' in part && part.kind === 'number' ? part : undefined
  if (cited !== undefined) return new Argument(cited.value, phrase(cited))
  if (typeof part === 'string') return part
  // Names that came with the data may also choose between words.
  const name = 'kind' in part && part.kind === 'foreign' ? part.text : ''
  return new Argument(name, phrase(part))
}

function inlinesOf(value: unknown, language: string): Phrase {
  if (value instanceof Argument) return value.shown
  if (typeof value === 'string') return value === '' ? [] : [value]
  const part = value as Exclude<Inline, string>
  if (part.kind === 'strong')
    return [{ ...part, content: part.content.flatMap((one) => inlinesOf(one, language)) }]
  if (part.kind !== 'number') return [part]
  return [{ ...part, text: numberText(part.value, part.format as FormatName, language) }]
}

function numberText(value: number, format: FormatName, language: string): string {
  const text = numberFormats[format].text(value, language)
  if (typeof text === 'string') return text
  return speaker(language).text({ kind: 'message', code: text.code, parameters: { size: text.size } })
}

/** The first letter large, where the words begin with one of ours. */
function capitalised([first, ...rest]: Phrase): Phrase {
  if (typeof first !== 'string') return first === undefined ? [] : [first, ...rest]
  // The name of a field is written as the records have it.
  if (/^\w*_/.test(first)) return [first, ...rest]
  return [first.charAt(0).toUpperCase() + first.slice(1), ...rest]
}

/** Words that follow each other become one part. */
function merged(parts: readonly Inline[]): Phrase {
  const out: Inline[] = []
  for (const part of parts) {
    const last = out.at(-1)
    if (typeof part === 'string' && typeof last === 'string') out[out.length - 1] = last + part
    else out.push(part)
  }
  return out
}

/** Tags that every message may use: text that stands out, and places that only the author can fill. */
const richText = {
  strong: (content: readonly unknown[]) => ({
    kind: 'strong' as const,
    content: content.flatMap((one) => (one instanceof Argument ? one.shown : [one as Inline])),
  }),
  blank: (content: readonly unknown[]) =>
    blank(plainText(content.flatMap((one) => (one instanceof Argument ? one.shown : [one as Inline])))),
}

/** Every rule of rounding as a style of ICU numbers: `{share, number, percent}`. */
const formatNames = {
  number: Object.fromEntries(Object.keys(numberFormats).map((name) => [name, { holdfast: name }])),
  date: {},
  time: {},
} as never

/** Numbers and days by our own rounding, plurals by Intl. */
function formattersOf(language: string) {
  return {
    getNumberFormat: (_locale: unknown, style?: { readonly holdfast?: FormatName }) => ({
      format: (value: unknown) => numberText(Number(value), style?.holdfast ?? 'count', language),
    }),
    getDateTimeFormat: () => ({ format: (day: unknown) => formatDay(Number(day), 'long', language) }),
    getPluralRules: (locale: string, options?: Intl.PluralRulesOptions) =>
      new Intl.PluralRules(locale, options),
  } as never
}
