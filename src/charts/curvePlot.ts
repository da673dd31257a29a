import { isNumber, type Quantity } from '../core/estimate.js'
import { formatCount, formatNumber } from '../core/format.js'
import { message } from '../messages/message.js'
import type { Speaker } from '../messages/speaker.js'
import {
  type AtRiskRow,
  axisPx,
  type Curve,
  type CurveLayout,
  type CurvePlot,
  type CurvePoint,
  curveLayout,
} from './curveLayout.js'
import { dodged } from './dodge.js'
import { intervalText } from './estimateWords.js'
import { edgePx, framedWithFoot, headingLayers, textLayer } from './frame.js'
import type { ChartLayer, ChartRow, ChartSpecification } from './specification.js'
import { wrapText } from './textWidth.js'
import { neutralInk } from './theme.js'
import { markReading, withInterval } from './words.js'

/** Step curves with bands, direct labels, and the numbers at risk under the same ticks. */
export function curvePlot(plot: CurvePlot): ChartSpecification {
  const layout = curveLayout(plot)
  const table = atRiskLayers(plot, layout)
  return framedWithFoot({
    size: plot.size,
    margins: layout.margins,
    foot: { notes: plot.notes, generated: plot.generated, topPx: table.bottomPx + 6 },
    plotHeightPx: layout.height,
    heading: plot.heading,
    description: plot.description,
    language: plot.by.language,
    layers: [
      frameLayer(plot, layout),
      ...plot.curves.flatMap((curve) => bandLayers(curve, layout)),
      ...plot.curves.flatMap((curve) => lineLayers(curve, plot, layout)),
      ...plot.curves.flatMap((curve) => barLayers(curve, plot, layout)),
      ...plot.curves.flatMap((curve) => readingLayers(curve, plot, layout)),
      ...labelLayers(plot, layout),
      ...headingLayers(layout.headingLines, layout.measures, layout.margins),
      textLayer({
        text: plot.by.text(message('chart.years-since-delivery')),
        x: layout.width / 2,
        y: layout.height + axisPx(layout.measures) + layout.measures.leadPx / 2,
        align: 'center',
      }),
      ...table.layers,
    ],
  })
}

/** An unseen rectangle that spans the plot, so that axes stand even where no curve can be drawn. */
function frameLayer(plot: CurvePlot, layout: CurveLayout): ChartLayer {
  return {
    name: 'frame',
    data: {
      values: [
        { years: 0, lastYears: layout.lastYear, share: plot.shareDomain[0], topShare: plot.shareDomain[1] },
      ],
    },
    mark: { type: 'rect', opacity: 0 },
    encoding: { x: layout.x, x2: { field: 'lastYears' }, y: layout.y, y2: { field: 'topShare' } },
  }
}

function bandLayers(curve: Curve, layout: CurveLayout): ChartLayer[] {
  if (!curve.band) return []
  const values: ChartRow[] = curve.points.flatMap((point) =>
    isNumber(point.lower) && isNumber(point.upper)
      ? [{ group: curve.key, years: point.years, share: point.lower, upper: point.upper }]
      : [],
  )
  if (values.length < 2) return []
  return [
    {
      name: 'band',
      data: { values },
      mark: {
        type: 'area',
        interpolate: 'step-after',
        color: curve.mark.ink.light,
        opacity: 0.14,
        clip: true,
      },
      encoding: { x: layout.x, y: layout.y, y2: { field: 'upper' } },
    },
  ]
}

/** Intervals at single times: a line from limit to limit with the estimate on it. */
function barLayers(
  { key, mark, bars = [], barShift = 0 }: Curve,
  plot: CurvePlot,
  layout: CurveLayout,
): ChartLayer[] {
  const values: ChartRow[] = bars.flatMap(({ years, value, lower, upper }) =>
    isNumber(lower) && isNumber(upper)
      ? [
          {
            group: key,
            years: years + barShift,
            share: value,
            lower: Math.max(plot.shareDomain[0], lower),
            upper: Math.min(plot.shareDomain[1], upper),
          },
        ]
      : [],
  )
  if (values.length === 0) return []
  const color = mark.ink.light
  return [
    {
      name: 'bars',
      data: { values },
      mark: { type: 'rule', color, strokeWidth: layout.measures.linePx * 0.7 },
      encoding: { x: layout.x, y: { ...layout.y, field: 'lower' }, y2: { field: 'upper' } },
    },
    {
      name: 'bar-estimates',
      data: { values },
      mark: {
        type: 'point',
        filled: true,
        shape: 'circle',
        color,
        opacity: 1,
        size: 14 * layout.measures.linePx,
      },
      encoding: { x: layout.x, y: layout.y },
    },
  ]
}

