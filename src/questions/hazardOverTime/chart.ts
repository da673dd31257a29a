import type { ChartSpecification } from '../../charts/specification.js'
import { groupMark } from '../../charts/theme.js'
import { type ChartSpeaker, chartSpeaker, markReading } from '../../charts/words.js'
import { listOf, message } from '../../messages/message.js'
import { groupLabel } from '../../messages/names.js'
import { estimateText } from '../words/chartWords.js'
import { type GroupChartOptions, groupCurves } from '../words/groupCurves.js'
import type { GroupHazard, HazardOverTime } from './answer.js'

/**
 * Vega-Lite specification of the smoothed hazard over time since delivery by group, with interval bands. Curves end
 * where too few are at risk; groups with few events have none.
 *
 * @param result answer on when the endpoint happened
 * @param options groups to draw, "all" for everything together (default every group with a curve), size (default
 *   page), generated (default false), language (default en)
 */
export function hazardChart(result: HazardOverTime, options: GroupChartOptions = {}): ChartSpecification {
  const by = chartSpeaker(options)
  const groups = result.groups.filter(
    ({ group, curve }) =>
      curve !== undefined && (options.groups === undefined || options.groups.includes(group)),
  )
  const heading = message('hazard.chart')
  return groupCurves(
    {
      heading,
      description: message('chart.description', {
        heading,
        level: by.number(result.level, 'level'),
        rows: groups.map((one) => ratesInWords(one, by)).join('. '),
      }),
      lines: groups.map((one) => lineOf(one, by)),
      level: result.level,
      leastAtRisk: result.leastAtRisk,
    },
    options,
  )
}

function lineOf({ group, curve }: GroupHazard, by: ChartSpeaker) {
  const { ink, dash } = groupMark(group)
  const name = groupLabel(group, by.window)
  return {
    label: by.text(name),
    color: ink.light,
    dash,
    points: curve!.points.map(({ years, per100Years, lower, upper }) => ({
      x: years,
      y: per100Years,
      lower,
      upper,
      reading: markReading(
        by.text(message('chart.place', { name, years: by.number(years, 'years') })),
        estimateText({ estimate: per100Years, interval: { lower, upper } }, 'rate', by),
      ),
    })),
    interpolate: 'linear' as const,
    band: true,
  }
}

function ratesInWords({ group, spans }: GroupHazard, by: ChartSpeaker): string {
  const rates = spans.map(({ fromYears, toYears, ratePer100Years }) => {
    const from = String(fromYears)
    const rate = estimateText(ratePer100Years, 'rate', by)
    return toYears === undefined
      ? message('hazard.chart-span-open', { from, rate })
      : message('hazard.chart-span', { from, to: String(toYears), rate })
  })
  return by.text(
    message('hazard.chart-rates', { group: groupLabel(group, by.window), rates: listOf(rates, 'comma') }),
  )
}
