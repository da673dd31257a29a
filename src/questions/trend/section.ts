import { type Interval, isNumber } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  estimateCell,
  estimateColumn,
  fewAtRiskNotes,
  fewMark,
  figure,
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
import { count, limits, number, type Path, type Place, years } from '../words/place.js'
import type { TrendResult } from './answer.js'
import { trendChart } from './chart.js'

/** The course of the years: what may be said of it, every year as figure and as table. */
export function trendBlocks(
  result: TrendResult,
  at: Path<TrendResult>,
  setting: SectionSetting,
): readonly Block[] {
  const drawn = trendChart(result)
  return [
    paragraph(mainSentence(result, at, setting)),
    ...(drawn === undefined
      ? []
      : [figure('trend', message('trend.chart-caption'), (options) => trendChart(result, options)!)]),
    yearsTable(result, at),
    paragraph(basisSentence(result, at), 'note'),
  ]
}

/** Whether an interval of a ratio lies on one side of 1. */
function lies({ lower, upper }: Interval): boolean {
  return (isNumber(upper) && upper < 1) || (isNumber(lower) && lower > 1)
}

/** Whether a trend is there to speak of. */
export function mainSentence(
  result: TrendResult,
  at: Path<TrendResult>,
  { definition }: Pick<SectionSetting, 'definition'>,
): Words {
  const { verdict, perYear, looksRatio } = result
  const endpoint = message(`endpoint.name.${definition.endpoint}`)
  const followed = years(at.followedYears)
  const [firmYears, events] = [count(at.firm.years), count(at.firm.events)]
  if (verdict === 'few-years') {
    return message('trend.few-years', {
      years: firmYears,
      least: count(at.rule.leastYears),
      followed,
      atRisk: count(at.leastAtRisk),
    })
  }
  if (verdict === 'few-events' || perYear === undefined) {
    if (verdict === 'unequal-looks' && typeof looksRatio !== 'number')
      return message('trend.looks-unknown', { endpoint })
    return verdict === 'unequal-looks'
      ? message('trend.unequal-looks', { endpoint, looks: number(at.looksRatio as Place<number>, 'ratio') })
      : message('trend.few-events', { endpoint, followed, events, years: firmYears })
  }
  return sentences(
    message('trend.rate', {
      endpoint,
      followed,
      events,
      years: firmYears,
      ratio: number(at.perYear.estimate as Place<number>, 'ratio'),
      ...limits(at.perYear as never, at.level, 'ratio'),
    }),
    verdict === 'open' && lies(perYear.interval)
      ? message('trend.open-ends')
      : message(`trend.${verdict as 'open' | 'fell' | 'rose'}`),
  )
}

/** What counts, what is left out, and what a trend does not tell. */
function basisSentence({ leftOut }: TrendResult, at: Path<TrendResult>): Words {
  return sentences(
    message('trend.basis', { followed: years(at.followedYears) }),
    leftOut.tooLate === 0
      ? undefined
      : message('trend.too-late', { restorations: count(at.leftOut.tooLate) }),
    leftOut.yearUnknown === 0
      ? undefined
      : message('trend.year-unknown', { restorations: count(at.leftOut.yearUnknown) }),
    leftOut.lateEntry === 0
      ? undefined
      : message('trend.late-entry', { restorations: count(at.leftOut.lateEntry) }),
    message('trend.no-cause'),
  )
}

/** A row for each year of delivery. */
export function yearsTable(result: TrendResult, at: Path<TrendResult>): Table {
  return table('trend', message('trend.caption', { followed: years(at.followedYears) }), {
    columns: [
      textColumn(message('trend.year')),
      numberColumn(message('table.restorations')),
      numberColumn(message('trend.patients')),
      numberColumn(message('table.events')),
      numberColumn(message('trend.at-risk')),
      numberColumn(message('trend.never-checked')),
      numberColumn(message('trend.looks')),
      estimateColumn(message('trend.risk'), 'percent'),
    ],
    rows: result.years.map((one, index) => {
      const own = at.years[index]!
      return [
        wordCell(number(own.year, 'calendar-year')),
        numberCell(own.restorations),
        numberCell(own.patients),
        numberCell(own.events),
        numberCell(own.atRisk),
        numberCell(own.neverChecked),
        quantityCell(own.looksPerYear, 'rate'),
        estimateCell(own.risk, 'percent', one.few ? fewMark : ''),
      ]
    }),
    notes: fewAtRiskNotes(
      result.years.some(({ few }) => few),
      at.leastAtRisk,
    ),
  })
}
