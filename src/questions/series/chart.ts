import {
  edgePx,
  footLayers,
  framed,
  headingLayers,
  headingLines,
  plotWidth,
  textLayer,
} from '../../charts/frame.js'
import type {
  ChannelDefinition,
  ChartLayer,
  ChartRow,
  ChartSpecification,
  MarkDefinition,
} from '../../charts/specification.js'
import { widestText, wrapText } from '../../charts/textWidth.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from '../../charts/theme.js'
import { markReading, upperFirst } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import { foreign, printable } from '../../messages/phrase.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { RestorationTimeline, SmallSeries } from './answer.js'

/** What a mark of a timeline stands for. */
type TimelineMark = 'check' | 'open' | 'competing' | 'done' | 'event'

/**
 * Vega-Lite specification of a small series, a line for each restoration from its delivery: full while at risk, dotted
 * for what was recorded afterwards, with marks for checks, the event, a competing event, something done, and the end
 * of what is known. Marks differ in shape, so that they can be told apart without colour.
 *
 * @param series the series, in the order of the records; lines are ordered by the end of time at risk, longest first
 * @param options size (default page), generated (default false), language (default en)
 */
export function seriesPlot(series: SmallSeries, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const nameOf = (kind: TimelineMark): string => markName(kind, series, by)
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { leadPx, widthPx, smallTextPx, textPx } = measures
  const rows = orderedTimelines(series)
  const labels = rows.map(({ restoration }) =>
    wrapText(printable(restoration), widthPx * 0.24, smallTextPx, { mostLines: 1 }),
  )
  const heading = headingLines(by.text(message('series.chart')), size)
  const margins = {
    left: Math.ceil(edgePx + Math.max(24, widestText(labels.flat(), smallTextPx) + 10)),
    right: edgePx + 14,
    top: edgePx + heading.length * leadPx + 8,
    bottom: 0,
  }
  const width = plotWidth(size, margins)
  const rowPx = leadPx + 3
  const height = rows.length * rowPx
  const middle = (index: number): number => (index + 0.5) * rowPx
  const axisPx = smallTextPx + 13 + leadPx + 6
  const legend = legendLines(nameOf, widthPx - 2 * edgePx, smallTextPx)
  const legendHeight = legend.lines * leadPx + 6
  const foot = footLayers([by.text(message('series.chart-lines'))], options.generated ?? false, {
    x: edgePx - margins.left,
    y: height + axisPx + legendHeight,
    roomPx: widthPx - 2 * edgePx,
    size,
    language: by.language,
  })
  const x = axisOf(series.lastYears)
  const legendTop = height + axisPx
  return framed({
    size,
    margins: { ...margins, bottom: axisPx + legendHeight + foot.heightPx + edgePx },
    plotHeightPx: height,
    heading: heading.join(' '),
    description: described(rows, nameOf, by),
    layers: [
      ...lineLayers(rows, middle, x),
      ...markLayers(rows, middle, x, nameOf, by),
      ...labels.map(([text], index) =>
        textLayer({ text: text ?? '', x: -8, y: middle(index), align: 'right', sizePx: smallTextPx }),
      ),
      ...legend.entries.flatMap(({ kind, text, left, line }) => {
        const at = { x: edgePx - margins.left + left, y: legendTop + (line + 0.5) * leadPx }
        return [
          fixedMark(kind, at.x + 6, at.y),
          textLayer({ text, x: at.x + 16, y: at.y, sizePx: smallTextPx }),
        ]
      }),
      ...headingLayers(heading, measures, margins),
      textLayer({
        text: by.text(message('chart.years-since-delivery')),
        x: width / 2,
        y: height + smallTextPx + 13 + leadPx / 2,
        align: 'center',
        sizePx: textPx,
      }),
      ...foot.layers,
    ],
  })
}

/** Lines from the longest time at risk to the shortest; equal ones by their pseudonym. */
function orderedTimelines({ restorations }: SmallSeries): readonly RestorationTimeline[] {
  return [...restorations].sort(
    (left, right) => right.endDays - left.endDays || (left.restoration < right.restoration ? -1 : 1),
  )
}

function axisOf(lastYears: number): ChannelDefinition {
  const last = Math.max(0.25, lastYears)
  const step = last <= 2 ? 0.5 : last <= 10 ? 1 : last <= 20 ? 2 : 5
  const values = Array.from({ length: Math.floor(last / step + 1e-9) + 1 }, (_one, index) => index * step)
  return {
    field: 'years',
    type: 'quantitative',
    scale: { domain: [0, last], nice: false, zero: false },
    axis: { title: null, values, grid: true },
  }
}

const rowPlace: ChannelDefinition = { field: 'y', type: 'quantitative', scale: null, axis: null }

