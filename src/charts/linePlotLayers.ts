import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { dodged } from './dodge.js'
import { textLayer } from './frame.js'
import type { LineLayout, LinePlot, PlotLine, PlotMark, PlotRule } from './linePlotShape.js'
import { heightOf } from './plotAxis.js'
import type { ChartLayer, ChartRow } from './specification.js'
import { neutralInk } from './theme.js'

/** An unseen rectangle that spans the plot, so that axes stand even where nothing can be drawn. */
export function frameLayer(plot: LinePlot, { x, y }: LineLayout): ChartLayer {
  const values = [
    { x: plot.x.domain[0], right: plot.x.domain[1], y: plot.y.domain[0], top: plot.y.domain[1] },
  ]
  return {
    name: 'frame',
    data: { values },
    mark: { type: 'rect', opacity: 0 },
    encoding: { x, x2: { field: 'right' }, y, y2: { field: 'top' } },
  }
}

/** Shaded spans behind everything. */
export function spanLayers(plot: LinePlot, { x, y }: LineLayout): ChartLayer[] {
  return plot.spans.map(({ from, to }) => ({
    name: 'span',
    data: {
      values: [
        {
          x: Math.max(from, plot.x.domain[0]),
          right: Math.min(to, plot.x.domain[1]),
          y: plot.y.domain[0],
          top: plot.y.domain[1],
        },
      ],
    },
    mark: { type: 'rect', color: neutralInk.panel.light, opacity: 1 },
    encoding: { x, x2: { field: 'right' }, y, y2: { field: 'top' } },
  }))
}

/** A line across the plot, with its text. */
export function ruleLayers(rule: PlotRule, plot: LinePlot, { x, y, measures }: LineLayout): ChartLayer[] {
  const upright = rule.axis === 'x'
  const values: ChartRow[] = upright
    ? [{ x: rule.at, y: plot.y.domain[0], top: plot.y.domain[1] }]
    : [{ y: rule.at, x: plot.x.domain[0], right: plot.x.domain[1] }]
  const line: ChartLayer = {
    name: 'rule',
    data: { values },
    mark: { type: 'rule', color: neutralInk.frame.light, strokeWidth: 1, strokeDash: [...rule.dash] },
    encoding: upright ? { x, y, y2: { field: 'top' } } : { x, x2: { field: 'right' }, y },
  }
  if (rule.text === undefined) return [line]
  const share = (rule.at - plot.x.domain[0]) / (plot.x.domain[1] - plot.x.domain[0])
  const onLeft = upright && share > 0.5
  const text: ChartLayer = {
    name: 'rule_text',
    data: {
      values: [
        upright
          ? { x: rule.at, y: plot.y.domain[1], text: rule.text }
          : { x: plot.x.domain[1], y: rule.at, text: rule.text },
      ],
    },
    mark: {
      type: 'text',
      align: onLeft || !upright ? 'right' : 'left',
      baseline: 'middle',
      dx: upright ? (onLeft ? -5 : 5) : -4,
      dy: upright ? measures.smallTextPx * 0.7 : -measures.smallTextPx * 0.7,
      color: neutralInk.quiet.light,
      fontSize: measures.smallTextPx,
    },
    encoding: { x, y, text: { field: 'text', type: 'nominal' } },
  }
  return [line, text]
}

/** Interval band of a line. */
export function bandLayers(line: PlotLine, { x, y }: LineLayout): ChartLayer[] {
  if (!line.band) return []
  const values: ChartRow[] = line.points.flatMap((point) =>
    point.lower !== undefined && point.upper !== undefined && isNumber(point.lower) && isNumber(point.upper)
      ? [{ x: point.x, y: point.lower, upper: point.upper }]
      : [],
  )
  if (values.length < 2) return []
  return [
    {
      name: 'band',
      data: { values },
      mark: { type: 'area', interpolate: line.interpolate, color: line.color, opacity: 0.14, clip: true },
      encoding: { x, y, y2: { field: 'upper' } },
    },
  ]
}

/** The line itself. */
export function lineLayers(line: PlotLine, { x, y, measures }: LineLayout): ChartLayer[] {
  if (line.points.length === 0) return []
  return [
    {
      name: line.thin === true ? 'limit' : 'curve',
      data: { values: line.points.map((point) => ({ x: point.x, y: point.y })) },
      mark: {
        type: 'line',
        interpolate: line.interpolate,
        color: line.color,
        strokeWidth: line.thin === true ? 1 : measures.linePx,
        strokeDash: [...line.dash],
        clip: true,
      },
      encoding: { x, y },
    },
  ]
}

