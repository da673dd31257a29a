import type { RestorationTimeline, SmallSeries } from '../analysis/description/smallSeries.js'
import { formatNumber } from '../core/format.js'
import { edgePx, footLayers, framed, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import { seriesInWords, seriesWords, type TimelineMark } from './seriesWords.js'
import type {
  ChannelDefinition,
  ChartLayer,
  ChartRow,
  ChartSpecification,
  MarkDefinition,
} from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from './theme.js'
import { chartWords, curvePlace, markReading, printable, upperFirst } from './words.js'

/** Options of the plot of a small series. */
export interface SeriesPlotOptions extends FigureOptions {
  /** What happens, such as "first screw loosening". */
  readonly endpoint: string
}

/**
 * Vega-Lite specification of a small series, a line for each restoration from its delivery: full while at risk, dotted
 * for what was recorded afterwards, with marks for checks, the event, a competing event, something done, and the end
 * of what is known. Marks differ in shape, so that they can be told apart without colour.
 *
 * @param series the series, in the order of the records; lines are ordered by the end of time at risk, longest first
 * @param options endpoint in words; size (default page), generated (default false)
 */
export function seriesPlot(series: SmallSeries, options: SeriesPlotOptions): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { leadPx, widthPx, smallTextPx, textPx } = measures
  const rows = orderedTimelines(series)
  const labels = rows.map(({ restoration }) =>
    wrapText(printable(restoration), widthPx * 0.24, smallTextPx, { mostLines: 1 }),
  )
  const heading = headingLines(seriesWords.heading, size)
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
  const legend = legendLines(options.endpoint, widthPx - 2 * edgePx, smallTextPx)
  const legendHeight = legend.lines * leadPx + 6
  const foot = footLayers([seriesWords.lines], options.generated ?? false, {
    x: edgePx - margins.left,
    y: height + axisPx + legendHeight,
    roomPx: widthPx - 2 * edgePx,
    size,
  })
  const x = axisOf(series.lastYears)
  const legendTop = height + axisPx
  return framed({
    size,
    margins: { ...margins, bottom: axisPx + legendHeight + foot.heightPx + edgePx },
    plotHeightPx: height,
    description: seriesInWords(rows, options.endpoint),
    layers: [
      ...lineLayers(rows, middle, x),
      ...markLayers(rows, middle, x, options.endpoint),
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
        text: chartWords.yearsSinceDelivery,
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
  endpoint: string,
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
          curvePlace(printable(restoration), formatNumber(years, 1)),
          upperFirst(wordsOf(kind, endpoint)),
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

/** What a mark stands for. */
function wordsOf(kind: TimelineMark, endpoint: string): string {
  return seriesWords.marks[kind] === '' ? endpoint : seriesWords.marks[kind]
}

/** Marks of one restoration, in order of day. */
export function marksOf(row: RestorationTimeline): readonly { kind: TimelineMark; years: number }[] {
  const ends = { endpoint: 'event', competing: 'competing', censored: 'open' } as const
  const checks = row.days
    .filter(({ looked, day }) => looked && !(row.end !== 'censored' && day === row.endDays))
    .map(({ years }) => ({ kind: 'check' as const, years }))
  const done = row.days
    .filter(({ actions, day }) => actions.length > 0 && day >= row.endDays)
    .map(({ years }) => ({ kind: 'done' as const, years }))
  return [...checks, { kind: ends[row.end], years: row.endYears }, ...done].sort(
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

function legendLines(endpoint: string, roomPx: number, sizePx: number) {
  let left = 0
  let line = 0
  const entries = (Object.keys(markStyles) as TimelineMark[]).map((kind) => {
    const text = wordsOf(kind, endpoint)
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
