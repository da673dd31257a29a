import type { GroupRetention, IncidenceRow, RetentionResult } from '../analysis/retention.js'
import { isNumber } from '../core/estimate.js'
import { formatPercent } from '../core/format.js'
import type { Curve, CurvePoint } from './curveLayout.js'
import { curvePlot } from './curvePlot.js'
import {
  atRiskRow,
  type CurveChartOptions,
  chosenGroups,
  curveNotes,
  drawnPoints,
  isCut,
  namesOf,
} from './retentionChart.js'
import { shareScaleUp } from './shareScale.js'
import type { ChartSpecification } from './specification.js'
import { groupMark } from './theme.js'
import {
  chartWords,
  endpointOfTitle,
  groupName,
  incidenceHeading,
  levelInWords,
  printable,
  yearsInWords,
} from './words.js'

/** Options of the cumulative incidence chart. */
export interface IncidenceChartOptions extends CurveChartOptions {
  /** What is counted, such as "first screw loosening"; default: taken from the title of the result. */
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
  result: RetentionResult,
  options: IncidenceChartOptions = {},
): ChartSpecification {
  const groups = chosenGroups(result, options.groups)
  const endpoint = printable(options.endpoint ?? endpointOfTitle(result.title))
  const curves = groups.map((group) => incidenceCurve(group, namesOf(result)))
  const competing = options.competing === false ? undefined : competingCurve(result)
  const all = competing === undefined ? curves : [...curves, competing]
  const scale = shareScaleUp(highestDrawn(all))
  return curvePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading: incidenceHeading(endpoint),
    description: incidenceInWords(result, groups, endpoint),
    curves: all,
    atRisk: groups.map((group) => atRiskRow(group, namesOf(result))),
    tickYears: result.tickYears,
    shareDomain: scale.domain,
    shareTicks: scale.ticks,
    notes: curveNotes(result, all, scale),
  })
}

function incidenceCurve(group: GroupRetention, among: readonly string[]): Curve {
  return {
    key: group.group,
    label: groupName(group.group),
    mark: groupMark(group.group, among),
    points: drawnPoints(group, withAtRisk(group)),
    band: true,
    cut: isCut(group),
  }
}

function competingCurve(result: RetentionResult): Curve | undefined {
  const points = drawnPoints(result.overall, result.overall.competingRows.map(pointOf))
  if (points.every((point) => point.value === 0)) return undefined
  return {
    key: 'competing',
    label: chartWords.competing,
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

function highestDrawn(curves: readonly Curve[]): number {
  const values = curves.flatMap((curve) =>
    curve.points.flatMap((point) =>
      curve.band && isNumber(point.upper) ? [point.value, point.upper] : [point.value],
    ),
  )
  return values.reduce((highest, value) => Math.max(highest, value), 0)
}

function incidenceInWords(
  result: RetentionResult,
  groups: readonly GroupRetention[],
  endpoint: string,
): string {
  const parts = groups.map((group) => {
    const last = drawnPoints(group, group.incidenceRows.map(pointOf)).at(-1)
    const name = groupName(group.group)
    if (last === undefined) return `${name}: ${chartWords.tooFew}`
    const years = yearsInWords(Math.round(last.years * 10) / 10)
    return `${name}: ${formatPercent(last.value)} at ${years}`
  })
  return (
    `Curves of the cumulative incidence of ${endpoint} against years since delivery, with ` +
    `${levelInWords(result.level)} intervals and numbers at risk. ${parts.join('. ')}.`
  )
}
