import { listOf, type Message, message, type Part } from '../../messages/message.js'
import { levelName } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, number, type Path } from '../words/place.js'
import type { RestorationTimeline, SmallSeries, TimelineDay } from './answer.js'
import { seriesPlot } from './chart.js'

/** Every restoration of a small series, as figure and as table. */
export function seriesBlocks(
  result: SmallSeries,
  at: Path<SmallSeries>,
  setting: SectionSetting,
): readonly Block[] {
  return [
    paragraph(message('series.main', { restorations: count(at.restorations.length) })),
    figure('series-plot', message('series.chart-caption'), (options) => seriesPlot(result, options)),
    seriesTable(result, at, setting),
    paragraph(message('series.caution'), 'note'),
  ]
}

/** A row for each restoration. */
export function seriesTable(
  { restorations }: SmallSeries,
  at: Path<SmallSeries>,
  { definition }: SectionSetting,
): Table {
  return table('series', message('series.caption'), {
    columns: [
      textColumn(message('series.restoration')),
      numberColumn(message('series.patient')),
      textColumn(message('series.handling')),
      numberColumn(message('series.checks')),
      textColumn(message('series.course')),
      textColumn(message('series.end')),
    ],
    rows: restorations.map((row, index) => {
      const place = at.restorations[index]!
      return [
        foreignCell(row.restoration),
        numberCell(place.patient, 'whole'),
        wordCell(groupTitle(row.group, definition)),
        numberCell(place.checks),
        wordCell(course(row, place)),
        wordCell(ended(row, place)),
      ]
    }),
  })
}

/** "180: check; 400: screw loosening, tightened". */
function course({ days }: RestorationTimeline, at: Path<RestorationTimeline>): Part {
  if (days.length === 0) return '–'
  return listOf(
    days.map((day, index) =>
      message('series.day', { day: number(at.days[index]!.day, 'whole'), what: recorded(day) }),
    ),
    'semicolon',
  )
}

function recorded({ looked, findings, actions, status }: TimelineDay): Part {
  const said = [
    ...findings.map((code) => levelName('finding', code)),
    ...actions.map((code) => levelName('action_taken', code)),
    ...(status === undefined || status === 'unknown' ? [] : [levelName('restoration_status', status)]),
  ]
  if (said.length === 0) return looked ? message('series.check') : message('series.contact')
  return listOf(said, 'comma')
}

function ended({ end, competingCause }: RestorationTimeline, at: Path<RestorationTimeline>): Message {
  const day = number(at.endDays, 'whole')
  return end === 'competing'
    ? message('series.ended.competing', { day, cause: foreign(competingCause ?? '') })
    : message(`series.ended.${end}`, { day })
}
