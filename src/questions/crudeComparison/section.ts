import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { methodWords } from '../../messages/methodWords.js'
import { levelName } from '../../messages/names.js'
import { warningOf } from '../../messages/speaker.js'
import { modelTable } from '../adjustedModel/section.js'
import { yearsAt } from '../howOften/section.js'
import { placesIn, type SectionSetting } from '../question.js'
import {
  type Block,
  estimateCell,
  estimateColumn,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  quantityCell,
  sentences,
  type Table,
  table,
  textColumn,
  warningNotes,
  wordCell,
} from '../words/blocks.js'
import type { Path } from '../words/place.js'
import type { TighteningComparisonResult } from './answer.js'
import { hazardRatioChart } from './chart.js'
import { allowedFor, differenceSentence, groupSizesSentence } from './words.js'

/** Single against repeated tightening: differences, ratios, test, and what the comparison rests on. */
export function crudeComparisonBlocks(
  result: TighteningComparisonResult,
  at: Path<TighteningComparisonResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { tightening, model } = setting.answers
  const ofModel = new Set(model?.warnings.map((one) => JSON.stringify(one)))
  const beyondModel = result.warnings.filter((one) => !ofModel.has(JSON.stringify(one)))
  return [
    ...(tightening === undefined
      ? [
          paragraph(differenceSentence(result, at, setting)),
          paragraph(sentences(groupSizesSentence(result, at, setting), message('contrast.primary'))),
        ]
      : [paragraph(message('contrast.secondary'))]),
    ...ratioBlocks(result, at, setting),
    ...(model === undefined ? [] : [modelTable(model, placesIn({ model }).model, setting)]),
    testTable(result, at),
    ...(result.reasons.length > 0 ? [reasonsTable(result, at)] : []),
    ...notTheAnswer(result, setting),
    paragraph(message('contrast.unsettled')),
    ...(beyondModel.length > 0 ? [{ kind: 'list', items: beyondModel.map(warningOf) } as const] : []),
  ]
}

/** Why a ratio of this section may exclude 1 while the answer is open. */
function notTheAnswer(
  { hazardRatios }: TighteningComparisonResult,
  setting: SectionSetting,
): readonly Block[] {
  const { tightening } = setting.answers
  if (tightening?.lead === undefined || tightening.horizonYears === undefined || hazardRatios.length === 0) {
    return []
  }
  const excludesOne = hazardRatios.some(({ hazardRatio: { interval } }) => {
    const { lower, upper } = interval
    return isNumber(lower) && isNumber(upper) && (lower > 1 || upper < 1)
  })
  return [
    paragraph(
      sentences(
        message('contrast.not-the-answer', {
          years: yearsAt(placesIn({ tightening }).tightening.horizonYears),
          planned: tightening.plan?.source === 'file' ? 'yes' : 'other',
        }),
        excludesOne && tightening.verdict === 'open' ? message('contrast.not-the-answer-open') : undefined,
      ),
    ),
  ]
}

function ratioBlocks(
  result: TighteningComparisonResult,
  at: Path<TighteningComparisonResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { hazardRatios } = result
  if (hazardRatios.length === 0) return []
  return [
    ...(hazardRatios.some(({ hazardRatio }) => isNumber(hazardRatio.estimate))
      ? [
          figure('hazard-ratios', message('caption.figure.hazard-ratios'), (options) =>
            hazardRatioChart(result, { ...options, window: setting.definition.waitWindowMinutes }),
          ),
        ]
      : []),
    table('hazard-ratios', message('caption.table.hazard-ratios'), {
      columns: [
        textColumn(message('label.column.comparison')),
        estimateColumn(message('label.column.ratio'), 'ratio'),
        textColumn(message('label.column.allowsFor')),
        numberColumn(message('label.column.restorations')),
        numberColumn(message('label.column.events')),
      ],
      rows: hazardRatios.map((one, index) => {
        const place = at.hazardRatios[index]!.hazardRatio
        const allows = allowedFor(one)
        return [
          wordCell(message(`label.${one.key}`)),
          estimateCell(place, 'ratio'),
          wordCell(one.allowsFor.length === 0 ? allows : message('label.allows-also', { names: allows })),
          numberCell(place.n),
          numberCell(place.events),
        ]
      }),
      notes: warningNotes(
        hazardRatios.map(({ key }, index) => ({
          group: message(`label.${key}`),
          warnings: at.hazardRatios[index]!.hazardRatio.warnings,
        })),
      ),
    }),
  ]
}

function testTable({ curveTest }: TighteningComparisonResult, at: Path<TighteningComparisonResult>): Table {
  return table('curve-test', message('caption.table.curve-test'), {
    columns: [
      textColumn(message('label.column.test')),
      numberColumn(message('label.column.statistic')),
      numberColumn(message('label.column.degrees')),
      numberColumn(message('label.column.pValue')),
      numberColumn(message('label.column.events')),
    ],
    rows: [
      [
        wordCell(methodWords(curveTest.method)),
        quantityCell(at.curveTest.statistic as never, 'statistic'),
        quantityCell(at.curveTest.degreesOfFreedom as never, 'whole'),
        quantityCell(at.curveTest.pValue as never, 'p-value'),
        numberCell(at.curveTest.events),
      ],
    ],
    notes: warningNotes([{ group: message('label.column.test'), warnings: at.curveTest.warnings }]),
  })
}

function reasonsTable({ reasons }: TighteningComparisonResult, at: Path<TighteningComparisonResult>): Table {
  return table('reasons', message('caption.table.reasons'), {
    columns: [textColumn(message('label.column.reason')), numberColumn(message('label.column.restorations'))],
    rows: reasons.map(({ reason }, index) => [
      wordCell(levelName('tightening_reason', reason)),
      numberCell(at.reasons[index]!.restorations),
    ]),
  })
}
