import { type Contrast, isNumber, type Quantity } from '../core/estimate.js'
import { formatInterval, formatQuantity } from '../core/format.js'
import type { IntervalRow } from './intervalPlot.js'
import { groupMark } from './theme.js'
import { printable } from './words.js'

/** Row of an interval plot for a contrast; tagged limits become open ends, tagged estimates have no mark. */
export function contrastRow(
  label: string,
  contrast: Contrast,
  format: (value: number) => string,
  open = false,
): IntervalRow {
  const { estimate, interval } = contrast
  const hasInterval = isBounded(interval.lower) || isBounded(interval.upper)
  const limits = hasInterval ? ` (${formatInterval(interval, format)})` : ''
  return {
    label: printable(label),
    value: isNumber(estimate) ? estimate : undefined,
    lower: isNumber(interval.lower) ? interval.lower : Number.NEGATIVE_INFINITY,
    upper: isNumber(interval.upper) ? interval.upper : Number.POSITIVE_INFINITY,
    hasInterval,
    text: `${formatQuantity(estimate, format)}${limits}`,
    open,
    color: groupMark(contrast.comparator.group).ink.light,
  }
}

function isBounded(limit: Quantity): boolean {
  return isNumber(limit)
}
