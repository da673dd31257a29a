import {
  formatCount,
  formatNumber,
  formatPercent,
  formatPoints,
  formatPValue,
  formatRate,
  formatRatio,
  formatYears,
  percentSign,
  roundTo,
} from '../core/format.js'

/** A number that cannot be written as it is, in the words that stand for it. */
export interface NumberInWords {
  readonly code: 'number.fewer-than' | 'number.less-than' | 'number.more-than'
  readonly size: string
}

/** How a number of the results is written in prose and tables, and how in a CSV column. */
export interface NumberFormat {
  readonly text: (value: number, language?: string) => string | NumberInWords
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
  | 'figure'
  | 'days'
  | 'days-size'
  | 'minutes'
  | 'plain'
  | 'exact'
  | 'torque'
  | 'torque-change'
  | 'per-hundred'
  | 'measure'
  | 'in-hundred'
  | 'change'
  | 'change-size'
  | 'in-thousand'
  | 'months'

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
  rate: { text: rateText, plain: (value) => formatRate(value), unit: '' },
  ratio: { text: formatRatio, plain: (value) => formatRatio(value), unit: '' },
  years: { text: formatYears, plain: (value) => formatYears(value), unit: 'years' },
  'restoration-years': { text: restorationYears, plain: plainYears, unit: '' },
  'p-value': { text: formatPValue, plain: (value) => formatPValue(value), unit: '' },
  'calendar-year': { text: (value) => String(value), plain: String, unit: '' },
  level: { text: levelText, plain: (value) => levelText(value), unit: '' },
  statistic: { text: formatRatio, plain: (value) => formatRatio(value), unit: '' },
  correlation: { text: correlationText, plain: (value) => formatNumber(value, 2), unit: '' },
  whole: { text: (value) => String(value), plain: String, unit: '' },
  // What was given to a method: a time, a threshold; with all its digits.
  figure: { text: figureText, plain: String, unit: '' },
  days: { text: signedDays, plain: (value) => formatNumber(value, 0), unit: 'days' },
  'days-size': {
    text: (value, language) => formatNumber(Math.abs(value), 0, language),
    plain: (value) => formatNumber(Math.abs(value), 0),
    unit: 'days',
  },
  minutes: { text: minutesText, plain: (value) => minutesText(value), unit: 'minutes' },
  plain: { text: minutesText, plain: (value) => minutesText(value), unit: '' },
  exact: { text: exactText, plain: (value) => exactText(value), unit: '' },
  torque: { text: torqueText, plain: (value) => formatNumber(value, 1), unit: 'N·cm' },
  'torque-change': { text: torqueChange, plain: (value) => formatNumber(value, 1), unit: 'N·cm' },
  'per-hundred': {
    text: (value, language) => formatNumber(value * 100, 1, language),
    plain: (value) => formatNumber(value * 100, 1),
    unit: 'per 100 restorations',
  },
  measure: {
    text: (value, language) => formatNumber(value, 1, language),
    plain: (value) => formatNumber(value, 1),
    unit: '',
  },
  change: { text: signedCount, plain: (value) => formatNumber(value, 0), unit: '' },
  'change-size': {
    text: (value, language) => formatCount(Math.abs(value), language),
    plain: (value) => formatNumber(Math.abs(value), 0),
    unit: '',
  },
  'in-thousand': {
    text: inThousand,
    plain: (value) => formatNumber(Math.abs(value) * 1000, 0),
    unit: 'in 1,000',
  },
  /** Years as whole months. */
  months: {
    text: (years, language) => formatNumber(years * 12, 0, language),
    plain: (years) => formatNumber(years * 12, 0),
    unit: 'months',
  },
  'in-hundred': { text: inHundred, plain: (value) => formatNumber(value * 100, 0), unit: 'in 100' },
})

function figureText(value: number, language?: string): string {
  const decimals = /\.(\d+)$/.exec(String(value))?.[1]?.length ?? 0
  return formatNumber(value, decimals, language)
}

/** Size of a difference in percentage points without its sign; what rounds to nothing is still not nothing. */
function pointsSize(difference: number, language?: string): string | NumberInWords {
  const size = formatNumber(Math.abs(difference) * 100, 1, language)
  if (roundTo(Math.abs(difference) * 100, 1) !== 0 || difference === 0) return size
  return { code: 'number.less-than', size: formatNumber(0.1, 1, language) }
}

/** A share as a natural frequency, without its "in 100"; what rounds to none or to all is still neither. */
function inHundred(share: number, language?: string): string | NumberInWords {
  const size = Math.abs(share)
  const whole = roundTo(size * 100, 0)
  if (whole === 0 && size > 0) return { code: 'number.fewer-than', size: formatCount(1, language) }
  if (whole === 100 && size < 1) return { code: 'number.more-than', size: formatCount(99, language) }
  return formatNumber(whole, 0, language)
}

/** Size of a difference of shares as a natural frequency; what rounds to none is still not none. */
function inThousand(difference: number, language?: string): string | NumberInWords {
  const size = Math.abs(difference) * 1000
  if (roundTo(size, 0) !== 0 || difference === 0) return formatCount(size, language)
  return { code: 'number.less-than', size: formatCount(1, language) }
}

/** Whole number with its sign. */
function signedCount(value: number, language?: string): string {
  return withSign(roundTo(value, 0), formatCount(Math.abs(value), language))
}

/** Restoration-years: one decimal below a hundred, whole from there on. */
function restorationYears(years: number, language?: string): string {
  return years < 100 ? formatYears(years, language) : formatCount(years, language)
}

/** From a hundred on a rate is written whole: its decimals would say more than is known. */
function rateText(rate: number, language?: string): string {
  return rate < 100 ? formatRate(rate, language) : formatCount(rate, language)
}

/** Minutes and marks of axes: whole where they are, else one decimal. */
function minutesText(minutes: number, language?: string): string {
  return formatNumber(minutes, Number.isInteger(minutes) ? 0 : 1, language)
}

/** As it was given, such as a horizon of 0.25 years. */
function exactText(value: number, language?: string): string {
  return formatNumber(value, String(value).split('.')[1]?.length ?? 0, language)
}

/** Torque in N·cm with one decimal, and a true minus sign. */
function torqueText(torque: number, language?: string): string {
  return withMinus(roundTo(torque, 1), formatNumber(Math.abs(torque), 1, language))
}

/** A difference of torques in N·cm with its sign. */
function torqueChange(torque: number, language?: string): string {
  return withSign(roundTo(torque, 1), formatNumber(Math.abs(torque), 1, language))
}

/** Whole days with their sign. */
function signedDays(days: number, language?: string): string {
  return withSign(roundTo(days, 0), formatNumber(Math.abs(days), 0, language))
}

function plainYears(years: number): string {
  return formatNumber(years, years < 100 ? 1 : 0)
}

function correlationText(value: number, language?: string): string {
  return withMinus(roundTo(value, 2), formatNumber(Math.abs(value), 2, language))
}

function levelText(level: number, language?: string): string {
  const percent = roundTo(level * 100, 4)
  const decimals = String(percent).split('.')[1]?.length ?? 0
  return `${formatNumber(percent, decimals, language)}${percentSign(language)}`
}

function withMinus(rounded: number, size: string): string {
  return rounded < 0 ? `−${size}` : size
}

function withSign(rounded: number, size: string): string {
  return rounded > 0 ? `+${size}` : withMinus(rounded, size)
}
