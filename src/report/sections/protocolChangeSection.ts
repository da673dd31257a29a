import { runChart } from '../../charts/runChart.js'
import { captionedTable } from '../captioned.js'
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
import { type Block, type Cell, paragraph, type Section, type Table } from '../document.js'
import {
  clinicChangeSentence,
  labels,
  noChangeSentence,
  protocolChangeLabels,
  protocolChangeOpening,
  shareNote,
} from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'

/** More run charts than this would fill the report. */
const mostRunCharts = 4

/** Before and after a change of protocol; empty where no clinic changed. */
export function protocolChangeSection(context: SectionContext): Section {
  const { audit, cite } = context
  const result = audit.protocolChange
  const frame = { id: 'protocol-change', title: protocolChangeLabels.section }
  const changed = (result?.clinics ?? []).flatMap((clinic, index) =>
    clinic.change === undefined ? [] : [{ clinic, path: `protocolChange.clinics.${index}` }],
  )
  if (result === undefined || changed.length === 0) return { ...frame, blocks: [] }
  const rest = noChangeSentence(result, cite)
  const blocks: Block[] = [
    ...changed.map(({ clinic, path }) => paragraph(clinicChangeSentence(audit, clinic, path, cite), 'lead')),
    paragraph(protocolChangeOpening(audit, cite)),
    ...(rest.length === 0 ? [] : [paragraph(rest)]),
    periodsTable(context, changed),
    ...figuresOnRequest(context, () =>
      changed
        .slice(0, mostRunCharts)
        .map(({ clinic }, index) =>
          captionedFigure(`run-chart-${index + 1}`, protocolChangeLabels.runChart, context, (options) =>
            runChart(clinic, options),
          ),
        ),
    ),
  ]
  return { ...frame, blocks }
}

type Changed = readonly {
  readonly clinic: NonNullable<SectionContext['audit']['protocolChange']>['clinics'][number]
  readonly path: string
}[]

/** Two rows for each clinic: before and after. */
function periodsTable({ audit, cite }: SectionContext, changed: Changed): Table {
  const words = protocolChangeLabels
  const empty: Cell = { content: ['–'], csv: [{ text: '' }] }
  const emptyEstimate: Cell = { content: ['–'], csv: [{ text: '' }, { text: '' }, { text: '' }] }
  return captionedTable('protocol-change', words.caption, {
    columns: [
      textColumn(words.clinic),
      textColumn(words.side),
      numberColumn(words.shareInGroup),
      numberColumn(labels.columns.restorations),
      numberColumn(labels.columns.events),
      estimateColumn(words.risk, 'percent'),
      estimateColumn(words.difference, 'points'),
      estimateColumn(words.rateRatio, 'ratio'),
      estimateColumn(words.levelChange, 'ratio'),
    ],
    rows: changed.flatMap(({ clinic, path }) =>
      (['before', 'after'] as const).map((side) => {
        const { compared } = clinic
        const at = `${path}.compared`
        const contrast = (
          name: 'riskDifference' | 'rateRatio' | 'levelChange',
          format: 'points' | 'ratio',
        ) =>
          side === 'before' || compared?.[name] === undefined
            ? emptyEstimate
            : estimateCell(cite, `${at}.${name}`, format)
        return [
          foreignCell(clinic.clinic),
          wordCell(`${words[side]} ${clinic.change!.from}`),
          quantityCell(cite, `${path}.change.${side}.share`, 'percent'),
          compared === undefined ? empty : numberCell(cite, `${at}.${side}.restorations`, 'count'),
          compared === undefined ? empty : numberCell(cite, `${at}.${side}.events`, 'count'),
          compared === undefined ? emptyEstimate : estimateCell(cite, `${at}.${side}.risk`, 'percent'),
          contrast('riskDifference', 'points'),
          contrast('rateRatio', 'ratio'),
          contrast('levelChange', 'ratio'),
        ]
      }),
    ),
    notes: [shareNote(audit, cite)],
  })
}
