import {
  type AtRiskRow,
  axisValues,
  bandsRunOut,
  type Curve,
  type CurvePoint,
} from '../../charts/curveLayout.js'
import { curvePlot } from '../../charts/curvePlot.js'
import { intervalText } from '../../charts/estimateWords.js'
import { axisNotes } from '../../charts/frame.js'
import { type ShareScale, shareScaleDown } from '../../charts/shareScale.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark } from '../../charts/theme.js'
import {
  type ChartSpeaker,
  chartSpeaker,
  groupName,
  upperFirst,
  withInterval,
  yearsInWords,
} from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { quantityWords } from '../../messages/speaker.js'
import type { AskedRetention, GroupRetention, RetentionRow } from './answer.js'

/** Options of the charts that draw a curve for each group. */
export interface CurveChartOptions extends FigureOptions {
  /** Names of the groups to draw, "all" for everything together; default: every group of the result. */
  readonly groups?: readonly string[]
}

/**
 * Vega-Lite specification of the retention curves by exposure group: interval bands, a name at the end of each
 * curve, and the numbers at risk under the ticks of the axis. Curves end where the result cuts them, and a short bar
 * marks it. Draws what the result holds and computes nothing.
 *
 * @param result answer of the retention analysis
 * @param options groups to draw (default every group), size (default page), generated (default false)
 * @example retentionChart(retention(cohort), { groups: ['all'] }).description.slice(0, 40) // => "Curves of the share free of first screw "
 */
export function retentionChart(result: AskedRetention, options: CurveChartOptions = {}): ChartSpecification {
  const by = chartSpeaker(options)
  const groups = chosenGroups(result, options.groups)
  const curves = groups.map((group) => ({
    ...retentionCurve(group, result, by),
    band: groups.length <= mostBands,
  }))
  const scale = shareScaleDown(lowestDrawn(curves, result.leastAtRisk))
  return curvePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    by,
    heading: upperFirst(by.text(message(`endpoint.free-of.${result.endpoint}`))),
    description: retentionInWords(result, groups, by),
    curves,
    atRisk: groups.map((group) => atRiskRow(group, result, by)),
    tickYears: result.tickYears,
    shareDomain: scale.domain,
    shareTicks: scale.ticks,
    notes: curveNotes(result, curves, scale, by),
  })
}

/** The groups of a result that a chart was asked for, in the order of the result. */
export function chosenGroups(
  result: AskedRetention,
  names: readonly string[] | undefined,
): readonly GroupRetention[] {
  if (names === undefined) return result.byGroup.length > 0 ? largest(result.byGroup) : [result.overall]
  const known = [result.overall, ...result.byGroup]
  return known.filter((group) => names.includes(group.group))
}

/** The bands of more curves than this hide each other; their intervals stand in the table. */
const mostBands = 3

/** Most curves that can be told apart in one figure. */
const mostCurves = 8

/** The groups with the most restorations, in their order. */
function largest(groups: readonly GroupRetention[]): readonly GroupRetention[] {
  if (groups.length <= mostCurves) return groups
  const sizes = groups.map(({ restorations }) => restorations).sort((left, right) => right - left)
  return groups.filter(({ restorations }) => restorations >= sizes[mostCurves - 1]!).slice(0, mostCurves)
}

/** Names of the groups of a result, by whose order their marks go. */
export function namesOf(result: AskedRetention): readonly string[] {
  return result.byGroup.map(({ group }) => group)
}

/** Row of numbers at risk of a group. */
export function atRiskRow(group: GroupRetention, result: AskedRetention, by: ChartSpeaker): AtRiskRow {
  return {
    key: group.group,
    label: groupName(group, by, result.asked?.by),
    mark: groupMark(group.group, namesOf(result)),
    counts: group.atRiskAtTicks,
  }
}

