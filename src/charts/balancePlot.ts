import type { WhoWasCompared } from '../analysis/whoWasCompared.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { formatNumber } from '../core/format.js'
import { edgePx, footLayers, framed, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import type { ChannelDefinition, ChartLayer, ChartSpecification } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from './theme.js'
import { comparedWords } from './variantWords.js'
import { balanceReading, markReading, printable, upperFirst } from './words.js'

type Balance = NonNullable<WhoWasCompared['balance']>

/** Difference from which a covariate counts as out of balance. */
const threshold = 0.1

/** Largest difference that the axis shows. */
const farthest = 1

/**
 * Vega-Lite specification of how alike the groups are in what came before the choice: absolute standardised differences
 * before weighting (open circles) and after it (squares), one row for each number or level.
 *
 * @param balance balance of who was compared
 * @param options size (default page), generated (default false)
 */
export function balancePlot(balance: Balance, options: FigureOptions = {}): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { smallTextPx, leadPx, widthPx } = measures
  const labels = balance.rows.map(({ words }) =>
    wrapText(upperFirst(printable(words)), widthPx * 0.42, smallTextPx, { mostLines: 2 }),
  )
  const heading = headingLines(comparedWords.balanceHeading, size)
  const margins = {
    left: Math.ceil(edgePx + widestText(labels.flat(), smallTextPx) + 12),
    right: 16,
    top: edgePx + heading.length * leadPx + 8,
    bottom: 0,
  }
  const width = plotWidth(size, margins)
  const { middles, bottom: height } = rowPlaces(labels, leadPx)
  const beyond = sizes(balance).some((value) => value > farthest)
  const footTop = height + smallTextPx + 13 + leadPx + 6
  const legend = `${upperFirst(comparedWords.before)}; ${comparedWords.after}. ${comparedWords.threshold}`
  const foot = footLayers(
    beyond ? [legend, comparedWords.largerThanShown] : [legend],
    options.generated ?? false,
    { x: edgePx - margins.left, y: footTop, roomPx: widthPx - 2 * edgePx, size },
  )
  return framed({
    size,
    margins: { ...margins, bottom: footTop + foot.heightPx + edgePx - height },
    plotHeightPx: height,
    description: describe(balance),
    layers: [
      thresholdLayer(balance, height),
      ...balance.rows.flatMap((row, index) => rowLayers(row, middles[index]!, balance, measures)),
      ...labels.flatMap((lines, index) =>
        lines.map((text, line) =>
          textLayer({
            text,
            x: -8,
            y: middles[index]! + (line - (lines.length - 1) / 2) * smallTextPx * 1.15,
            align: 'right',
            sizePx: smallTextPx,
          }),
        ),
      ),
      ...headingLayers(heading, measures, margins),
      textLayer({
        text: comparedWords.balanceAxis,
        x: width / 2,
        y: height + smallTextPx + 13 + leadPx / 2,
        align: 'center',
      }),
      ...foot.layers,
    ],
  })
}

function sizes({ rows }: Balance): readonly number[] {
  return rows
    .flatMap(({ before, after }) => [before.standardisedDifference, after.standardisedDifference])
    .filter(isNumber)
    .map(Math.abs)
}

function axisOf(balance: Balance): ChannelDefinition {
  const most = Math.max(0.2, ...sizes(balance).filter((value) => value <= farthest))
  const step = most <= 0.4 ? 0.1 : 0.2
  const end = Number((Math.ceil(most / step - 1e-9) * step).toFixed(6))
  const ticks = Array.from({ length: Math.round(end / step) + 1 }, (_one, i) => Number((i * step).toFixed(6)))
  return {
    field: 'value',
    type: 'quantitative',
    scale: { domain: [0, end], nice: false, zero: false },
    axis: { title: null, values: ticks, format: '.1f', grid: true },
  }
}

function thresholdLayer(balance: Balance, height: number): ChartLayer {
  return {
    name: 'threshold',
    data: { values: [{ value: threshold, from: 0, to: height }] },
    mark: { type: 'rule', color: neutralInk.text.light, strokeWidth: 1, strokeDash: [4, 3] },
    encoding: {
      x: axisOf(balance),
      y: { field: 'from', type: 'quantitative', scale: null, axis: null },
      y2: { field: 'to' },
    },
  }
}

function rowLayers(
  row: Balance['rows'][number],
  y: number,
  balance: Balance,
  { textPx, linePx }: { readonly textPx: number; readonly linePx: number },
): ChartLayer[] {
  const x = axisOf(balance)
  const end = x.scale!.domain![1]!
  const color = groupMark('all').ink.light
  const mark = (quantity: Quantity, when: 'before' | 'after'): ChartLayer[] => {
    if (!isNumber(quantity)) return []
    const value = Math.abs(quantity)
    const beyond = value > end
    return [
      {
        name: when,
        data: {
          values: [
            {
              value: Math.min(value, end),
              reading: markReading(
                upperFirst(printable(row.words)),
                balanceReading(formatNumber(value, 2), when),
              ),
            },
          ],
        },
        mark: {
          type: 'point',
          shape: beyond ? 'triangle-right' : when === 'before' ? 'circle' : 'square',
          filled: true,
          fill: when === 'before' ? neutralInk.surface.light : color,
          stroke: color,
          strokeWidth: linePx,
          opacity: 1,
          size: textPx * 3.6,
        },
        encoding: { x, y: { value: y }, tooltip: { field: 'reading', type: 'nominal' } },
      },
    ]
  }
  return [
    ...mark(row.before.standardisedDifference, 'before'),
    ...mark(row.after.standardisedDifference, 'after'),
  ]
}

function rowPlaces(labels: readonly (readonly string[])[], leadPx: number) {
  const middles: number[] = []
  let bottom = 0
  for (const lines of labels) {
    const height = Math.max(1, lines.length) * leadPx + 2
    middles.push(bottom + height / 2)
    bottom += height
  }
  return { middles, bottom: Math.max(bottom, 20) }
}

function describe({ rows }: Balance): string {
  const text = (quantity: Quantity): string =>
    isNumber(quantity) ? formatNumber(Math.abs(quantity), 2) : comparedWords.notComparable
  const lines = rows.map(
    ({ words, before, after }) =>
      `${upperFirst(words)}: ${text(before.standardisedDifference)} before, ${text(after.standardisedDifference)} after weighting`,
  )
  return `${comparedWords.balanceHeading}. ${comparedWords.balanceAxis}. ${lines.join('. ')}.`
}