function lineLayers(
  rows: readonly RestorationTimeline[],
  middle: (index: number) => number,
  x: ChannelDefinition,
): ChartLayer[] {
  const line = (name: string, values: ChartRow[], mark: MarkDefinition): ChartLayer => ({
    name,
    data: { values },
    mark,
    encoding: { x, x2: { field: 'to' }, y: rowPlace },
  })
  const afterwards = rows.flatMap((row, index) => {
    const last = row.days.at(-1)?.years ?? row.endYears
    return last > row.endYears ? [{ years: row.endYears, to: last, y: middle(index) }] : []
  })
  const atRisk = rows.map((row, index) => ({
    years: (row.entryDays / Math.max(1, row.endDays)) * row.endYears,
    to: row.endYears,
    y: middle(index),
    group: row.group,
  }))
  return [
    line('risk', atRisk, { type: 'rule', color: neutralInk.frame.light, strokeWidth: 2 }),
    ...(afterwards.length === 0
      ? []
      : [
          line('afterwards', afterwards, {
            type: 'rule',
            color: neutralInk.frame.light,
            strokeWidth: 1,
            strokeDash: [1, 3],
          }),
        ]),
  ]
}

function markLayers(
  rows: readonly RestorationTimeline[],
  middle: (index: number) => number,
  x: ChannelDefinition,
  nameOf: (kind: TimelineMark) => string,
  by: Speaker,
): ChartLayer[] {
  const points = rows.flatMap((row, index) =>
    // What was done stands above the line, clear of the event that it answered.
    marksOf(row).map((one) => ({
      ...one,
      y: middle(index) - (one.kind === 'done' ? 6 : 0),
      restoration: row.restoration,
    })),
  )
  return (Object.keys(markStyles) as TimelineMark[]).flatMap((kind) => {
    const values = points
      .filter((one) => one.kind === kind)
      .map(({ years, y, restoration }) => ({
        years,
        y,
        reading: markReading(
          by.text(message('chart.place', { name: foreign(restoration), years: by.number(years, 'years') })),
          upperFirst(nameOf(kind)),
        ),
      }))
    if (values.length === 0) return []
    const encoding: ChartLayer['encoding'] = {
      x,
      y: rowPlace,
      tooltip: { field: 'reading', type: 'nominal' },
    }
    return [{ name: kind, data: { values }, mark: markStyles[kind], encoding }]
  })
}

function markName(kind: TimelineMark, { endpoint }: SmallSeries, by: Speaker): string {
  return by.text(kind === 'event' ? message(`endpoint.name.${endpoint}`) : message(`series.chart.${kind}`))
}

const endMarks = { endpoint: 'event', competing: 'competing', censored: 'open' } as const

/** Text alternative: each restoration with its end. */
function described(
  rows: readonly RestorationTimeline[],
  nameOf: (kind: TimelineMark) => string,
  by: Speaker,
): string {
  const lines = rows.map(({ restoration, end, endYears, checks }) =>
    by.text(
      message('series.chart-row', {
        restoration: foreign(restoration),
        end: nameOf(endMarks[end]),
        years: by.number(endYears, 'years'),
        checks,
      }),
    ),
  )
  return by.text(message('series.chart-description', { restorations: rows.length, rows: lines.join('. ') }))
}

/** Marks of one restoration, in order of day. */
export function marksOf(row: RestorationTimeline): readonly { kind: TimelineMark; years: number }[] {
  const checks = row.days
    .filter(({ looked, day }) => looked && !(row.end !== 'censored' && day === row.endDays))
    .map(({ years }) => ({ kind: 'check' as const, years }))
  const done = row.days
    .filter(({ actions, day }) => actions.length > 0 && day >= row.endDays)
    .map(({ years }) => ({ kind: 'done' as const, years }))
  return [...checks, { kind: endMarks[row.end], years: row.endYears }, ...done].sort(
    (left, right) => left.years - right.years,
  )
}

const ink = neutralInk.text.light
const markStyles: Readonly<Record<TimelineMark, MarkDefinition>> = {
  check: {
    type: 'point',
    opacity: 1,
    shape: 'diamond',
    size: 34,
    filled: true,
    fill: ink,
  },
  open: {
    type: 'point',
    opacity: 1,
    shape: 'circle',
    size: 50,
    filled: true,
    fill: neutralInk.surface.light,
    stroke: ink,
    strokeWidth: 1.5,
  },
  competing: {
    type: 'point',
    opacity: 1,
    shape: 'cross',
    size: 90,
    filled: true,
    fill: groupMark('unknown').ink.light,
  },
  done: {
    type: 'point',
    opacity: 1,
    shape: 'triangle-up',
    size: 34,
    filled: true,
    fill: groupMark('single').ink.light,
  },
  event: {
    type: 'point',
    opacity: 1,
    shape: 'square',
    size: 80,
    filled: true,
    fill: groupMark('repeated in the window').ink.light,
  },
}

function fixedMark(kind: TimelineMark, x: number, y: number): ChartLayer {
  return {
    name: `legend_${kind}`,
    data: { values: [{ x, y }] },
    mark: markStyles[kind],
    encoding: {
      x: { field: 'x', type: 'quantitative', scale: null, axis: null },
      y: { field: 'y', type: 'quantitative', scale: null, axis: null },
    },
  }
}

function legendLines(nameOf: (kind: TimelineMark) => string, roomPx: number, sizePx: number) {
  let left = 0
  let line = 0
  const entries = (Object.keys(markStyles) as TimelineMark[]).map((kind) => {
    const text = nameOf(kind)
    const wide = widestText([text], sizePx) + 34
    if (left > 0 && left + wide > roomPx) {
      left = 0
      line += 1
    }
    const entry = { kind, text, left, line }
    left += wide
    return entry
  })
  return { entries, lines: line + 1 }
}
