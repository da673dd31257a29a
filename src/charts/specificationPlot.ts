import type { ComparisonVariant, FairComparison } from '../analysis/fairComparison.js'
import { formatPoints, formatRatio } from '../core/format.js'
import { pointsAxis, ratioAxis } from './contrastAxes.js'
import { contrastRow } from './contrastRow.js'
import { type IntervalRow, intervalPlot } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark, neutralInk } from './theme.js'
import { anyRatioTitle, comparedWords, specificationHeading, variantNameAt } from './variantWords.js'
import { groupName, levelInWords, lowerFirst } from './words.js'

/** Options of the plot of all variants. */
export interface SpecificationPlotOptions extends FigureOptions {
  /** Differences of risks, or ratios of hazards and rates; default differences. */
  readonly kind?: 'difference' | 'ratio'
}

/**
 * Vega-Lite specification of every way in which the two groups were set against each other, one row each with its
 * interval: the lead first and in the colour of the group, then what else was compared, what was tried against it, the
 * control endpoint, and, with open marks, what is wrong on purpose.
 *
 * @param fair answer of the fair comparison
 * @param options kind (default difference), size (default page), generated (default false)
 */
export function specificationPlot(
  fair: FairComparison,
  options: SpecificationPlotOptions = {},
): ChartSpecification {
  const kind = options.kind ?? 'difference'
  const size = options.size ?? 'page'
  const format = kind === 'difference' ? formatPoints : formatRatio
  const rows = variantsOfKind(fair, kind).map((variant) => variantRow(variant, fair, format))
  const group = lowerFirst(groupName(fair.group))
  const heading = specificationHeading(kind, fair.horizonYears, group, lowerFirst(groupName(fair.against)))
  const described = rows.map((row) => `${row.label}: ${row.text}`).join('. ')
  // In one column the numbers stand in the table beside the figure, so that a page holds all rows.
  const shown = size === 'column' ? rows.map((row) => ({ ...row, text: '', reading: row.text })) : rows
  return intervalPlot({
    size,
    generated: options.generated ?? false,
    heading,
    description: `${heading}, with ${levelInWords(fair.level)} intervals. ${described}.`,
    rows: shown,
    axis:
      kind === 'difference'
        ? pointsAxis(rows, fair.group)
        : { ...ratioAxis(rows, fair.group), title: anyRatioTitle },
    notes: [],
  })
}

/** Variants on one kind of scale, the lead first, in the order in which they are read. */
export function variantsOfKind(
  fair: FairComparison,
  kind: 'difference' | 'ratio',
): readonly ComparisonVariant[] {
  const fits = ({ scale }: ComparisonVariant): boolean =>
    kind === 'difference' ? scale === 'risk-difference' : scale.endsWith('ratio')
  const place = (variant: ComparisonVariant): number => {
    if (isLead(variant, fair)) return 0
    if (isControl(variant)) return 3
    if (variant.role === 'wrong-on-purpose') return 4
    return variant.role === 'sensitivity' ? 2 : 1
  }
  return fair.variants
    .filter(fits)
    .map((variant, index) => ({ variant, index }))
    .sort((left, right) => place(left.variant) - place(right.variant) || left.index - right.index)
    .map(({ variant }) => variant)
}

function isLead({ key }: ComparisonVariant, { lead }: FairComparison): boolean {
  return key === lead.variant && lead.kind !== 'cannot-be-known' && lead.kind !== 'not-comparable'
}

function isControl({ key }: ComparisonVariant): boolean {
  return key.startsWith('negative-control-')
}

function variantRow(
  variant: ComparisonVariant,
  fair: FairComparison,
  format: (value: number) => string,
): IntervalRow {
  const name = variantNameAt(variant, fair.horizonYears)
  const leads = isLead(variant, fair)
  const label = leads ? `${comparedWords.leads}: ${lowerFirst(name)}` : name
  const wrong = variant.role === 'wrong-on-purpose'
  const color = leads
    ? groupMark(fair.group).ink.light
    : wrong || isControl(variant)
      ? neutralInk.warning.light
      : neutralInk.quiet.light
  return { ...contrastRow(label, variant.contrast, format, wrong), color }
}
