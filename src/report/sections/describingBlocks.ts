import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { captionedTable, type TableParts } from '../captioned.js'
import type { Figure, Table } from '../document.js'
import { type DescribingCaption, describingLabels } from '../wording.js'
import { captionedFigure, type SectionContext } from './context.js'

/** A table that describes, by its name. */
export function describingTable(id: DescribingCaption, parts: TableParts): Table {
  return captionedTable(id, describingLabels.captions[id], parts)
}

/** A figure that describes, in its two sizes. */
export function describingFigure(
  id: DescribingCaption,
  context: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
): Figure {
  return captionedFigure(id, describingLabels.captions[id], context, draw)
}
