import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import type { AuditResult } from '../../questions/audit.js'
import { captionedTable, type TableParts, twoSizes } from '../model/captioned.js'
import type { Citations } from '../model/citation.js'
import type { Figure, Phrase, Table } from '../model/document.js'
import { type FigureName, figureCaption, type TableName, tableCaption } from '../wording/index.js'

/** What every section is made from. */
export interface SectionContext {
  readonly audit: AuditResult
  readonly cite: Citations
  readonly version: string
}

/** A figure in its two sizes with its caption. */
function captionedFigure(
  id: string,
  caption: string,
  { audit, cite }: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
  notes: readonly Phrase[] = [],
): Figure {
  return twoSizes(
    id,
    caption,
    { generated: audit.summary.source.generated, language: cite.by.language },
    draw,
    notes,
  )
}

/** A figure by its name. */
export function figure(
  id: FigureName,
  context: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
  notes: readonly Phrase[] = [],
): Figure {
  return captionedFigure(id, figureCaption(id, context.cite), context, draw, notes)
}

/** A table by its name. */
export function table(id: TableName, { cite }: Pick<SectionContext, 'cite'>, parts: TableParts): Table {
  return captionedTable(id, tableCaption(id, cite), parts)
}
