import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { type Estimate, isNumber, type Quantity, type Warning } from '../../core/estimate.js'
import { listOf, type Message, message, type Part, type Words } from '../../messages/message.js'
import { type FormatName, numberFormats } from '../../messages/numberFormats.js'
import { type CitedNumber, foreign, type Inline } from '../../messages/phrase.js'
import { warningOf } from '../../messages/speaker.js'
import { interval, number, type Path, type Place, quantity, valueAt } from './place.js'

/** A paragraph; `lead` opens a section with its main point, `note` explains in small type. */
export interface Paragraph {
  readonly kind: 'paragraph'
  readonly tone: 'plain' | 'lead' | 'note'
  readonly content: Words
}

/** A heading within a section. */
export interface Heading {
  readonly kind: 'heading'
  readonly text: Words
}

/** A list; numbered where its order is referred to. */
export interface BulletList {
  readonly kind: 'list'
  readonly items: readonly Words[]
  readonly numbered?: boolean
}

/** Terms with what they mean. */
export interface TermList {
  readonly kind: 'terms'
  readonly entries: readonly { readonly term: Words; readonly meaning: Words }[]
}

/** Headline numbers, side by side. */
export interface KeyFigures {
  readonly kind: 'key-figures'
  readonly figures: readonly { readonly label: Words; readonly value: Words; readonly interval: Words }[]
}

/** A column of a table; its CSV form may take several columns (estimate, lower, upper). */
export interface Column {
  readonly title: Words
  /** Title that stands alone, where the short one leans on its neighbours. */
  readonly longTitle?: Words
  readonly align: 'start' | 'end'
  readonly csvTitles: readonly Words[]
}

/** A value of a CSV cell: a number of ours, or words. */
export type CsvValue = { readonly number: string } | { readonly text: Words }

/** A cell: what is read, and its plain form for CSV, one entry for each CSV column. */
export interface Cell {
  readonly content: Words
  /** Second line, such as the interval of an estimate. */
  readonly under?: Words
  readonly csv: readonly CsvValue[]
}

/** A table; the first cell of each row names the row. */
export interface Table {
  readonly kind: 'table'
  readonly id: string
  readonly caption: Words
  readonly columns: readonly Column[]
  readonly rows: readonly (readonly Cell[])[]
  readonly notes: readonly Words[]
}

/** A figure, drawn at the size and in the language that a document asks for. */
export interface Figure {
  readonly kind: 'figure'
  readonly id: string
  readonly caption: Words
  readonly draw: (options: FigureOptions) => ChartSpecification
  readonly notes: readonly Words[]
  /** Drawn only where the full detail is asked for; the document says so elsewhere. */
  readonly onRequest: boolean
}

/** A block of a section, in messages: no language has been chosen yet. */
export type Block = Paragraph | Heading | BulletList | TermList | KeyFigures | Table | Figure

/** A paragraph. */
export function paragraph(content: Words, tone: Paragraph['tone'] = 'plain'): Paragraph {
  return { kind: 'paragraph', tone, content }
}

/** A heading within a section. */
export function heading(text: Words): Heading {
  return { kind: 'heading', text }
}

/** A table from its columns and rows. */
export function table(
  id: string,
  caption: Words,
  parts: Pick<Table, 'columns' | 'rows'> & Partial<Pick<Table, 'notes'>>,
): Table {
  return { kind: 'table', id: `table-${id}`, caption, notes: [], ...parts }
}

/** A figure. */
export function figure(
  id: string,
  caption: Words,
  draw: Figure['draw'],
  options: Partial<Pick<Figure, 'notes' | 'onRequest'>> = {},
): Figure {
  return { kind: 'figure', id: `figure-${id}`, caption, draw, notes: [], onRequest: false, ...options }
}

/** A column of text. */
export function textColumn(title: Words): Column {
  return { title, align: 'start', csvTitles: [title] }
}

/** A column of single numbers. */
export function numberColumn(title: Words): Column {
  return { title, align: 'end', csvTitles: [title] }
}

/** Formats whose numbers have a unit that a column names. */
type UnitFormat = 'percent' | 'points' | 'years' | 'days' | 'minutes' | 'torque' | 'per-hundred'

const unitFormats: readonly FormatName[] = [
  'percent',
  'points',
  'years',
  'days',
  'minutes',
  'torque',
  'per-hundred',
]

/**
 * A column of estimates with their intervals; three columns in CSV, which name the unit.
 *
 * @param unitInTitle whether the title names the unit already; default no
 */
