import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { axisPx, type Curve, type CurveLayout, type CurvePlot, curveLayout } from './curveLayout.js'
import { readingLayers } from './curveReadings.js'
import { atRiskLayers, labelLayers } from './curveTexts.js'
import { edgePx, footLayers, framed, headingLayers, textLayer } from './frame.js'
import type { ChartLayer, ChartRow, ChartSpecification } from './specification.js'

/** Step curves with bands, direct labels, and the numbers at risk under the same ticks. */
export function curvePlot(plot: CurvePlot): ChartSpecification {
  const layout = curveLayout(plot)
  const table = atRiskLayers(plot, layout)
  const left = edgePx - layout.margins.left
  const roomPx = layout.measures.widthPx - 2 * edgePx
  const foot = footLayers(plot.notes, plot.generated, {
    x: left,
    y: table.bottomPx + 6,
    roomPx,
    size: plot.size,
    language: plot.by.language,
  })
  const bottom = table.bottomPx + 6 + foot.heightPx + edgePx - layout.height
  return framed({
    size: plot.size,
    margins: { ...layout.margins, bottom },
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
      ...foot.layers,
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
