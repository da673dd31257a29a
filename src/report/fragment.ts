import { type DrawnChart, renderSvg } from '../charts/render.js'
import { numbersOf } from './contents.js'
import type { Figure, ReportDocument, Section } from './document.js'
import { frameWords } from './frameWords.js'
import { sectionHtml } from './htmlBlocks.js'
import type { DrawnFigure } from './pictures.js'
import { fragmentStyle } from './styleSheet.js'

/**
 * One section of a report as a piece of HTML that can stand inside another page, such as the output of a notebook cell.
 * Tables and figures carry the numbers that they have in the whole report.
 */
export async function sectionFragment(document: ReportDocument, section: Section): Promise<string> {
  const pictures = new Map<string, DrawnFigure>()
  const figures = section.blocks.filter((block): block is Figure => block.kind === 'figure')
  for (const figure of figures) {
    pictures.set(figure.id, { page: still(await renderSvg(figure.page)), column: still('') })
  }
  const words = frameWords(document.language)
  const mark = document.generated ? `<p class="generated">${words.generated}</p>` : ''
  const content = sectionHtml(section, { pictures, numbers: numbersOf(document), words })
  return `<div class="holdfast-part"><style>${fragmentStyle()}</style>${mark}${content}</div>`
}

/** A picture in a cell stands still: the output of a cell runs no script of ours. */
function still(svg: string): DrawnChart {
  return { svg, readings: [] }
}
