import { isNumber } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import { methodWords } from '../../messages/methodWords.js'
import { warningOf } from '../../messages/speaker.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  emptyCell,
  heading,
  numberCell,
  numberColumn,
  paragraph,
  quantityCell,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, interval, number, type Path } from '../words/place.js'
import type { RemovalTorqueResult } from './answer.js'
import type { BenchComparison } from './benchTorque.js'

/** What is said of the torque of removal. */
export function removalBlocks(
  result: RemovalTorqueResult,
  at: Path<RemovalTorqueResult>,
  setting: SectionSetting,
): readonly Block[] {
  return [
    heading(message('removal-torque.title')),
    paragraph(mainSentence(result, at)),
    groupTable(result, at, setting),
    ...(result.removal.pairs.length === 0 ? [] : [pairsTable(result, at, setting)]),
  ]
}

/** What torque of removal says, or that it says nothing yet. */
export function mainSentence({ removal }: RemovalTorqueResult, at: Path<RemovalTorqueResult>): Words {
  const { welch } = removal
  return sentences(
    message('removal-torque.counted', {
      measurements: count(at.measurements),
      restorations: count(at.restorations),
    }),
    welch === undefined ? message('removal-torque.nothing-to-compare') : undefined,
    welch !== undefined && isNumber(welch.pValue)
      ? message('removal-torque.tested', {
          value: message('quantity.p-value', {
            below: welch.pValue < 0.0001 ? 'yes' : 'other',
            number: number(at.removal.welch.pValue, 'p-value'),
          }),
        })
      : undefined,
    message('removal-torque.surrogate'),
  )
}

/** Which of the two comparisons a row is from, with the format of its numbers. */
const measures = [
  { key: 'removal', title: message('removal-torque.torque'), format: 'torque', change: 'torque' },
  { key: 'loss', title: message('removal-torque.loss'), format: 'percent', change: 'points' },
] as const

function rowsOfMeasures<Row>(
  result: RemovalTorqueResult,
  at: Path<RemovalTorqueResult>,
  rows: (
    comparison: BenchComparison,
    place: Path<BenchComparison>,
    measure: (typeof measures)[number],
  ) => readonly Row[],
): readonly Row[] {
  return measures.flatMap((measure) => {
    const comparison = result[measure.key]
    return comparison === undefined ? [] : rows(comparison, at[measure.key], measure)
  })
}

/** Torque of removal by group. */
export function groupTable(
  result: RemovalTorqueResult,
  at: Path<RemovalTorqueResult>,
  { definition }: SectionSetting,
): Table {
  return table('removal-torque', message('removal-torque.title'), {
    columns: [
      textColumn(message('removal-torque.measure')),
      textColumn(message('table.group')),
      numberColumn(message('table.restorations')),
      numberColumn(message('table.mean')),
      numberColumn(message('table.standard-deviation')),
    ],
    rows: rowsOfMeasures(result, at, ({ groups }, place, { title, format }) =>
      groups.map(({ name, n }, index) => [
        wordCell(title),
        wordCell(groupTitle(name, definition)),
        numberCell(place.groups[index]!.n),
        numberCell(place.groups[index]!.mean, format),
        n < 2 ? emptyCell : numberCell(place.groups[index]!.standardDeviation, format),
      ]),
    ),
    notes: result.warnings.map(warningOf),
  })
}

function pairsTable(
  result: RemovalTorqueResult,
  at: Path<RemovalTorqueResult>,
  { definition }: SectionSetting,
): Table {
  return table('removal-torque-pairs', message('removal-torque.pairs'), {
    columns: [
      textColumn(message('removal-torque.measure')),
      textColumn(message('table.pair')),
      numberColumn(message('table.difference')),
      textColumn(message('table.interval')),
      numberColumn(message('table.p-value')),
    ],
    rows: rowsOfMeasures(result, at, ({ pairs }, place, { title, change }) =>
      pairs.map(({ group, against }, index) => [
        wordCell(title),
        wordCell(
          message('removal-torque.pair', {
            group: groupTitle(group, definition),
            against: groupTitle(against, definition),
          }),
        ),
        numberCell(place.pairs[index]!.difference, change),
        wordCell(interval(place.pairs[index]!, change)),
        quantityCell(place.pairs[index]!.pValue, 'p-value'),
      ]),
    ),
    notes: [message('removal-torque.by', { method: methodWords(result.removal.method) })],
  })
}
