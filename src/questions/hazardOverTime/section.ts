import { isNumber } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  figure,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, limits, number, type Path, quantity } from '../words/place.js'
import type { HazardOverTime, SpanRate } from './answer.js'
import { hazardChart } from './chart.js'

/** When it happens: rates by time since delivery and the smoothed hazard. */
export function hazardBlocks(
  result: HazardOverTime,
  at: Path<HazardOverTime>,
  setting: SectionSetting,
): readonly Block[] {
  const [all, ...groups] = result.groups
  const drawn = groups.filter(({ curve }) => curve !== undefined).map(({ group }) => group)
  return [
    paragraph(mainSentence(result, at, setting), 'lead'),
    ...(all!.events > 0 ? [spansTable(result, at, setting)] : []),
    ...(all!.curve === undefined
      ? []
      : [
          figure(
            'hazard',
            message('hazard.chart-caption'),
            (options) =>
              hazardChart(result, {
                ...options,
                groups: drawn.length === 2 ? drawn : ['all'],
                window: setting.definition.waitWindowMinutes,
              }),
            { onRequest: true },
          ),
        ]),
  ]
}

/** How the rate of the first half-year stands to that of later ones. */
export function mainSentence(
  { groups }: HazardOverTime,
  at: Path<HazardOverTime>,
  { definition }: SectionSetting,
): Words {
  const { events, spans } = groups[0]!
  const many = message(`endpoint.many.${definition.endpoint}`)
  if (events === 0) return message('hazard.none', { many })
  const rate = (index: number) => {
    const place = at.groups[0]!.spans[index]!
    if (!isNumber(spans[index]!.ratePer100Years.estimate)) return message('quantity.not-estimable')
    return message('hazard.rate', {
      estimate: quantity(place.ratePer100Years.estimate, 'rate'),
      ...limits(place.ratePer100Years, at.level, 'rate'),
      events: count(place.events),
    })
  }
  const last = spans.length - 1
  const first = rate(0)
  return sentences(
    last === 0
      ? message('hazard.first-only', { many, first })
      : message('hazard.first-and-last', {
          many,
          first,
          last: rate(last),
          from: number(at.groups[0]!.spans[last]!.fromYears, 'years'),
        }),
    message('hazard.found-when-looked'),
  )
}

/** Rates by time since delivery, a column for each group. */
export function spansTable(
  { groups }: HazardOverTime,
  at: Path<HazardOverTime>,
  { definition }: SectionSetting,
): Table {
  return table('hazard', message('hazard.spans'), {
    columns: [
      textColumn(message('hazard.span')),
      ...groups.map(({ group }) => estimateColumn(groupTitle(group, definition), 'rate')),
    ],
    rows: groups[0]!.spans.map((span, index) => [
      wordCell(spanTitle(span)),
      ...groups.map(({ spans }, column) =>
        spans[index] === undefined
          ? emptyEstimate
          : estimateCell(at.groups[column]!.spans[index]!.ratePer100Years, 'rate'),
      ),
    ]),
  })
}

function spanTitle({ fromYears, toYears }: SpanRate): Words {
  const from = String(fromYears)
  return toYears === undefined
    ? message('hazard.span-open', { from })
    : message('hazard.span-between', { from, to: String(toYears) })
}
