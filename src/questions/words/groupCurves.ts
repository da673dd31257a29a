import { linePlot } from '../../charts/linePlot.js'
import type { PlotLine } from '../../charts/linePlotShape.js'
import { axisEnd, endsBeyond, roundAxis, yearsAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark } from '../../charts/theme.js'
import { type ChartSpeaker, chartSpeaker, markReading } from '../../charts/words.js'
import type { Quantity } from '../../core/estimate.js'
import type { Message } from '../../messages/message.js'
import { message } from '../../messages/message.js'
import { groupLabel } from '../../messages/names.js'
import { curveNotes } from './chartWords.js'

/** Options of a chart of curves by group. */
export interface GroupChartOptions extends FigureOptions {
  /** Groups to draw, "all" for everything together. */
  readonly groups?: readonly string[]
}

/** What curves of groups show. */
export interface GroupCurves {
  readonly heading: Message
  /** Message of the description, and what it says of each group. */
  readonly described: 'chart.description' | 'repeats.chart-description'
  readonly rows: readonly string[]
  readonly lines: readonly PlotLine[]
  readonly level: number
  /** Curves end where fewer are at risk. */
  readonly leastAtRisk: number
}

/** Curves of groups with their bands, by years since delivery; the axis of what they show begins at nought. */
export function groupCurves(parts: GroupCurves, options: FigureOptions): ChartSpecification {
  const by = chartSpeaker(options)
  const { heading, lines, level, leastAtRisk } = parts
  const points = lines.flatMap((line) => line.points)
  const end = axisEnd(points, 1)
  return linePlot({
    ...frameOf(options),
    heading: by.text(heading),
    description: by.text(
      message(parts.described, {
        heading,
        level: by.number(level, 'level'),
        rows: parts.rows.join('. '),
      }),
    ),
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

/** A point of the curve of a group, with the estimate there as it is read aloud. */
export interface GroupPoint {
  readonly years: number
  readonly value: number
  readonly lower: Quantity
  readonly upper: Quantity
  readonly shown: string
}

/** The curve of one group in its mark, with its band. */
export function groupLine(
  group: string,
  points: readonly GroupPoint[],
  interpolate: PlotLine['interpolate'],
  by: ChartSpeaker,
): PlotLine {
  const { ink, dash } = groupMark(group)
  const name = groupLabel(group, by.window)
  return {
    label: by.text(name),
    color: ink.light,
    dash,
    points: points.map(({ years, value, lower, upper, shown }) => ({
      x: years,
      y: value,
      lower,
      upper,
      reading: markReading(
        by.text(message('chart.place', { name, years: by.number(years, 'years') })),
        shown,
      ),
    })),
    interpolate,
    band: true,
  }
}
