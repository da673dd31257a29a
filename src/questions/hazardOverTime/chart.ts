import type { ChartSpecification } from '../../charts/specification.js'
import { type ChartSpeaker, chartSpeaker } from '../../charts/words.js'
import { listOf, message } from '../../messages/message.js'
import { groupLabel } from '../../messages/names.js'
import { estimateText } from '../words/chartWords.js'
import { type GroupChartOptions, groupCurves, groupLine } from '../words/groupCurves.js'
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
  return groupCurves(
    {
      heading: message('hazard.chart'),
      described: 'chart.description',
      rows: groups.map((one) => ratesInWords(one, by)),
      lines: groups.map(({ group, curve }) =>
        groupLine(
          group,
          curve!.points.map(({ years, per100Years, lower, upper }) => ({
            years,
            value: per100Years,
            lower,
            upper,
            shown: estimateText({ estimate: per100Years, interval: { lower, upper } }, 'rate', by),
          })),
          'linear',
          by,
        ),
      ),
      level: result.level,
      leastAtRisk: result.leastAtRisk,
    },
    options,
  )
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
