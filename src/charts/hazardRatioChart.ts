import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'
import { allowedFor, describedRows, groupName, lowerFirst, variantName } from './words.js'

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
  const by = speaker(options.language)
  const rows = result.hazardRatios.map(({ key, allowsFor, hazardRatio }) =>
    contrastRow(
      by.text(
        message('chart.variant', {
          name: variantName(key),
          also: allowsFor.length > 0 ? 'yes' : 'other',
          allows: allowedFor({ key, allowsFor }),
        }),
      ),
      hazardRatio,
      'ratio',
      by,
    ),
  )
  const [group, against] = [result.group, result.against].map((one) =>
    lowerFirst(groupName(one, by), by),
  ) as [string, string]
  const heading = by.text(message('chart.hazard-ratio', { group, against }))
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    language: by.language,
    heading,
    description: describedRows(heading, result.level, rowsInWords(rows), by),
    rows,
    axis: ratioAxis(rows, result.group, by),
    notes: [],
  })
}
