import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { quantityWords, type Speaker, speaker } from '../messages/speaker.js'
import type { EndpointResult, OpenSites } from '../pooling/coordinator/groupResult.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalText } from './estimateWords.js'
import { type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { describedRows, groupName, lowerFirst, printable, withInterval } from './words.js'

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
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    language: by.language,
    heading,
    description: describedRows(heading, hazardRatio.level, rowsInWords(rows), by),
    rows,
    axis: ratioAxis(rows, group, by),
    notes: [],
  })
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
