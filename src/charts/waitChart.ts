import type { WaitResult } from '../analysis/waitTime.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { formatInterval, formatNumber, formatQuantity, formatRatio } from '../core/format.js'
import { linePlot } from './linePlot.js'
import { ratioPlotAxis, roundAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { bandNote, levelInWords, logarithmicNote, markReading, ratioTitle, withInterval } from './words.js'

/**
 * Vega-Lite specification of the hazard ratio along the minutes waited between the two tightenings, on a logarithmic
 * axis with its interval band, the window shaded and a ratio of 1 drawn through.
 *
 * @param wait answer on the wait; without a curve the plot is empty and says so
 * @param options size (default page), generated (default false)
 */
export function waitChart(wait: WaitResult, options: FigureOptions = {}): ChartSpecification {
  const { curve, windowMinutes, level } = wait
  const points = (curve?.points ?? []).flatMap(({ minutes, hazardRatio, interval }) =>
    isNumber(hazardRatio)
      ? [
          {
            x: minutes,
            y: hazardRatio,
            ...interval,
            reading: markReading(
              `${formatMinutes(minutes)} minutes`,
              withInterval(formatRatio(hazardRatio), formatInterval(interval, formatRatio)),
            ),
          },
        ]
      : [],
  )
  const ends = points.flatMap((point) => [point.y, ...numbers(point.lower), ...numbers(point.upper)])
  const heading = `Hazard ratio against a wait of ${formatMinutes(curve?.referenceMinutes ?? 0)} minutes`
  const mark = groupMark('repeated in the window')
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(level)} intervals. ${described(wait)}`,
    lines: [
      {
        label: '',
        color: mark.ink.light,
        dash: [1, 0],
        points,
        interpolate: 'linear',
        band: true,
      },
    ],
    marks: [],
    spans: [windowMinutes],
    rules: [{ axis: 'y', at: 1, dash: [1, 0] }],
    x: roundAxis(
      Math.min(points[0]?.x ?? 0, windowMinutes.from),
      Math.max(points.at(-1)?.x ?? 1, windowMinutes.to),
      {
        title: 'Minutes between the first and the second tightening',
        format: formatMinutes,
      },
    ),
    y: ratioPlotAxis(ends, ratioTitle),
    notes: [bandNote(levelInWords(level)), 'Shaded: the window of the plan.', logarithmicNote],
  })
}

function numbers(quantity: Quantity): readonly number[] {
  return isNumber(quantity) ? [quantity] : []
}

function formatMinutes(minutes: number): string {
  return formatNumber(minutes, Number.isInteger(minutes) ? 0 : 1)
}

/** The curve at a few places in words. */
function described({ curve }: WaitResult): string {
  if (curve === undefined) return 'No curve could be drawn.'
  const { points } = curve
  const chosen = [0, 0.25, 0.5, 0.75, 1].map((share) => points[Math.round(share * (points.length - 1))]!)
  const words = chosen.map(
    ({ minutes, hazardRatio, interval }) =>
      `${formatMinutes(minutes)} minutes: ${formatQuantity(hazardRatio, formatRatio)} (${formatInterval(interval, formatRatio)})`,
  )
  return `${words.join('; ')}.`
}
