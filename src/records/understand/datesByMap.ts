import { type DayNumber, dayNumber } from '../../core/calendar.js'
import type { MappedColumn } from './columnMap.js'
import { type DateOrder, daysOfWeek } from './dates.js'
import { dayOfSerial } from './serialDates.js'

/** Days of a partial date: a day number, "unknown" where the map says so, undefined where the text is no such date. */
type PartialReading = DayNumber | 'unknown' | undefined

/** Reads dates that only the column map can settle: serial numbers, years of two digits, names of months, partial dates. */
export function dayByMap(text: string, order: DateOrder, map: MappedColumn): PartialReading {
  const serial = map.serialDates
  if ((serial === 1900 || serial === 1904) && /^\d{1,6}(?:\.\d+)?$/.test(text)) {
    return dayOfSerial(Number(text), serial)
  }
  return twoDigitYear(text, order, map) ?? namedMonth(text, map) ?? partialDate(text, map)
}

function twoDigitYear(text: string, order: DateOrder, map: MappedColumn): DayNumber | undefined {
  const match = /^(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{2})$/.exec(text)
  if (match === null || typeof map.twoDigitYearsFrom !== 'number') return undefined
  const [first, second, third] = [Number(match[1]), Number(match[2]), Number(match[3])]
  if (order === 'year-first') return dayNumber(fullYear(first, map.twoDigitYearsFrom), second, third)
  const year = fullYear(third, map.twoDigitYearsFrom)
  return order === 'day-first' ? dayNumber(year, second, first) : dayNumber(year, first, second)
}

/** The year of two digits within the hundred years that begin with the one given. */
export function fullYear(twoDigits: number, from: number): number {
  const inCentury = from - (from % 100) + twoDigits
  return inCentury >= from ? inCentury : inCentury + 100
}

function namedMonth(text: string, map: MappedColumn): DayNumber | undefined {
  if (map.monthNames !== true) return undefined
  const dayFirst = /^(\d{1,2})[-/. ]*(?:de |d')?(\p{L}+)\.?[-/., ]*(?:de |del )?(\d{4}|\d{2})$/u.exec(text)
  const monthFirst = /^(\p{L}+)\.?[-/ ]*(\d{1,2})(?:st|nd|rd|th)?[-/., ]+(\d{4}|\d{2})$/u.exec(text)
  const [dayText, monthText, yearText] =
    dayFirst !== null
      ? [dayFirst[1]!, dayFirst[2]!, dayFirst[3]!]
      : monthFirst !== null
        ? [monthFirst[2]!, monthFirst[1]!, monthFirst[3]!]
        : ['', '', '']
  const month = monthOfName(monthText)
  const year = yearOf(yearText, map)
  if (month === undefined || year === undefined) return undefined
  return dayNumber(year, month, Number(dayText))
}

function yearOf(text: string, map: MappedColumn): number | undefined {
  if (text.length === 4) return Number(text)
  if (text.length !== 2 || typeof map.twoDigitYearsFrom !== 'number') return undefined
  return fullYear(Number(text), map.twoDigitYearsFrom)
}

function partialDate(text: string, map: MappedColumn): PartialReading {
  const rule = map.partialDates
  if (rule === undefined || rule === '?') return undefined
  const week = daysOfWeek(text)
  if (week !== undefined)
    return { first: week.first, middle: week.first + 3, last: week.last, unknown: 'unknown' as const }[rule]
  const parts = partsOf(text, map)
  if (parts === undefined) return undefined
  if (rule === 'unknown') return 'unknown'
  const { year, month } = parts
  if (month === undefined) {
    return { first: dayNumber(year, 1, 1), middle: dayNumber(year, 7, 1), last: dayNumber(year, 12, 31) }[
      rule
    ]
  }
  const next = month === 12 ? dayNumber(year + 1, 1, 1) : dayNumber(year, month + 1, 1)
  if (next === undefined) return undefined
  return { first: dayNumber(year, month, 1), middle: dayNumber(year, month, 15), last: next - 1 }[rule]
}

function partsOf(text: string, map: MappedColumn): { year: number; month?: number } | undefined {
  if (/^\d{4}$/.test(text)) return { year: Number(text) }
  const numbers = /^(\d{4})[-/.](\d{1,2})$/.exec(text) ?? /^(\d{1,2})[-/.](\d{4})$/.exec(text)
  if (numbers !== null) {
    const [year, month] = numbers[1]!.length === 4 ? [numbers[1], numbers[2]] : [numbers[2], numbers[1]]
    return Number(month) >= 1 && Number(month) <= 12
      ? { year: Number(year), month: Number(month) }
      : undefined
  }
  const named = /^(\p{L}+)\.?[-/., ]*(\d{4}|\d{2})$/u.exec(text)
  const month = named === null || map.monthNames !== true ? undefined : monthOfName(named[1]!)
  const year = named === null ? undefined : yearOf(named[2]!, map)
  return month === undefined || year === undefined ? undefined : { year, month }
}

/**
 * Names of the months in English, German, French, Spanish, Portuguese and Italian, in full and as usually cut, without
 * accents. No name stands for two months.
 */
const monthWords: readonly string[] = [
  'january|jan|januar|janner|jaen|janvier|janv|enero|ene|janeiro|gennaio|gen',
  'february|feb|februar|feber|fevrier|fevr|fev|febrero|fevereiro|febbraio|febb',
  'march|mar|marz|maerz|mrz|mars|marzo|marco',
  'april|apr|avril|avr|abril|abr|aprile',
  'may|mai|mayo|maio|maggio|mag',
  'june|jun|juni|juin|junio|junho|giugno|giu',
  'july|jul|juli|juillet|juil|julio|julho|luglio|lug',
  'august|aug|aout|aou|agosto|ago',
  'september|sept|sep|septembre|septiembre|setembro|set|settembre|sett',
  'october|oct|oktober|okt|octobre|octubre|outubro|out|ottobre|ott',
  'november|nov|novembre|noviembre|novembro',
  'december|dec|dezember|dez|decembre|diciembre|dic|dezembro|dicembre',
]

const monthOfWord = new Map(
  monthWords.flatMap((words, index) => words.split('|').map((word) => [word, index + 1] as const)),
)

/** Month of a word, 1 to 12, or undefined where it is none. */
export function monthOfName(word: string): number | undefined {
  const plain = word
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/\.$/, '')
  return monthOfWord.get(plain)
}
