import { contrastRow, ratioPlot } from '../../charts/contrastRow.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, neutralInk } from '../../charts/theme.js'
import { upperFirst } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { WhatElseMatters } from './answer.js'
import { factorWords } from './words.js'

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
  const rows = result.factors.map((one) => ({
    ...contrastRow(upperFirst(by.text(factorWords(one))), one.adjusted, 'ratio', by),
    color: neutralInk.text.light,
  }))
  const heading = by.text(
    message('chart.factors', { endpoint: message(`endpoint.plain.${result.endpoint}`) }),
  )
  const sides = {
    below: by.text(message('chart.less-often')),
    above: by.text(message('chart.more-often')),
  }
  return ratioPlot({ heading, level: result.level, rows, group: '', sides }, options)
}
