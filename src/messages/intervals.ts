import type { Interval, Quantity } from '../core/estimate.js'
import { message } from './message.js'
import { speaker, stateOf } from './speaker.js'

/** A quantity by the given formatter, its tagged states in words. */
export function formatQuantity(quantity: Quantity, formatter: (value: number) => string): string {
  return typeof quantity === 'number' ? formatter(quantity) : speaker().text(stateOf(quantity))
}

/**
 * An interval as "lower to upper"; one phrase where neither limit can be had.
 *
 * @example formatInterval({ lower: 0.04, upper: 0.12 }, formatPercent) // => "4.0% to 12.0%"
 */
export function formatInterval({ lower, upper }: Interval, formatter: (value: number) => string): string {
  if (typeof lower !== 'number' && typeof upper !== 'number' && lower.state === upper.state) {
    return lower.state === 'unbounded'
      ? speaker().text(message('quantity.unbounded'))
      : formatQuantity(lower, formatter)
  }
  return speaker().text(
    message('quantity.interval', {
      lower: formatQuantity(lower, formatter),
      upper: formatQuantity(upper, formatter),
    }),
  )
}
