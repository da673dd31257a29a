import { stringify } from 'csv-stringify/sync'
import type { CsvValue, Table } from '../model/document.js'

/**
 * A table as CSV (RFC 4180, UTF-8): numbers rounded as in the report but without units, estimates in three columns.
 * Text that a spreadsheet would take for a formula gets an apostrophe in front.
 */
export function tableCsv(table: Table): string {
  const head = table.columns.flatMap((column) => column.csvTitles).map(spreadsheetText)
  const rows = table.rows.map((row) => row.flatMap((cell) => cell.csv.map(csvText)))
  return stringify([head, ...rows], { record_delimiter: 'windows' })
}

function csvText(value: CsvValue): string {
  return 'number' in value ? value.number : spreadsheetText(value.text)
}

/** Text that no spreadsheet runs: see OWASP, CSV Injection. */
export function spreadsheetText(text: string): string {
  return /^\s*[=+\-@|%]|^[\t\r\n]/.test(text) ? `'${text}` : text
}
