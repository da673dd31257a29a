import { type Contrast, isNumber, type Quantity } from '../core/estimate.js'
import type { FormatName } from '../messages/numberFormats.js'
import { quantityWords, type Speaker } from '../messages/speaker.js'
import { ratioAxis } from './contrastAxes.js'
import { intervalText } from './estimateWords.js'
import { type IntervalAxis, type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, frameOf, groupMark } from './theme.js'
import { chartSpeaker, describedRows, printable, withInterval } from './words.js'

/** Row of an interval plot for a contrast; tagged limits become open ends, tagged estimates have no mark. */
export function contrastRow(
  label: string,
  contrast: Contrast,
  format: FormatName,
  by: Speaker,
  open = false,
): IntervalRow {
  const { estimate, interval } = contrast
  const hasInterval = isBounded(interval.lower) || isBounded(interval.upper)
  const limits = hasInterval ? intervalText(interval, format, by) : ''
  return {
    label: printable(label),
    value: isNumber(estimate) ? estimate : undefined,
    lower: isNumber(interval.lower) ? interval.lower : Number.NEGATIVE_INFINITY,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval,
    text: withInterval(quantityWords(estimate, format, by), limits),
    open,
    color: groupMark(contrast.comparator.group).ink.light,
  }
}

function isBounded(limit: Quantity): boolean {
  return isNumber(limit)
}

/** What a plot of ratios shows. */
export interface RatioPlot {
  readonly heading: string
  readonly level: number
  readonly rows: readonly IntervalRow[]
  /** Group of whom it says more or less often; without, `sides` say what lies below and above 1. */
  readonly group: string
  readonly sides?: Pick<IntervalAxis, 'below' | 'above'>
}

/** Ratios with their intervals, one a row, on a logarithmic axis against a ratio of 1. */
export function ratioPlot(
  { heading, level, rows, group, sides }: RatioPlot,
  options: FigureOptions,
): ChartSpecification {
  const by = chartSpeaker(options)
  return intervalPlot({
    ...frameOf(options),
    heading,
    description: describedRows(heading, level, rowsInWords(rows), by),
    rows,
    axis: { ...ratioAxis(rows, group, by), ...sides },
    notes: [],
  })
}
