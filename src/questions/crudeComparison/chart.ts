import { contrastRow, ratioPlot } from '../../charts/contrastRow.js'
import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { chartSpeaker, groupName, lowerFirst } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import type { TighteningComparisonResult } from './answer.js'
import { allowedFor } from './words.js'

/**
 * Vega-Lite specification of the hazard ratios, one for each way of allowing for other things, with their intervals
 * on a logarithmic axis, against a ratio of 1.
 *
 * @param result answer of the comparison of tightening groups
 * @param options size (default page), generated (default false)
 */
export function hazardRatioChart(
  result: TighteningComparisonResult,
  options: FigureOptions = {},
): ChartSpecification {
  const by = chartSpeaker(options)
  const rows = result.hazardRatios.map((one) =>
    contrastRow(
      by.text(
        message('chart.variant', {
          name: message(`label.${one.key}`),
          also: one.allowsFor.length > 0 ? 'yes' : 'other',
          allows: allowedFor(one),
        }),
      ),
      one.hazardRatio,
      'ratio',
      by,
    ),
  )
  const [group, against] = [result.group, result.against].map((one) =>
    lowerFirst(groupName(one, by), by),
  ) as [string, string]
  const heading = by.text(message('chart.hazard-ratio', { group, against }))
  return ratioPlot({ heading, level: result.level, rows, group: result.group }, options)
}
