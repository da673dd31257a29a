import { linePlot } from '../../charts/linePlot.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification, DashPattern } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark, neutralInk } from '../../charts/theme.js'
import { message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { WatchResult } from './answer.js'

const dashed: DashPattern = [5, 3]
const solid: DashPattern = [1, 0]

/** Weeks between two points that the description reads out. */
const spokenEvery = 26

/**
 * Vega-Lite specification of the cumulative chart of findings against the rates before, with its limit.
 *
 * @param result answer on the practice watched; it has to be watched
 * @param options size (default page), generated (default false), language (default en)
 */
export function cumulativeFigure(result: WatchResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const { course, limit } = result.nowBefore!.watched!
  const points = course.map(({ year, height }) => ({
    x: year,
    y: height,
    reading: by.text(
      message('watch.chart-height', { year: by.number(year, 'years'), height: by.number(height, 'ratio') }),
    ),
  }))
  const heading = message('watch.chart')
  return linePlot({
    ...frameOf(options),
    flat: true,
    heading: by.text(heading),
    description: by.text(
      message('watch.chart-description', {
        heading,
        rows: points
          .filter((_one, i) => i % spokenEvery === 0)
          .map(({ reading }) => reading)
          .join('. '),
      }),
    ),
    lines: [
      {
        label: '',
        color: groupMark('all').ink.light,
        dash: solid,
        points,
        interpolate: 'step-after',
        band: false,
      },
    ],
    marks: [],
    spans: [],
    rules: [{ axis: 'y', at: limit, text: by.text(message('watch.chart-limit')), dash: dashed }],
    x: roundAxis(points.at(0)!.x, points.at(-1)!.x, {
      title: by.text(message('watch.axis-year')),
      format: (year) => by.number(year, 'calendar-year'),
      whole: true,
    }),
    y: roundAxis(0, Math.max(limit, ...points.map(({ y }) => y)), {
      title: '',
      format: (height) => by.number(height, 'plain'),
    }),
    notes: [by.text(message('watch.chart-note'))],
  })
}

/** Vega-Lite specification of the quarters of every device that another instrument read. */
export function driftFigure(result: WatchResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const read = result.devices.filter(({ quarters }) => quarters.length > 0)
  const lines = read.map(({ device, state, quarters }, i) => ({
    label: by.text(foreign(device)),
    color: state === 'drifting' ? neutralInk.warning.light : neutralInk.quiet.light,
    dash: dashes[i % dashes.length]!,
    points: quarters.map(({ year, mean }) => ({
      x: year,
      y: mean,
      reading: by.text(
        message('watch.drift-reading', {
          device: foreign(device),
          year: by.number(year, 'years'),
          size: by.number(mean, 'points'),
        }),
      ),
    })),
    interpolate: 'linear' as const,
    band: false,
  }))
  const points = lines.flatMap((one) => one.points)
  const heading = message('watch.drift-chart')
  return linePlot({
    ...frameOf(options),
    flat: true,
    heading: by.text(heading),
    description: by.text(
      message('watch.chart-description', {
        heading,
        rows: lines.flatMap((one) => one.points.slice(-1).map(({ reading }) => reading)).join('. '),
      }),
    ),
    lines,
    marks: [],
    spans: [],
    rules: tolerances.map((at) => ({ axis: 'y' as const, at, dash: dashed })),
    x: roundAxis(Math.min(...points.map(({ x }) => x)), Math.max(...points.map(({ x }) => x)), {
      title: by.text(message('watch.axis-year')),
      format: (year) => by.number(year, 'calendar-year'),
      whole: true,
    }),
    y: roundAxis(
      Math.min(tolerances[0], ...points.map(({ y }) => y)),
      Math.max(tolerances[1], ...points.map(({ y }) => y)),
      {
        title: '',
        format: (share) => by.number(share, 'points'),
      },
    ),
    notes: [by.text(message('watch.drift-chart-note'))],
  })
}

const dashes: readonly DashPattern[] = [solid, [9, 3], [3, 2], [12, 3, 2, 3]]

/** Tolerance of ISO 6789-1 for hand torque tools up to 10 N·m. */
const tolerances = [-0.06, 0.06] as const
