import type { Interval, Quantity } from './estimate.js'

/**
 * The one place where numbers are rounded for people. Counts whole; percentages and rates one decimal (two below
 * one); ratios two; times by their unit; P three significant digits, below 0.0001 as such. Halves round away from
 * zero after the double has been read as its shortest decimal.
 */

/** Rounds half away from zero at a number of decimals, reading the double as its shortest decimal. */
export function roundTo(value: number, decimals: number): number {
  const text = Math.abs(value).toString()
  const rounded = text.includes('e')
    ? Number(Math.abs(value).toFixed(decimals))
    : Number(`${Math.round(Number(`${text}e${decimals}`))}e${-decimals}`)
  return value < 0 && rounded !== 0 ? -rounded : rounded
}

function fixed(value: number, decimals: number): string {
  return roundTo(value, decimals).toFixed(decimals)
}

/** Whole number with thousands set apart by a comma. */
export function formatCount(count: number): string {
  return fixed(count, 0).replace(/\B(?=(\d{3})+(?!\d))/g, ',')
}

/** A share (0 to 1) in per cent with one decimal. */
export function formatPercent(share: number): string {
  return `${fixed(share * 100, 1)}%`
}

/** A difference of shares in percentage points with one decimal and its sign. */
export function formatPoints(difference: number): string {
  return signed(fixed(difference * 100, 1))
}

/** A rate in the unit that stands beside it: one decimal, two below one. */
export function formatRate(rate: number): string {
  return fixed(rate, Math.abs(rate) < 1 ? 2 : 1)
}

/** A ratio (hazard, rate, odds): two decimals, one from 10 on, none from 100 on; below 0.01 as such. */
export function formatRatio(ratio: number): string {
  if (ratio > 0 && ratio < 0.01) return '<0.01'
  return fixed(ratio, ratio >= 100 ? 0 : ratio >= 10 ? 1 : 2)
}

/** A P value: three significant digits, never 0. */
export function formatPValue(pValue: number): string {
  if (pValue < 0.0001) return '<0.0001'
  return Number(pValue.toPrecision(3)).toString()
}

/** Years with one decimal. */
export function formatYears(years: number): string {
  return fixed(years, 1)
}

/** A measure such as a torque or a score: decimals as asked. */
export function formatNumber(value: number, decimals: number): string {
  return fixed(value, decimals)
}

/** A quantity by the given formatter, its tagged states in words. */
export function formatQuantity(quantity: Quantity, formatter: (value: number) => string): string {
  if (typeof quantity === 'number') return formatter(quantity)
  if (quantity.state === 'not-reached') return 'not reached'
  if (quantity.state === 'unbounded')
    return quantity.direction === 'above' ? 'no upper limit' : 'no lower limit'
  return 'not estimable'
}

/** An interval as "lower to upper"; one phrase where neither limit can be had. */
export function formatInterval(interval: Interval, formatter: (value: number) => string): string {
  const { lower, upper } = interval
  if (typeof lower !== 'number' && typeof upper !== 'number' && lower.state === upper.state) {
    return lower.state === 'unbounded' ? 'unbounded' : formatQuantity(lower, formatter)
  }
  return `${formatQuantity(lower, formatter)} to ${formatQuantity(upper, formatter)}`
}

function signed(text: string): string {
  if (text.startsWith('-')) return `−${text.slice(1)}`
  return Number(text) === 0 ? text : `+${text}`
}
