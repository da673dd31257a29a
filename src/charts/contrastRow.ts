import { type Contrast, isNumber, type Quantity } from '../core/estimate.js'
import type { FormatName } from '../messages/numberFormats.js'
import { quantityWords, type Speaker } from '../messages/speaker.js'
import { intervalText } from './estimateWords.js'
import type { IntervalRow } from './intervalPlot.js'
import { groupMark } from './theme.js'
import { printable, withInterval } from './words.js'

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
