import { besideChart } from '../../charts/besideChart.js'
import { message, type Words } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { OwnPage } from '../../pooling/site/ownPage.js'
import {
  type Block,
  type Cell,
  estimateCell,
  estimateColumn,
  figure,
  numberCell,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import { type Path, pathsOf } from '../../questions/words/place.js'
import type { ReportDocument } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'

/** The confidential page that sets one practice beside the others, made in the practice. */
export function siteDocument(page: OwnPage, options: { readonly date: string }): ReportDocument {
  const by = speaker()
  const at = pathsOf(page)
  const blocks: readonly Block[] = [
    paragraph(message('pooled.site.note')),
    paragraph(message('pooled.site.checked')),
    ...(page.objected.length === 0 ? [] : [paragraph(message('pooled.site.objects'), 'lead')]),
    ...besideFigure(page),
    ...page.groups.map((one, i) => groupTable(one, at.groups[i]!, i)),
  ]
  return {
    layout: 'compact',
    title: by.phrase(message('pooled.site.title')),
    kicker: by.text(message('pooled.site.kicker')),
    summary: [foreign(page.name)],
    generated: page.generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: by.text(message('pooled.site.beside')),
        blocks: wordedBlocks(blocks, by, { generated: page.generated, full: true }),
      },
    ],
  }
}

/** Rates of the practice and of the others; none where the others are too few everywhere. */
function besideFigure(page: OwnPage): readonly Block[] {
  if (besideChart(page) === undefined) return []
  return [figure('beside', message('study-group.beside-caption'), (options) => besideChart(page, options)!)]
}

type Group = OwnPage['groups'][number]

function groupTable({ endpoint, group, others }: Group, at: Path<Group>, i: number): Table {
  const sides = others === undefined ? (['own'] as const) : (['own', 'others'] as const)
  const row = (name: Words, cellOf: (side: Path<Group['own']>) => Cell): readonly Cell[] => [
    wordCell(name),
    ...sides.map((side) => cellOf(at[side])),
  ]
  // A count takes the three columns of the estimate below it.
  const counted = (cell: Cell): Cell => ({ ...cell, csv: [...cell.csv, { text: '' }, { text: '' }] })
  return table(`beside-${i + 1}`, [endpointLabel(endpoint), `, ${group}`], {
    columns: [
      textColumn(message('pooled.site.columns.quantity')),
      ...sides.map((side) => estimateColumn(message(`pooled.site.columns.${side}`), 'count')),
    ],
    rows: [
      row(message('pooled.site.restorations'), (side) => counted(numberCell(side.restorations))),
      row(message('pooled.site.patients'), (side) => counted(numberCell(side.patients))),
      row(message('pooled.site.events'), (side) => counted(numberCell(side.events))),
      row(message('pooled.site.years'), (side) =>
        counted(numberCell(side.restorationYears, 'restoration-years')),
      ),
      row(message('pooled.site.rate'), (side) => estimateCell(side.rate, 'rate')),
    ],
    notes: others === undefined ? [message('pooled.site.fewOthers')] : [],
  })
}
