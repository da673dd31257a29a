import type { LiteratureHorizon, LiteratureResult, ShownFigure } from '../analysis/literature.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { formatInterval, formatPercent, formatQuantity } from '../core/format.js'
import { type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import { roundAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark, neutralInk } from './theme.js'
import { levelInWords, yearsInWords } from './words.js'

/**
 * Vega-Lite specification of the audit's own risk beside published ones at the same horizon, one row each with its
 * interval where there is one. Nothing is compared: there is no line of no effect and no sum.
 *
 * @param result answer on the literature
 * @param options size (default page), generated (default false)
 */
export function literatureChart(result: LiteratureResult, options: FigureOptions = {}): ChartSpecification {
  const rows = result.horizons.flatMap((horizon) => [
    ownRow(horizon),
    ...horizon.published.map((figure) => publishedRow(figure, horizon.years)),
  ])
  const ends = rows.flatMap(({ value, upper }) => [value ?? 0, upper]).filter(Number.isFinite)
  const axis = roundAxis(0, Math.max(0.02, ...ends), { title: 'Share with the event', format: formatPercent })
  const heading = 'Risk here (dark) and as published, at the same time after delivery'
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: {
      domain: axis.domain,
      ticks: axis.ticks.map(({ at }) => at),
      scale: 'linear',
      alike: 0,
      title: axis.title,
      labelExpression: "format(datum.value, '.1~%')",
      below: '',
      above: '',
    },
    notes: rows.some(({ hasInterval }) => !hasInterval)
      ? ['No line: no interval is printed or can be given.']
      : [],
  })
}

function ownRow({ years, own, thin }: LiteratureHorizon): IntervalRow {
  const limits = isNumber(own.interval.lower) && isNumber(own.interval.upper)
  return {
    label: `${yearsInWords(years)}: this audit`,
    value: isNumber(own.estimate) ? own.estimate : undefined,
    lower: limitOf(own.interval.lower, 0),
    upper: limitOf(own.interval.upper, Number.POSITIVE_INFINITY),
    hasInterval: limits,
    text: `${formatQuantity(own.estimate, formatPercent)}${limits ? ` (${formatInterval(own.interval, formatPercent)})` : ''}`,
    open: thin,
    color: groupMark('all').ink.light,
  }
}

function publishedRow({ source, about, share, interval }: ShownFigure, years: number): IntervalRow {
  const limits = isNumber(interval.lower) && isNumber(interval.upper)
  // The journal stands in the table; what tells two rows of one paper apart stands here.
  const detail = about.split(/[;,] /).at(-1)!
  return {
    label: `${yearsInWords(years)}: ${source.split(',')[0]!}, ${detail}`,
    value: share,
    lower: limitOf(interval.lower, 0),
    upper: limitOf(interval.upper, share),
    hasInterval: limits,
    text: `${formatPercent(share)}${limits ? ` (${formatInterval(interval, formatPercent)})` : ''}`,
    open: false,
    color: neutralInk.quiet.light,
  }
}

function limitOf(limit: Quantity, otherwise: number): number {
  return isNumber(limit) ? limit : otherwise
}
