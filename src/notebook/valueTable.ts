import { escapeHtml } from '../report/htmlText.js'
import { fragmentStyle } from '../report/styleSheet.js'
import type { MimeBundle } from './mimeOutput.js'

/** A table to be shown in a cell: columns of texts, numbers set to the right. */
export interface ValueTable {
  readonly title: string
  readonly columns: readonly string[]
  readonly rows: readonly (readonly (string | number)[])[]
  /** Lines below the table. */
  readonly notes?: readonly string[]
  /** Whether the data are generated; said above the table. */
  readonly generated?: boolean
}

const generatedMark = 'Generated demo data: no real patients.'

/** A table as HTML and as plain text with aligned columns. */
export function tableBundle(table: ValueTable, pictureSvg = ''): MimeBundle {
  return { 'text/html': tableHtml(table, pictureSvg), 'text/plain': tableText(table) }
}

/** Several tables, one below the other. */
export function tablesBundle(tables: readonly ValueTable[]): MimeBundle {
  return {
    'text/html': tables.map((table) => tableHtml(table, '')).join('\n'),
    'text/plain': tables.map(tableText).join('\n\n'),
  }
}

function tableHtml({ title, columns, rows, notes = [], generated }: ValueTable, pictureSvg: string): string {
  const aligned = columns.map((_, column) => isNumberColumn(rows, column))
  const head = columns.map(
    (name, column) => `<th scope="col"${aligned[column] ? ' class="end"' : ''}>${escapeHtml(name)}</th>`,
  )
  const body = rows.map((row) => {
    const cells = row.map((value, column) => {
      const text = escapeHtml(shown(value))
      if (column === 0) return `<th scope="row"><bdi>${text}</bdi></th>`
      return `<td${aligned[column] ? ' class="end"' : ''}>${aligned[column] ? underIt(text) : `<bdi>${text}</bdi>`}</td>`
    })
    return `<tr>${cells.join('')}</tr>`
  })
  return [
    `<div class="holdfast-part"><style>${fragmentStyle()}</style>`,
    generated === true ? `<p class="generated">${generatedMark}</p>` : '',
    pictureSvg === '' ? '' : `<figure><div class="picture page">${pictureSvg}</div></figure>`,
    `<div class="table"><table>${title === '' ? '' : `<caption>${escapeHtml(title)}</caption>`}${columns.every((name) => name === '') ? '' : `<thead><tr>${head.join('')}</tr></thead>`}`,
    `<tbody>${body.join('')}</tbody></table></div>`,
    ...notes.map((note) => `<p class="note">${escapeHtml(note)}</p>`),
    '</div>',
  ].join('')
}

/** The interval of an estimate on a line of its own, so that neither is broken. */
function underIt(text: string): string {
  const [estimate, interval] = text.split(/ (?=\()/, 2)
  if (interval === undefined) return estimate!
  return `${estimate}<br><span class="note">${interval.replaceAll(' ', '\u00a0')}</span>`
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

/** Whether every cell of a column begins like a number. */
function isNumberColumn(rows: ValueTable['rows'], column: number): boolean {
  return (
    column > 0 &&
    rows.length > 0 &&
    rows.every((row) => /^(?:[-−+<]?\d|$|–$|not |missing)/.test(shown(row[column] ?? '')))
  )
}

function shown(value: string | number): string {
  return String(value)
}
