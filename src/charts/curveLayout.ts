import { isNumber, type Quantity } from '../core/estimate.js'
import { formatCount } from '../core/format.js'
import { message } from '../messages/message.js'
import type { Speaker } from '../messages/speaker.js'
import { edgePx, fitsSpacing, headingLines, type Margins, plotWidth } from './frame.js'
import type { ChannelDefinition } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureMeasures, type FigureSize, figureMeasures, type GroupMark } from './theme.js'

/** One point of a step curve with its interval. */
export interface CurvePoint {
  readonly years: number
  readonly value: number
  readonly lower: Quantity
  readonly upper: Quantity
  /** How many are at risk just before, where it is known. */
  readonly atRisk?: number
}

/** One step curve, as far as it is drawn. */
export interface Curve {
  readonly key: string
  readonly label: string
  readonly mark: GroupMark
  /** Points from time 0 on; empty where too few are at risk from the start. */
  readonly points: readonly CurvePoint[]
  readonly band: boolean
  /** Intervals at single times, beside the curve, where a band would hide the other curve. */
  readonly bars?: readonly CurvePoint[]
  /** Years by which the bars stand beside their time, so that those of two curves do not hide each other. */
  readonly barShift?: number
  /** Whether the curve was cut before the end of follow-up. */
  readonly cut: boolean
}

/** A band sets the axis only while so many times the fewest of a curve are at risk. */
const timesForAxis = 2

/**
 * The values that the axis has to hold: every estimate drawn, and limits while enough are at risk, so that the wide end of
 * a band does not press everything else together.
 *
 * @param leastAtRisk fewest at risk for which a curve is drawn
 */
export function axisValues(curve: Curve, limit: 'lower' | 'upper', leastAtRisk: number): readonly number[] {
  let atRisk = Number.POSITIVE_INFINITY
  return curve.points.flatMap((point) => {
    atRisk = point.atRisk ?? atRisk
    const end = point[limit]
    return curve.band && isNumber(end) && atRisk >= timesForAxis * leastAtRisk
      ? [point.value, end]
      : [point.value]
  })
}

/** Whether a band leaves the axis. */
export function bandsRunOut(curves: readonly Curve[], [least, most]: readonly [number, number]): boolean {
  return curves.some(({ band, points }) =>
    points.some(
      ({ lower, upper }) =>
        band && ((isNumber(upper) && upper > most + 1e-9) || (isNumber(lower) && lower < least - 1e-9)),
    ),
  )
}

/** One row of the table of numbers at risk. */
export interface AtRiskRow {
  /** Key of the curve that it belongs to. */
  readonly key: string
  readonly label: string
  readonly mark: GroupMark
  /** One number for each tick. */
  readonly counts: readonly number[]
}

/** What a plot of step curves shows. */
export interface CurvePlot {
  readonly size: FigureSize
  readonly generated: boolean
  /** Who words the axes. */
  readonly by: Speaker
  readonly heading: string
  readonly description: string
  readonly curves: readonly Curve[]
  readonly atRisk: readonly AtRiskRow[]
  readonly tickYears: readonly number[]
  readonly shareDomain: readonly [number, number]
  readonly shareTicks: readonly number[]
  readonly notes: readonly string[]
}

/** Where everything of a curve plot stands. */
export interface CurveLayout {
  readonly measures: FigureMeasures
  readonly margins: Margins
  readonly width: number
  readonly height: number
  readonly x: ChannelDefinition
  readonly y: ChannelDefinition
  readonly lastYear: number
  /** Which ticks are shown, by index. */
  readonly shownTicks: readonly number[]
  readonly labelLines: readonly (readonly string[])[]
  readonly rowLabels: readonly (readonly string[])[]
  readonly headingLines: readonly string[]
}

/** Height of the tick labels under the plot. */
export function axisPx(measures: FigureMeasures): number {
  return measures.smallTextPx + 13
}

