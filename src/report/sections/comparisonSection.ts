import type { TighteningComparisonResult } from '../../analysis/tighteningComparison.js'
import { hazardRatioChart } from '../../charts/hazardRatioChart.js'
import { allowedFor } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { methodWords } from '../../messages/methodWords.js'
import { warningOf } from '../../messages/speaker.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  quantityCell,
  textColumn,
  wordCell,
} from '../cells.js'
import { type Block, paragraph, type Section, type Table } from '../document.js'
import { differenceSentence, groupSizesSentence, labelsOf, reasonInWords, variantTitle } from '../wording.js'
import { figure, type SectionContext, table } from './context.js'
import { modelBlocks } from './describedTables.js'
import { warningNotes } from './warningNotes.js'

/** Single against repeated tightening: differences, ratios, test, and what the comparison rests on. */
export function comparisonSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { comparison } = audit
  const opening = paragraph(differenceSentence(audit, cite))
  const unsettled = paragraph(cite.say('contrast.unsettled'))
  const frame = { id: 'comparison', title: labelsOf(cite.by).sections.comparison }
  if (comparison === undefined) {
    return { ...frame, blocks: [opening, unsettled] }
  }
  const blocks: Block[] = [
    ...(audit.tightening === undefined
      ? [opening, paragraph([...groupSizesSentence(audit, cite), ' ', ...cite.say('contrast.primary')])]
      : [paragraph(cite.say('contrast.secondary'))]),
    ...ratioBlocks(context, comparison),
    ...modelBlocks(context),
    testTable(context, comparison),
    ...(comparison.reasons.length > 0 ? [reasonsTable(context, comparison)] : []),
    unsettled,
  ]
  if (comparison.warnings.length > 0) {
    blocks.push({ kind: 'list', items: comparison.warnings.map((one) => cite.by.phrase(warningOf(one))) })
  }
  return { ...frame, blocks }
}

function ratioBlocks(context: SectionContext, comparison: TighteningComparisonResult): Block[] {
  if (comparison.hazardRatios.length === 0) return []
  const { audit, cite } = context
  const { columns } = labelsOf(cite.by)
  return [
    ...(comparison.hazardRatios.some(({ hazardRatio }) => isNumber(hazardRatio.estimate))
      ? [figure('hazard-ratios', context, (options) => hazardRatioChart(comparison, options))]
      : []),
    table(
      'hazard-ratios',
      { cite },
      {
        columns: [
          textColumn(columns.comparison),
          estimateColumn(cite, columns.ratio, 'ratio'),
          textColumn(columns.allowsFor),
          numberColumn(columns.restorations),
          numberColumn(columns.events),
        ],
        rows: comparison.hazardRatios.map(({ key, allowsFor }, index) => {
          const at = `comparison.hazardRatios.${index}.hazardRatio`
          return [
            foreignCell(variantTitle(key, cite)),
            estimateCell(cite, at, 'ratio'),
            wordCell(
              cite.by.text(
                allowsFor.length === 0
                  ? allowedFor({ key, allowsFor })
                  : message('label.allows-also', { names: allowedFor({ key, allowsFor }) }),
              ),
            ),
            numberCell(cite, `${at}.n`, 'count'),
            numberCell(cite, `${at}.events`, 'count'),
          ]
        }),
        notes: warningNotes(
          { audit, cite },
          comparison.hazardRatios.map(({ key, hazardRatio }) => ({
            group: variantTitle(key, cite),
            warnings: hazardRatio.warnings,
          })),
        ),
      },
    ),
  ]
}

function testTable({ audit, cite }: SectionContext, comparison: TighteningComparisonResult): Table {
  const at = 'comparison.curveTest'
  const { columns } = labelsOf(cite.by)
  return table(
    'curve-test',
    { cite },
    {
      columns: [
        textColumn(columns.test),
        numberColumn(columns.statistic),
        numberColumn(columns.degrees),
        numberColumn(columns.pValue),
        numberColumn(columns.events),
      ],
      rows: [
        [
          wordCell(cite.by.text(methodWords(comparison.curveTest.method))),
          quantityCell(cite, `${at}.statistic`, 'statistic'),
          quantityCell(cite, `${at}.degreesOfFreedom`, 'whole'),
          quantityCell(cite, `${at}.pValue`, 'p-value'),
          numberCell(cite, `${at}.events`, 'count'),
        ],
      ],
      notes: warningNotes({ audit, cite }, [
        { group: columns.test, warnings: comparison.curveTest.warnings },
      ]),
    },
  )
}

function reasonsTable({ cite }: SectionContext, comparison: TighteningComparisonResult): Table {
  const { columns } = labelsOf(cite.by)
  return table(
    'reasons',
    { cite },
    {
      columns: [textColumn(columns.reason), numberColumn(columns.restorations)],
      rows: comparison.reasons.map(({ reason }, index) => [
        foreignCell(cite.by.text(reasonInWords(reason))),
        numberCell(cite, `comparison.reasons.${index}.restorations`, 'count'),
      ]),
    },
  )
}