function lineLayers(curve: Curve, plot: CurvePlot, layout: CurveLayout): ChartLayer[] {
  const last = curve.points.at(-1)
  if (last === undefined) return []
  const line: ChartLayer = {
    name: 'curve',
    data: {
      values: curve.points.map((point) => ({ group: curve.key, years: point.years, share: point.value })),
    },
    mark: {
      type: 'line',
      interpolate: 'step-after',
      color: curve.mark.ink.light,
      strokeWidth: layout.measures.linePx,
      strokeDash: [...curve.mark.dash],
    },
    encoding: { x: layout.x, y: layout.y },
  }
  if (!curve.cut) return [line]
  const half = ((plot.shareDomain[1] - plot.shareDomain[0]) / layout.height) * 6
  const end = {
    years: last.years,
    share: Math.max(plot.shareDomain[0], last.value - half),
    top: Math.min(plot.shareDomain[1], last.value + half),
  }
  return [
    line,
    {
      name: 'cut',
      data: { values: [end] },
      mark: { type: 'rule', color: curve.mark.ink.light, strokeWidth: layout.measures.linePx * 1.4 },
      encoding: { x: layout.x, y: layout.y, y2: { field: 'top' } },
    },
  ]
}

/** Nearest that two points to be read may lie along the axis, so that each can be pointed at. */
const spacingPx = 4

interface ReadPoint {
  readonly years: number
  readonly value: number
  readonly lower: Quantity
  readonly upper: Quantity
  readonly atRisk: number | undefined
}

/**
 * Unseen points along a curve that say what it shows there: at every tick, where the number at risk under the axis
 * belongs to it, and at every step that keeps clear of the others.
 */
function readingLayers(curve: Curve, plot: CurvePlot, layout: CurveLayout): ChartLayer[] {
  const pxOf = (years: number): number => (years / layout.lastYear) * layout.width
  const ticks = tickPoints(curve, plot)
  const read = [...ticks]
  for (const { years, value, lower, upper, atRisk } of curve.points) {
    if (read.every((other) => Math.abs(pxOf(other.years) - pxOf(years)) >= spacingPx)) {
      read.push({ years, value, lower, upper, atRisk })
    }
  }
  if (read.length === 0) return []
  read.sort((one, other) => one.years - other.years)
  return [
    {
      name: 'reading',
      data: {
        values: read.map((point) => ({
          years: point.years,
          share: point.value,
          reading: pointInWords(curve, point, plot.by),
        })),
      },
      mark: { type: 'point', opacity: 0, size: 16 },
      encoding: { x: layout.x, y: layout.y, tooltip: { field: 'reading', type: 'nominal' } },
    },
  ]
}

/** The value that the curve holds at each tick: that of its last step until then. */
function tickPoints(curve: Curve, plot: CurvePlot): readonly ReadPoint[] {
  const counts = plot.atRisk.find((row) => row.key === curve.key)?.counts
  const end = curve.points.at(-1)?.years ?? -1
  return plot.tickYears.flatMap((years, index) => {
    const last = years > end ? undefined : lastUntil(curve.points, years)
    if (last === undefined) return []
    return [{ ...last, years, atRisk: counts?.[index] }]
  })
}

function lastUntil(points: readonly CurvePoint[], years: number): CurvePoint | undefined {
  let found: CurvePoint | undefined
  for (const point of points) {
    if (point.years > years) break
    found = point
  }
  return found
}

function pointInWords(curve: Curve, { years, value, lower, upper, atRisk }: ReadPoint, by: Speaker): string {
  const known = curve.band && (isNumber(lower) || isNumber(upper))
  const interval = known ? intervalText({ lower, upper }, 'percent', by) : ''
  return markReading(
    by.text(message('chart.place', { name: curve.label, years: formatNumber(years, 1, by.language) })),
    withInterval(by.number(value, 'percent'), interval),
    ...(atRisk === undefined
      ? []
      : [by.text(message('chart.at-risk-count', { count: by.number(atRisk, 'count') }))]),
  )
}

