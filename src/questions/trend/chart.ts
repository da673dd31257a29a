import type { IntervalRow } from '../../charts/intervalPlot.js'
import { intervalsAlong } from '../../charts/intervalsAlong.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark } from '../../charts/theme.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import { estimateText } from '../words/chartWords.js'
import type { TrendResult, YearOfDelivery } from './answer.js'

/** Most years that are drawn: the last ones. */
const mostYears = 12
/** Fewest years of which there is a figure. */
const leastDrawn = 3

/**
 * Vega-Lite specification of the risk by year of delivery, one year a row with its interval and its numbers. Years with few
 * at risk are not drawn, so that none of them sets the axis.
 *
 * @param result answer on the years
 * @param options size (default page), generated (default false), language (default en)
 * @returns undefined where fewer than three years can be drawn
 * @example trendChart(audit.trend).description.slice(0, 25) // => "Risk by 3 years after del"
 */
export function trendChart(result: TrendResult, options: FigureOptions = {}): ChartSpecification | undefined {
  const by = speaker(options.language)
  const shown = result.years.filter(({ few }) => !few).slice(-mostYears)
  if (shown.length < leastDrawn) return undefined
  const rows = shown.map((one) => yearRow(one, by))
  const axis = roundAxis(0, Math.max(0.02, ...rows.flatMap(({ value, upper }) => [value ?? 0, upper])), {
    title: by.text(message('table.share')),
    format: (share) => by.number(share, 'percent'),
  })
  const heading = message('trend.chart', {
    followed: message('quantity.years', { years: result.followedYears }),
  })
  return intervalsAlong(
    {
      heading,
      level: result.level,
      rows,
      axis,
      notes: [
        by.text(message('trend.chart-note')),
        ...(shown.length < result.years.length
          ? [by.text(message('trend.chart-few', { least: result.leastAtRisk }))]
          : []),
      ],
    },
    options,
  )
}

function yearRow({ year, events, restorations, risk }: YearOfDelivery, by: Speaker): IntervalRow {
  const { lower, upper } = risk.interval
  const hasInterval = isNumber(upper)
  return {
    label: by.text(
      message('trend.chart-row', { year: by.number(year, 'calendar-year'), events, restorations }),
    ),
    value: isNumber(risk.estimate) ? risk.estimate : undefined,
    lower: isNumber(lower) ? lower : 0,
    upper: hasInterval ? upper : 0,
    hasInterval,
    text: estimateText(risk, 'percent', by),
    open: false,
    color: groupMark('all').ink.light,
  }
}
