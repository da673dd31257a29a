import type { RestorationTimeline, TimelineDay } from '../../analysis/description/smallSeries.js'
import { seriesPlot } from '../../charts/seriesPlot.js'
import { printable } from '../../charts/words.js'
import { foreignCell, numberCell, numberColumn, phraseCell, textColumn, wordCell } from '../cells.js'
import type { Citations } from '../citation.js'
import {
  type Cell,
  foreign,
  type Inline,
  paragraph,
  phrase,
  plainText,
  type Section,
  type Table,
} from '../document.js'
import {
  courseWords,
  describingLabels,
  endpointOf,
  groupTitle,
  seriesCaution,
  seriesSentence,
} from '../wording.js'
import type { SectionContext } from './context.js'
import { describingFigure, describingTable } from './describingBlocks.js'

/** Every restoration of a small series, as figure and as table; empty where there are too many to be shown. */
export function seriesSection(context: SectionContext): Section {
  const { audit, cite } = context
  const frame = { id: 'series', title: describingLabels.seriesSection }
  const { series } = audit
  if (series === undefined) return { ...frame, blocks: [] }
  const endpoint = endpointOf(audit).name
  return {
    ...frame,
    blocks: [
      paragraph(seriesSentence(audit, cite)),
      describingFigure('series-plot', context, (options) => seriesPlot(series, { ...options, endpoint })),
      seriesTable(context),
      paragraph([seriesCaution], 'note'),
    ],
  }
}

function seriesTable({ audit, cite }: SectionContext): Table {
  const { columns } = describingLabels
  const { restorations } = audit.series!
  return describingTable('series', {
    columns: [
      textColumn(columns.restoration),
      numberColumn(columns.patient),
      textColumn(columns.handling),
      numberColumn(columns.checks),
      textColumn(columns.course),
      textColumn(columns.end),
    ],
    rows: restorations.map((row, index) => {
      const at = `series.restorations.${index}`
      return [
        foreignCell(row.restoration),
        numberCell(cite, `${at}.patient`, 'whole'),
        foreignCell(groupTitle(row.group, audit.definition)),
        numberCell(cite, `${at}.checks`, 'count'),
        courseCell(cite, at, row),
        endCell(cite, at, row),
      ]
    }),
  })
}

/** "180: check; 400: screw loosening, tightened". */
function courseCell(cite: Citations, at: string, { days }: RestorationTimeline): Cell {
  if (days.length === 0) return wordCell(describingLabels.none)
  const parts = days.map((day, index): readonly Inline[] => [
    cite.number(`${at}.days.${index}.day`, 'whole'),
    ': ',
    ...dayWords(day),
  ])
  const content = parts.flatMap((part, index) => (index === 0 ? part : ['; ', ...part]))
  return { content, csv: [{ text: plainText(content) }] }
}

function dayWords({ looked, findings, actions, status }: TimelineDay): readonly Inline[] {
  const said = [...findings, ...actions, ...(status === undefined || status === 'unknown' ? [] : [status])]
  if (said.length === 0) return [looked ? courseWords.check : courseWords.contact]
  return [foreign(printable(said.map((code) => code.replaceAll('_', ' ')).join(', ')))]
}

function endCell(cite: Citations, at: string, { end, competingCause }: RestorationTimeline): Cell {
  const cause = competingCause === undefined ? '' : `: ${competingCause}`
  const content = phrase`day ${cite.number(`${at}.endDays`, 'whole')}, ${courseWords.end[end]}${cause}`
  return phraseCell(content, plainText(content))
}
