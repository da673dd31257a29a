import { funnelChart } from '../../charts/funnelChart.js'
import { speaker, warningOf } from '../../messages/speaker.js'
import { captionedTable } from '../captioned.js'
import { foreignCell, numberCell, numberColumn, textColumn, wordCell } from '../cells.js'
import { paragraph, type Section, type Table } from '../document.js'
import { funnelLabels, funnelSentence, labels, positionInWords } from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'

/** Clinics beside each other; empty where there are fewer than five. */
export function funnelSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { clinicFunnel } = audit
  const frame = { id: 'clinics', title: funnelLabels.section }
  if (clinicFunnel === undefined) return { ...frame, blocks: [] }
  return {
    ...frame,
    blocks: [
      paragraph(funnelSentence(audit, cite)),
      clinicsTable(context),
      ...figuresOnRequest(context, () => [
        captionedFigure('funnel', funnelLabels.chart, context, (options) =>
          funnelChart(clinicFunnel, options),
        ),
      ]),
    ],
  }
}

function clinicsTable({ audit, cite }: SectionContext): Table {
  const { clinics, warnings } = audit.clinicFunnel!
  return captionedTable('funnel', funnelLabels.table, {
    columns: [
      textColumn(funnelLabels.clinic),
      numberColumn(labels.columns.restorations),
      numberColumn(labels.columns.events),
      numberColumn(funnelLabels.expected),
      numberColumn(funnelLabels.ratio),
      textColumn(funnelLabels.position),
    ],
    rows: clinics.map(({ clinic, position }, index) => {
      const at = `clinicFunnel.clinics.${index}`
      return [
        foreignCell(clinic),
        numberCell(cite, `${at}.restorations`, 'count'),
        numberCell(cite, `${at}.events`, 'count'),
        numberCell(cite, `${at}.expected`, 'years'),
        numberCell(cite, `${at}.ratio`, 'ratio'),
        wordCell(positionInWords(position)),
      ]
    }),
    notes: warnings.map((one) => speaker().phrase(warningOf(one))),
  })
}
