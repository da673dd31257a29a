import { linePlot } from '../../charts/linePlot.js'
import { ratioPlotAxis, roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark } from '../../charts/theme.js'
import { markReading } from '../../charts/words.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { listOf, type Message, message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import { estimateText } from '../words/chartWords.js'
import type { WaitResult } from './answer.js'

/**
 * Vega-Lite specification of the hazard ratio along the minutes waited between the two tightenings, on a logarithmic
 * axis with its interval band, the window shaded and a ratio of 1 drawn through.
 *
 * @param wait answer on the wait; without a curve the plot is empty and says so
 * @param options size (default page), generated (default false), language (default en)
 */
export function waitChart(wait: WaitResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const { curve, windowMinutes, level } = wait
  const points = (curve?.points ?? []).flatMap(({ minutes, hazardRatio, interval }) =>
    isNumber(hazardRatio)
      ? [
          {
            x: minutes,
            y: hazardRatio,
            ...interval,
            reading: markReading(
              by.text(message('wait.chart-minutes', { minutes: by.number(minutes, 'minutes') })),
              estimateText({ estimate: hazardRatio, interval }, 'ratio', by),
            ),
          },
        ]
      : [],
  )
  const ends = points.flatMap((point) => [point.y, ...numbers(point.lower), ...numbers(point.upper)])
  const heading = message('wait.chart', { minutes: by.number(curve?.referenceMinutes ?? 0, 'minutes') })
  const levelText = by.number(level, 'level')
  return linePlot({
    ...frameOf(options),
    heading: by.text(heading),
    description: by.text(
      message('wait.chart-description', { heading, level: levelText, rows: described(wait, by) }),
    ),
    lines: [
      {
        label: '',
        color: groupMark('repeated in the window').ink.light,
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
        title: by.text(message('wait.chart-axis')),
        format: (minutes) => by.number(minutes, 'minutes'),
      },
    ),
    y: ratioPlotAxis(ends, by.text(message('chart.ratio-axis'))),
    notes: [
      by.text(message('chart.band', { level: levelText })),
      by.text(message('wait.chart-window')),
      by.text(message('chart.logarithmic')),
    ],
  })
}

function numbers(quantity: Quantity): readonly number[] {
  return isNumber(quantity) ? [quantity] : []
}

/** The curve at a few places in words. */
function described({ curve }: WaitResult, by: Speaker): Message {
  if (curve === undefined) return message('wait.chart-none')
  const { points } = curve
  const chosen = [0, 0.25, 0.5, 0.75, 1].map((share) => points[Math.round(share * (points.length - 1))]!)
  const places = chosen.map(({ minutes, hazardRatio, interval }) =>
    message('wait.chart-at', {
      minutes: by.number(minutes, 'minutes'),
      ratio: estimateText({ estimate: hazardRatio, interval }, 'ratio', by),
    }),
  )
  return message('wait.chart-places', { places: listOf(places, 'semicolon') })
}