/** Marks with their intervals and texts. */
export function markLayers(plot: LinePlot, { x, y, measures }: LineLayout): ChartLayer[] {
  return plot.marks.flatMap((mark) => {
    const layers: ChartLayer[] = []
    if (
      mark.lower !== undefined &&
      mark.upper !== undefined &&
      isNumber(mark.lower) &&
      isNumber(mark.upper)
    ) {
      layers.push({
        name: 'interval',
        data: { values: [{ x: mark.x, y: mark.lower, upper: mark.upper }] },
        mark: { type: 'rule', color: mark.color, strokeWidth: measures.linePx * 0.7, clip: true },
        encoding: { x, y, y2: { field: 'upper' } },
      })
    }
    layers.push({
      name: 'mark',
      data: {
        values: [{ x: mark.x, y: mark.y, ...(mark.reading === undefined ? {} : { reading: mark.reading }) }],
      },
      mark: {
        type: 'point',
        shape: mark.shape,
        filled: true,
        fill: mark.open ? neutralInk.surface.light : mark.color,
        stroke: mark.color,
        strokeWidth: measures.linePx * 0.8,
        opacity: 1,
        size: measures.textPx * 3.5,
      },
      encoding: {
        x,
        y,
        ...(mark.reading === undefined ? {} : { tooltip: { field: 'reading', type: 'nominal' } as const }),
      },
    })
    if (mark.text !== undefined) layers.push(...markTexts(mark, mark.text, plot, { x, y, measures }))
    return layers
  })
}

/** Beside its mark, on the side where there is room, set off from the lines that it crosses. */
function markTexts(
  mark: PlotMark,
  text: string,
  plot: LinePlot,
  { x, y, measures }: Pick<LineLayout, 'x' | 'y' | 'measures'>,
): ChartLayer[] {
  const share = (mark.x - plot.x.domain[0]) / (plot.x.domain[1] - plot.x.domain[0])
  const beside = share > 0.7 ? ({ align: 'right', dx: -7 } as const) : ({ align: 'left', dx: 7 } as const)
  const far = share > 0.9 ? 'right' : share < 0.1 ? 'left' : 'center'
  const away = measures.smallTextPx + 2
  const place =
    (mark.textSide ?? 'beside') === 'beside'
      ? beside
      : ({ align: far, dy: mark.textSide === 'above' ? -away : away } as const)
  const layer = (name: string, style: Partial<ChartLayer['mark']>): ChartLayer => ({
    name,
    data: { values: [{ x: mark.x, y: mark.y, text }] },
    mark: {
      type: 'text',
      ...place,
      baseline: 'middle',
      fontSize: measures.smallTextPx,
      ...style,
    },
    encoding: { x, y, text: { field: 'text', type: 'nominal' } },
  })
  const paper = neutralInk.surface.light
  return [
    layer('mark_halo', { color: paper, stroke: paper, strokeWidth: 4 }),
    layer('mark_text', { color: neutralInk.text.light }),
  ]
}

/** Names at the ends of the lines, moved apart where they would touch; words where there is nothing to draw. */
export function labelLayers(plot: LinePlot, layout: LineLayout): ChartLayer[] {
  const { measures, width, height } = layout
  if (plot.lines.every(({ points }) => points.length === 0) && plot.marks.length === 0) {
    return [
      textLayer({
        text: speaker(plot.language).text(message('chart.nothing-drawn')),
        x: width / 2,
        y: height / 2,
        align: 'center',
      }),
    ]
  }
  const named = plot.lines.flatMap((line, index) =>
    line.points.length === 0 || layout.labels[index]!.length === 0
      ? []
      : [{ line, lines: layout.labels[index]!, end: line.points.at(-1)! }],
  )
  const lineHeight = measures.smallTextPx * 1.2
  const middles = dodged(
    named.map(({ end }) => heightOf(end.y, plot.y) * height),
    named.map(({ lines }) => lines.length * lineHeight + 3),
    height,
  )
  return named.flatMap(({ line, lines, end }, index) => [
    {
      name: 'leader',
      data: { values: [{ x: end.x, y: Math.min(plot.y.domain[1], Math.max(plot.y.domain[0], end.y)) }] },
      mark: { type: 'rule' as const, color: line.color, strokeWidth: 0.8, opacity: 0.6 },
      encoding: { x: layout.x, x2: { value: width + 9 }, y: layout.y, y2: { value: middles[index]! } },
    },
    ...lines.map((text, at) =>
      textLayer({
        text,
        x: width + 12,
        y: middles[index]! + (at - (lines.length - 1) / 2) * lineHeight,
        color: line.color,
        weight: 'bold',
        sizePx: measures.smallTextPx,
      }),
    ),
  ])
}