/** Names at the ends of the curves, moved apart where they would touch, each led to its curve by a thin line. */
function labelLayers(plot: CurvePlot, layout: CurveLayout): ChartLayer[] {
  const { smallTextPx } = layout.measures
  const lineHeight = smallTextPx * 1.2
  const [low, high] = plot.shareDomain
  const drawn = plot.curves.flatMap((curve, index) =>
    curve.points.length === 0 ? [] : [{ curve, lines: layout.labelLines[index]! }],
  )
  if (drawn.length === 0) {
    const lines = wrapText(plot.by.text(message('chart.no-curve')), layout.width - 16, layout.measures.textPx)
    return lines.map((text, index) =>
      textLayer({
        text,
        x: layout.width / 2,
        y: layout.height / 2 + (index - (lines.length - 1) / 2) * layout.measures.leadPx,
        align: 'center',
        color: neutralInk.quiet.light,
      }),
    )
  }
  const ends = drawn.map(({ curve }) => curve.points.at(-1)!)
  const middles = dodged(
    ends.map((end) => ((high - end.value) / (high - low)) * layout.height),
    drawn.map(({ lines }) => lines.length * lineHeight + 3),
    layout.height,
  )
  return drawn.flatMap(({ curve, lines }, index) => [
    leaderLayer(curve, ends[index]!, middles[index]!, layout),
    ...lines.map((text, line) =>
      textLayer({
        text,
        x: layout.width + 12,
        y: middles[index]! + (line - (lines.length - 1) / 2) * lineHeight,
        color: curve.mark.ink.light,
        weight: 'bold',
        sizePx: smallTextPx,
      }),
    ),
  ])
}

function leaderLayer(curve: Curve, end: CurvePoint, labelY: number, layout: CurveLayout): ChartLayer {
  return {
    name: 'leader',
    data: { values: [{ years: end.years, share: end.value }] },
    mark: { type: 'rule', color: curve.mark.ink.light, strokeWidth: 0.8, opacity: 0.6 },
    encoding: { x: layout.x, x2: { value: layout.width + 9 }, y: layout.y, y2: { value: labelY } },
  }
}

/** Table of numbers at risk, each under its tick. */
function atRiskLayers(plot: CurvePlot, layout: CurveLayout): { layers: ChartLayer[]; bottomPx: number } {
  const { leadPx, smallTextPx } = layout.measures
  const left = edgePx - layout.margins.left
  const narrow = plot.size === 'column'
  let y = layout.height + axisPx(layout.measures) + leadPx + 8
  const layers: ChartLayer[] = [
    textLayer({
      text: plot.by.text(message('chart.at-risk')),
      x: left,
      y: y + leadPx / 2,
      weight: 'bold',
      sizePx: smallTextPx,
    }),
  ]
  y += leadPx
  plot.atRisk.forEach((row, index) => {
    const lines = layout.rowLabels[index]!
    const label = { x: left, color: row.mark.ink.light, weight: 'bold', sizePx: smallTextPx } as const
    lines.forEach((text, line) => {
      layers.push(textLayer({ ...label, text, y: y + line * leadPx + leadPx / 2 }))
    })
    const countsY = narrow ? y + lines.length * leadPx : y
    layers.push(countLayer(row, countsY + leadPx / 2, plot, layout))
    y = narrow ? countsY + leadPx + 2 : y + lines.length * leadPx
  })
  return { layers, bottomPx: y }
}

function countLayer(row: AtRiskRow, y: number, plot: CurvePlot, layout: CurveLayout): ChartLayer {
  return {
    name: 'at_risk',
    data: {
      values: layout.shownTicks.map((index) => ({
        group: row.label,
        years: plot.tickYears[index]!,
        text: formatCount(row.counts[index] ?? 0, plot.by.language),
      })),
    },
    mark: {
      type: 'text',
      align: 'center',
      baseline: 'middle',
      color: neutralInk.text.light,
      fontSize: layout.measures.smallTextPx,
    },
    encoding: { x: layout.x, y: { value: y }, text: { field: 'text', type: 'nominal' } },
  }
}
