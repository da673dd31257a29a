import { cleaned } from './cellText.js'
import { isDictionaryHeader } from './templateMarks.js'

/** A row of a file as it was read, with its place in the file. */
export interface FileRow {
  readonly cells: readonly string[]
  readonly sourceRow: number
}

/** What is known about the header of a sheet before it is read. */
export interface HeaderSettings {
  /** Row of the header, by the user's word; otherwise it is looked for. */
  readonly headerRow?: number
  /** Two where the header stands on two rows, groups above single columns; by the user's word. */
  readonly headerRows?: 1 | 2
  /** Whether the sheet of a workbook is read as records, by the user's word; otherwise its name decides. */
  readonly use?: boolean
  /** Whether merged cells hold for every row that they cover, or for their first alone; by the user's word. */
  readonly mergedCells?: 'fill' | 'first'
  /** Whether hidden rows are read; by the user's word. */
  readonly hiddenRows?: 'read' | 'leave-out'
  /** Whether a cell is the header of a column that the toolkit knows. */
  readonly isHeader?: (cell: string) => boolean
}

/** How many rows are looked at in search of the header. */
export const rowsSearched = 30

/** How many cells of a row are looked at: enough to know a header, and a bound for rows of any width. */
const cellsSearched = 200

/** Place of the header among the first rows that are not blank; 0 where no other row looks more like it. */
export function headerAmong(rows: readonly FileRow[], settings: HeaderSettings): number {
  if (settings.headerRow !== undefined) {
    return Math.max(
      0,
      rows.findIndex((row) => row.sourceRow === settings.headerRow),
    )
  }
  if (rows[0] !== undefined && isDictionaryHeader(rows[0].cells)) return 0
  const isHeader = settings.isHeader ?? (() => false)
  const known = rows.findIndex(
    (row) => row.cells.slice(0, cellsSearched).filter((cell) => isHeader(cleaned(cell))).length >= 2,
  )
  if (known >= 0) return known
  const filled = rows.map((row) => row.cells.filter((cell) => cleaned(cell) !== '').length)
  const widest = Math.max(...filled)
  // A title above a table fills a cell or two, the header nearly all of them.
  return filled.findIndex((count) => count >= 0.6 * widest)
}

/** Header of two rows as one: the group of the upper row, carried on to the right, before the name in the lower one. */
export function joinedHeader(upper: readonly string[], lower: readonly string[]): readonly string[] {
  let group = ''
  return Array.from({ length: Math.max(upper.length, lower.length) }, (_, column) => {
    const above = cleaned(upper[column] ?? '')
    const below = cleaned(lower[column] ?? '')
    if (above !== '') group = above
    if (below === '') return above
    return group === '' ? below : `${group} ${below}`
  })
}

const totals =
  /^(?:(?:grand |sub ?)?totals?|sums?|average|mean|median|count|summen?|gesamt(?:summe)?|insgesamt|mittelwert|durchschnitt|anzahl|sommes?|total g[eé]n[eé]ral|moyenne|sumas?|promedio|somas?|m[eé]dia|totale|somma|n ?= ?\d+)\s?:?$/i

/** Whether a row is a total or another summary of the rows above it: its first filled cell says so. */
export function isTotal(cells: readonly string[]): boolean {
  const first = cells.find((cell) => cell !== '') ?? ''
  return first.length <= 24 && totals.test(cleaned(first))
}
