import { besideChart } from '../../charts/besideChart.js'
import { message } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { speaker } from '../../messages/speaker.js'
import type { OwnPage } from '../../pooling/site/ownPage.js'
import { twoSizes } from '../model/captioned.js'
import { estimateCell, estimateColumn, numberCell, textColumn, wordCell } from '../model/cells.js'
import { citationsOf } from '../model/citation.js'
import {
  type Block,
  type Cell,
  foreign,
  paragraph,
  type ReportDocument,
  type Table,
} from '../model/document.js'
import { pooledText as text } from '../wording/pooledWords.js'

/** The confidential page that sets one practice beside the others, made in the practice. */
export function siteDocument(page: OwnPage, options: { readonly date: string }): ReportDocument {
  const tables = page.groups.flatMap((_one, i) => groupBlocks(page, i))
  return {
    layout: 'compact',
    title: [text('pooled.site.title')],
    kicker: text('pooled.site.kicker'),
    summary: [foreign(page.name)],
    generated: page.generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: text('pooled.site.beside'),
        blocks: [
          paragraph([text('pooled.site.note')]),
          paragraph([text('pooled.site.checked')]),
          ...(page.objected.length === 0 ? [] : [paragraph([text('pooled.site.objects')], 'lead')]),
          ...besideFigure(page),
          ...tables,
        ],
      },
    ],
  }
}

/** Rates of the practice and of the others; none where the others are too few everywhere. */
function besideFigure(page: OwnPage): readonly Block[] {
  if (besideChart(page) === undefined) return []
  const by = speaker()
  return [
    twoSizes(
      'beside',
      by.text(message('study-group.beside-caption')),
      { generated: page.generated },
      (options) => besideChart(page, options)!,
    ),
  ]
}

function groupBlocks(page: OwnPage, i: number): readonly Block[] {
  const { endpoint, group, others } = page.groups[i]!
  const cite = citationsOf(page)
  const sides = others === undefined ? (['own'] as const) : (['own', 'others'] as const)
  const count = (side: string, name: string): Cell => {
    const cell = numberCell(
      cite,
      `groups.${i}.${side}.${name}`,
      name === 'restorationYears' ? 'restoration-years' : 'count',
    )
    return { ...cell, csv: [...cell.csv, { text: '' }, { text: '' }] }
  }
  const table: Table = {
    kind: 'table',
    id: `table-beside-${i + 1}`,
    caption: `${speaker().text(endpointLabel(endpoint))}, ${group}`,
    columns: [
      textColumn(text('pooled.site.columns.quantity')),
      ...sides.map((side) => estimateColumn(cite, text(`pooled.site.columns.${side}`), 'count')),
    ],
    rows: [
      [wordCell(text('pooled.site.restorations')), ...sides.map((side) => count(side, 'restorations'))],
      [wordCell(text('pooled.site.patients')), ...sides.map((side) => count(side, 'patients'))],
      [wordCell(text('pooled.site.events')), ...sides.map((side) => count(side, 'events'))],
      [wordCell(text('pooled.site.years')), ...sides.map((side) => count(side, 'restorationYears'))],
      [
        wordCell(text('pooled.site.rate')),
        ...sides.map((side) => estimateCell(cite, `groups.${i}.${side}.rate`, 'rate')),
      ],
    ],
    notes: others === undefined ? [[text('pooled.site.fewOthers')]] : [],
  }
  return [table]
}
