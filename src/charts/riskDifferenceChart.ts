import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { formatPoints } from '../core/format.js'
import { contrastRow } from './contrastRow.js'
import { type IntervalAxis, type IntervalRow, intervalPlot } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import type { FigureOptions } from './theme.js'
import {
  directionInWords,
  groupName,
  levelInWords,
  pointsTitle,
  riskDifferenceHeading,
  thinNote,
  yearsInWords,
} from './words.js'

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
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rows
      .map((row) => `${row.label}: ${row.text}`)
      .join('. ')}.`,
    rows,
    axis: pointsAxis(rows, result),
    notes: rows.some((row) => row.open) ? [thinNote(options.leastAtRisk)] : [],
  })
}

const steps = [0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5]

function pointsAxis(rows: readonly IntervalRow[], result: TighteningComparisonResult): IntervalAxis {
  const ends = rows.flatMap((row) => [row.value ?? 0, row.lower, row.upper]).filter(Number.isFinite)
  const lowest = Math.min(0, ...ends)
  const highest = Math.max(0, ...ends)
  const step = steps.find((candidate) => (highest - lowest) / candidate <= 7) ?? 0.5
  const first = Math.min(-1, Math.floor(lowest / step + 1e-9))
  const last = Math.max(1, Math.ceil(highest / step - 1e-9))
  const ticks = Array.from({ length: last - first + 1 }, (_, index) => tidy((first + index) * step))
  return {
    domain: [ticks[0]!, ticks.at(-1)!],
    ticks,
    scale: 'linear',
    alike: 0,
    title: pointsTitle,
    labelExpression: "datum.value === 0 ? '0' : format(datum.value * 100, '+.3~g')",
    below: directionInWords('lower', result.group),
    above: directionInWords('higher', result.group),
  }
}

/** Takes away what binary fractions add to a tick. */
function tidy(value: number): number {
  return Number(value.toFixed(6)) + 0
}
