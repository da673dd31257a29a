import { type DayNumber, isoFromDay } from './calendar.js'

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

/** Signs with which a language writes numbers. */
interface NumberSigns {
  readonly plain: (decimals: number) => Intl.NumberFormat
  readonly grouped: Intl.NumberFormat
  /** What follows a percentage: "%", or a space that does not break and "%". */
  readonly percent: string
}

const signsOf = new Map<string, NumberSigns>()

/** Signs of a language as the Unicode repertoire (CLDR) has them. */
function numberSigns(language: string): NumberSigns {
  const known = signsOf.get(language)
  if (known !== undefined) return known
  const plain = new Map<number, Intl.NumberFormat>()
  const parts = new Intl.NumberFormat(language, { style: 'percent' }).formatToParts(0.5)
  const signs: NumberSigns = {
    plain: (decimals) => {
      const own =
        plain.get(decimals) ??
        new Intl.NumberFormat(language, {
          minimumFractionDigits: decimals,
          maximumFractionDigits: decimals,
          useGrouping: false,
        })
      plain.set(decimals, own)
      return own
    },
    grouped: new Intl.NumberFormat(language, { maximumFractionDigits: 0 }),
    percent: parts
      .slice(parts.findIndex(({ type }) => type === 'integer') + 1)
      .map(({ value }) => value)
      .join(''),
  }
  signsOf.set(language, signs)
  return signs
}

function fixed(value: number, decimals: number, language = 'en'): string {
  const rounded = roundTo(value, decimals)
  if (language === 'en' || !Number.isFinite(rounded)) return rounded.toFixed(decimals)
  return numberSigns(language).plain(decimals).format(rounded)
}

/**
 * Whole number with its thousands set apart as the language does.
 *
 * @example formatCount(1234) // => "1,234"
 */
export function formatCount(count: number, language = 'en'): string {
  if (language !== 'en') return numberSigns(language).grouped.format(roundTo(count, 0))
  return fixed(count, 0).replace(/\B(?=(\d{3})+(?!\d))/g, ',')
}

/**
 * A share (0 to 1) in per cent with one decimal.
 *
 * @example formatPercent(0.0832) // => "8.3%"
 */
export function formatPercent(share: number, language = 'en'): string {
  return `${fixed(share * 100, 1, language)}${percentSign(language)}`
}

/** What follows a percentage in a language: "%", or a space that does not break and "%". */
export function percentSign(language = 'en'): string {
  return language === 'en' ? '%' : numberSigns(language).percent
}

/**
 * A difference of shares in percentage points with one decimal and its sign.
 *
 * @example formatPoints(-0.0396) // => "−4.0"
 */
export function formatPoints(difference: number, language = 'en'): string {
  return signed(roundTo(difference * 100, 1), fixed(Math.abs(difference) * 100, 1, language))
}

/**
 * A rate in the unit that stands beside it: one decimal, two below one.
 *
 * @example formatRate(2.345) // => "2.3"
 */
export function formatRate(rate: number, language = 'en'): string {
  return fixed(rate, Math.abs(rate) < 1 ? 2 : 1, language)
}

/**
 * A ratio (hazard, rate, odds): two decimals, one from 10 on, none from 100 on; below 0.01 as such.
 *
 * @example formatRatio(1.234) // => "1.23"
 * @example formatRatio(-1.4) // => "−1.40"
 */
export function formatRatio(ratio: number, language = 'en'): string {
  if (ratio > 0 && ratio < 0.01) return `<${fixed(0.01, 2, language)}`
  const size = Math.abs(ratio)
  const text = fixed(size, size >= 100 ? 0 : size >= 10 ? 1 : 2, language)
  return ratio < 0 && roundTo(size, 2) > 0 ? `−${text}` : text
}

/**
 * A P value: three significant digits, never 0.
 *
 * @example formatPValue(0.0004) // => "0.0004"
 */
export function formatPValue(pValue: number, language = 'en'): string {
  if (pValue < 0.0001) return `<${fixed(0.0001, 4, language)}`
  const text = Number(pValue.toPrecision(3)).toString()
  if (language === 'en') return text
  return numberSigns(language)
    .plain(text.split('.')[1]?.length ?? 0)
    .format(Number(text))
}

/** Years with one decimal. */
export function formatYears(years: number, language = 'en'): string {
  return fixed(years, 1, language)
}

/**
 * A measure such as a torque or a score: decimals as asked.
 *
 * @example formatNumber(1234.5, 1) // => "1234.5"
 */
export function formatNumber(value: number, decimals: number, language = 'en'): string {
  return fixed(value, decimals, language)
}

/** A calendar day as the language writes it; `long` names the month. */
export function formatDay(day: DayNumber, style: 'iso' | 'long', language = 'en'): string {
  if (style === 'iso') return isoFromDay(day)
  return new Intl.DateTimeFormat(language === 'en' ? 'en-GB' : language, {
    day: 'numeric',
    month: 'long',
    year: 'numeric',
    timeZone: 'UTC',
  }).format(day * 86_400_000)
}

function signed(rounded: number, size: string): string {
  if (rounded < 0) return `−${size}`
  return rounded === 0 ? size : `+${size}`
}
