import { type Message, message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { type IntervalAxis, type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import type { PlotAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, frameOf } from './theme.js'

/** Estimates one a row along a linear axis, which set no two groups against each other. */
export interface IntervalsAlong {
  readonly heading: Message
  /** Of the intervals; the text alternative names it. Absent where it has words of its own. */
  readonly level?: number
  readonly rows: readonly IntervalRow[]
  readonly axis: PlotAxis
  /** Vega expression that words a tick; default: in per cent. */
  readonly labelExpression?: string
  /** What lies below and above 0, where the axis goes both ways. */
  readonly sides?: { readonly below: string; readonly above: string }
  /** Text alternative; default: heading, level and rows. */
  readonly description?: string
  readonly notes: readonly string[]
}

/** Vega-Lite specification of estimates with their intervals, one a row, along one axis with round ticks. */
export function intervalsAlong(parts: IntervalsAlong, options: FigureOptions): ChartSpecification {
  const { heading, level = 0.95, rows, axis, labelExpression = "format(datum.value, '.1~%')", notes } = parts
  const by = speaker(options.language)
  const linear: IntervalAxis = {
    domain: axis.domain,
    ticks: axis.ticks.map(({ at }) => at),
    scale: 'linear',
    alike: 0,
    title: axis.title,
    labelExpression,
    ...(parts.sides ?? { below: '', above: '' }),
  }
  return intervalPlot({
    ...frameOf(options),
    heading: by.text(heading),
    description:
      parts.description ??
      by.text(
        message('chart.description', {
          heading,
          level: by.number(level, 'level'),
          rows: rowsInWords(rows),
        }),
      ),
    rows,
    axis: linear,
    notes,
  })
}
