import { formatCount } from '../core/format.js'
import { message } from '../messages/message.js'
import {
  type AtRiskRow,
  axisPx,
  type Curve,
  type CurveLayout,
  type CurvePlot,
  type CurvePoint,
} from './curveLayout.js'
import { dodged } from './dodge.js'
import { edgePx, textLayer } from './frame.js'
import type { ChartLayer } from './specification.js'
import { wrapText } from './textWidth.js'
import { neutralInk } from './theme.js'

/** Names at the ends of the curves, moved apart where they would touch, each led to its curve by a thin line. */
export function labelLayers(plot: CurvePlot, layout: CurveLayout): ChartLayer[] {
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
export function atRiskLayers(
  plot: CurvePlot,
  layout: CurveLayout,
): { layers: ChartLayer[]; bottomPx: number } {
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
