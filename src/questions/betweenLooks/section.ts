import { message } from '../../messages/message.js'
import { yearsAt } from '../howOften/section.js'
import {
  emptyCell,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  numberCell,
  numberColumn,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, number, type Path } from '../words/place.js'
import { type BetweenLooks, mostForNonParametric } from './answer.js'

/** Risks by the fits that place no event, horizon by horizon. */
export function betweenLooksTable(result: BetweenLooks, at: Path<BetweenLooks>): Table {
  return table('between-looks', message('between-looks.caption'), {
    columns: [
      textColumn(message('between-looks.horizon')),
      numberColumn(message('between-looks.at-risk')),
      numberColumn(message('between-looks.lower')),
      numberColumn(message('between-looks.upper')),
      estimateColumn(message('between-looks.weibull'), 'percent'),
    ],
    rows: result.horizons.map(({ nonParametric, weibull }, index) => {
      const place = at.horizons[index]!
      return [
        wordCell(yearsAt(place.years)),
        numberCell(place.atRisk),
        nonParametric === undefined ? emptyCell : numberCell(place.nonParametric.lower, 'percent'),
        nonParametric === undefined ? emptyCell : numberCell(place.nonParametric.upper, 'percent'),
        weibull === undefined ? emptyEstimate : estimateCell(place.weibull, 'percent'),
      ]
    }),
    notes: [
      message('between-looks.note', { level: number(at.level, 'level') }),
      ...(result.horizons.every(({ nonParametric }) => nonParametric === undefined)
        ? [message('between-looks.on-request', { most: mostForNonParametric })]
        : []),
      ...(result.onsetTold === 0 ? [] : [message('between-looks.onset', { told: count(at.onsetTold) })]),
      ...(result.lateEntry === 0
        ? []
        : [message('life-table.late-entry', { restorations: count(at.lateEntry) })]),
    ],
  })
}
