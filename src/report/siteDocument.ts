import { yearsInWords } from '../charts/words.js'
import type { SiteComparison } from '../pooling/siteComparison.js'
import type { ReportOptions } from './auditDocument.js'
import { estimateCell, estimateColumn, numberCell, textColumn, wordCell } from './cells.js'
import { type Citations, citationsOf } from './citation.js'
import { type Cell, foreign, paragraph, type ReportDocument, type Table } from './document.js'
import { siteWords } from './wording/pooledWords.js'

/** The confidential page that sets one site beside the others of its group. */
export function siteDocument(
  comparison: SiteComparison,
  options: Pick<ReportOptions, 'date'>,
): ReportDocument {
  const { others } = comparison
  return {
    layout: 'report',
    title: [siteWords.title],
    kicker: siteWords.kicker,
    summary: [foreign(comparison.clinic)],
    generated: comparison.generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: siteWords.beside,
        blocks: [
          paragraph([others === undefined ? siteWords.onlySite : siteWords.note]),
          besideTable(comparison, citationsOf(comparison)),
          ...(others === undefined ? [] : [paragraph([siteWords.threeSites], 'note')]),
        ],
      },
    ],
  }
}

function besideTable(comparison: SiteComparison, cite: Citations): Table {
  const { own, others } = comparison
  const sides = (['own', 'others'] as const).filter((side) => comparison[side] !== undefined)
  const row = (label: string, cell: (side: 'own' | 'others') => Cell): readonly Cell[] => [
    wordCell(label),
    ...sides.map(cell),
  ]
  const ratio = own.rateRatio ?? others?.rateRatio
  const names = ratio?.comparator
  return {
    kind: 'table',
    id: 'table-beside',
    caption: siteWords.beside,
    columns: [
      textColumn(siteWords.columns.quantity),
      ...sides.map((side) => estimateColumn(siteWords.columns[side], 'count')),
    ],
    rows: [
      row(siteWords.restorations, (side) => countCell(cite, `${side}.restorations`)),
      row(siteWords.events, (side) => countCell(cite, `${side}.events`)),
      row(siteWords.rate, (side) => estimateCell(cite, `${side}.ratePer100Years`, 'rate')),
      ...own.horizons.map(({ years }, h) =>
        row(siteWords.retention(yearsInWords(years)), (side) =>
          estimateCell(cite, `${side}.horizons.${h}.retention`, 'percent'),
        ),
      ),
      ...(names === undefined
        ? []
        : [
            row(siteWords.ratio(names.group, names.against), (side) =>
              comparison[side]?.rateRatio === undefined
                ? withoutInterval(wordCell(siteWords.noRatio))
                : estimateCell(cite, `${side}.rateRatio`, 'ratio'),
            ),
          ]),
    ],
    notes: [
      [siteWords.intervals],
      ...(sides.every((side) => comparison[side]?.rateRatio !== undefined) ? [] : [[siteWords.noRatioNote]]),
    ],
  }
}

function countCell(cite: Citations, path: string): Cell {
  return withoutInterval(numberCell(cite, path, 'count'))
}

/** The columns hold limits too, in CSV. */
function withoutInterval(cell: Cell): Cell {
  return { ...cell, csv: [...cell.csv, { text: '' }, { text: '' }] }
}
