import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { type Block, type Figure, paragraph, type Table } from '../document.js'
import { onRequestNote } from '../wording.js'
import type { SectionContext } from './context.js'

/** A table with its caption, for sections that keep their own words. */
export function captionedTable(
  id: string,
  caption: string,
  parts: Pick<Table, 'columns' | 'rows'> & { readonly notes?: Table['notes'] },
): Table {
  return { kind: 'table', id: `table-${id}`, caption, notes: parts.notes ?? [], ...parts }
}

/** A figure in its two sizes with its caption. */
export function captionedFigure(
  id: string,
  caption: string,
  { audit }: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
): Figure {
  const { generated } = audit.summary.source
  return {
    kind: 'figure',
    id: `figure-${id}`,
    caption,
    page: draw({ size: 'page', generated }),
    column: draw({ size: 'column', generated }),
    notes: [],
  }
}

/**
 * Figures of the full report: drawing takes longer than all of the analysis, so that the standard report has the table
 * and the sentence, and says how to get the figure.
 */
export function figuresOnRequest(
  context: SectionContext,
  figures: () => readonly Figure[],
): readonly Block[] {
  if (context.audit.settings.detail === 'full') return figures()
  return [paragraph([onRequestNote], 'note')]
}
