/** A number in the text, with the place in the results that it was read from. */
export interface CitedNumber {
  readonly kind: 'number'
  readonly text: string
  /** Place in results.json, such as `incidence.overall.events`. */
  readonly path: string
  /** Name of the rounding rule, a key of `numberFormats`. */
  readonly format: string
  readonly value: number
}

/** Text that came with the data (a title, a file name, a code of the practice), kept apart from our own. */
export interface ForeignText {
  readonly kind: 'foreign'
  readonly text: string
}

/** Text that stands out. */
export interface StrongText {
  readonly kind: 'strong'
  readonly content: Phrase
}

/** A pointer to a section, table or figure of the document. */
export interface Pointer {
  readonly kind: 'pointer'
  readonly target: string
  readonly text: string
}

/** A place that only the author can fill; shown so that it cannot be overlooked. */
export interface Blank {
  readonly kind: 'blank'
  /** What has to be written there. */
  readonly text: string
}

/** A part of running text. */
export type Inline = string | CitedNumber | ForeignText | StrongText | Pointer | Blank

/** Running text. */
export type Phrase = readonly Inline[]

/** Plain text of a phrase, for terminals and for names. */
export function plainText(phrase: Phrase): string {
  return phrase
    .map((part) => {
      if (typeof part === 'string') return part
      if (part.kind === 'strong') return plainText(part.content)
      return part.kind === 'blank' ? `[${part.text}]` : part.text
    })
    .join('')
}

/**
 * Text out of the data made fit to print: control and direction-override characters, which could hide or turn what
 * stands beside them or break an SVG file, become a visible sign.
 */
export function printable(text: string): string {
  return text
    .replace(/[\t\n\r]+/g, ' ')
    .replace(/[\p{Cc}\p{Cs}\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069\ufffe\uffff]/gu, '\ufffd')
}

/** Text of the data, marked as such and made fit to print. */
export function foreign(text: string): ForeignText {
  return { kind: 'foreign', text: printable(text) }
}

/** A place that only the author can fill. */
export function blank(text: string): Blank {
  return { kind: 'blank', text }
}

/** Several words joined as the language joins them: "a, b and c". */
export interface WordList {
  readonly kind: 'list'
  /** `and`, `or`; `comma` and `semicolon` set apart what is only listed. */
  readonly joined: 'and' | 'or' | 'comma' | 'semicolon'
  readonly items: readonly Part[]
}

/** A sentence or label by its code, apart from any language. */
export interface Message {
  readonly kind: 'message'
  readonly code: string
  readonly parameters: Readonly<Record<string, Part>>
}

/** Words that begin a sentence or a cell: their first letter large. */
export interface Opening {
  readonly kind: 'opening'
  readonly words: Part
}

/** What may stand in the place of a parameter; a bare number is counted, a string stands as it is. */
export type Part = Inline | number | Message | WordList | Opening | Phrase

/** Anything that a speaker can say. */
export type Words = Part | readonly Part[]

/** A number, or a number with the place in the results that it was read from. */
export type CountPart = number | Extract<Inline, { readonly kind: 'number' }>
