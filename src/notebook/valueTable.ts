import { escapeHtml } from '../documents/formats/htmlText.js'
import { fragmentStyle } from '../documents/formats/styleSheet.js'
import { message, speaker } from '../messages/index.js'
import type { MimeBundle } from './mimeOutput.js'

/** A number as it is shown, or what stands in its place, with its interval. */
export interface ShownNumber {
  readonly text: string
  readonly interval?: string
}

/** What stands in a cell of a table. */
export type ValueCell = string | number | ShownNumber

/** A table to be shown in a cell: columns of texts, numbers set to the right. */
export interface ValueTable {
  readonly title: string
  readonly columns: readonly string[]
  readonly rows: readonly (readonly ValueCell[])[]
  /** Lines below the table. */
  readonly notes?: readonly string[]
  /** Whether the data are generated; said above the table. */
  readonly generated?: boolean
}

const generatedMark = speaker().text(message('shown.generated'))

/** The picture above a table, as SVG, and how it is drawn for a small screen; each empty where there is none. */
export interface TablePictures {
  readonly page: string
  readonly column: string
}

const noPictures: TablePictures = Object.freeze({ page: '', column: '' })

/** A table as HTML and as plain text with aligned columns. */
export function tableBundle(table: ValueTable, pictures = noPictures): MimeBundle {
  return { 'text/html': tableHtml(table, pictures), 'text/plain': tableText(table) }
}

/** Several tables, one below the other. */
export function tablesBundle(tables: readonly ValueTable[]): MimeBundle {
  return {
    'text/html': tables.map((table) => tableHtml(table, noPictures)).join('\n'),
    'text/plain': tables.map(tableText).join('\n\n'),
  }
}

function tableHtml(
  { title, columns, rows, notes = [], generated }: ValueTable,
  pictures: TablePictures,
): string {
  const aligned = columns.map((_, column) => isNumberColumn(rows, column))
  const head = columns.map(
    (name, column) => `<th scope="col"${aligned[column] ? ' class="end"' : ''}>${escapeHtml(name)}</th>`,
  )
  const body = rows.map((row) => {
    const cells = row.map((value, column) => {
      if (column === 0) return `<th scope="row"><bdi>${escapeHtml(shown(value))}</bdi></th>`
      const head = columns[column] === '' ? '' : ` data-head="${escapeHtml(columns[column]!)}"`
      return `<td${aligned[column] ? ' class="end"' : ''}${head}>${aligned[column] ? underIt(value) : `<bdi>${escapeHtml(shown(value))}</bdi>`}</td>`
    })
    return `<tr>${cells.join('')}</tr>`
  })
  return [
    `<div class="holdfast-part"><style>${fragmentStyle()}</style>`,
    generated === true ? `<p class="generated">${generatedMark}</p>` : '',
    pictures.page === '' ? '' : `<figure>${pictureHtml(pictures)}</figure>`,
    `<div class="table"><table class="cards">${title === '' ? '' : `<caption>${escapeHtml(title)}</caption>`}${columns.every((name) => name === '') ? '' : `<thead><tr>${head.join('')}</tr></thead>`}`,
    `<tbody>${body.join('')}</tbody></table></div>`,
    ...notes.map((note) => `<p class="note">${escapeHtml(note)}</p>`),
    '</div>',
  ].join('')
}

function pictureHtml({ page, column }: TablePictures): string {
  if (column === '') return `<div class="picture">${page}</div>`
  return `<div class="picture page">${page}</div><div class="picture column">${column}</div>`
}

/** The interval of an estimate on a line of its own, so that neither is broken. */
function underIt(value: ValueCell): string {
  if (typeof value !== 'object') return escapeHtml(String(value))
  const { text, interval } = value
  if (interval === undefined) return escapeHtml(text)
  return `${escapeHtml(text)}<br><span class="note">${escapeHtml(interval).replaceAll(' ', '\u00a0')}</span>`
}

function tableText({ title, columns, rows, notes = [], generated }: ValueTable): string {
  const named = columns.some((name) => name !== '')
  const cells = [...(named ? [columns] : []), ...rows.map((row) => row.map(shown))]
  const widths = columns.map((_, column) => Math.max(...cells.map((row) => (row[column] ?? '').length)))
  const lines = cells.map((row) =>
    row
      .map((text, column) =>
        isNumberColumn(rows, column) ? text.padStart(widths[column]!) : text.padEnd(widths[column]!),
      )
      .join('  ')
      .trimEnd(),
  )
  return [
    ...(generated === true ? [generatedMark] : []),
    ...(title === '' ? [] : [title]),
    ...lines,
    ...notes,
  ].join('\n')
}

/** Whether every cell of a column is a number, begins like one, or is blank. */
export function isNumberColumn(rows: ValueTable['rows'], column: number): boolean {
  return (
    column > 0 &&
    rows.length > 0 &&
    rows.every((row) => {
      const cell = row[column] ?? ''
      return typeof cell !== 'string' || /^(?:[-−+<]?\d|$|–$)/.test(cell)
    })
  )
}

/** A cell as plain text. */
export function shown(cell: ValueCell): string {
  if (typeof cell !== 'object') return String(cell)
  return cell.interval === undefined ? cell.text : `${cell.text} ${cell.interval}`
}
