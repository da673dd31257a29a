import { intervalText } from '../../charts/estimateWords.js'
import { fromNothing, type IntervalRow, intervalPlot, rowsInWords } from '../../charts/intervalPlot.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark } from '../../charts/theme.js'
import { groupName, withInterval } from '../../charts/words.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { quantityWords, type Speaker, speaker } from '../../messages/speaker.js'
import type { AskedIncidence, GroupIncidence } from './answer.js'

/**
 * Vega-Lite specification of the rates of the groups of a result, one a row, each with its interval.
 *
 * @param result answer of `incidence`
 * @param options size (default page), generated (default false)
 */
export function groupRateChart(result: AskedIncidence, options: FigureOptions = {}): ChartSpecification {
  const say = speaker(options.language)
  const names = result.byGroup.map(({ group }) => group)
  const rows = [result.overall, ...result.byGroup].map((group) =>
    rateRow(group, names, result.asked?.by, say),
  )
  const ends = rows.flatMap(({ upper, value }) => (Number.isFinite(upper) ? [upper] : [value ?? 0]))
  const scale = rateScale(Math.max(...ends))
  const heading = say.text(message('asked.rate', { name: fieldName(result.asked?.by ?? 'tightening') }))
  return intervalPlot({
    ...frameOf(options),
    heading,
    description: say.text(message('chart.rows', { heading, rows: rowsInWords(rows) })),
    rows,
    axis: fromNothing(scale, say.text(message('asked.rate-axis')), 'datum.label'),
    notes: [],
  })
}

function rateRow(
  group: GroupIncidence,
  among: readonly string[],
  field: string | undefined,
  by: Speaker,
): IntervalRow {
  const { estimate, interval } = group.ratePer100Years
  const limit = (one: Quantity, none: number): number => (isNumber(one) ? one : none)
  return {
    label: groupName(group, by, field),
    value: isNumber(estimate) ? estimate : undefined,
    lower: limit(interval.lower, -Infinity),
    upper: limit(interval.upper, Infinity),
    hasInterval: isNumber(estimate),
    text: withInterval(quantityWords(estimate, 'rate', by), intervalText(interval, 'rate', by)),
    open: group.restorations < 10,
    color: groupMark(group.group, among).ink.light,
  }
}

/** From 0 to a round end in five steps or fewer; a limit far beyond the others runs out of the figure. */
function rateScale(highest: number): {
  readonly domain: readonly [number, number]
  readonly ticks: readonly number[]
} {
  const step = [0.5, 1, 2, 5, 10, 20, 50, 100].find((one) => one * 5 >= highest) ?? 200
  const ticks = [0, 1, 2, 3, 4, 5].map((one) => one * step)
  return { domain: [0, 5 * step], ticks }
}
