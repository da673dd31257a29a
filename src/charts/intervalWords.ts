import type { Interval } from '../core/estimate.js'
import { message } from '../messages/message.js'
import type { FormatName } from '../messages/numberFormats.js'
import { quantityWords, type Speaker } from '../messages/speaker.js'

/** "88.1% to 93.6%", or one state where there is no interval. */
export function intervalInWords(
  { lower, upper }: Interval,
  by: Speaker,
  format: FormatName = 'percent',
): string {
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