/** Room for labels, ticks and rows, and the scales that every layer shares. */
export function curveLayout(plot: CurvePlot): CurveLayout {
  const measures = figureMeasures[plot.size]
  const { labelLines, rowLabels } = wrappedLabels(plot, measures)
  const counts = plot.atRisk.flatMap((row) => row.counts.map((count) => formatCount(count, plot.by.language)))
  const heading = headingLines(plot.heading, plot.size)
  const margins = {
    ...sideMargins(plot, measures, labelLines.flat(), rowLabels.flat(), counts),
    top: edgePx + heading.length * measures.leadPx + 12,
    bottom: 0,
  }
  const width = plotWidth(plot.size, margins)
  const lastYear = lastYearOf(plot)
  const spacingPx = (width / lastYear) * tickStep(plot.tickYears)
  const shownTicks = shownTicksOf(plot.tickYears, counts, spacingPx, measures)
  return {
    measures,
    margins,
    width,
    height: measures.plotHeightPx,
    x: yearsChannel(plot, shownTicks, lastYear),
    y: shareChannel(plot),
    lastYear,
    shownTicks,
    labelLines,
    rowLabels,
    headingLines: heading,
  }
}

/** Names at the ends of the curves and at the rows of the table, in lines that fit their room. */
function wrappedLabels(plot: CurvePlot, { smallTextPx, widthPx }: FigureMeasures) {
  const narrow = plot.size === 'column'
  return {
    labelLines: plot.curves.map((curve) =>
      wrapText(curve.label, narrow ? roomOf(curve.label, smallTextPx) : 130, smallTextPx, {
        weight: 'bold',
        mostLines: 4,
      }),
    ),
    rowLabels: plot.atRisk.map((row) =>
      wrapText(row.label, narrow ? widthPx - 2 * edgePx : 130, smallTextPx, {
        weight: 'bold',
        mostLines: 2,
      }),
    ),
  }
}

/** Room for a name at the end of a curve on one column: no word is broken that some room more holds. */
function roomOf(label: string, sizePx: number): number {
  return Math.max(62, Math.min(92, Math.ceil(widestText(label.split(' '), sizePx, 'bold')) + 1))
}

/** On one column the names of rows stand above their numbers and take no room beside them. */
function sideMargins(
  plot: CurvePlot,
  { smallTextPx }: FigureMeasures,
  endLabels: readonly string[],
  rowLabels: readonly string[],
  counts: readonly string[],
): Pick<Margins, 'left' | 'right'> {
  const halfCount = widestText(counts, smallTextPx) / 2
  const rowRoom =
    plot.size === 'column'
      ? 0
      : widestText([...rowLabels, plot.by.text(message('chart.at-risk'))], smallTextPx, 'bold') + 10
  const tickRoom = widestText(['100%'], smallTextPx) + 12
  return {
    left: Math.ceil(edgePx + Math.max(tickRoom, rowRoom + halfCount)),
    right: Math.ceil(edgePx + Math.max(widestText(endLabels, smallTextPx, 'bold') + 12, halfCount)),
  }
}

function yearsChannel(plot: CurvePlot, shownTicks: readonly number[], lastYear: number): ChannelDefinition {
  return {
    field: 'years',
    type: 'quantitative',
    scale: { domain: [0, lastYear], nice: false, zero: false },
    axis: {
      title: null,
      values: shownTicks.map((index) => plot.tickYears[index]!),
      format: 'd',
      grid: false,
    },
  }
}

/** Grid lines guide the eye to curves; where there are none, they would only cross the words that say so. */
function shareChannel(plot: CurvePlot): ChannelDefinition {
  return {
    field: 'share',
    type: 'quantitative',
    scale: { domain: [...plot.shareDomain], nice: false, zero: false },
    axis: {
      title: null,
      values: [...plot.shareTicks],
      format: '.1~%',
      grid: plot.curves.some((curve) => curve.points.length > 0),
    },
  }
}

function lastYearOf(plot: CurvePlot): number {
  const ends = plot.curves.map((curve) => curve.points.at(-1)?.years ?? 0)
  return Math.max(plot.tickYears.at(-1) ?? 0, ...ends) || 1
}

function tickStep(ticks: readonly number[]): number {
  return ticks.length > 1 ? ticks[1]! - ticks[0]! : 1
}

/** Chart and table show the same ticks: every one, or every second, third… where the numbers would touch. */
function shownTicksOf(
  ticks: readonly number[],
  counts: readonly string[],
  spacingPx: number,
  measures: FigureMeasures,
): number[] {
  let stride = 1
  while (stride < ticks.length && !fitsSpacing(counts, spacingPx * stride, measures.smallTextPx)) stride++
  return ticks.map((_, index) => index).filter((index) => index % stride === 0)
}
