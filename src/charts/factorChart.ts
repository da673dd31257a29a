import type { WhatElseMatters } from '../analysis/whatElseMatters.js'
import { formatRatio } from '../core/format.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, neutralInk } from './theme.js'
import { factorDirections, factorHeading, levelInWords, upperFirst } from './words.js'

/**
 * Vega-Lite specification of what else goes with the endpoint: the hazard ratio of each factor with all others held
 * alike, with its interval, on a logarithmic axis, against a ratio of 1.
 *
 * @param result answer of `whatElseMatters`
 * @param options size (default page), generated (default false)
 * @example factorChart(whatElseMatters(cohort)).description.slice(0, 40) // => "What goes with screw loosening, all else"
 */
export function factorChart(result: WhatElseMatters, options: FigureOptions = {}): ChartSpecification {
  const rows = result.factors.map(({ words, contrast, adjusted }) => ({
    ...contrastRow(`${upperFirst(words)}: ${contrast}`, adjusted, formatRatio),
    color: neutralInk.text.light,
  }))
  const heading = factorHeading(result.endpoint)
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(result.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: { ...ratioAxis(rows, ''), ...factorDirections },
    notes: [],
  })
}
