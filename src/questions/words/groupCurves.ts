import { linePlot } from '../../charts/linePlot.js'
import type { PlotLine } from '../../charts/linePlotShape.js'
import { axisEnd, endsBeyond, roundAxis, yearsAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf } from '../../charts/theme.js'
import type { Message } from '../../messages/message.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { curveNotes } from './chartWords.js'

/** Options of a chart of curves by group. */
export interface GroupChartOptions extends FigureOptions {
  /** Groups to draw, "all" for everything together. */
  readonly groups?: readonly string[]
}

/** What curves of groups show. */
export interface GroupCurves {
  readonly heading: Message
  readonly description: Message
  readonly lines: readonly PlotLine[]
  readonly level: number
  /** Curves end where fewer are at risk. */
  readonly leastAtRisk: number
}

/** Curves of groups with their bands, by years since delivery; the axis of what they show begins at nought. */
export function groupCurves(parts: GroupCurves, options: FigureOptions): ChartSpecification {
  const by = speaker(options.language)
  const { lines, level, leastAtRisk } = parts
  const points = lines.flatMap((line) => line.points)
  const end = axisEnd(points, 1)
  return linePlot({
    ...frameOf(options),
    heading: by.text(parts.heading),
    description: by.text(parts.description),
    lines,
    marks: [],
    spans: [],
    rules: [],
    x: yearsAxis(
      points.map(({ x }) => x),
      by,
    ),
    y: roundAxis(0, end, { title: '', format: (value) => by.number(value, 'plain'), endsAtMost: true }),
    notes: [
      ...curveNotes(level, leastAtRisk, by),
      ...(endsBeyond(points, end) ? [by.text(message('chart.bands-cut'))] : []),
    ],
  })
}
