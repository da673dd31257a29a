import { linePlot } from '../../charts/linePlot.js'
import type { LinePoint, PlotLine } from '../../charts/linePlotShape.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification, DashPattern } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark } from '../../charts/theme.js'
import { message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { CoursePoint, NeededResult } from './answer.js'

/**
 * Vega-Lite specification of how narrow the intervals of the risk and of the comparison will be, year by year, with the
 * range over practices like this one. With assumed risks the one in the middle is drawn.
 *
 * @param result answer on what is needed
 * @param options size (default page), generated (default false), language (default en)
 */
export function neededChart(result: NeededResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const scenario = result.scenarios.at(scenarioDrawn(result))!
  const lines = (['risk', 'comparison'] as const).flatMap((side) => lineOf(scenario.course, side, by))
  const heading = message('needed.chart')
  const of = message('needed.chart-of-risk', {
    risk: scenario.own ? 'own' : 'other',
    size: by.number(scenario.risk, 'percent'),
  })
  return linePlot({
    ...frameOf(options),
    heading: by.text(heading),
    description: by.text(
      message('chart.description', {
        heading,
        level: by.number(result.level, 'level'),
        rows: lines
          .flatMap(({ points }) =>
            points.filter(({ x }) => spoken.includes(x)).map(({ reading }) => reading ?? ''),
          )
          .join('. '),
      }),
    ),
    lines,
    marks: [],
    spans: [],
    rules: [
      { axis: 'y', at: result.within, dash: dashed },
      ...(result.smallestDifference === result.within
        ? []
        : [{ axis: 'y' as const, at: result.smallestDifference, dash: dashed }]),
    ],
    x: roundAxis(0, scenario.course.at(-1)!.years, {
      title: by.text(message('needed.axis')),
      format: (years) => by.number(years, 'plain'),
      endsAtMost: true,
    }),
    y: roundAxis(0, Math.max(...lines.flatMap(({ points }) => points.map(({ upper }) => upper))), {
      title: '',
      format: (share) => by.number(share, 'points-size'),
    }),
    notes: [by.text(message('needed.chart-note')), by.text(of)],
  })
}

interface NeededLine extends PlotLine {
  readonly points: readonly (LinePoint & { readonly upper: number })[]
}

const dashed: DashPattern = [5, 3]

/** Years that the description for readers who cannot see the picture names. */
const spoken = [0, 5, 10, 20]

/** The one of the practice itself, or of the assumed risks the one in the middle. */
function scenarioDrawn({ scenarios }: NeededResult): number {
  return scenarios.length === 1 ? 0 : 1
}

function lineOf(
  course: readonly CoursePoint[],
  side: 'risk' | 'comparison',
  by: Speaker,
): readonly NeededLine[] {
  const name = by.text(message(`needed.line-${side}`))
  const points = course.flatMap((point) => {
    const size = point[side]
    const range = side === 'risk' ? point.riskRange : point.comparisonRange
    if (size === undefined || range === undefined) return []
    return [
      {
        x: point.years,
        y: size,
        lower: range.from,
        upper: range.to,
        reading: by.text(
          message('needed.chart-reading', {
            name,
            years: point.years,
            size: by.number(size, 'points-size'),
          }),
        ),
      },
    ]
  })
  const { ink, dash } = groupMark(side === 'risk' ? 'all' : 'repeated in the window')
  return points.length === 0
    ? []
    : [{ label: name, color: ink.light, dash, points, interpolate: 'linear', band: true }]
}
