import { drawChart } from '../../src/charts/render.js'
import { figuresOf } from '../../src/report/contents.js'
import type { ReportDocument } from '../../src/report/document.js'
import type { DrawnFigure } from '../../src/report/pictures.js'

/** Draws every figure of a document in both sizes as SVG, for a page. */
export async function drawFigures(document: ReportDocument): Promise<ReadonlyMap<string, DrawnFigure>> {
  const pictures = new Map<string, DrawnFigure>()
  for (const figure of figuresOf(document)) {
    pictures.set(figure.id, { page: await drawChart(figure.page), column: await drawChart(figure.column) })
  }
  return pictures
}
