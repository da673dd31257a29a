import { axisValues, type Curve, type CurvePoint } from '../../charts/curveLayout.js'
import { curvePlot } from '../../charts/curvePlot.js'
import { shareScaleUp } from '../../charts/shareScale.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { groupMark } from '../../charts/theme.js'
import { type ChartSpeaker, chartSpeaker, groupName, printable, yearsInWords } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import type { AskedRetention, GroupRetention, IncidenceRow } from '../retention/answer.js'
import {
  atRiskRow,
  type CurveChartOptions,
  chosenGroups,
  curveNotes,
  drawnPoints,
  isCut,
  namesOf,
} from '../retention/chart.js'

/** Options of the cumulative incidence chart. */
export interface IncidenceChartOptions extends CurveChartOptions {
  /** What is counted, such as "first screw loosening"; default: the endpoint of the result. */
  readonly endpoint?: string
  /** Whether the curve of competing events of all restorations is drawn too; default true where there are any. */
  readonly competing?: boolean
}

/**
 * Vega-Lite specification of the cumulative incidence of the endpoint by exposure group, competing events allowed
 * for, beside the cumulative incidence of competing events. The axis starts at zero.
 *
 * @param result answer of the retention analysis
 * @param options groups to draw (default every group), endpoint in words, competing (default true), size (default
 *   page), generated (default false)
 * @example incidenceChart(retention(cohort)).description.slice(0, 40) // => "Curves of the cumulative incidence of fi"
 */
export function incidenceChart(
  result: AskedRetention,
  options: IncidenceChartOptions = {},
): ChartSpecification {
  const by = chartSpeaker(options)
  const groups = chosenGroups(result, options.groups)
  const endpoint = printable(options.endpoint ?? by.text(message(`endpoint.name.${result.endpoint}`)))
  const curves = groups.map((group) => incidenceCurve(group, result, by))
  const competing = options.competing === false ? undefined : competingCurve(result, by)
  const all = competing === undefined ? curves : [...curves, competing]
  const scale = shareScaleUp(highestDrawn(all, result.leastAtRisk))
  return curvePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    by,
    heading: by.text(message('chart.incidence', { endpoint })),
    description: incidenceInWords(result, groups, endpoint, by),
    curves: all,
    atRisk: groups.map((group) => atRiskRow(group, result, by)),
    tickYears: result.tickYears,
    shareDomain: scale.domain,
    shareTicks: scale.ticks,
    notes: curveNotes(result, all, scale, by),
  })
}

function incidenceCurve(group: GroupRetention, result: AskedRetention, by: ChartSpeaker): Curve {
  return {
    key: group.group,
    label: groupName(group, by, result.asked?.by),
    mark: groupMark(group.group, namesOf(result)),
    points: drawnPoints(group, withAtRisk(group)),
    band: true,
    cut: isCut(group),
  }
}

function competingCurve(result: AskedRetention, by: ChartSpeaker): Curve | undefined {
  const points = drawnPoints(result.overall, result.overall.competingRows.map(pointOf))
  if (points.every((point) => point.value === 0)) return undefined
  return {
    key: 'competing',
    label: by.text(message('chart.competing')),
    mark: groupMark('competing'),
    points,
    band: false,
    cut: isCut(result.overall),
  }
}

/** Points of the incidence with the numbers at risk of the retention curve, which counts at the same times. */
function withAtRisk(group: GroupRetention): readonly CurvePoint[] {
  const atRisk = new Map(group.rows.map((row) => [row.timeDays, row.atRisk]))
  return group.incidenceRows.map((row) => {
    const count = atRisk.get(row.timeDays)
    return count === undefined ? pointOf(row) : { ...pointOf(row), atRisk: count }
  })
}

function pointOf(row: IncidenceRow): CurvePoint {
  return { years: row.timeYears, value: row.risk, lower: row.lower, upper: row.upper }
}

function highestDrawn(curves: readonly Curve[], leastAtRisk: number): number {
  const values = curves.flatMap((curve) => axisValues(curve, 'upper', leastAtRisk))
  return values.reduce((highest, value) => Math.max(highest, value), 0)
}

function incidenceInWords(
  result: AskedRetention,
  groups: readonly GroupRetention[],
  endpoint: string,
  by: ChartSpeaker,
): string {
  const rows = groups.map((group) => {
    const last = drawnPoints(group, group.incidenceRows.map(pointOf)).at(-1)
    const name = groupName(group, by, result.asked?.by)
    if (last === undefined) {
      return by.text(message('chart.row', { name, shown: message('chart.too-few') }))
    }
    const years = yearsInWords(Math.round(last.years * 10) / 10, by)
    return by.text(message('chart.incidence-at', { name, risk: by.number(last.value, 'percent'), years }))
  })
  const level = by.number(result.level, 'level')
  return by.text(message('chart.incidence-description', { endpoint, level, rows: rows.join('. ') }))
}
