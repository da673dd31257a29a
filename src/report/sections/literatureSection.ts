import { literatureChart } from '../../charts/literatureChart.js'
import { yearsInWords } from '../../charts/words.js'
import { captionedTable } from '../captioned.js'
import { estimateCell, estimateColumn, foreignCell, numberCell, textColumn, wordCell } from '../cells.js'
import { type Block, type Cell, type Phrase, paragraph, type Section, type Table } from '../document.js'
import { literatureLabels, literatureSentence, thinMark } from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'

/** The audit beside published figures; empty where nothing is published on its endpoint. */
export function literatureSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { literature } = audit
  const frame = { id: 'literature', title: literatureLabels.section }
  if (literature === undefined) return { ...frame, blocks: [] }
  const blocks: Block[] = [paragraph(literatureSentence(audit, cite))]
  if (literature.horizons.length > 0) {
    blocks.push(
      matchedTable(context),
      ...figuresOnRequest(context, () => [
        captionedFigure('literature', literatureLabels.chart, context, (options) =>
          literatureChart(literature, options),
        ),
      ]),
    )
  }
  if (literature.withoutHorizon.length > 0) blocks.push(unmatchedTable(context))
  return { ...frame, blocks }
}

function matchedTable({ audit, cite }: SectionContext): Table {
  const words = literatureLabels
  const { horizons } = audit.literature!
  const rows = horizons.flatMap(({ years, thin, published }, index) => {
    const path = `literature.horizons.${index}`
    const own: Cell[] = [
      wordCell(yearsInWords(years)),
      wordCell(words.own),
      wordCell(words.ownAbout),
      estimateCell(cite, `${path}.own`, 'percent', thin ? ' †' : ''),
    ]
    return [
      own,
      ...published.map((figure, at) => [
        wordCell(yearsInWords(years)),
        foreignCell(figure.fromMemory === true ? `${figure.source} ‡` : figure.source),
        foreignCell(figure.about),
        publishedCell(`${path}.published.${at}`, cite),
      ]),
    ]
  })
  const all = horizons.flatMap(({ published }) => published)
  const notes: Phrase[] = [
    ...(horizons.some(({ thin }) => thin) ? [thinMark(cite)] : []),
    ...(all.some(({ fromMemory }) => fromMemory === true) ? [[`‡ ${words.memory}`]] : []),
    ...(all.some(({ interval }) => typeof interval.lower !== 'number') ? [[words.noInterval]] : []),
  ]
  return captionedTable('literature', words.matched, {
    columns: [
      textColumn(words.years),
      textColumn(words.source),
      textColumn(words.about),
      estimateColumn(words.risk, 'percent'),
    ],
    rows,
    notes,
  })
}

/** A published share with its printed limits under it. */
function publishedCell(path: string, cite: SectionContext['cite']): Cell {
  const share = numberCell(cite, `${path}.share`, 'percent')
  const limits = [cite.read(`${path}.interval.lower`), cite.read(`${path}.interval.upper`)]
  if (!limits.every((limit) => typeof limit === 'number')) {
    return { content: share.content, csv: [...share.csv, { text: '' }, { text: '' }] }
  }
  const [lower, upper] = ['lower', 'upper'].map((end) =>
    numberCell(cite, `${path}.interval.${end}`, 'percent'),
  )
  return {
    content: share.content,
    under: cite.interval(path, 'percent'),
    csv: [...share.csv, ...lower!.csv, ...upper!.csv],
  }
}

function unmatchedTable({ audit, cite }: SectionContext): Table {
  const words = literatureLabels
  return captionedTable('literature-shares', words.unmatched, {
    columns: [
      textColumn(words.source),
      textColumn(words.about),
      textColumn(words.followUp),
      estimateColumn(words.risk, 'percent'),
    ],
    rows: audit.literature!.withoutHorizon.map(({ source, about, followUp = '' }, index) => [
      foreignCell(source),
      foreignCell(about),
      foreignCell(followUp),
      publishedCell(`literature.withoutHorizon.${index}`, cite),
    ]),
    notes: [[words.noInterval]],
  })
}
