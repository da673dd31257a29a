import { isNumber } from '../core/estimate.js'
import { formatInterval, formatQuantity, formatRatio } from '../core/format.js'
import type { EndpointResult, OpenSites } from '../pooling/coordinator/groupResult.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { groupName, levelInWords, lowerFirst, printable } from './words.js'

/**
 * Vega-Lite specification of a forest plot: the hazard ratio of each practice that lets its figures be shown, that of all
 * practices together, and the interval that allows for practices that differ, on a logarithmic axis.
 *
 * @param result result of one endpoint of a study group
 * @param options size (default page), generated (default false)
 */
export function forestChart(result: EndpointResult, options: FigureOptions = {}): ChartSpecification {
  const { hazardRatio } = result.comparison
  const { group, against } = hazardRatio.comparator
  const rows = [
    ...result.open.sites.map(siteRow),
    contrastRow('all practices', hazardRatio, formatRatio),
    ...(result.between.state === 'estimated'
      ? [
          contrastRow(
            'all, allowed to differ',
            { ...hazardRatio, interval: result.between.interval },
            formatRatio,
          ),
        ]
      : []),
  ]
  const heading = `Hazard ratio, ${lowerFirst(groupName(group))} against ${lowerFirst(groupName(against))}, by practice`
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(hazardRatio.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: { ...ratioAxis(rows, group), title: 'Hazard ratio (logarithmic scale)' },
    notes: [],
  })
}

function siteRow({ name, hazardRatio, interval }: OpenSites['sites'][number]): IntervalRow {
  const has = isNumber(hazardRatio)
  return {
    label: printable(name),
    value: has ? hazardRatio : undefined,
    lower: isNumber(interval.lower) ? interval.lower : 0,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval: has,
    text: `${formatQuantity(hazardRatio, formatRatio)}${has ? ` (${formatInterval(interval, formatRatio)})` : ''}`,
    open: true,
    color: groupMark('all').ink.light,
  }
}
