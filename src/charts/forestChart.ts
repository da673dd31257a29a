import type { Quantity } from '../core/estimate.js'
import { formatInterval, formatQuantity, formatRatio } from '../core/format.js'
import type { PooledSynthesis, SiteRatio } from '../pooling/pooledSynthesis.js'
import { ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { groupName, levelInWords, lowerFirst, printable } from './words.js'

/**
 * Vega-Lite specification of a forest plot: the rate ratio of each site, those of all together, and where a new clinic
 * would be expected, on a logarithmic axis.
 *
 * @param synthesis synthesis over the sites
 * @param options size (default page), generated (default false)
 */
export function forestChart(synthesis: PooledSynthesis, options: FigureOptions = {}): ChartSpecification {
  const { group, against } = synthesis.random.comparator
  const { color } = contrastRow('', synthesis.random, formatRatio)
  const rows = [
    ...synthesis.sites.map((site) => siteRow(site)),
    contrastRow('all sites, common effect', synthesis.common, formatRatio),
    contrastRow('all sites, random effects', synthesis.random, formatRatio),
    predictionRow(synthesis, color),
  ]
  const heading = `Rate ratio, ${lowerFirst(groupName(group))} against ${lowerFirst(groupName(against))}, by site`
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(synthesis.random.level)} intervals. ${rowsInWords(rows)}.`,
    rows,
    axis: { ...ratioAxis(rows, group), title: 'Rate ratio (logarithmic scale)' },
    notes: [],
  })
}

function siteRow(site: SiteRatio): IntervalRow {
  return {
    label: printable(site.clinic),
    value: site.ratio,
    lower: site.lower,
    upper: site.upper,
    hasInterval: true,
    text: `${formatRatio(site.ratio)} (${formatInterval(site, formatRatio)})`,
    open: true,
    color: groupMark('all').ink.light,
  }
}

function predictionRow({ predictionInterval }: PooledSynthesis, color: string): IntervalRow {
  const { lower, upper } = predictionInterval
  const has = typeof lower === 'number' || typeof upper === 'number'
  const end = (limit: Quantity, open: number): number => (typeof limit === 'number' ? limit : open)
  return {
    label: 'a new clinic like these',
    value: undefined,
    lower: end(lower, 0),
    upper: end(upper, Number.POSITIVE_INFINITY),
    hasInterval: has,
    text: has ? formatInterval(predictionInterval, formatRatio) : formatQuantity(lower, formatRatio),
    open: false,
    color,
  }
}
