import { printable } from '../../charts/words.js'
import { type Cell, type Column, foreign, type Phrase } from './document.js'

/** A column of text. */
export function textColumn(title: string): Column {
  return { title, align: 'start', csvTitles: [title] }
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
