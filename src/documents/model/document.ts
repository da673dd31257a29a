import type { ChartSpecification } from '../../charts/specification.js'
import type { Inline, Phrase, StrongText } from '../../messages/phrase.js'

export {
  type Blank,
  blank,
  type CitedNumber,
  type ForeignText,
  foreign,
  type Inline,
  type Phrase,
  type Pointer,
  plainText,
  type StrongText,
} from '../../messages/phrase.js'

/** A paragraph; `lead` opens a section with its main point, `note` explains in small type. */
export interface Paragraph {
  readonly kind: 'paragraph'
  readonly tone: 'plain' | 'lead' | 'note'
  readonly content: Phrase
}

/** A heading within a section. */
export interface Heading {
  readonly kind: 'heading'
  readonly text: string
}

/** A list; numbered where its order is referred to. */
export interface BulletList {
  readonly kind: 'list'
  readonly items: readonly Phrase[]
  readonly numbered?: boolean
}

/** Terms with what they mean. */
export interface TermList {
  readonly kind: 'terms'
  readonly entries: readonly { readonly term: string; readonly meaning: Phrase }[]
}

/** A headline number with its interval. */
export interface KeyFigure {
  readonly label: Phrase
  readonly value: Phrase
  readonly interval: Phrase
}

/** Headline numbers, side by side. */
export interface KeyFigures {
  readonly kind: 'key-figures'
  readonly figures: readonly KeyFigure[]
}

/** A column of a table; its CSV form may take several columns (estimate, lower, upper). */
export interface Column {
  readonly title: string
  /** Title that stands alone, where the short one leans on its neighbours. */
  readonly longTitle?: string
  readonly align: 'start' | 'end'
  readonly csvTitles: readonly string[]
}

/** A cell: what is read, and its plain form for CSV, one entry for each CSV column. */
export interface Cell {
  readonly content: Phrase
  /** Second line, such as the interval of an estimate. */
  readonly under?: Phrase
  readonly csv: readonly CsvValue[]
}

/** A value of a CSV cell: a number of ours, or text. */
export type CsvValue = { readonly number: string } | { readonly text: string }

/** A table; the first cell of each row names the row. */
export interface Table {
  readonly kind: 'table'
  readonly id: string
  readonly caption: string
  readonly columns: readonly Column[]
  readonly rows: readonly (readonly Cell[])[]
  readonly notes: readonly Phrase[]
}

/** A figure, drawn once for the page and once for one column (and for small screens). */
export interface Figure {
  readonly kind: 'figure'
  readonly id: string
  readonly caption: string
  readonly page: ChartSpecification
  readonly column: ChartSpecification
  /** Size over the page as drawn, where the specification does not tell it. */
  readonly sizePx?: { readonly width: number; readonly height: number }
  readonly notes: readonly Phrase[]
}

/** A block of a section. */
export type Block = Paragraph | Heading | BulletList | TermList | KeyFigures | Table | Figure

/** A section with its blocks; `aside` holds what has to be read beside it. */
export interface Section {
  readonly id: string
  readonly title: string
  readonly blocks: readonly Block[]
  readonly aside?: { readonly title: string; readonly blocks: readonly Block[] }
}

/** What a document is for: a finished report, a draft that its author goes on with, one page to hand out, or a few that are full. */
export type DocumentLayout =
  | 'report'
  | 'manuscript'
  | 'leaflet'
  | 'summary'
  | 'brief'
  | 'compact'
  | 'start'
  | 'slides'

/** Another document of the same folder. */
export interface DocumentLink {
  readonly file: string
  readonly name: string
  readonly about: string
}

/** A whole report, apart from any way of writing it down. */
export interface ReportDocument {
  /** Default report. */
  readonly layout?: DocumentLayout
  readonly title: Phrase
  readonly kicker: string
  /** Line under the title: period, numbers, places. */
  readonly summary: Phrase
  readonly generated: boolean
  /** Date of making as given; the only thing that differs between two reports of the same data. */
  readonly date: string
  readonly sections: readonly Section[]
  /** Language of the text; default English. */
  readonly language?: string
  /** What stands before the number of a table or figure; default nothing. */
  readonly numbering?: string
  /** Other lengths of the same evidence. */
  readonly links?: readonly DocumentLink[]
}

/** Template tag that joins words, numbers and phrases into one phrase. */
export function phrase(words: TemplateStringsArray, ...parts: readonly (Inline | Phrase | number)[]): Phrase {
  const joined: Inline[] = []
  words.forEach((word, index) => {
    if (word !== '') joined.push(word)
    const part = parts[index]
    if (part === undefined) return
    if (typeof part === 'number') joined.push(String(part))
    else if (isPhrase(part)) joined.push(...part)
    else joined.push(part)
  })
  return joined
}

/** A paragraph. */
export function paragraph(content: Phrase, tone: Paragraph['tone'] = 'plain'): Paragraph {
  return { kind: 'paragraph', tone, content }
}

/** Text that stands out. */
export function strong(content: Phrase): StrongText {
  return { kind: 'strong', content }
}

function isPhrase(part: Inline | Phrase): part is Phrase {
  return Array.isArray(part)
}
