import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { formatRatio } from '../core/format.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'
import { groupName, hazardRatioHeading, levelInWords, variantLabel } from './words.js'

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
  const rows = result.hazardRatios.map(({ key, allowsFor, hazardRatio }) =>
    contrastRow(variantLabel(key, allowsFor), hazardRatio, formatRatio),
  )
  const heading = hazardRatioHeading(groupName(result.group), groupName(result.against))
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: ratioAxis(rows, result.group),
    notes: [],
  })
}
