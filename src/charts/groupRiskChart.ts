import { message } from '../messages/message.js'
import { type Speaker, speaker } from '../messages/speaker.js'
import type { GroupFigures } from '../pooling/coordinator/figures.js'
import type { EndpointResult } from '../pooling/coordinator/groupResult.js'
import { horizonDay } from '../pooling/protocol/protocol.js'
import { intervalText } from './estimateWords.js'
import { fromNothing, type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import { shareScaleUp } from './shareScale.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, frameOf, groupMark } from './theme.js'
import { groupName, withInterval, yearsInWords } from './words.js'

/** Most years that are drawn. */
const mostYears = 10

/**
 * Vega-Lite specification of the risk of the endpoint by the end of each year, group by group. Nothing is drawn between:
 * only the ends of the intervals of the protocol's grid were shared.
 *
 * @param result result of one endpoint of a study group
 * @param options size (default page), generated (default false)
 * @example groupRiskChart(playStudyGroup(records, readProtocol(JSON.stringify(exampleProtocol)), { date: '2026-01-31' }).pooled.endpoints[0]).description.slice(0, 40) // => "Risk by the end of each year, by group. "
 */
export function groupRiskChart(result: EndpointResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const shown = result.groups.filter((one): one is GroupFigures => !('withheld' in one))
  const rows = Array.from({ length: mostYears }, (_one, i) => i + 1).flatMap((years) =>
    shown.flatMap((figures) => riskRow(figures, years, by)),
  )
  const highest = Math.max(0, ...rows.map(({ upper }) => upper))
  const scale = shareScaleUp(Math.min(1, highest))
  const heading = by.text(message('chart.risk-by-year'))
  return intervalPlot({
    ...frameOf(options),
    heading,
    description: by.text(message('chart.rows', { heading, rows: rowsInWords(rows) })),
    rows,
    axis: fromNothing(scale, by.text(message('chart.risk')), "format(datum.value, '.3~p')"),
    notes: [],
  })
}

function riskRow({ curve, group }: GroupFigures, years: number, by: Speaker): readonly IntervalRow[] {
  const point = curve.find(({ day }) => day === horizonDay(years))
  if (point === undefined) return []
  const { risk, lower, upper, atRisk } = point
  return [
    {
      label: `${yearsInWords(years, by)}, ${groupName(group, by)}`,
      value: risk,
      lower,
      upper,
      hasInterval: true,
      text: withInterval(by.number(risk, 'percent'), intervalText({ lower, upper }, 'percent', by)),
      open: atRisk < 10,
      color: groupMark(group).ink.light,
    },
  ]
}
