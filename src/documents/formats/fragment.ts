import { type DrawnChart, renderSvg } from '../../charts/render.js'
import type { ChartSpecification } from '../../charts/specification.js'
import type { Figure, Section } from '../model/document.js'
import { frameWords } from '../model/frameWords.js'
import { sectionHtml } from './htmlBlocks.js'
import type { DrawnFigure } from './pictures.js'
import { fragmentStyle } from './styleSheet.js'

/** How a fragment is made, and how its figures are drawn. */
export interface FragmentOptions {
  /** Whether the data are generated; it then says so. */
  readonly generated: boolean
  /** Draws a chart as SVG; default `renderSvg`. */
  readonly draw?: (chart: ChartSpecification) => Promise<string>
  /** Whether each is drawn for small screens too; default false. */
  readonly narrow?: boolean
}

/**
 * One section of a report as a piece of HTML that can stand inside another page, such as the output of a notebook cell.
 * Tables and figures bear no numbers: those of the whole report would lead nowhere.
 */
export async function sectionFragment(
  section: Section,
  { generated, draw = renderSvg, narrow = false }: FragmentOptions,
): Promise<string> {
  const pictures = new Map<string, DrawnFigure>()
  const figures = section.blocks.filter((block): block is Figure => block.kind === 'figure')
  for (const figure of figures) {
    const [page, column] = [figure.page, narrow ? figure.column : undefined]
    const drawn = await Promise.all([draw(page), column === undefined ? '' : draw(column)])
    pictures.set(figure.id, { page: still(drawn[0]), column: still(drawn[1]) })
  }
  const words = frameWords()
  const mark = generated ? `<p class="generated">${words.generated}</p>` : ''
  const content = sectionHtml(section, { pictures, numbers: new Map(), words })
  return `<div class="holdfast-part"><style>${fragmentStyle()}</style>${mark}${content}</div>`
}

/** A picture in a cell stands still: the output of a cell runs no script of ours. */
function still(svg: string): DrawnChart {
  return { svg, readings: [] }
}
