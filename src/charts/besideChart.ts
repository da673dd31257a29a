import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { endpointLabel } from '../messages/names.js'
import { foreign } from '../messages/phrase.js'
import { quantityWords, type Speaker, speaker } from '../messages/speaker.js'
import type { OwnPage, SideFigures } from '../pooling/site/ownPage.js'
import { estimateText } from './estimateWords.js'
import type { IntervalRow } from './intervalPlot.js'
import { intervalsAlong } from './intervalsAlong.js'
import { roundAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark, neutralInk } from './theme.js'
import { groupName } from './words.js'

/**
 * Vega-Lite specification of the rates of one practice and of all others together, by endpoint and way of tightening. The
 * axis is that of the estimates and of the others; a wide interval of the practice itself runs out of it, with an arrow.
 *
 * @param page a practice beside the others of its list
 * @param options size (default page), generated (default false), language (default en)
 * @returns undefined where no group of the others is shown
 */
export function besideChart(page: OwnPage, options: FigureOptions = {}): ChartSpecification | undefined {
  const by = speaker(options.language)
  const severalEndpoints = new Set(page.groups.map(({ endpoint }) => endpoint)).size > 1
  const shown = page.groups.filter(({ others }) => others !== undefined)
  if (shown.length === 0) return undefined
  const rows = shown.flatMap(({ endpoint, group, own, others }) => {
    const of = (side: 'own' | 'others', figures: SideFigures): IntervalRow =>
      rateRow(
        side,
        figures,
        severalEndpoints
          ? `${by.text(endpointLabel(endpoint))}, ${groupName(group, by)}`
          : groupName(group, by),
        by,
      )
    return [of('own', own), of('others', others!)]
  })
  const ends = rows.flatMap(({ value, upper, open }) => [2 * (value ?? 0), open ? 0 : upper])
  const axis = roundAxis(0, Math.max(0.5, ...ends.filter(Number.isFinite)), {
    title: by.text(message('asked.rate-axis')),
    format: (rate) => by.number(rate, 'plain'),
  })
  return intervalsAlong(
    {
      heading: message('study-group.beside-chart'),
      level: shown[0]!.own.rate.level,
      rows,
      axis,
      labelExpression: 'datum.label',
      notes: [by.text(message('study-group.beside-note'))],
    },
    options,
  )
}

function rateRow(side: 'own' | 'others', { rate }: SideFigures, group: string, by: Speaker): IntervalRow {
  const { estimate, interval } = rate
  const hasInterval = isNumber(estimate)
  return {
    label: by.text(message(`study-group.beside-${side}`, { group: foreign(group) })),
    value: hasInterval ? estimate : undefined,
    lower: isNumber(interval.lower) ? interval.lower : 0,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval,
    text: hasInterval ? estimateText(rate, 'rate', by) : quantityWords(estimate, 'rate', by),
    open: side === 'own',
    color: side === 'own' ? groupMark('all').ink.light : neutralInk.quiet.light,
  }
}
