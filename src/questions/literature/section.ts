import { type Interval, isNumber } from '../../core/estimate.js'
import { listOf, type Message, message, type Words } from '../../messages/message.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  type Cell,
  emptyCell,
  estimateCell,
  estimateColumn,
  fewAtRiskNotes,
  fewMark,
  figure,
  foreignCell,
  numberCell,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { interval, limits, number, type Path, years } from '../words/place.js'
import type { LiteratureHorizon, LiteratureResult, ShownFigure } from './answer.js'
import { literatureChart } from './chart.js'

/** The audit beside published figures. */
export function literatureBlocks(
  result: LiteratureResult,
  at: Path<LiteratureResult>,
  setting: SectionSetting,
): readonly Block[] {
  const matched = result.horizons.length > 0
  return [
    paragraph(mainSentence(result, at, setting)),
    ...(matched
      ? [
          matchedTable(result, at),
          figure(
            'literature',
            message('literature.chart-caption'),
            (options) => literatureChart(result, options),
            {
              onRequest: true,
            },
          ),
        ]
      : []),
    ...(result.withoutHorizon.length > 0 ? [unmatchedTable(result, at)] : []),
  ]
}

/** The audit's own risk at the horizons that the literature has. */
export function mainSentence(
  { horizons }: LiteratureResult,
  at: Path<LiteratureResult>,
  { definition }: SectionSetting,
): Words {
  const name = message(`endpoint.name.${definition.endpoint}`)
  const risks = horizons.flatMap(({ own }, index) => {
    const place = at.horizons[index]!
    if (!isNumber(own.estimate)) return []
    return [
      message('literature.risk-by', {
        risk: number(place.own.estimate, 'percent'),
        years: years(place.years),
        ...limits(place.own, at.level, 'percent'),
      }),
    ]
  })
  const ranges = horizons.flatMap(({ published }, index) => publishedRange(published, at.horizons[index]!))
  return sentences(
    risks.length === 0
      ? message('literature.too-short', { name })
      : message('literature.risks', { name, risks: listOf(risks) }),
    ranges.length === 0 ? undefined : message('literature.published', { ranges: listOf(ranges) }),
    message('literature.basis', { meaning: message(`endpoint.meaning.${definition.endpoint}`) }),
  )
}

/** From the least to the most of what is published for one horizon. */
function publishedRange(published: readonly ShownFigure[], at: Path<LiteratureHorizon>): readonly Message[] {
  if (published.length === 0) return []
  const shares = published.map(({ share }) => share)
  const placeOf = (share: number) => number(at.published[shares.indexOf(share)]!.share, 'percent')
  const [least, most] = [Math.min(...shares), Math.max(...shares)]
  return [
    message('literature.published-by', {
      same: least === most ? 'yes' : 'other',
      least: placeOf(least),
      most: placeOf(most),
      years: years(at.years),
    }),
  ]
}

/** Own and published risks at the same time after delivery. */
export function matchedTable({ horizons }: LiteratureResult, at: Path<LiteratureResult>): Table {
  const rows = horizons.flatMap(({ thin, published }, index): readonly (readonly Cell[])[] => {
    const place = at.horizons[index]!
    const span = wordCell(message('literature.span', { years: years(place.years) }))
    return [
      [
        span,
        wordCell(message('literature.own')),
        wordCell(message('literature.own-about')),
        estimateCell(place.own, 'percent', thin ? fewMark : ''),
      ],
      ...published.map((one, row) => [
        span,
        foreignCell(one.fromMemory === true ? `${one.source} ‡` : one.source),
        wordCell(message(`literature.about.${one.about}`)),
        publishedCell(one, place.published[row]!),
      ]),
    ]
  })
  const all = horizons.flatMap(({ published }) => published)
  return table('literature', message('literature.matched'), {
    columns: [
      textColumn(message('table.years')),
      textColumn(message('table.source')),
      textColumn(message('literature.about')),
      estimateColumn(message('table.share'), 'percent'),
    ],
    rows,
    notes: [
      ...fewAtRiskNotes(
        horizons.some(({ thin }) => thin),
        at.leastAtRisk,
      ),
      ...(all.some(({ fromMemory }) => fromMemory === true) ? [message('literature.memory')] : []),
      ...(all.some((one) => !hasLimits(one)) ? [message('literature.no-interval')] : []),
    ],
  })
}

function hasLimits({ interval: { lower, upper } }: { readonly interval: Interval }): boolean {
  return isNumber(lower) && isNumber(upper)
}

/** A published share with its printed limits under it. */
function publishedCell(one: ShownFigure, place: Path<ShownFigure>): Cell {
  const share = numberCell(place.share, 'percent')
  if (!hasLimits(one)) return { ...share, csv: [...share.csv, { text: '' }, { text: '' }] }
  const ends = [place.interval.lower, place.interval.upper].map((end) => numberCell(end, 'percent'))
  return {
    ...share,
    under: interval(place, 'percent'),
    csv: [...share.csv, ...ends.flatMap(({ csv }) => csv)],
  }
}

function unmatchedTable({ withoutHorizon }: LiteratureResult, at: Path<LiteratureResult>): Table {
  return table('literature-shares', message('literature.unmatched'), {
    columns: [
      textColumn(message('table.source')),
      textColumn(message('literature.about')),
      textColumn(message('table.follow-up')),
      estimateColumn(message('table.share'), 'percent'),
    ],
    rows: withoutHorizon.map((one, index) => [
      foreignCell(one.source),
      wordCell(message(`literature.about.${one.about}`)),
      one.followUp === undefined ? emptyCell : wordCell(message(`literature.follow-up.${one.followUp}`)),
      publishedCell(one, at.withoutHorizon[index]!),
    ]),
    notes: [message('literature.no-interval')],
  })
}
