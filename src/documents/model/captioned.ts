import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import type { Figure, Phrase, Table } from './document.js'

/** A figure drawn over the page and over one column. */
export function twoSizes(
  id: string,
  caption: string,
  options: Pick<FigureOptions, 'generated' | 'language'>,
  draw: (options: FigureOptions) => ChartSpecification,
  notes: readonly Phrase[] = [],
): Figure {
  return {
    kind: 'figure',
    id: `figure-${id}`,
    caption,
    page: draw({ ...options, size: 'page' }),
    column: draw({ ...options, size: 'column' }),
    notes,
  }
}

/** What a table holds besides its name. */
export type TableParts = Pick<Table, 'columns' | 'rows'> & Partial<Pick<Table, 'notes'>>

/** A table with its caption. */
export function captionedTable(id: string, caption: string, parts: TableParts): Table {
  return { kind: 'table', id: `table-${id}`, caption, notes: parts.notes ?? [], ...parts }
}
