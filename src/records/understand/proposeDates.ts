import { saysUnknown } from '../../vocabulary/unknown.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { dateNeedingMap, dateOrderOf, dateOrderOfHeader, dayOfText } from './dates.js'

type DateSettings = Partial<
  Pick<MappedColumn, 'dateOrder' | 'serialDates' | 'twoDigitYearsFrom' | 'monthNames' | 'partialDates'>
>

/** Proposes how the dates of a column are read, from all its values. */
export function proposeDates(column: TextColumn, evidence: string[]): DateSettings {
  const stated = dateOrderOfHeader(column.header)
  if (stated !== undefined) evidence.push(`the header states the order: ${stated}`)
  const counts = countsOf(column)
  const values = column.values.map((value) => (saysUnknown(value) ? '' : value))
  const kinds = countKinds(values, counts)
  const settings: { -readonly [Key in keyof DateSettings]: DateSettings[Key] } = {}
  const order = stated ?? proposedOrder(values, counts, kinds, evidence)
  if (order !== undefined) settings.dateOrder = order
  if (kinds.serial > 0) {
    settings.serialDates = undecided
    evidence.push(
      `${rows(kinds.serial)} a number such as spreadsheets keep for dates: the epoch is 1900 unless the workbook says 1904`,
    )
  }
  if (kinds.twoDigitYear > 0) {
    settings.twoDigitYearsFrom = undecided
    evidence.push(
      `${rows(kinds.twoDigitYear)} a year of two digits: give the first of the hundred years, such as 1950`,
    )
  }
  if (kinds.monthInWords > 0) {
    settings.monthNames = undecided
    evidence.push(
      `${rows(kinds.monthInWords)} the month in words: true reads the names of months in six languages`,
    )
  }
  if (kinds.partial > 0) {
    settings.partialDates = undecided
    evidence.push(
      `${rows(kinds.partial)} no day or no month: first, middle or last of the time that is left open, or unknown`,
    )
  }
  return settings
}

interface DateKinds {
  twoDigitYear: number
  monthInWords: number
  partial: number
  serial: number
}

function countKinds(values: readonly string[], counts: Int32Array): DateKinds {
  const kinds: DateKinds = { twoDigitYear: 0, monthInWords: 0, partial: 0, serial: 0 }
  values.forEach((value, code) => {
    const kind =
      value === '' || dayOfText(value, 'day-first') !== undefined ? undefined : dateNeedingMap(value)
    if (kind === 'two-digit-year') kinds.twoDigitYear += counts[code]!
    else if (kind === 'month-in-words') kinds.monthInWords += counts[code]!
    else if (kind === 'partial-date') kinds.partial += counts[code]!
    else if (/^\d{5}(?:\.\d+)?$/.test(value)) kinds.serial += counts[code]!
  })
  return kinds
}

function proposedOrder(
  values: readonly string[],
  counts: Int32Array,
  kinds: DateKinds,
  evidence: string[],
): DateSettings['dateOrder'] {
  const verdict = dateOrderOf(values, counts, kinds.twoDigitYear > 0)
  if (verdict.state === 'no-dates') return undefined
  if (verdict.state === 'decided') {
    if (verdict.order === 'year-first') {
      evidence.push(`${rows(verdict.decidedBy)} the year first`)
      return undefined
    }
    const place = verdict.order === 'day-first' ? 'first' : 'second'
    evidence.push(`${rows(verdict.decidedBy)} a ${place} number above 12, and none the other way round`)
    return verdict.order
  }
  if (verdict.state === 'contradictory') {
    evidence.push(
      `${rows(verdict.dayFirst)} the day first, and ${verdict.monthFirst} the month: correct them in a copy`,
    )
    return undecided
  }
  const dotted = values.every((value) => !/^\d{1,2}[-/ ]\d{1,2}[-/ ]\d{2,4}$/.test(value))
  evidence.push(
    `all ${verdict.ambiguous} dates fit both orders${dotted ? '; points between the numbers are mostly written with the day first' : ''}`,
  )
  return undecided
}

function rows(count: number): string {
  return count === 1 ? '1 row has' : `${count} rows have`
}
