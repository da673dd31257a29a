import type { BenchComparison } from '../../analysis/benchTorque.js'
import { torqueChart } from '../../charts/torqueChart.js'
import { captionedTable } from '../captioned.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  phraseCell,
  quantityCell,
  textColumn,
  wordCell,
} from '../cells.js'
import {
  type Block,
  type Cell,
  foreign,
  paragraph,
  plainText,
  type Section,
  type Table,
} from '../document.js'
import {
  calibrationWords,
  deviceTypeInWords,
  groupTitle,
  removalSentence,
  torqueBasis,
  torqueLabels,
  torqueSentence,
} from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'

/** Torque reached against aimed at, and torque of removal; empty where neither is recorded. */
export function torqueSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { torque, removalTorque } = audit
  const frame = { id: 'torque', title: torqueLabels.section }
  const blocks: Block[] = []
  if (torque !== undefined) {
    blocks.push(paragraph(torqueSentence(torque, cite), 'lead'), paragraph(torqueBasis(torque, cite)))
    if (torque.byDevice.length > 0) blocks.push(deviceTable(context))
    if (torque.byCalibration.length > 0) blocks.push(calibrationTable(context))
    if (torque.byDevice.some(({ deviation }) => deviation !== undefined)) {
      blocks.push(
        ...figuresOnRequest(context, () => [
          captionedFigure('torque', torqueLabels.deviations, context, (options) =>
            torqueChart(torque, options),
          ),
        ]),
      )
    }
  }
  if (removalTorque !== undefined) {
    blocks.push({ kind: 'heading', text: torqueLabels.removal }, paragraph(removalSentence(audit, cite)))
    blocks.push(removalTable(context))
    if (removalTorque.removal.pairs.length > 0) blocks.push(pairsTable(context))
  }
  return { ...frame, blocks }
}

function deviceTable({ audit, cite }: SectionContext): Table {
  const words = torqueLabels
  return captionedTable('torque', words.byDevice, {
    columns: [
      textColumn(words.device),
      textColumn(words.type),
      numberColumn(words.applications),
      estimateColumn(words.within, 'percent'),
      numberColumn(words.over),
      numberColumn(words.under),
      estimateColumn(words.deviation, 'torque'),
      textColumn(words.limits),
      numberColumn(words.calibration),
    ],
    rows: audit.torque!.byDevice.map(({ device, type, deviation, longestSinceCalibrationDays }, index) => {
      const at = `torque.byDevice.${index}`
      return [
        foreignCell(device),
        foreignCell(deviceTypeInWords(type)),
        numberCell(cite, `${at}.applications`, 'count'),
        estimateCell(cite, `${at}.shareWithin`, 'percent'),
        numberCell(cite, `${at}.over`, 'count'),
        numberCell(cite, `${at}.under`, 'count'),
        deviation === undefined ? noEstimate : estimateCell(cite, `${at}.deviation.mean`, 'torque'),
        deviation === undefined ? nothing : limitsCell(`${at}.deviation`, cite),
        longestSinceCalibrationDays === undefined
          ? nothing
          : numberCell(cite, `${at}.longestSinceCalibrationDays`, 'count'),
      ]
    }),
  })
}

const nothing: Cell = { content: ['–'], csv: [{ text: '' }] }
const noEstimate: Cell = { content: ['–'], csv: [{ text: '' }, { text: '' }, { text: '' }] }

function limitsCell(at: string, cite: SectionContext['cite']): Cell {
  const limits = [
    cite.quantity(`${at}.lowerLimit.estimate`, 'torque'),
    ' to ',
    cite.quantity(`${at}.upperLimit.estimate`, 'torque'),
  ]
  return phraseCell(limits, plainText(limits))
}

function calibrationTable({ audit, cite }: SectionContext): Table {
  const words = torqueLabels
  return captionedTable('torque-calibration', words.byCalibration, {
    columns: [
      textColumn(words.band),
      numberColumn(words.applications),
      estimateColumn(words.within, 'percent'),
      numberColumn(words.over),
      numberColumn(words.under),
    ],
    rows: audit.torque!.byCalibration.map(({ band }, index) => {
      const at = `torque.byCalibration.${index}`
      return [
        wordCell(calibrationWords[band]),
        numberCell(cite, `${at}.applications`, 'count'),
        estimateCell(cite, `${at}.shareWithin`, 'percent'),
        numberCell(cite, `${at}.over`, 'count'),
        numberCell(cite, `${at}.under`, 'count'),
      ]
    }),
  })
}

/** Which of the two comparisons a row is from, with the format of its numbers. */
const measures = [
  { key: 'removal', title: torqueLabels.removalTorque, format: 'torque', change: 'torque' },
  { key: 'loss', title: torqueLabels.loss, format: 'percent', change: 'points' },
] as const

type Measure = (typeof measures)[number]

function rowsOfMeasures<Row>(
  audit: SectionContext['audit'],
  rows: (comparison: BenchComparison, measure: Measure, path: string) => readonly Row[],
): readonly Row[] {
  return measures.flatMap((measure) => {
    const comparison = audit.removalTorque![measure.key]
    return comparison === undefined ? [] : rows(comparison, measure, `removalTorque.${measure.key}`)
  })
}

function removalTable({ audit, cite }: SectionContext): Table {
  const words = torqueLabels
  return captionedTable('removal-torque', words.removal, {
    columns: [
      textColumn(words.measure),
      textColumn('Group'),
      numberColumn('Restorations'),
      numberColumn(words.mean),
      numberColumn(words.standardDeviation),
    ],
    rows: rowsOfMeasures(audit, ({ groups }, { title, format }, path) =>
      groups.map(({ name, n }, index) => [
        wordCell(title),
        foreignCell(groupTitle(name, audit.definition)),
        numberCell(cite, `${path}.groups.${index}.n`, 'count'),
        numberCell(cite, `${path}.groups.${index}.mean`, format),
        n < 2 ? nothing : numberCell(cite, `${path}.groups.${index}.standardDeviation`, format),
      ]),
    ),
    notes: audit.removalTorque!.warnings.map(({ text }) => [foreign(text)]),
  })
}

function pairsTable({ audit, cite }: SectionContext): Table {
  const words = torqueLabels
  return captionedTable('removal-torque-pairs', words.removalPairs, {
    columns: [
      textColumn(words.measure),
      textColumn(words.pair),
      numberColumn(words.difference),
      textColumn('Interval'),
      numberColumn(words.pValue),
    ],
    rows: rowsOfMeasures(audit, ({ pairs }, { title, change }, path) =>
      pairs.map(({ group, against }, index) => {
        const at = `${path}.pairs.${index}`
        const interval = cite.interval(at, change)
        return [
          wordCell(title),
          foreignCell(
            `${groupTitle(group, audit.definition)} − ${groupTitle(against, audit.definition).toLowerCase()}`,
          ),
          numberCell(cite, `${at}.difference`, change),
          phraseCell(interval, plainText(interval)),
          quantityCell(cite, `${at}.pValue`, 'p-value'),
        ]
      }),
    ),
    notes: [[foreign(`${audit.removalTorque!.removal.method}.`)]],
  })
}