/** Notes under a chart of curves: cut, bands, axis, and groups too small to draw. */
export function curveNotes(
  result: AskedRetention,
  curves: readonly Curve[],
  scale: ShareScale,
  by: ChartSpeaker,
): string[] {
  const { level, leastAtRisk: least } = result
  const drawn = curves.filter((curve) => curve.points.length > 0)
  const missing = curves.filter((curve) => curve.points.length === 0).map((curve) => curve.label)
  return [
    ...(drawn.some((curve) => curve.band)
      ? [by.text(message('chart.band', { level: by.number(level, 'level') }))]
      : []),
    ...(bandsRunOut(drawn, scale.domain) ? [by.text(message('chart.bands-cut'))] : []),
    ...(drawn.some((curve) => curve.cut) ? [by.text(message('chart.cut', { least }))] : []),
    ...(drawn.length > 0 ? axisNotes(scale.domain[0], 'level', by) : []),
    ...(missing.length > 0
      ? [by.text(message('chart.not-drawn', { least, groups: missing.join('; ') }))]
      : []),
  ]
}

/**
 * Points of a curve as it is drawn: up to the cut, the last value carried on to it, or whole where there is no cut,
 * its last step included; none where too few are at risk from the start. Points that change nothing are left out.
 */
export function drawnPoints(group: GroupRetention, points: readonly CurvePoint[]): readonly CurvePoint[] {
  if (group.cutAtYears <= 0) return []
  const cut = isCut(group)
  const within = cut ? points.filter((point) => point.years < group.cutAtYears) : points
  const kept = within.filter(
    (point, index) =>
      index === 0 || (!cut && index === within.length - 1) || !samePlace(point, within[index - 1]!),
  )
  const last = kept.at(-1)
  if (!cut || last === undefined) return kept
  const { atRisk: _atAnotherTime, ...carried } = last
  return [...kept, { ...carried, years: group.cutAtYears }]
}

/** Whether the curve of a group ends before its follow-up does. */
export function isCut(group: GroupRetention): boolean {
  const last = group.rows.at(-1)
  return last !== undefined && group.cutAtYears < last.timeYears
}

function retentionCurve(group: GroupRetention, result: AskedRetention, by: ChartSpeaker): Curve {
  return {
    key: group.group,
    label: groupName(group, by, result.asked?.by),
    mark: groupMark(group.group, namesOf(result)),
    points: drawnPoints(group, group.rows.map(pointOf)),
    band: true,
    cut: isCut(group),
  }
}

function pointOf(row: RetentionRow): CurvePoint {
  return {
    years: row.timeYears,
    value: row.retention,
    lower: row.lower,
    upper: row.upper,
    atRisk: row.atRisk,
  }
}

function samePlace(point: CurvePoint, before: CurvePoint): boolean {
  return point.value === before.value && point.lower === before.lower && point.upper === before.upper
}

function lowestDrawn(curves: readonly Curve[], leastAtRisk: number): number {
  const values = curves.flatMap((curve) => axisValues(curve, 'lower', leastAtRisk))
  return values.reduce((lowest, value) => Math.min(lowest, value), 1)
}

function retentionInWords(
  result: AskedRetention,
  groups: readonly GroupRetention[],
  by: ChartSpeaker,
): string {
  const rows = groups.map((group) => {
    const horizons = group.horizons.map(({ years, retention }) => {
      const { estimate, interval } = retention
      const limits = isNumber(estimate) ? intervalText(interval, 'percent', by) : ''
      const share = withInterval(quantityWords(estimate, 'percent', by), limits)
      return by.text(message('chart.free-at', { years: yearsInWords(years, by), share }))
    })
    const { restorations } = group
    const name = by.text(
      message('chart.group-size', { name: groupName(group, by, result.asked?.by), restorations }),
    )
    return horizons.length === 0 ? name : by.text(message('chart.row', { name, shown: horizons.join(', ') }))
  })
  return by.text(
    message('chart.free-description', {
      state: message(`endpoint.free-of.${result.endpoint}`),
      level: by.number(result.level, 'level'),
      rows: rows.join('. '),
    }),
  )
}
