import { cleaned } from './cellText.js'

/** What stands in the first cell of the row by which a template shows how it is filled in. */
export const exampleMark = 'EXAMPLE (skipped)'

/** Author of the notes on the headings of a template. */
export const templateAuthor = 'holdfast template'

/** Headings of the sheet of a template that explains the columns. */
export const dictionaryHeader = ['sheet', 'column', 'field', 'meaning', 'allowed', 'need'] as const

/** Whether a row is the header of that sheet, whatever its rows hold. */
export function isDictionaryHeader(cells: readonly string[]): boolean {
  return dictionaryHeader.every((heading, column) => cells[column] === heading)
}

/** Whether a row is the example of a template, and so no record. */
export function isExample(cells: readonly string[]): boolean {
  return cells.length > 0 && cleaned(cells[0]!) === exampleMark
}

/** Whether a note on a cell is that of a template: the name of a field and what it means. */
export function isTemplateNote(note: { readonly a?: string; readonly t?: string }): boolean {
  return note.a === templateAuthor && /^[a-z_]+: [^@\d]*(?:\d{1,3}[^@\d]*)*$/.test(note.t ?? '')
}
