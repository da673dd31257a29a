import { attritionDiagram } from '../../charts/attritionDiagram.js'
import { message } from '../../messages/message.js'
import { foreignCell, numberCell, numberColumn, textColumn } from '../model/cells.js'
import { type Block, paragraph, type Section, type Table } from '../model/document.js'
import { cohortRemarks, cohortSentence, labelsOf } from '../wording/index.js'
import { figure, type SectionContext, table } from './context.js'

/** Who the report is about, with every row of the source accounted for. */
export function cohortSection(context: SectionContext): Section {
  const { audit, cite } = context
  const remarks = cohortRemarks(audit, cite)
  const blocks: Block[] = [
    paragraph(cohortSentence(audit, cite)),
    figure('attrition', context, (options) => attritionDiagram(audit.summary, options)),
    attritionTable(context),
  ]
  if (remarks.length > 0) blocks.push({ kind: 'list', items: remarks })
  return { id: 'cohort', title: labelsOf(cite.by).sections.cohort, blocks }
}

function attritionTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  return table(
    'attrition',
    { cite },
    {
      columns: [textColumn(columns.step), numberColumn(columns.leftOut), numberColumn(columns.remaining)],
      rows: audit.summary.attrition.steps.map(({ code }, index) => {
        const at = `summary.attrition.steps.${index}`
        return [
          foreignCell(cite.by.text(message(`left-out.${code}`))),
          numberCell(cite, `${at}.leftOut`, 'count'),
          numberCell(cite, `${at}.remaining`, 'count'),
        ]
      }),
    },
  )
}