export function estimateColumn(title: Part, format: FormatName, unitInTitle = false): Column {
  const named =
    unitInTitle || !unitFormats.includes(format)
      ? title
      : message('table.unit', { title, unit: message(`unit.${format as UnitFormat}`) })
  return {
    title,
    align: 'end',
    csvTitles: [
      named,
      message('table.lower-limit', { title: named }),
      message('table.upper-limit', { title: named }),
    ],
  }
}

/** A cell of words. */
export function wordCell(content: Words): Cell {
  return { content, csv: [{ text: content }] }
}

/** A cell of text that came with the data. */
export function foreignCell(text: string): Cell {
  return wordCell(foreign(text))
}

/** A cell of a column of one value where there is none. */
export const emptyCell: Cell = Object.freeze({ content: '–', csv: [{ text: '' }] })

/** A cell of a column of estimates where there is none. */
export const emptyEstimate: Cell = Object.freeze({
  content: '–',
  csv: [{ text: '' }, { text: '' }, { text: '' }],
})

/** A cell with a number of the results. */
export function numberCell(place: Place<Quantity | undefined>, format: FormatName = 'count'): Cell {
  const cited = number(place, format)
  return { content: cited, csv: [csvOf(cited, format)] }
}

/** A cell with a quantity that may be a tagged state. */
export function quantityCell(place: Place<Quantity>, format: FormatName): Cell {
  const shown = quantity(place, format)
  return { content: shown, csv: [csvOf(shown, format)] }
}

/** A cell with an estimate, a mark if there is one, and its interval under it. */
export function estimateCell(
  place: Path<Pick<Estimate, 'estimate' | 'interval'>>,
  format: FormatName,
  mark = '',
): Cell {
  const { interval: limits } = valueAt(place)
  const [estimate, lower, upper] = [place.estimate, place.interval.lower, place.interval.upper].map((one) =>
    quantity(one as Place<Quantity>, format),
  ) as [CitedNumber, CitedNumber, CitedNumber]
  return {
    content: mark === '' || estimate.kind !== 'number' ? estimate : [estimate, mark],
    ...(isNumber(limits.lower) || isNumber(limits.upper) ? { under: interval(place as never, format) } : {}),
    csv: [csvOf(estimate, format), csvOf(lower, format), csvOf(upper, format)],
  }
}

function csvOf(shown: ReturnType<typeof quantity>, format: FormatName): CsvValue {
  if (shown.kind !== 'number') return { text: shown }
  return { number: numberFormats[format].plain(shown.value) }
}

/** Sentences one after the other; those that are undefined are left out. */
export function sentences(...parts: readonly (Part | undefined)[]): Words {
  return parts.flatMap((part, index): readonly Part[] => {
    if (part === undefined) return []
    return index === 0 ? [part] : [' ', part]
  })
}

/** Mark and note of estimates with few at risk. */
export const fewMark = ' †'

/** What the mark means, where any estimate bears it. */
export function fewAtRiskNotes(any: boolean, least: Place<number>): readonly Words[] {
  return any ? [message('table.few-at-risk', { least: number(least, 'count') })] : []
}

/** "1 year", "3 years" over a column, where nothing is cited. */
export function yearsTitle(years: number): Message {
  return message('label.years', { years })
}

/** Warnings of several results, each once, with the groups that it is about; none are named where it is about all. */
export function warningNotes(
  sources: readonly { readonly group: Part; readonly warnings: Path<readonly Warning[]> }[],
): readonly Words[] {
  const about = new Map<string, { warning: Message | Inline; groups: Map<string, Part> }>()
  const all = new Set(sources.map(({ group }) => JSON.stringify(group))).size
  for (const { group, warnings } of sources) {
    valueAt(warnings).forEach((one, index) => {
      const key = JSON.stringify(one)
      const own = about.get(key) ?? {
        warning: citedWarning(one, warnings[index]!),
        groups: new Map<string, Part>(),
      }
      about.set(key, own)
      own.groups.set(JSON.stringify(group), group)
    })
  }
  return [...about.values()].map(({ warning, groups }) =>
    groups.size === all && all > 1
      ? warning
      : message('table.warning-of-groups', {
          groups: listOf([...groups.values()], 'semicolon'),
          warning,
        }),
  )
}

/** A warning in words, its numbers with their places. */
function citedWarning(one: Warning, place: Path<Warning>): Message | Inline {
  const words = warningOf(one)
  if (typeof words === 'string' || words.kind !== 'message') return words
  const at = place.parameters as unknown as Readonly<Record<string, Place<number>>>
  const parameters = Object.entries(words.parameters).map(([name, part]) => [
    name,
    typeof part === 'number' ? number(at[name]!, 'count') : part,
  ])
  return { ...words, parameters: Object.fromEntries(parameters) }
}
