import type { GroupHazard, HazardOverTime } from '../analysis/hazardOverTime.js'
import { isNumber } from '../core/estimate.js'
import { formatInterval, formatNumber, formatQuantity, formatRate } from '../core/format.js'
import { linePlot } from './linePlot.js'
import { roundAxis, yearsAxis } from './plotAxis.js'
import type { CurveChartOptions } from './retentionChart.js'
import type { ChartSpecification } from './specification.js'
import { groupMark } from './theme.js'
import { bandNote, curvePlace, endNote, groupName, levelInWords, markReading, withInterval } from './words.js'

/**
 * Vega-Lite specification of the smoothed hazard over time since delivery by group, with interval bands. Curves end
 * where too few are at risk; groups with few events have none.
 *
 * @param result answer on when the endpoint happened
 * @param options groups to draw, "all" for everything together (default every group with a curve), size (default
 *   page), generated (default false)
 */
export function hazardChart(result: HazardOverTime, options: CurveChartOptions = {}): ChartSpecification {
  const groups = result.groups.filter(
    ({ group, curve }) =>
      curve !== undefined && (options.groups === undefined || options.groups.includes(group)),
  )
  const lines = groups.map(({ group, curve }) => ({
    label: groupName(group),
    color: groupMark(group).ink.light,
    dash: groupMark(group).dash,
    points: curve!.points.map(({ years, per100Years, lower, upper }) => ({
      x: years,
      y: per100Years,
      lower,
      upper,
      reading: markReading(
        curvePlace(groupName(group), formatNumber(years, 1)),
        withInterval(formatRate(per100Years), formatInterval({ lower, upper }, formatRate)),
      ),
    })),
    interpolate: 'linear' as const,
    band: true,
  }))
  const points = lines.flatMap((line) => line.points)
  // A band that has hardly any events in it may reach far up: the axis follows the curves, and the band is cut off.
  const top = 2 * Math.max(1, ...points.map(({ y }) => y))
  const highest = Math.max(1, ...points.flatMap(({ y, upper }) => [y, isNumber(upper) ? upper : y]))
  const heading = 'Events per 100 restoration-years by time since delivery, smoothed'
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${groups.map(inWords).join('. ')}.`,
    lines,
    marks: [],
    spans: [],
    rules: [],
    x: yearsAxis(points.map(({ x }) => x)),
    y: roundAxis(0, Math.min(top, highest), {
      title: '',
      format: (rate) => formatNumber(rate, Number.isInteger(rate) ? 0 : 1),
      endsAtMost: true,
    }),
    notes: [
      bandNote(levelInWords(result.level)),
      endNote(result.leastAtRisk),
      ...(highest > top ? ['Bands that run out of the figure are cut off.'] : []),
    ],
  })
}

function inWords({ group, spans }: GroupHazard): string {
  const parts = spans.map(
    ({ fromYears, toYears, ratePer100Years }) =>
      `${toYears === undefined ? `from ${fromYears} years` : `${fromYears} to ${toYears} years`} ${formatQuantity(ratePer100Years.estimate, formatRate)} (${formatInterval(ratePer100Years.interval, formatRate)})`,
  )
  return `${groupName(group)}, rates: ${parts.join(', ')}`
}
