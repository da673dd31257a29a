import { estimateText } from '../../charts/estimateWords.js'
import type { IntervalRow } from '../../charts/intervalPlot.js'
import { intervalsAlong } from '../../charts/intervalsAlong.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark, neutralInk } from '../../charts/theme.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { quantityWords, type Speaker, speaker } from '../../messages/speaker.js'
import type { TwoReports } from './answer.js'

/**
 * Vega-Lite specification of the risks of two reports at each horizon, the earlier above the later, each with its interval.
 * Where few are at risk the mark is open, and does not set the axis.
 *
 * @param two what changed between two reports
 * @param options size (default page), generated (default false), language (default en)
 * @returns undefined where neither report has a risk to draw, or one of them withholds it
 */
export function changesChart(two: TwoReports, options: FigureOptions = {}): ChartSpecification | undefined {
  if (two.before.howOften === 'withheld' || two.after.howOften === 'withheld') return undefined
  const by = speaker(options.language)
  const rows = two.risks.flatMap(({ index, indexBefore, years }) => [
    riskRow(two.before.incidence.horizons[indexBefore]!, 'before', years, by),
    riskRow(two.after.incidence.horizons[index]!, 'after', years, by),
  ])
  if (rows.every(({ value }) => value === undefined)) return undefined
  const firm = rows.filter(({ open, hasInterval }) => !open && hasInterval)
  const ends = (firm.length > 0 ? firm : rows).flatMap(({ value, upper }) => [value ?? 0, upper])
  const axis = roundAxis(0, Math.min(1, Math.max(0.02, ...ends.filter(Number.isFinite))), {
    title: by.text(message('table.share')),
    format: (share) => by.number(share, 'percent'),
  })
  const few = rows.some(({ open, value }) => open && value !== undefined)
  return intervalsAlong(
    {
      heading: message('changes.chart'),
      level: two.level,
      rows,
      axis,
      notes: few ? [by.text(message('changes.chart-few'))] : [],
    },
    options,
  )
}

function riskRow(
  { risk, thin }: TwoReports['before']['incidence']['horizons'][number],
  side: 'before' | 'after',
  years: number,
  by: Speaker,
): IntervalRow {
  const { estimate, interval } = risk
  const hasInterval = isNumber(estimate) && (isNumber(interval.lower) || isNumber(interval.upper))
  return {
    label: by.text(
      message('changes.chart-row', {
        years: message('quantity.years', { years }),
        side: side === 'before' ? 'before' : 'other',
      }),
    ),
    value: isNumber(estimate) ? estimate : undefined,
    lower: isNumber(interval.lower) ? interval.lower : 0,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval,
    text: hasInterval ? estimateText(risk, 'percent', by) : quantityWords(estimate, 'percent', by),
    open: thin,
    color: side === 'before' ? neutralInk.quiet.light : groupMark('all').ink.light,
  }
}
