import { stringify } from 'csv-stringify/sync'
import type { TextRows } from './sharedRows.js'

/**
 * CSV text (RFC 4180, UTF-8) of a table. A text that a spreadsheet program would take for a formula is written with an
 * apostrophe before it; plain numbers, negative ones too, stay as they are.
 */
export function csvText(header: readonly string[], rows: readonly (readonly string[])[]): string {
  return stringify([header, ...rows].map((row) => row.map(withoutFormula)) as string[][], {
    record_delimiter: '\n',
  })
}

/** CSV text of a table with its header. */
export function csvOfTable(table: TextRows): string {
  return csvText(table.header, table.rows)
}

/** A text that no spreadsheet program takes for a formula. */
function withoutFormula(text: string): string {
  if (!/^\s*[=+\-@\t\r|]/.test(text) || /^[+-]?\d+(?:[.,]\d+)?$/.test(text)) return text
  return `'${text}`
}
