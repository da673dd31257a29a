import type { WhatElseMatters } from '../analysis/whatElseMatters.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, neutralInk } from './theme.js'
import { describedRows, upperFirst } from './words.js'

/**
 * Vega-Lite specification of what else goes with the endpoint: the hazard ratio of each factor with all others held
 * alike, with its interval, on a logarithmic axis, against a ratio of 1.
 *
 * @param result answer of `whatElseMatters`
 * @param options size (default page), generated (default false)
 * @example factorChart(whatElseMatters(cohort)).description.slice(0, 40) // => "What goes with screw loosening, all else"
 */
export function factorChart(result: WhatElseMatters, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const rows = result.factors.map(({ words, contrast, adjusted }) => ({
    ...contrastRow(`${upperFirst(words)}: ${contrast}`, adjusted, 'ratio', by),
    color: neutralInk.text.light,
  }))
  const heading = by.text(message('chart.factors', { endpoint: result.endpoint.replaceAll('_', ' ') }))
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    language: by.language,
    heading,
    description: describedRows(heading, result.level, rowsInWords(rows), by),
    rows,
    axis: {
      ...ratioAxis(rows, '', by),
      below: by.text(message('chart.less-often')),
      above: by.text(message('chart.more-often')),
    },
    notes: [],
  })
}
