import { drawChart } from '../../src/charts/render.js'
import type { DrawnFigure } from '../../src/documents/formats/pictures.js'
import { figuresOf } from '../../src/documents/model/contents.js'
import type { ReportDocument } from '../../src/documents/model/document.js'

/** Draws every figure of a document in both sizes as SVG, for a page. */
export async function drawFigures(document: ReportDocument): Promise<ReadonlyMap<string, DrawnFigure>> {
  const pictures = new Map<string, DrawnFigure>()
  for (const figure of figuresOf(document)) {
    pictures.set(figure.id, { page: await drawChart(figure.page), column: await drawChart(figure.column) })
  }
  return pictures
}
