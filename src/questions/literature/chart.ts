import type { IntervalRow } from '../../charts/intervalPlot.js'
import { intervalsAlong } from '../../charts/intervalsAlong.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark, neutralInk } from '../../charts/theme.js'
import { type Interval, isNumber, type Quantity } from '../../core/estimate.js'
import { message, type Part } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { hasMessage, quantityWords, type Speaker, speaker } from '../../messages/speaker.js'
import { estimateText } from '../words/chartWords.js'
import type { LiteratureHorizon, LiteratureResult, ShownFigure } from './answer.js'
import type { PublishedAbout } from './publishedFigures.js'

/**
 * Vega-Lite specification of the audit's own risk beside published ones at the same horizon, one row each with its
 * interval where there is one. Nothing is compared: there is no line of no effect and no sum.
 *
 * @param result answer on the literature
 * @param options size (default page), generated (default false), language (default en)
 */
export function literatureChart(result: LiteratureResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const rows = result.horizons.flatMap((horizon) => [
    ownRow(horizon, by),
    ...horizon.published.map((one) => publishedRow(one, horizon.years, by)),
  ])
  const ends = rows.flatMap(({ value, upper }) => [value ?? 0, upper]).filter(Number.isFinite)
  const axis = roundAxis(0, Math.max(0.02, ...ends), {
    title: by.text(message('table.share')),
    format: (share) => by.number(share, 'percent'),
  })
  const heading = message('literature.chart')
  return intervalsAlong(
    {
      heading,
      level: result.level,
      rows,
      axis,
      notes: rows.every(({ hasInterval }) => hasInterval)
        ? []
        : [by.text(message('literature.chart-no-line'))],
    },
    options,
  )
}

function ownRow({ years, own, thin }: LiteratureHorizon, by: Speaker): IntervalRow {
  return {
    label: by.text(message('literature.chart-own', { years: message('quantity.years', { years }) })),
    open: thin,
    color: groupMark('all').ink.light,
    ...shown(own.estimate, own.interval, Number.POSITIVE_INFINITY, by),
  }
}

function publishedRow(
  { paper, about, share, interval }: ShownFigure,
  years: number,
  by: Speaker,
): IntervalRow {
  return {
    label: by.text(
      message('literature.chart-published', {
        years: message('quantity.years', { years }),
        // The journal stands in the table; what tells two rows of one paper apart stands here.
        source: foreign(paper),
        detail: partOf(about),
      }),
    ),
    open: false,
    color: neutralInk.quiet.light,
    ...shown(share, interval, share, by),
  }
}

function shown(
  estimate: Quantity,
  interval: Interval,
  highest: number,
  by: Speaker,
): Pick<IntervalRow, 'value' | 'lower' | 'upper' | 'hasInterval' | 'text'> {
  const { lower, upper } = interval
  const hasInterval = isNumber(lower) && isNumber(upper)
  return {
    value: isNumber(estimate) ? estimate : undefined,
    lower: isNumber(lower) ? lower : 0,
    upper: isNumber(upper) ? upper : highest,
    hasInterval,
    text: hasInterval
      ? estimateText({ estimate, interval }, 'percent', by)
      : quantityWords(estimate, 'percent', by),
  }
}

/** What tells two figures of one paper apart; where nothing needs to, what the figure is of. */
function partOf(about: PublishedAbout): Part {
  const code = `literature.part.${about}`
  return hasMessage(code) ? { kind: 'message', code, parameters: {} } : message(`literature.about.${about}`)
}
