import type { Interval, Quantity } from '../core/estimate.js'
import { message } from '../messages/message.js'
import type { FormatName } from '../messages/numberFormats.js'
import { quantityWords, type Speaker } from '../messages/speaker.js'

/** "91.2% (88.1% to 93.6%)", or the value alone where it is a state. */
export function estimateText(
  { estimate, interval }: { readonly estimate: Quantity; readonly interval: Interval },
  format: FormatName,
  by: Speaker,
): string {
  return by.text(
    message('quantity.estimate', {
      estimate: quantityWords(estimate, format, by),
      interval: intervalText(interval, format, by),
    }),
  )
}

/** "88.1% to 93.6%", or one state where there is no interval. */
export function intervalText({ lower, upper }: Interval, format: FormatName, by: Speaker): string {
  if (typeof lower !== 'number' && typeof upper !== 'number' && lower.state === upper.state) {
    return quantityWords(lower, format, by)
  }
  return by.text(
    message('quantity.interval', {
      lower: quantityWords(lower, format, by),
      upper: quantityWords(upper, format, by),
    }),
  )
}
