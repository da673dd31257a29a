import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import type { Figure, Phrase, Table } from '../document.js'
import { type DescribingCaption, describingLabels } from '../wording.js'
import type { SectionContext } from './context.js'

/** A table that describes, by its name. */
export function describingTable(
  id: DescribingCaption,
  parts: Pick<Table, 'columns' | 'rows'> & { readonly notes?: readonly Phrase[] },
): Table {
  return {
    kind: 'table',
    id: `table-${id}`,
    caption: describingLabels.captions[id],
    notes: parts.notes ?? [],
    ...parts,
  }
}

/** A figure that describes, in its two sizes. */
export function describingFigure(
  id: DescribingCaption,
  { audit }: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
): Figure {
  const { generated } = audit.summary.source
  return {
    kind: 'figure',
    id: `figure-${id}`,
    caption: describingLabels.captions[id],
    page: draw({ size: 'page', generated }),
    column: draw({ size: 'column', generated }),
    notes: [],
  }
}
