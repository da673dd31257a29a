import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { formatRatio } from '../core/format.js'
import { contrastRow } from './contrastRow.js'
import { type IntervalAxis, type IntervalRow, intervalPlot } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'
import {
  directionInWords,
  groupName,
  hazardRatioHeading,
  levelInWords,
  ratioTitle,
  variantLabel,
} from './words.js'

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
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rows
      .map((row) => `${row.label}: ${row.text}`)
      .join('. ')}.`,
    rows,
    axis: ratioAxis(rows, result),
    notes: [],
  })
}

const ratioTicks = [0.01, 0.02, 0.05, 0.1, 0.2, 0.33, 0.5, 0.75, 1, 1.33, 2, 3, 5, 10, 20, 50, 100]
/** Powers of ten and their halves, for a wide span. */
const wideTicks = [0.01, 0.1, 1, 10, 100]

/** Runs from a tick at or below all limits to one at or above, at least 0.5 to 2, at most 0.01 to 100. */
function ratioAxis(rows: readonly IntervalRow[], result: TighteningComparisonResult): IntervalAxis {
  const ends = rows
    .flatMap((row) => [row.value ?? 1, row.lower, row.upper])
    .filter((end) => Number.isFinite(end) && end > 0)
  const lowest = Math.min(0.5, ...ends)
  const highest = Math.max(2, ...ends)
  const first = ratioTicks.filter((tick) => tick <= lowest).at(-1) ?? 0.01
  const last = ratioTicks.find((tick) => tick >= highest) ?? 100
  const within = ratioTicks.filter((tick) => tick >= first && tick <= last)
  const few = within.length <= 9 ? within : wideTicks.filter((tick) => tick >= first && tick <= last)
  return {
    domain: [first, last],
    ticks: few,
    scale: 'log',
    alike: 1,
    title: ratioTitle,
    labelExpression: "format(datum.value, '.3~g')",
    below: directionInWords('lower', result.group),
    above: directionInWords('higher', result.group),
  }
}
