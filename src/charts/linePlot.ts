import { edgePx, framedWithFoot, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import {
  bandLayers,
  frameLayer,
  labelLayers,
  lineLayers,
  markLayers,
  ruleLayers,
  spanLayers,
} from './linePlotLayers.js'
import type { LineLayout, LinePlot, LinePoint } from './linePlotShape.js'
import { channel, shownTicks } from './plotAxis.js'
import type { ChartLayer, ChartSpecification } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { figureMeasures } from './theme.js'

/** Lines with bands, marks, shaded spans and rules over two axes, lines named at their ends. */
export function linePlot(plot: LinePlot): ChartSpecification {
  const layout = layoutOf(plot)
  const { measures, margins, width, height } = layout
  const axisBottom = height + measures.smallTextPx + 13
  const footTop = axisBottom + measures.leadPx + 6
  return framedWithFoot({
    size: plot.size,
    ...(plot.language === undefined ? {} : { language: plot.language }),
    margins,
    foot: { notes: plot.notes, generated: plot.generated, topPx: footTop },
    plotHeightPx: height,
    heading: plot.heading,
    description: plot.description,
    layers: [
      frameLayer(plot, layout),
      ...spanLayers(plot, layout),
      ...plot.rules.flatMap((rule) => ruleLayers(rule, plot, layout)),
      ...plot.lines.flatMap((line) => bandLayers(line, layout)),
      ...plot.lines.flatMap((line) => lineLayers(line, layout)),
      ...plot.lines.flatMap((line) => pointReadings(line.points, plot, layout)),
      ...markLayers(plot, layout),
      ...labelLayers(plot, layout),
      ...headingLayers(layout.headingLines, measures, margins),
      textLayer({
        text: plot.x.title,
        x: width / 2,
        y: axisBottom + measures.leadPx / 2,
        align: 'center',
      }),
    ],
  })
}

function layoutOf(plot: LinePlot): LineLayout {
  const measures = figureMeasures[plot.size]
  const { smallTextPx, leadPx } = measures
  const room = plot.size === 'column' ? 66 : 130
  const labels = plot.lines.map(({ label }) =>
    label === '' ? [] : wrapText(label, room, smallTextPx, { weight: 'bold', mostLines: 3 }),
  )
  const heading = headingLines(plot.heading, plot.size)
  const tickTexts = plot.y.ticks.map(({ text }) => text)
  const halfLast =
    widestText(
      plot.x.ticks.slice(-1).map(({ text }) => text),
      smallTextPx,
    ) / 2
  const margins = {
    left: Math.ceil(edgePx + widestText(tickTexts, smallTextPx) + 12),
    right: Math.ceil(edgePx + Math.max(halfLast, ...labels.map((lines) => labelRoom(lines, smallTextPx)))),
    top: edgePx + heading.length * leadPx + 12,
    bottom: 0,
  }
  const width = plotWidth(plot.size, margins)
  return {
    measures,
    margins,
    width,
    height: plot.flat === true ? Math.round(0.6 * measures.plotHeightPx) : measures.plotHeightPx,
    x: { field: 'x', ...channel(plot.x, shownTicks(plot.x, width, smallTextPx), false) },
    y: { field: 'y', ...channel(plot.y, plot.y.ticks, true) },
    labels,
    headingLines: heading,
  }
}

function labelRoom(lines: readonly string[], sizePx: number): number {
  return lines.length === 0 ? 0 : widestText(lines, sizePx, 'bold') + 12
}

/** Nearest that two points to be read may lie along the axis, so that each can be pointed at. */
const spacingPx = 4

/** Unseen points along a line that say what it shows there, as far as they are in the figure and clear of each other. */
function pointReadings(
  points: readonly LinePoint[],
  plot: LinePlot,
  { x, y, width }: LineLayout,
): ChartLayer[] {
  const [first, last] = plot.x.domain
  const [low, high] = plot.y.domain
  const pxOf = (at: number): number => ((at - first) / (last - first)) * width
  const read: LinePoint[] = []
  for (const point of points) {
    const before = read.at(-1)
    const inside = point.x >= first && point.x <= last && point.y >= low && point.y <= high
    if (point.reading === undefined || !inside) continue
    if (before === undefined || pxOf(point.x) - pxOf(before.x) >= spacingPx) read.push(point)
  }
  if (read.length === 0) return []
  return [
    {
      name: 'reading',
      data: { values: read.map((point) => ({ x: point.x, y: point.y, reading: point.reading! })) },
      mark: { type: 'point', opacity: 0, size: 16 },
      encoding: { x, y, tooltip: { field: 'reading', type: 'nominal' } },
    },
  ]
}
