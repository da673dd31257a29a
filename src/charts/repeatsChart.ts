import type { GroupRepeats, RepeatsResult } from '../analysis/repeats.js'
import { isNumber } from '../core/estimate.js'
import { formatInterval, formatNumber, formatQuantity } from '../core/format.js'
import { linePlot } from './linePlot.js'
import type { PlotLine } from './linePlotShape.js'
import { roundAxis, yearsAxis } from './plotAxis.js'
import type { CurveChartOptions } from './retentionChart.js'
import type { ChartSpecification } from './specification.js'
import { groupMark } from './theme.js'
import {
  bandNote,
  curvePlace,
  endNote,
  groupName,
  levelInWords,
  markReading,
  withInterval,
  yearsInWords,
} from './words.js'

/**
 * Vega-Lite specification of the mean number of events for every 100 restorations that stay in place, counting every
 * time, by exposure group, with interval bands. Curves end where too few are at risk.
 *
 * @param result answer on repeats
 * @param options groups to draw, "all" for everything together (default every group), size (default page), generated
 *   (default false)
 */
export function repeatsChart(result: RepeatsResult, options: CurveChartOptions = {}): ChartSpecification {
  const known = [result.overall, ...result.byGroup]
  const groups = known.filter(({ group }) =>
    options.groups === undefined ? group !== 'all' : options.groups.includes(group),
  )
  const lines = groups.map(lineOf)
  const points = lines.flatMap((line) => line.points)
  const heading = 'Mean number of events for every 100 restorations that stay in place'
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, counting every time, with ${levelInWords(result.level)} intervals. ${groups.map(inWords).join('. ')}.`,
    lines,
    marks: [],
    spans: [],
    rules: [],
    x: yearsAxis(points.map(({ x }) => x)),
    y: roundAxis(0, Math.max(1, ...points.flatMap(({ y, upper }) => [y, isNumber(upper) ? upper : y])), {
      title: '',
      format: (count) => formatNumber(count, Number.isInteger(count) ? 0 : 1),
      endsAtMost: true,
    }),
    notes: [bandNote(levelInWords(result.level)), endNote(result.leastAtRisk)],
  })
}

function lineOf({ group, steps }: GroupRepeats): PlotLine & { readonly points: readonly Hundredfold[] } {
  const mark = groupMark(group)
  return {
    label: groupName(group),
    color: mark.ink.light,
    dash: mark.dash,
    points: steps.map(({ timeYears, meanCount, lower, upper }) => ({
      x: timeYears,
      y: 100 * meanCount,
      lower: isNumber(lower) ? 100 * lower : lower,
      upper: isNumber(upper) ? 100 * upper : upper,
      reading: markReading(
        curvePlace(groupName(group), formatNumber(timeYears, 1)),
        withInterval(hundred(meanCount), formatInterval({ lower, upper }, hundred)),
      ),
    })),
    interpolate: 'step-after',
    band: true,
  }
}

type Hundredfold = Required<PlotLine['points'][number]>

function hundred(count: number): string {
  return formatNumber(100 * count, 1)
}

function inWords({ group, horizons }: GroupRepeats): string {
  const parts = horizons.map(
    ({ years, whileInPlace }) =>
      `${yearsInWords(years)} ${formatQuantity(whileInPlace.estimate, hundred)} (${formatInterval(whileInPlace.interval, hundred)})`,
  )
  return `${groupName(group)}: ${parts.join(', ')}`
}
