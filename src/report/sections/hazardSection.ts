import { hazardChart } from '../../charts/hazardChart.js'
import { captionedTable } from '../captioned.js'
import { estimateCell, estimateColumn, textColumn, wordCell } from '../cells.js'
import { type Block, type Cell, paragraph, type Section, type Table } from '../document.js'
import { groupTitle, hazardLabels, hazardSentence, spanTitle } from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'

/** When it happens: rates by time since delivery and the smoothed hazard; empty where the analysis has none. */
export function hazardSection(context: SectionContext): Section {
  const { audit, cite } = context
  const result = audit.hazardOverTime
  const frame = { id: 'hazard', title: hazardLabels.section }
  if (result === undefined) return { ...frame, blocks: [] }
  const [all, ...groups] = result.groups
  const blocks: Block[] = [paragraph(hazardSentence(audit, cite), 'lead')]
  if (all!.events > 0) blocks.push(spansTable(context))
  const drawn = groups.filter(({ curve }) => curve !== undefined).map(({ group }) => group)
  if (all!.curve !== undefined) {
    blocks.push(
      ...figuresOnRequest(context, () => [
        captionedFigure('hazard', hazardLabels.chart, context, (options) =>
          hazardChart(result, { ...options, groups: drawn.length === 2 ? drawn : ['all'] }),
        ),
      ]),
    )
  }
  return { ...frame, blocks }
}

const none: Cell = { content: ['–'], csv: [{ text: '' }, { text: '' }, { text: '' }] }

function spansTable({ audit, cite }: SectionContext): Table {
  const { groups } = audit.hazardOverTime!
  const longest = groups[0]!.spans
  return captionedTable('hazard', hazardLabels.spans, {
    columns: [
      textColumn(hazardLabels.span),
      ...groups.map(({ group }) => estimateColumn(groupTitle(group, audit.definition), 'rate')),
    ],
    rows: longest.map((span, index) => [
      wordCell(spanTitle(span)),
      ...groups.map(({ spans }, column) =>
        spans[index] === undefined
          ? none
          : estimateCell(cite, `hazardOverTime.groups.${column}.spans.${index}.ratePer100Years`, 'rate'),
      ),
    ]),
  })
}
