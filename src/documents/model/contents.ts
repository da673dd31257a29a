import type { Block, Figure, ReportDocument, Table } from './document.js'

/** Every block of the sections of a document, in order; what stands beside a section is not among them. */
function blocksOf(document: Pick<ReportDocument, 'sections'>): readonly Block[] {
  return document.sections.flatMap((section) => section.blocks)
}

/** Every figure of a document, in order. */
export function figuresOf(document: Pick<ReportDocument, 'sections'>): readonly Figure[] {
  return blocksOf(document).filter((block): block is Figure => block.kind === 'figure')
}

/** Every table of a document, in order. */
export function tablesOf(document: Pick<ReportDocument, 'sections'>): readonly Table[] {
  return blocksOf(document).filter((block): block is Table => block.kind === 'table')
}

/** Tables and figures are numbered through the document, each kind by itself; those of a supplement as S1, S2. */
export function numbersOf(
  document: Pick<ReportDocument, 'sections' | 'numbering'>,
): ReadonlyMap<string, string> {
  const { numbering = '' } = document
  return new Map(
    [tablesOf(document), figuresOf(document)].flatMap((blocks) =>
      blocks.map(({ id }, index): [string, string] => [id, `${numbering}${index + 1}`]),
    ),
  )
}

/** Name of a table or figure in the bundle: its identifier without the kind. */
export function bundleName(id: string): string {
  return id.replace(/^(?:figure|table)-/, '')
}
