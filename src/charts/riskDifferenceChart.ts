import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { formatPoints } from '../core/format.js'
import { pointsAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'
import { groupName, levelInWords, riskDifferenceHeading, thinNote, yearsInWords } from './words.js'

/** Options of the chart of risk differences. */
export interface RiskDifferenceChartOptions extends FigureOptions {
  /** Least number at risk that the result was made with, for the note; default: said in words. */
  readonly leastAtRisk?: number
}

/**
 * Vega-Lite specification of the risk differences at each horizon with their intervals, in percentage points, against
 * no difference. An open mark shows a horizon with few at risk.
 *
 * @param result answer of the comparison of tightening groups
 * @param options size (default page), generated (default false), leastAtRisk for the note
 */
export function riskDifferenceChart(
  result: TighteningComparisonResult,
  options: RiskDifferenceChartOptions = {},
): ChartSpecification {
  const rows = result.horizons.map(({ years, riskDifference, thin }) =>
    contrastRow(yearsInWords(years), riskDifference, formatPoints, thin),
  )
  const heading = riskDifferenceHeading(groupName(result.group), groupName(result.against))
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: pointsAxis(rows, result.group),
    notes: rows.some((row) => row.open) ? [thinNote(options.leastAtRisk)] : [],
  })
}
