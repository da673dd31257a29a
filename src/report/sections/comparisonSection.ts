import type { TighteningComparisonResult } from '../../analysis/tighteningComparison.js'
import { hazardRatioChart } from '../../charts/hazardRatioChart.js'
import { speaker, warningOf } from '../../messages/speaker.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  quantityCell,
  textColumn,
} from '../cells.js'
import { type Block, paragraph, type Section, type Table } from '../document.js'
import {
  differenceSentence,
  groupSizesSentence,
  labels,
  primaryContrast,
  reasonInWords,
  secondaryContrast,
  unsettledSentence,
  variantTitle,
} from '../wording.js'
import { figure, type SectionContext, table } from './context.js'
import { modelBlocks } from './describedTables.js'
import { warningNotes } from './warningNotes.js'

/** Single against repeated tightening: differences, ratios, test, and what the comparison rests on. */
export function comparisonSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { comparison } = audit
  const opening = paragraph(differenceSentence(audit, cite))
  const unsettled = paragraph([unsettledSentence])
  if (comparison === undefined) {
    return { id: 'comparison', title: labels.sections.comparison, blocks: [opening, unsettled] }
  }
  const blocks: Block[] = [
    ...(audit.tightening === undefined
      ? [opening, paragraph([...groupSizesSentence(audit, cite), ' ', primaryContrast])]
      : [paragraph([secondaryContrast])]),
    ...ratioBlocks(context, comparison),
    ...modelBlocks(context),
    testTable(context, comparison),
    ...(comparison.reasons.length > 0 ? [reasonsTable(context, comparison)] : []),
    unsettled,
  ]
  if (comparison.warnings.length > 0) {
    blocks.push({ kind: 'list', items: comparison.warnings.map((one) => speaker().phrase(warningOf(one))) })
  }
  return { id: 'comparison', title: labels.sections.comparison, blocks }
}

function ratioBlocks(context: SectionContext, comparison: TighteningComparisonResult): Block[] {
  if (comparison.hazardRatios.length === 0) return []
  const { audit, cite } = context
  return [
    figure('hazard-ratios', context, (options) => hazardRatioChart(comparison, options)),
    table('hazard-ratios', {
      columns: [
        textColumn(labels.columns.comparison),
        estimateColumn(labels.columns.ratio, 'ratio'),
        textColumn(labels.columns.allowsFor),
        numberColumn(labels.columns.restorations),
        numberColumn(labels.columns.events),
      ],
      rows: comparison.hazardRatios.map(({ key, allowsFor }, index) => {
        const at = `comparison.hazardRatios.${index}.hazardRatio`
        return [
          foreignCell(variantTitle(key)),
          estimateCell(cite, at, 'ratio'),
          foreignCell(allowsFor),
          numberCell(cite, `${at}.n`, 'count'),
          numberCell(cite, `${at}.events`, 'count'),
        ]
      }),
      notes: warningNotes(
        audit,
        comparison.hazardRatios.map(({ key, hazardRatio }) => ({
          group: variantTitle(key),
          warnings: hazardRatio.warnings,
        })),
      ),
    }),
  ]
}

function testTable({ audit, cite }: SectionContext, comparison: TighteningComparisonResult): Table {
  const at = 'comparison.curveTest'
  const { columns } = labels
  return table('curve-test', {
    columns: [
      textColumn(columns.test),
      numberColumn(columns.statistic),
      numberColumn(columns.degrees),
      numberColumn(columns.pValue),
      numberColumn(columns.events),
    ],
    rows: [
      [
        foreignCell(comparison.curveTest.method),
        quantityCell(cite, `${at}.statistic`, 'statistic'),
        quantityCell(cite, `${at}.degreesOfFreedom`, 'whole'),
        quantityCell(cite, `${at}.pValue`, 'p-value'),
        numberCell(cite, `${at}.events`, 'count'),
      ],
    ],
    notes: warningNotes(audit, [{ group: columns.test, warnings: comparison.curveTest.warnings }]),
  })
}

function reasonsTable({ cite }: SectionContext, comparison: TighteningComparisonResult): Table {
  return table('reasons', {
    columns: [textColumn(labels.columns.reason), numberColumn(labels.columns.restorations)],
    rows: comparison.reasons.map(({ reason }, index) => [
      foreignCell(reasonInWords(reason)),
      numberCell(cite, `comparison.reasons.${index}.restorations`, 'count'),
    ]),
  })
}
