import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { edgePx, framedWithFoot, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import type { ChannelDefinition, ChartLayer, ChartSpecification } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureMeasures, type FigureSize, figureMeasures, neutralInk } from './theme.js'
import { markReading } from './words.js'

/** One estimate with its interval, as a row of a plot. */
export interface IntervalRow {
  readonly label: string
  /** Absent where it cannot be estimated. */
  readonly value: number | undefined
  /** Limits; minus and plus infinity stand for a limit that has no end or cannot be had. */
  readonly lower: number
  readonly upper: number
  /** Whether there is an interval at all. */
  readonly hasInterval: boolean
  /** What stands beside it: the estimate and its limits in words. */
  readonly text: string
  /** What a reader is told who points at the mark; default: the text. */
  readonly reading?: string
  /** Estimates with few at risk have an open mark. */
  readonly open: boolean
  readonly color: string
}

/** Axis of an interval plot. */
export interface IntervalAxis {
  readonly domain: readonly [number, number]
  readonly ticks: readonly number[]
  readonly scale: 'linear' | 'log'
  /** Value at which the two groups are alike: 0 for a difference, 1 for a ratio. */
  readonly alike: number
  readonly title: string
  /** Vega expression that words a tick. */
  readonly labelExpression: string
  readonly below: string
  readonly above: string
}

/** An axis of shares or rates, which begins at 0 and sets no two groups against each other. */
export function fromNothing(
  { domain, ticks }: Pick<IntervalAxis, 'domain' | 'ticks'>,
  title: string,
  labelExpression: string,
): IntervalAxis {
  return { domain, ticks, scale: 'linear', alike: 0, title, labelExpression, below: '', above: '' }
}

/** What an interval plot shows. */
export interface IntervalPlot {
  readonly size: FigureSize
  readonly generated: boolean
  /** Default `en`. */
  readonly language?: string
  readonly heading: string
  readonly description: string
  readonly rows: readonly IntervalRow[]
  readonly axis: IntervalAxis
  readonly notes: readonly string[]
}

interface Layout {
  readonly measures: FigureMeasures
  readonly narrow: boolean
  readonly margins: { left: number; right: number; top: number; bottom: number }
  readonly width: number
  readonly height: number
  readonly x: ChannelDefinition
  readonly labels: readonly (readonly string[])[]
  /** Height of the line of each row, in pixels from the top of the plot. */
  readonly middles: readonly number[]
  readonly headingLines: readonly string[]
}

/** Estimates with their intervals, one a row, against the value at which two groups are alike. */
export function intervalPlot(plot: IntervalPlot): ChartSpecification {
  const layout = layoutOf(plot)
  const { measures, margins, height } = layout
  const arrows = plot.rows.some(
    (row) => row.hasInterval && (row.lower < plot.axis.domain[0] || row.upper > plot.axis.domain[1]),
  )
  const directions = directionLayers(plot, layout)
  const footTop = height + measures.smallTextPx + 13 + directions.heightPx + measures.leadPx + 8
  const notes = arrows ? [...plot.notes, speaker(plot.language).text(message('chart.arrow'))] : plot.notes
  return framedWithFoot({
    size: plot.size,
    ...(plot.language === undefined ? {} : { language: plot.language }),
    margins,
    foot: { notes, generated: plot.generated, topPx: footTop },
    plotHeightPx: height,
    heading: plot.heading,
    description: plot.description,
    layers: [
      alikeLayer(plot, layout),
      ...plot.rows.flatMap((row, index) => rowLayers(row, index, plot, layout)),
      ...headingLayers(layout.headingLines, measures, margins),
      ...directions.layers,
      textLayer({
        text: plot.axis.title,
        x: layout.narrow ? measures.widthPx / 2 - margins.left : layout.width / 2,
        y: height + measures.smallTextPx + 13 + directions.heightPx + measures.leadPx / 2,
        align: 'center',
      }),
    ],
  })
}

function layoutOf(plot: IntervalPlot): Layout {
  const measures = figureMeasures[plot.size]
  const { widthPx, textPx, leadPx } = measures
  const narrow = plot.size === 'column'
  const labelRoom = narrow ? widthPx - 2 * edgePx : widthPx * 0.27
  const labels = plot.rows.map((row) => wrapText(row.label, labelRoom, textPx, { mostLines: 4 }))
  const texts = plot.rows.map((row) => row.text)
  const left = narrow ? 20 : Math.ceil(edgePx + widestText(labels.flat(), textPx) + 22)
  const right = narrow ? 20 : Math.ceil(edgePx + widestText(texts, textPx) + 22)
  const heading = headingLines(plot.heading, plot.size)
  const margins = { left, right, top: edgePx + heading.length * leadPx + 10, bottom: 0 }
  let y = 0
  const middles: number[] = []
  labels.forEach((lines, index) => {
    const textLines = narrow ? lines.length + wrappedText(plot.rows[index]!, measures).length : lines.length
    const above = narrow ? textLines * leadPx + 10 : Math.max(lines.length * leadPx, leadPx) / 2 + 8
    middles.push(y + above)
    y += narrow ? above + 14 : 2 * above
  })
  return {
    measures,
    narrow,
    margins,
    width: plotWidth(plot.size, margins),
    height: Math.max(y, 40),
    x: {
      field: 'value',
      type: 'quantitative',
      scale: {
        domain: [...plot.axis.domain],
        type: plot.axis.scale,
        nice: false,
        ...(plot.axis.scale === 'linear' ? { zero: false } : {}),
      },
      axis: {
        title: null,
        values: [...plot.axis.ticks],
        labelExpr: plot.axis.labelExpression,
        grid: false,
      },
    },
    labels,
    middles,
    headingLines: heading,
  }
}

