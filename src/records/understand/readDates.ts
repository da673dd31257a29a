import type { Field } from '../../vocabulary/fields.js'
import { saysDoubt, saysUnknown } from '../../vocabulary/unknown.js'
import { type ColumnRoom, missingDay } from '../columns.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { type DateNeedingMap, type DateOrder, dateNeedingMap, dateOrderOf, dayOfText } from './dates.js'
import { dayByMap } from './datesByMap.js'
import { decides, meantBy, severityOfFault, type ValueFault } from './faults.js'

/** A column of dates as calendar day numbers, with the faults of its distinct texts. */
export interface DateReading {
  readonly days: Int32Array
  readonly order: DateOrder
  readonly faults: readonly (ValueFault | undefined)[]
}

/** Reads a column of dates; their order is stated, or decided once from all values, or the column stops. */
export function readDates(
  field: Field,
  column: TextColumn,
  map: MappedColumn | undefined,
  room: ColumnRoom,
): DateReading {
  const stated = map?.dateOrder === undecided ? undefined : map?.dateOrder
  const meant = column.values.map((value) => meantBy(map?.values, value))
  const bare = meant.map((value) => (saysUnknown(value) ? '' : value))
  const faults: (ValueFault | undefined)[] = new Array(bare.length)
  const counts = countsOf(column)
  if (map?.swapDates === true) swapIsoDates(bare)
  else if (map?.swapDates === undefined && turnedRound(bare, counts) === 'mixed') {
    bare.forEach((value, code) => {
      if (isoDate.test(value)) faults[code] = mayBeTurned
    })
  }
  if (decides(field)) for (const code of cutShort(bare, counts)) faults[code] ??= mayBeCut
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
    else if (eventDates.has(field.name) && saysDoubt(meant[code]!)) faults[code] = inDoubt
    if (value === '' || faults[code] !== undefined) return missingDay
    const day = dayOfText(value, order) ?? (map === undefined ? undefined : dayByMap(value, order, map))
    if (day === undefined) faults[code] = unreadable(field, value)
    else if (day === 'unknown' && eventDates.has(field.name)) faults[code] = inDoubt
    return day === undefined || day === 'unknown' ? missingDay : day
  })
  stopIfHopeless(bare, counts, days, faults)
  return { days: room.codes(days, column.codes), order, faults }
}

const ofParts = /^(?:\d{4}([-/.])(\d{1,2})\1(\d{1,2})|(\d{1,2})([-/. ])(\d{1,2})\5\d{4})(?=$|[T ])/

/**
 * Values whose day or month has one digit where the column writes 03 for the third: where nearly all dates of the same form have
 * two digits, such a one has lost its second (2021-11-2 of 2021-11-23) as likely as its 0.
 */
function cutShort(values: readonly string[], counts: ArrayLike<number>): readonly number[] {
  const padded = new Map<string, number>()
  const short = new Map<string, { count: number; readonly codes: number[] }>()
  values.forEach((value, code) => {
    const parts = counts[code] === 0 ? null : ofParts.exec(value)
    if (parts === null) return
    const form = parts[1] === undefined ? `year last ${parts[5]}` : `year first ${parts[1]}`
    const numbers = [parts[2] ?? parts[4]!, parts[3] ?? parts[6]!]
    if (numbers.some((number) => number.length === 1)) {
      const one = short.get(form) ?? { count: 0, codes: [] }
      one.count += counts[code]!
      one.codes.push(code)
      short.set(form, one)
    } else if (numbers.some((number) => number.startsWith('0'))) {
      padded.set(form, (padded.get(form) ?? 0) + counts[code]!)
    }
  })
  return [...short].flatMap(([form, { count, codes }]) =>
    (padded.get(form) ?? 0) >= fewestPadded * count ? codes : [],
  )
}

/** So many times as many dates with a leading 0 as without, and the 0 is how the column is written. */
const fewestPadded = 10

const mayBeCut: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'date-cut-short',
  problem:
    'a date has a day or month of one digit, and the others of the column have two: a digit may be lost.',
  expected: 'two digits for every day and month, as in the rest of the column.',
  mend: 'write it with both digits, in a copy.',
}

const isoDate = /^(\d{4})-(\d{2})-(\d{2})$/

const mayBeTurned: ValueFault = {
  severity: 'stop',
  code: 'dates-may-be-turned',
  problem:
    'every true date has a day up to 12, and every date that is a text one above: a spreadsheet may have turned day and month round on entry.',
  expected: 'dates as they were meant.',
  mend: 'answer the question on turned dates in holdfast map ("swapDates": true or false).',
}

/**
 * Whether the values look as if a spreadsheet had turned day and month round on entry. One that expects the month first
 * makes 4 March of "3.4.2021" and leaves "25.4.2021" a text: then every true date has a day up to 12 and every text one
 * above (`mixed`). True dates alone, a dozen or more and none above 12, are doubtful too (`dates-alone`).
 */
export function turnedRound(
  values: readonly string[],
  counts: ArrayLike<number>,
): 'mixed' | 'dates-alone' | 'no' {
  let dates = 0
  let texts = 0
  for (let code = 0; code < values.length; code++) {
    if (counts[code] === 0) continue
    const iso = isoDate.exec(values[code]!)
    const text = /^(\d{1,2})[-/. ]\d{1,2}[-/. ]\d{2,4}$/.exec(values[code]!)
    if ((iso !== null && Number(iso[3]) > 12) || (text !== null && Number(text[1]) <= 12)) return 'no'
    if (iso !== null) dates += counts[code]!
    if (text !== null) texts += counts[code]!
  }
  if (texts > 0 && dates >= 3) return 'mixed'
  return texts === 0 && dates >= 12 ? 'dates-alone' : 'no'
}

/** Puts back true dates whose day and month a spreadsheet has turned round on entry; texts it could not turn stand. */
function swapIsoDates(bare: string[]): void {
  bare.forEach((value, code) => {
    const iso = isoDate.exec(value)
    if (iso !== null && Number(iso[3]) <= 12) bare[code] = `${iso[1]}-${iso[3]}-${iso[2]}`
  })
}

/** Dates of which an empty cell says that nothing happened; a word of doubt does not say so. */
const eventDates: ReadonlySet<string> = new Set(['first_loosening_date', 'removed_date', 'deceased_date'])

const inDoubt: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'not-a-date',
  parameters: { form: 'doubt' },
  problem: 'a cell says that the date, or whether it happened at all, is not known.',
  expected: 'a date, or an empty cell where it did not happen.',
  mend: 'fill in the date, or empty the cell, in a copy.',
}

const notSaid: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'not-a-date',
  parameters: { form: 'empty' },
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
    parameters: { form: judged.severity === 'warn' ? 'unknown' : 'other' },
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
