import { printable } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { labelsOf } from '../wording/index.js'
import type { Citations } from './citation.js'
import { type Cell, type Column, type CsvValue, foreign, type Inline, type Phrase } from './document.js'
import { type FormatName, numberFormats } from './numberFormats.js'

/** A column of text. */
export function textColumn(title: string): Column {
  return { title, align: 'start', csvTitles: [title] }
}

/** A column of single numbers. */
export function numberColumn(title: string): Column {
  return { title, align: 'end', csvTitles: [title] }
}

/** A column of estimates with their intervals; three columns in CSV. */
export function estimateColumn(
  { by }: Citations,
  title: string,
  format: 'percent' | 'rate' | 'ratio' | 'years' | 'count',
): Column {
  const { columns } = labelsOf(by)
  const unit = format === 'percent' || format === 'years' ? by.text(message(`unit.${format}`)) : ''
  const named = unit === '' || title.includes(unit) ? title : by.text(message('table.unit', { title, unit }))
  return {
    title,
    align: 'end',
    csvTitles: [named, `${named}, ${columns.lower}`, `${named}, ${columns.upper}`],
  }
}

/** A cell of our own words. */
export function wordCell(text: string): Cell {
  return { content: [text], csv: [{ text }] }
}

/** A cell of text that came with the data. */
export function foreignCell(text: string): Cell {
  const shown = printable(text)
  return { content: [foreign(shown)], csv: [{ text: shown }] }
}

/** A cell that shows a phrase. */
export function phraseCell(content: Phrase, csv: string): Cell {
  return { content, csv: [{ text: csv }] }
}

/** A cell with a number of the results. */
export function numberCell(cite: Citations, path: string, format: FormatName): Cell {
  const number = cite.number(path, format)
  return { content: [number], csv: [{ number: numberFormats[format].plain(number.value) }] }
}

/** A cell with a quantity that may be a tagged state. */
export function quantityCell(cite: Citations, path: string, format: FormatName): Cell {
  const shown = cite.quantity(path, format)
  return { content: [shown], csv: [csvOf(shown, format)] }
}

/** A cell with an estimate, a mark if there is one, and its interval under it. */
export function estimateCell(cite: Citations, path: string, format: FormatName, mark = ''): Cell {
  const estimate = cite.quantity(`${path}.estimate`, format)
  const lower = cite.quantity(`${path}.interval.lower`, format)
  const upper = cite.quantity(`${path}.interval.upper`, format)
  const none =
    !isNumber(cite.read(`${path}.interval.lower`)) && !isNumber(cite.read(`${path}.interval.upper`))
  return {
    content: [estimate, ...(mark === '' || typeof estimate === 'string' ? [] : [mark])],
    ...(none ? {} : { under: cite.interval(path, format) }),
    csv: [csvOf(estimate, format), csvOf(lower, format), csvOf(upper, format)],
  }
}

function csvOf(shown: Inline, format: FormatName): CsvValue {
  if (typeof shown === 'string') return { text: shown }
  return shown.kind === 'number' ? { number: numberFormats[format].plain(shown.value) } : { text: '' }
}
