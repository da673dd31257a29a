import {
  formatCount,
  formatNumber,
  formatPercent,
  formatPoints,
  formatPValue,
  formatRate,
  formatRatio,
  formatYears,
  roundTo,
} from '../core/format.js'

/** How a number of the results is written in prose and tables, and how in a CSV column. */
export interface NumberFormat {
  readonly text: (value: number) => string
  /** Without unit or grouping, for a machine; the unit stands in the head of the column. */
  readonly plain: (value: number) => string
  readonly unit: string
}

/** Names of the ways of writing numbers. */
export type FormatName =
  | 'count'
  | 'percent'
  | 'points'
  | 'points-size'
  | 'rate'
  | 'ratio'
  | 'years'
  | 'restoration-years'
  | 'p-value'
  | 'calendar-year'
  | 'level'
  | 'statistic'
  | 'correlation'
  | 'whole'
  | 'days'
  | 'days-size'
  | 'minutes'
  | 'torque'
  | 'per-hundred'
  | 'measure'
  | 'in-hundred'
  | 'change'
  | 'change-size'
  | 'in-thousand'

/** Every way of writing a number of the results; the rounding itself is that of core/format.ts. */
export const numberFormats: Readonly<Record<FormatName, NumberFormat>> = Object.freeze({
  count: { text: formatCount, plain: (value) => formatNumber(value, 0), unit: '' },
  percent: { text: formatPercent, plain: (value) => formatNumber(value * 100, 1), unit: '%' },
  points: { text: formatPoints, plain: (value) => formatNumber(value * 100, 1), unit: 'percentage points' },
  'points-size': {
    text: pointsSize,
    plain: (value) => formatNumber(Math.abs(value) * 100, 1),
    unit: 'percentage points',
  },
  rate: { text: rateText, plain: formatRate, unit: '' },
  ratio: { text: formatRatio, plain: formatRatio, unit: '' },
  years: { text: formatYears, plain: formatYears, unit: 'years' },
  'restoration-years': { text: restorationYears, plain: plainYears, unit: '' },
  'p-value': { text: formatPValue, plain: formatPValue, unit: '' },
  'calendar-year': { text: String, plain: String, unit: '' },
  level: { text: levelText, plain: levelText, unit: '' },
  statistic: { text: formatRatio, plain: formatRatio, unit: '' },
  correlation: { text: correlationText, plain: (value) => formatNumber(value, 2), unit: '' },
  whole: { text: String, plain: String, unit: '' },
  days: { text: signedDays, plain: (value) => formatNumber(value, 0), unit: 'days' },
  'days-size': {
    text: (value) => formatNumber(Math.abs(value), 0),
    plain: (value) => formatNumber(Math.abs(value), 0),
    unit: 'days',
  },
  minutes: { text: minutesText, plain: minutesText, unit: 'minutes' },
  torque: { text: torqueText, plain: (value) => formatNumber(value, 1), unit: 'N·cm' },
  'per-hundred': {
    text: (value) => formatNumber(value * 100, 1),
    plain: (value) => formatNumber(value * 100, 1),
    unit: 'per 100 restorations',
  },
  measure: { text: (value) => formatNumber(value, 1), plain: (value) => formatNumber(value, 1), unit: '' },
  change: { text: signedCount, plain: (value) => formatNumber(value, 0), unit: '' },
  'change-size': {
    text: (value) => formatCount(Math.abs(value)),
    plain: (value) => formatNumber(Math.abs(value), 0),
    unit: '',
  },
  'in-thousand': {
    text: inThousand,
    plain: (value) => formatNumber(Math.abs(value) * 1000, 0),
    unit: 'in 1,000',
  },
  'in-hundred': { text: inHundred, plain: (value) => formatNumber(value * 100, 0), unit: 'in 100' },
})

/** Size of a difference in percentage points without its sign; what rounds to nothing is still not nothing. */
function pointsSize(difference: number): string {
  const size = formatNumber(Math.abs(difference) * 100, 1)
  return size === '0.0' && difference !== 0 ? 'less than 0.1' : size
}

/** A share as a natural frequency, without its "in 100"; what rounds to none or to all is still neither. */
function inHundred(share: number): string {
  const size = Math.abs(share)
  const whole = formatNumber(size * 100, 0)
  if (whole === '0' && size > 0) return 'fewer than 1'
  return whole === '100' && size < 1 ? 'more than 99' : whole
}

/** Size of a difference of shares as a natural frequency; what rounds to none is still not none. */
function inThousand(difference: number): string {
  const size = formatCount(Math.abs(difference) * 1000)
  return size === '0' && difference !== 0 ? 'less than 1' : size
}

/** Whole number with its sign. */
function signedCount(value: number): string {
  const text = formatCount(Math.abs(value))
  return text === '0' ? text : `${value < 0 ? '−' : '+'}${text}`
}

/** Restoration-years: one decimal below a hundred, whole from there on. */
function restorationYears(years: number): string {
  return years < 100 ? formatYears(years) : formatCount(years)
}

/** From a hundred on a rate is written whole: its decimals would say more than is known. */
function rateText(rate: number): string {
  return rate < 100 ? formatRate(rate) : formatCount(rate)
}

/** Minutes: whole where they are, else one decimal. */
function minutesText(minutes: number): string {
  return formatNumber(minutes, Number.isInteger(minutes) ? 0 : 1)
}

/** Torque in N·cm with one decimal, and a true minus sign. */
function torqueText(torque: number): string {
  return formatNumber(torque, 1).replace('-', '−')
}

/** Whole days with their sign. */
function signedDays(days: number): string {
  const text = formatNumber(days, 0)
  if (text.startsWith('-')) return `−${text.slice(1)}`
  return text === '0' ? text : `+${text}`
}

function plainYears(years: number): string {
  return formatNumber(years, years < 100 ? 1 : 0)
}

function correlationText(value: number): string {
  return formatNumber(value, 2).replace('-', '−')
}

function levelText(level: number): string {
  return `${roundTo(level * 100, 4)}%`
}
