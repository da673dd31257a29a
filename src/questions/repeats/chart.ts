import type { ChartSpecification } from '../../charts/specification.js'
import { type ChartSpeaker, chartSpeaker } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { listOf, message } from '../../messages/message.js'
import { groupLabel } from '../../messages/names.js'
import { estimateText } from '../words/chartWords.js'
import { type GroupChartOptions, groupCurves, groupLine } from '../words/groupCurves.js'
import type { GroupRepeats, RepeatsResult } from './answer.js'

/**
 * Vega-Lite specification of the mean number of events for every 100 restorations that stay in place, counting every
 * time, by exposure group, with interval bands. Curves end where too few are at risk.
 *
 * @param result answer on repeats
 * @param options groups to draw, "all" for everything together (default every group), size (default page), generated
 *   (default false), language (default en)
 */
export function repeatsChart(result: RepeatsResult, options: GroupChartOptions = {}): ChartSpecification {
  const by = chartSpeaker(options)
  const known = [result.overall, ...result.byGroup]
  const groups = known.filter(({ group }) =>
    options.groups === undefined ? group !== 'all' : options.groups.includes(group),
  )
  return groupCurves(
    {
      heading: message('repeats.chart'),
      described: 'repeats.chart-description',
      rows: groups.map((one) => countsInWords(one, by)),
      lines: groups.map(({ group, steps }) =>
        groupLine(
          group,
          steps.map(({ timeYears, meanCount, lower, upper }) => ({
            years: timeYears,
            value: 100 * meanCount,
            lower: isNumber(lower) ? 100 * lower : lower,
            upper: isNumber(upper) ? 100 * upper : upper,
            shown: estimateText({ estimate: meanCount, interval: { lower, upper } }, 'per-hundred', by),
          })),
          'step-after',
          by,
        ),
      ),
      level: result.level,
      leastAtRisk: result.leastAtRisk,
    },
    options,
  )
}

function countsInWords({ group, horizons }: GroupRepeats, by: ChartSpeaker): string {
  const rows = horizons.map(({ years, whileInPlace }) =>
    message('repeats.chart-at', {
      years: message('quantity.years', { years }),
      mean: estimateText(whileInPlace, 'per-hundred', by),
    }),
  )
  return by.text(message('chart.row', { name: groupLabel(group, by.window), shown: listOf(rows, 'comma') }))
}
