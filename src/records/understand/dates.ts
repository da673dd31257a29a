import { type DayNumber, dayNumber } from '../../core/calendar.js'
import { saysUnknown } from '../../vocabulary/unknown.js'

/** Order of day, month and year in a column of dates. */
export type DateOrder = 'year-first' | 'day-first' | 'month-first'

/** What all values of a column together say about the order of its dates. */
export type DateOrderVerdict =
  | { readonly state: 'decided'; readonly order: DateOrder; readonly decidedBy: number }
  | { readonly state: 'no-dates' }
  | { readonly state: 'undecidable'; readonly ambiguous: number }
  | { readonly state: 'contradictory'; readonly dayFirst: number; readonly monthFirst: number }

const yearFirst =
  /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:?\d{2})?)?$/
const compact = /^(\d{4})(\d{2})(\d{2})$/
/** A day by its week (ISO 8601): year, week, weekday from Monday as 1. */
const weekDate = /^(\d{4})-?W(\d{2})-?([1-7])$/i
const weekAlone =
  /^(?:(\d{4})-?W(\d{1,2})|(?:KW|CW|wk|week|woche|sem(?:aine|ana)?|settimana|set|S)\.?\s?(\d{1,2})\s?[-/. ]\s?(\d{4}))$/i
const yearLastOfTwo = /^(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4}|\d{2})$/
const yearLast = /^(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4})(?:[T ]\d{1,2}:\d{2}(?::\d{2})?)?$/

/**
 * Decides the order of the dates of a column once, from all its values: a first number above 12 says day first, a
 * second one above 12 month first. Values that fit both ways decide nothing; a column with those alone is undecidable.
 *
 * @param values distinct texts
 * @param counts rows that hold each
 * @param twoDigitYears whether dates with a year of two digits count too; only where the column map reads them
 */
export function dateOrderOf(
  values: readonly string[],
  counts: ArrayLike<number>,
  twoDigitYears = false,
): DateOrderVerdict {
  let dayFirst = 0
  let monthFirst = 0
  let ambiguous = 0
  let isoDates = 0
  for (let code = 0; code < values.length; code++) {
    const value = values[code]!
    if (counts[code] === 0) continue
    const match = (twoDigitYears ? yearLastOfTwo : yearLast).exec(value)
    if (match === null) {
      if (yearFirst.test(value) || compact.test(value) || weekDate.test(value)) isoDates += counts[code]!
      continue
    }
    const first = Number(match[1])
    const second = Number(match[2])
    if (first > 12 && second <= 12) dayFirst += counts[code]!
    else if (second > 12 && first <= 12) monthFirst += counts[code]!
    else if (first <= 12 && second <= 12 && first !== second) ambiguous += counts[code]!
  }
  if (dayFirst > 0 && monthFirst > 0) return { state: 'contradictory', dayFirst, monthFirst }
  if (dayFirst > 0) return { state: 'decided', order: 'day-first', decidedBy: dayFirst }
  if (monthFirst > 0) return { state: 'decided', order: 'month-first', decidedBy: monthFirst }
  if (ambiguous > 0) return { state: 'undecidable', ambiguous }
  return isoDates > 0 ? { state: 'decided', order: 'year-first', decidedBy: isoDates } : { state: 'no-dates' }
}

/** Day number of a date text in the order of its column; undefined where it is no date. A time of day is dropped. */
export function dayOfText(text: string, order: DateOrder): DayNumber | undefined {
  const iso = yearFirst.exec(text) ?? compact.exec(text)
  if (iso !== null) return dayNumber(Number(iso[1]), Number(iso[2]), Number(iso[3]))
  const week = weekDate.exec(text)
  if (week !== null) return dayOfWeek(Number(week[1]), Number(week[2]), Number(week[3]))
  const match = yearLast.exec(text)
  if (match === null) return undefined
  const first = Number(match[1])
  const second = Number(match[2])
  const year = Number(match[3])
  if (first === second) return dayNumber(year, first, second)
  if (order === 'year-first') return undefined
  return order === 'day-first' ? dayNumber(year, second, first) : dayNumber(year, first, second)
}

/** Day number of a weekday, Monday 1, of a week of ISO 8601: the first week of a year holds its 4 January. */
function dayOfWeek(year: number, week: number, weekday: number): DayNumber | undefined {
  const fourth = dayNumber(year, 1, 4)
  if (fourth === undefined) return undefined
  // Day 0 is a Thursday, 1 January 1970.
  const monday = fourth - ((((fourth + 3) % 7) + 7) % 7) + 7 * (week - 1)
  const next = dayNumber(year + 1, 1, 1)
  // A week belongs to the year of its Thursday.
  return week >= 1 && next !== undefined && monday + 3 < next ? monday + weekday - 1 : undefined
}

/** First and last day of a week that is written without its day, such as "2021-W14" or "KW 14/2021". */
export function daysOfWeek(
  text: string,
): { readonly first: DayNumber; readonly last: DayNumber } | undefined {
  const match = weekAlone.exec(text)
  if (match === null) return undefined
  const first = dayOfWeek(Number(match[1] ?? match[4]), Number(match[2] ?? match[3]), 1)
  return first === undefined ? undefined : { first, last: first + 6 }
}

const twoDigitYear = /^\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2}$/
const monthInWords = /^(?:\d{1,2}[-/. ]*)?\p{L}{3,12}\.?[-/., ]*(?:\d{1,2}[-/., ]+)?\d{2,4}$/u
const partialDate = /^(?:\d{4}|\d{4}[-/.]\d{1,2}|\d{1,2}[-/.]\d{4})$/

/** Kinds of date that are read only where the column map says how. */
export type DateNeedingMap = 'two-digit-year' | 'month-in-words' | 'partial-date'

/** Whether a text is a date of a kind that only the column map can settle. */
export function dateNeedingMap(text: string): DateNeedingMap | undefined {
  if (saysUnknown(text)) return undefined
  if (twoDigitYear.test(text)) return 'two-digit-year'
  if (partialDate.test(text) || daysOfWeek(text) !== undefined) return 'partial-date'
  return monthInWords.test(text) ? 'month-in-words' : undefined
}

const dayWords = '(?:dd|d|tt|jj|gg)'
const monthWords = '(?:mm|m)'
const yearWords = '(?:yyyy|yy|jjjj|jj|aaaa|aa)'

/** The order of dates that a header states, such as "Delivery (dd/mm/yyyy)" or "Datum TT.MM.JJJJ". */
export function dateOrderOfHeader(header: string): DateOrder | undefined {
  const says = (...words: readonly string[]): boolean =>
    new RegExp(`(?:^|[^a-z])${words.join('[-./ ]?')}(?:$|[^a-z])`, 'i').test(header)
  if (says(yearWords, monthWords, dayWords)) return 'year-first'
  if (says(dayWords, monthWords, yearWords)) return 'day-first'
  return says(monthWords, dayWords, yearWords) ? 'month-first' : undefined
}

/** The order of dates that a field of a data package states (Table Schema, format of dates). */
export function dateOrderOfFormat(format: string | undefined): DateOrder | undefined {
  const order = format?.replace(/[^%a-zA-Z]/g, '').toLowerCase()
  if (order === '%y%m%d') return 'year-first'
  if (order === '%d%m%y') return 'day-first'
  return order === '%m%d%y' ? 'month-first' : undefined
}
