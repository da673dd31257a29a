import { listOf, type Message, message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { warningOf } from '../../messages/speaker.js'
import {
  type Block,
  type Cell,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, number, type Path } from '../words/place.js'
import type { ClinicFunnel, FunnelClinic } from './answer.js'
import { funnelChart } from './chart.js'

/** Clinics beside each other. */
export function funnelBlocks(result: ClinicFunnel, at: Path<ClinicFunnel>): readonly Block[] {
  return [
    paragraph(mainSentence(result, at)),
    clinicsTable(result, at),
    figure('funnel', message('clinics.chart-caption'), (options) => funnelChart(result, options), {
      onRequest: true,
    }),
  ]
}

/** Whether a clinic stands out, and what that is for. */
export function mainSentence(
  { clinics, leftOut, overDispersion }: ClinicFunnel,
  at: Path<ClinicFunnel>,
): Words {
  const outside = clinics.filter(({ position }) => position !== 'within')
  return sentences(
    outside.length === 0
      ? message('clinics.all-within', { clinics: count(at.clinics.length) })
      : message('clinics.outside', {
          count: outside.length,
          clinics: listOf(outside.map((one) => unitInWords(one, at.clinics[clinics.indexOf(one)]!))),
        }),
    overDispersion.widened ? message('clinics.widened') : undefined,
    leftOut === 0 ? undefined : message('clinics.left-out', { restorations: count(at.leftOut) }),
    message('clinics.basis'),
  )
}

/** A clinic with its events and those expected. */
function unitInWords({ clinic }: FunnelClinic, at: Path<FunnelClinic>): Message {
  return message('clinics.unit', {
    clinic: foreign(clinic),
    events: count(at.events),
    expected: number(at.expected, 'years'),
  })
}

/** Events of each clinic beside those expected. */
export function clinicsTable({ clinics, warnings }: ClinicFunnel, at: Path<ClinicFunnel>): Table {
  return table('funnel', message('clinics.table'), {
    columns: [
      textColumn(message('table.clinic')),
      numberColumn(message('table.restorations')),
      numberColumn(message('table.events')),
      numberColumn(message('clinics.expected')),
      numberColumn(message('clinics.ratio')),
      textColumn(message('clinics.position')),
    ],
    rows: clinics.map((unit, index) => unitRow(unit, at.clinics[index]!)),
    notes: warnings.map(warningOf),
  })
}

/** One clinic, or another unit of a funnel: events beside those expected, and where it lies. */
export function unitRow({ clinic, position }: FunnelClinic, at: Path<FunnelClinic>): readonly Cell[] {
  return [
    foreignCell(clinic),
    numberCell(at.restorations),
    numberCell(at.events),
    numberCell(at.expected, 'years'),
    numberCell(at.ratio, 'ratio'),
    wordCell(message(`clinics.position.${position}`)),
  ]
}
