import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { quantityWords, type Speaker, speaker } from '../messages/speaker.js'
import type { EndpointResult, OpenSites } from '../pooling/coordinator/groupResult.js'
import { contrastRow, ratioPlot } from './contrastRow.js'
import { intervalText } from './estimateWords.js'
import type { IntervalRow } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { groupName, lowerFirst, printable, withInterval } from './words.js'

/**
 * Vega-Lite specification of a forest plot: the hazard ratio of each practice that lets its figures be shown, that of all
 * practices together, and the interval that allows for practices that differ, on a logarithmic axis.
 *
 * @param result result of one endpoint of a study group
 * @param options size (default page), generated (default false)
 */
export function forestChart(result: EndpointResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const { hazardRatio } = result.comparison
  const { group, against } = hazardRatio.comparator
  const rows = [
    ...result.open.sites.map((site) => siteRow(site, by)),
    contrastRow(by.text(message('chart.all-practices')), hazardRatio, 'ratio', by),
    ...(result.between.state === 'estimated'
      ? [
          contrastRow(
            by.text(message('chart.all-differing')),
            { ...hazardRatio, interval: result.between.interval },
            'ratio',
            by,
          ),
        ]
      : []),
  ]
  const heading = by.text(
    message('chart.ratio-by-practice', {
      group: lowerFirst(groupName(group, by), by),
      against: lowerFirst(groupName(against, by), by),
    }),
  )
  return ratioPlot({ heading, level: hazardRatio.level, rows, group }, options)
}

function siteRow({ name, hazardRatio, interval }: OpenSites['sites'][number], by: Speaker): IntervalRow {
  const has = isNumber(hazardRatio)
  return {
    label: printable(name),
    value: has ? hazardRatio : undefined,
    lower: isNumber(interval.lower) ? interval.lower : 0,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval: has,
    text: withInterval(
      quantityWords(hazardRatio, 'ratio', by),
      has ? intervalText(interval, 'ratio', by) : '',
    ),
    open: true,
    color: groupMark('all').ink.light,
  }
}