function wrappedText(row: IntervalRow, measures: FigureMeasures): string[] {
  if (row.text === '') return []
  return wrapText(row.text, measures.widthPx - 2 * edgePx, measures.textPx, { mostLines: 3 })
}

/** The line at which the groups are alike; where texts stand above the marks, it is broken so as not to cross them. */
function alikeLayer(plot: IntervalPlot, layout: Layout): ChartLayer {
  const { narrow, middles, height, x } = layout
  const spans = narrow
    ? middles.map((middle) => ({ from: middle - 9, to: middle + 14 }))
    : [{ from: 0, to: height }]
  return {
    name: 'alike',
    data: { values: spans.map((span) => ({ value: plot.axis.alike, ...span })) },
    mark: { type: 'rule', color: neutralInk.frame.light, strokeWidth: 1 },
    encoding: {
      x,
      y: { field: 'from', type: 'quantitative', scale: null, axis: null },
      y2: { field: 'to' },
    },
  }
}

function rowLayers(row: IntervalRow, index: number, plot: IntervalPlot, layout: Layout): ChartLayer[] {
  const y = layout.middles[index]!
  return [
    ...markLayers(row, index, plot.axis, layout),
    ...(layout.narrow ? narrowTexts(row, index, y, layout) : wideTexts(row, index, y, layout)),
  ]
}

function wideTexts(row: IntervalRow, index: number, y: number, layout: Layout): ChartLayer[] {
  const lines = layout.labels[index]!
  return [
    ...lines.map((text, line) =>
      textLayer({
        text,
        x: edgePx - layout.margins.left,
        y: y + (line - (lines.length - 1) / 2) * layout.measures.leadPx,
      }),
    ),
    textLayer({ text: row.text, x: layout.width + layout.margins.right - edgePx, y, align: 'right' }),
  ]
}

function narrowTexts(row: IntervalRow, index: number, y: number, layout: Layout): ChartLayer[] {
  const { leadPx } = layout.measures
  const lines = [
    ...layout.labels[index]!.map((text) => ({ text, weight: 'normal' as const })),
    ...wrappedText(row, layout.measures).map((text) => ({ text, weight: 'bold' as const })),
  ]
  return lines.map((line, position) =>
    textLayer({
      ...line,
      x: edgePx - layout.margins.left,
      y: y - 10 - (lines.length - position - 0.5) * leadPx,
    }),
  )
}

function markLayers(row: IntervalRow, index: number, axis: IntervalAxis, layout: Layout): ChartLayer[] {
  const y = { value: layout.middles[index]! }
  const layers: ChartLayer[] = []
  const [low, high] = axis.domain
  if (row.hasInterval) {
    layers.push({
      name: 'interval',
      data: {
        values: [{ value: Math.max(low, row.lower), upper: Math.min(high, row.upper), reading: told(row) }],
      },
      mark: { type: 'rule', color: row.color, strokeWidth: layout.measures.linePx * 1.2 },
      encoding: { x: layout.x, x2: { field: 'upper' }, y, tooltip: { field: 'reading', type: 'nominal' } },
    })
    if (row.lower < low) layers.push(pointLayer(low, 'triangle-left', row, index, layout))
    if (row.upper > high) layers.push(pointLayer(high, 'triangle-right', row, index, layout))
  }
  if (row.value !== undefined && row.value >= low && row.value <= high) {
    layers.push(pointLayer(row.value, 'square', row, index, layout))
  }
  return layers
}

function pointLayer(
  value: number,
  shape: 'square' | 'triangle-left' | 'triangle-right',
  row: IntervalRow,
  index: number,
  layout: Layout,
): ChartLayer {
  const open = shape === 'square' && row.open
  return {
    name: shape.replace('-', '_'),
    data: { values: [row.hasInterval ? { value } : { value, reading: told(row) }] },
    mark: {
      type: 'point',
      shape,
      filled: true,
      fill: open ? neutralInk.surface.light : row.color,
      stroke: row.color,
      strokeWidth: layout.measures.linePx,
      opacity: 1,
      size: layout.measures.textPx * 5,
    },
    encoding: {
      x: layout.x,
      y: { value: layout.middles[index]! },
      ...(row.hasInterval ? {} : { tooltip: { field: 'reading', type: 'nominal' } as const }),
    },
  }
}

function told(row: IntervalRow): string {
  return markReading(row.label, row.reading ?? row.text)
}

/** Which side is which, under the axis, each on its side of the value at which the groups are alike. */
function directionLayers(plot: IntervalPlot, layout: Layout): { layers: ChartLayer[]; heightPx: number } {
  const { measures, margins } = layout
  const room = measures.widthPx / 2 - edgePx - 6
  const sides = [
    { lines: wrapText(plot.axis.below, room, measures.smallTextPx), align: 'left' as const },
    { lines: wrapText(plot.axis.above, room, measures.smallTextPx), align: 'right' as const },
  ]
  const layers = sides.flatMap(({ lines, align }) =>
    lines.map((text, line) =>
      textLayer({
        text,
        align,
        x: align === 'left' ? edgePx - margins.left : layout.width + margins.right - edgePx,
        y: layout.height + measures.smallTextPx + 13 + (line + 0.5) * measures.leadPx,
        color: neutralInk.quiet.light,
        sizePx: measures.smallTextPx,
      }),
    ),
  )
  return { layers, heightPx: Math.max(...sides.map(({ lines }) => lines.length)) * measures.leadPx }
}

/** Rows of an interval plot as text: label and value, row by row. */
export function rowsInWords(rows: readonly Pick<IntervalRow, 'label' | 'text'>[]): string {
  return rows.map(({ label, text }) => `${label}: ${text}`).join('. ')
}
