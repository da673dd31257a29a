import { pointsAxis } from '../../charts/contrastAxes.js'
import type { AtRiskRow, Curve, CurvePoint } from '../../charts/curveLayout.js'
import { curvePlot } from '../../charts/curvePlot.js'
import { type IntervalRow, intervalPlot, rowsInWords } from '../../charts/intervalPlot.js'
import { shareScaleUp } from '../../charts/shareScale.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark } from '../../charts/theme.js'
import { chartSpeaker, upperFirst } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { SectionSetting } from '../question.js'
import { groupTitle } from '../words/groups.js'
import type { ComparisonResult } from './answer.js'
import type { Challenge } from './challenges.js'
import type { Ranged } from './estimate.js'
import { endpointName, groupName, yearsText } from './words.js'

/** Most rows of the forest. */
const mostRows = 8

/** An interval sets the axis only while so many are at risk. */
const enoughAtRisk = 20

/** Years by which the interval of each group stands beside its time. */
const shiftYears = 0.05

/** The risks of a group with their intervals where the table has them, as far as its curve is drawn. */
function barsOf({ arms, curves }: ComparisonResult, side: 'group' | 'against'): readonly ArmBar[] {
  const last = curves.find((curve) => curve.side === side)?.points.at(-1)?.years ?? 0
  return arms
    .filter(({ years }) => years <= last)
    .map(({ years, atRisk, ...arm }) => ({
      years,
      value: arm[side].estimate,
      lower: arm[side].lower,
      upper: arm[side].upper,
      atRisk: atRisk[side],
    }))
}

interface ArmBar extends CurvePoint {
  readonly upper: number
  readonly atRisk: number
}

/**
 * Weighted risks of both groups over time, the main figure of the comparison, with the numbers at risk under the ticks.
 *
 * @param result comparison with curves
 * @example curvesChart(audit.tightening, audit).description.slice(0, 40) // => "Risk of screw loosening over time, weigh"
 */
export function curvesChart(
  result: ComparisonResult,
  { definition }: SectionSetting,
  options: FigureOptions = {},
): ChartSpecification {
  const by = speaker(options.language)
  const { groups } = result
  const lastYear = Math.min(...result.curves.map(({ points }) => Math.floor(points.at(-1)?.years ?? 0)))
  const tickYears = Array.from({ length: Math.max(1, lastYear) + 1 }, (_one, year) => year)
  const named = result.curves.map((curve) => ({
    curve,
    key: groups[curve.side],
    label: by.text(groupTitle(groups[curve.side], definition)),
    mark: groupMark(
      groups.by === 'measured' || groups.by === 'chart' ? groups[curve.side] : sideMark[curve.side],
    ),
  }))
  const curves = named.map(
    ({ curve, key, label, mark }): Curve => ({
      key,
      label,
      mark,
      band: false,
      bars: barsOf(result, curve.side),
      barShift: curve.side === 'group' ? shiftYears : -shiftYears,
      cut: true,
      points: curve.points.map(({ years, risk, atRisk }) => ({
        years,
        value: risk,
        lower: risk,
        upper: risk,
        atRisk,
      })),
    }),
  )
  const atRisk = named.map(
    ({ curve, key, label, mark }): AtRiskRow => ({
      key,
      label,
      mark,
      counts: tickYears.map((year) => curve.points.find(({ years }) => years >= year)?.atRisk ?? 0),
    }),
  )
  const highest = Math.max(
    0.01,
    ...result.curves.flatMap(({ points }) => points.map(({ risk }) => risk)),
    ...result.curves
      .flatMap(({ side }) => barsOf(result, side))
      .filter(({ atRisk }) => atRisk >= enoughAtRisk)
      .map(({ upper }) => upper),
  )
  const scale = shareScaleUp(highest)
  const heading = message('comparison.figure', { endpoint: endpointName(definition.endpoint) })
  return curvePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    by,
    heading: upperFirst(by.text(heading)),
    description: by.text(
      message('comparison.figure-description', { heading, rows: rowsOf(result, by, definition) }),
    ),
    curves,
    atRisk,
    tickYears,
    shareDomain: scale.domain,
    shareTicks: scale.ticks,
    notes: [by.text(message('comparison.figure-bars', { level: by.number(result.level, 'level') }))],
  })
}

export const sideMark = { group: 'repeated in the window', against: 'single' } as const

function rowsOf(
  { arms, groups }: ComparisonResult,
  by: Speaker,
  definition: SectionSetting['definition'],
): string {
  return (['group', 'against'] as const)
    .map((side) =>
      by.text(
        message('comparison.figure-reading', {
          group: groupName(groups[side], groups.by, definition),
          risks: arms
            .map((arm) =>
              by.text(
                message('comparison.figure-risk', {
                  risk: by.number(arm[side].estimate, 'percent'),
                  years: yearsText(arm.years),
                }),
              ),
            )
            .join(', '),
        }),
      ),
    )
    .join('; ')
}

/**
 * The one estimate and what was tried against it, at most eight rows on one quantity: contradictions first, then what
 * weakens, then the rest in their order.
 *
 * @param result comparison with an estimate
 * @example challengesChart(audit.tightening).description.slice(0, 40) // => "The difference by 3 years, in percentage"
 */
export function forestChart(result: ComparisonResult, options: FigureOptions = {}): ChartSpecification {
  const by = chartSpeaker(options)
  const rows = [
    ...(result.lead === undefined
      ? []
      : [rowOf(by.text(message('comparison.forest-lead')), result.lead.difference, by, result.groups.group)]),
    ...forestChallenges(result).map((one) =>
      rowOf(by.text(message(`comparison.challenge.${one.code}`)), one as unknown as Ranged, by, 'all'),
    ),
  ]
  const heading = upperFirst(
    by.text(message('comparison.forest', { years: yearsText(result.horizonYears ?? 0) })),
  )
  return intervalPlot({
    ...frameOf(options),
    heading,
    description: by.text(message('comparison.figure-description', { heading, rows: rowsInWords(rows) })),
    rows,
    axis: pointsAxis(rows, result.groups.group, by),
    notes: [],
  })
}

const order = { contradicts: 0, weakens: 1, agrees: 2, context: 3 } as const

/** Challenges with figures that stand in the forest. */
export function forestChallenges({ challenges }: ComparisonResult): readonly Challenge[] {
  const shown = challenges.filter(
    ({ estimate, lower, upper, code }) =>
      [estimate, lower, upper].every((one) => one !== undefined) && code !== 'negative-control',
  )
  return [...shown].sort((one, two) => order[one.effect] - order[two.effect]).slice(0, mostRows - 1)
}

function rowOf(label: string, range: Ranged, by: Speaker, mark: string): IntervalRow {
  const [estimate, lower, upper] = [range.estimate, range.lower, range.upper].map((one) =>
    by.number(one, 'points'),
  )
  return {
    label: upperFirst(label),
    value: range.estimate,
    lower: range.lower,
    upper: range.upper,
    hasInterval: true,
    text: by.text(message('torque.chart-reading', { mean: estimate!, lower: lower!, upper: upper! })),
    open: false,
    color: groupMark(mark).ink.light,
  }
}
