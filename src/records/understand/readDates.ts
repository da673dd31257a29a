import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { missingDay } from '../columns.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { type DateNeedingMap, type DateOrder, dateNeedingMap, dateOrderOf, dayOfText } from './dates.js'
import { dayByMap } from './datesByMap.js'
import { meantBy, severityOfFault, type ValueFault } from './faults.js'

/** A column of dates as calendar day numbers, with the faults of its distinct texts. */
export interface DateReading {
  readonly days: Int32Array
  readonly order: DateOrder
  readonly faults: readonly (ValueFault | undefined)[]
}

/** Reads a column of dates; their order is stated, or decided once from all values, or the column stops. */
export function readDates(field: Field, column: TextColumn, map?: MappedColumn): DateReading {
  const stated = map?.dateOrder === undecided ? undefined : map?.dateOrder
  const bare = column.values
    .map((value) => meantBy(map?.values, value))
    .map((value) => (saysUnknown(value) ? '' : value))
  if (map?.swapDates === true) swapIsoDates(bare)
  const faults: (ValueFault | undefined)[] = new Array(bare.length)
  const counts = countsOf(column)
  const verdict =
    stated === undefined ? dateOrderOf(bare, counts, typeof map?.twoDigitYearsFrom === 'number') : undefined
  const order = stated ?? (verdict?.state === 'decided' ? verdict.order : 'year-first')
  if (verdict?.state === 'undecidable' || verdict?.state === 'contradictory') {
    bare.forEach((value, code) => {
      if (/^\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4}/.test(value)) faults[code] = orderFault(verdict.state)
    })
  }
  const days = Int32Array.from(bare, (value, code) => {
    if (value === '' && map?.blank === 'unknown') faults[code] = notSaid
    if (value === '' || faults[code] !== undefined) return missingDay
    const day = dayOfText(value, order) ?? (map === undefined ? undefined : dayByMap(value, order, map))
    if (day === undefined) faults[code] = unreadable(field, value)
    return day === undefined || day === 'unknown' ? missingDay : day
  })
  stopIfHopeless(bare, counts, days, faults)
  return { days: Int32Array.from(column.codes, (code) => days[code]!), order, faults }
}

/** Puts back true dates whose day and month a spreadsheet has turned round on entry; texts it could not turn stand. */
function swapIsoDates(bare: string[]): void {
  bare.forEach((value, code) => {
    const iso = /^(\d{4})-(\d{2})-(\d{2})$/.exec(value)
    if (iso !== null && Number(iso[3]) <= 12) bare[code] = `${iso[1]}-${iso[3]}-${iso[2]}`
  })
}

const notSaid: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'not-a-date',
  problem: 'a cell is empty, and by your word an empty cell does not say that nothing happened.',
  expected: 'a date, or a word for "never".',
  mend: 'fill it in, in a copy.',
}

function orderFault(state: 'undecidable' | 'contradictory'): ValueFault {
  const undecidable = state === 'undecidable'
  return {
    severity: 'stop',
    code: undecidable ? 'date-order-undecidable' : 'date-order-contradictory',
    problem: undecidable
      ? 'whether day or month comes first cannot be decided from the values of the column: every one fits both ways.'
      : 'some dates of the column have the day first and others the month.',
    expected: 'dates as YYYY-MM-DD, or one order in the whole column.',
    mend: undecidable
      ? 'say in the column map which it is ("dateOrder": "day-first" or "month-first").'
      : 'write the dates as YYYY-MM-DD, in a copy.',
  }
}

const needsMap: Readonly<Record<DateNeedingMap, string>> = {
  'two-digit-year': 'a date has a year of two digits.',
  'month-in-words': 'a date has its month in words.',
  'partial-date': 'a date lacks its day or its month.',
}

const mapLine: Readonly<Record<DateNeedingMap, string>> = {
  'two-digit-year': '"twoDigitYearsFrom": 1950',
  'month-in-words': '"monthNames": true',
  'partial-date': '"partialDates": "middle" or "unknown"',
}

function unreadable(field: Field, text: string): ValueFault {
  const kind = dateNeedingMap(text)
  if (kind !== undefined) {
    return {
      severity: 'stop',
      leavesOut: 'restoration',
      code: kind,
      problem: needsMap[kind],
      expected: 'whole dates with a year of four digits, such as YYYY-MM-DD.',
      mend: `say in the column map how such dates are read (${mapLine[kind]}), or write them out in a copy.`,
    }
  }
  const judged = severityOfFault(field)
  return {
    ...judged,
    code: 'not-a-date',
    problem: `a value is no date of the calendar${judged.severity === 'warn' ? ' and counts as unknown' : ''}.`,
    expected: 'a date such as YYYY-MM-DD.',
    mend: 'correct it in a copy, or leave the cell empty where it is not known.',
  }
}

/** Where three or more rows have a value and none can be read, what the column holds is something else. */
function stopIfHopeless(
  bare: readonly string[],
  counts: Int32Array,
  days: Int32Array,
  faults: (ValueFault | undefined)[],
): void {
  const filled = counts.reduce((sum, count, code) => sum + (bare[code] === '' ? 0 : count), 0)
  const hopeless = bare.every((value, code) => value === '' || faults[code]?.code === 'not-a-date')
  if (filled < 3 || !hopeless || days.some((day) => day !== missingDay)) return
  bare.forEach((value, code) => {
    if (value === '') return
    faults[code] = {
      severity: 'stop',
      code: 'column-unreadable',
      problem: 'no value of the column can be read as a date.',
      expected: 'dates such as YYYY-MM-DD.',
      mend: 'look at the column: it may be another one than its header says.',
    }
  })
}
