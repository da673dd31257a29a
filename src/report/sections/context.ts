import type { AuditResult } from '../../analysis/audit.js'
import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { captionedTable, type TableParts, twoSizes } from '../captioned.js'
import type { Citations } from '../citation.js'
import type { Figure, Phrase, Table } from '../document.js'
import { figureCaptions, tableCaptions } from '../wording.js'

/** What every section is made from. */
export interface SectionContext {
  readonly audit: AuditResult
  readonly cite: Citations
  readonly version: string
}

/** A figure in its two sizes with its caption. */
export function captionedFigure(
  id: string,
  caption: string,
  { audit }: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
  notes: readonly Phrase[] = [],
): Figure {
  return twoSizes(id, caption, audit.summary.source.generated, draw, notes)
}

/** A figure by its name. */
export function figure(
  id: keyof typeof figureCaptions,
  context: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
  notes: readonly Phrase[] = [],
): Figure {
  return captionedFigure(id, figureCaptions[id], context, draw, notes)
}

/** A table by its name. */
export function table(id: keyof typeof tableCaptions, parts: TableParts): Table {
  return captionedTable(id, tableCaptions[id], parts)
}

/** Groups with their places in the results, everything together first. */
export function groupPaths(
  result: {
    readonly byGroup: readonly { readonly group: string }[]
    readonly overall: { readonly group: string }
  },
  base: string,
): readonly { readonly group: string; readonly path: string }[] {
  return [
    { group: result.overall.group, path: `${base}.overall` },
    ...result.byGroup.map(({ group }, index) => ({ group, path: `${base}.byGroup.${index}` })),
  ]
}
