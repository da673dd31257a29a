import { missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import { roundingOf } from '../understand/roundedDays.js'
import { daysOrMissing, rowStatus, type TypedTable } from '../understand/typedTable.js'
import { setAside, stopUnlessNamed } from './checkRestorations.js'
import { datesToDays } from './datesToDays.js'
import { deliveryBounds } from './deliveryBounds.js'

/** A linked table with the restoration and day of each row, and its rows in order. */
export interface LinkedRows {
  readonly table: TypedTable
  /** Row of the restorations table of each row, -1 where there is none. */
  readonly restoration: Int32Array
  /** Days since delivery, `missingDay` where unknown. */
  readonly day: Int32Array
  /** Rows by restoration, day, sequence and source row; days that are not known come last. */
  readonly order: Int32Array
  /** Start in `order` of the rows of each restoration; length restorations + 1. */
  readonly firstRow: Int32Array
}

/** Links the rows of a table to their restorations and places them in time; impossible rows are set aside. */
export function linkRows(
  table: TypedTable,
  restorations: TypedTable,
  today: number,
  problems: ProblemList,
): LinkedRows {
  const restoration = restorationOfRows(table, restorations, problems)
  const dateField = table.sheet === 'visits' ? 'visit_date' : 'tightening_date'
  const day = placeInTime(table, dateField, restoration, restorations, problems)
  checkDays(table, dateField, day, restoration, restorations, today, problems)
  const delivery = daysOrMissing(restorations.dates, 'delivery_date', restorations.rowCount)
  datesToDays(table, (row) => delivery[restoration[row]!] ?? missingDay)
  const sequence = table.numbers.get('sequence')
  const { order, firstRow } = orderedRows(restoration, restorations.rowCount, day, sequence)
  return { table, restoration, day, order, firstRow }
}

function restorationOfRows(table: TypedTable, restorations: TypedTable, problems: ProblemList): Int32Array {
  const own = table.categories.get('restoration_id')!
  const their = restorations.categories.get('restoration_id')!
  const rowOfCode = new Int32Array(their.labels.length).fill(-1)
  for (let row = restorations.rowCount - 1; row >= 0; row--) {
    const code = their.codes[row]!
    if (code !== unknownCode && restorations.status[row] !== rowStatus.repeated) rowOfCode[code] = row
  }
  const rowOfOwnCode =
    own.labels === their.labels ? rowOfCode : rowsByLabel(own.labels, their.labels, rowOfCode)
  const restoration = new Int32Array(table.rowCount).fill(-1)
  for (let row = 0; row < table.rowCount; row++) {
    const code = own.codes[row]!
    if (code === unknownCode) continue
    const target = rowOfOwnCode[code]!
    restoration[row] = target
    if (table.status[row] !== rowStatus.kept) continue
    if (target < 0) stopUnlessNamed(table, row, noSuchRestoration, 'row', problems)
    else if (restorations.status[target] === rowStatus.setAside) {
      setAside(table, row, withRestoration, problems)
      if (restorations.withdrawn.has(target)) table.withdrawn.add(row)
    }
  }
  return restoration
}

function rowsByLabel(own: readonly string[], their: readonly string[], rowOfCode: Int32Array): Int32Array {
  const codeOfLabel = new Map(their.map((label, code) => [label, code]))
  return Int32Array.from(own, (label) => {
    const code = codeOfLabel.get(label)
    return code === undefined ? -1 : rowOfCode[code]!
  })
}

function placeInTime(
  table: TypedTable,
  dateField: string,
  restoration: Int32Array,
  restorations: TypedTable,
  problems: ProblemList,
): Int32Array {
  const delivery = daysOrMissing(restorations.dates, 'delivery_date', restorations.rowCount)
  const date = daysOrMissing(table.dates, dateField, table.rowCount)
  const counted = daysOrMissing(table.days, 'days_since_delivery', table.rowCount)
  const context = table.categories.get('context')
  const atDelivery = context?.labels.indexOf('delivery') ?? -1
  const day = new Int32Array(table.rowCount)
  for (let row = 0; row < table.rowCount; row++) {
    const origin = restoration[row]! < 0 ? missingDay : delivery[restoration[row]!]!
    const fromDate = date[row] === missingDay || origin === missingDay ? missingDay : date[row]! - origin
    day[row] = counted[row] === missingDay ? fromDate : counted[row]!
    if (table.status[row] !== rowStatus.kept) continue
    if (fromDate !== missingDay && fromDate !== day[row]) setAside(table, row, dateAndDayDiffer, problems)
    if (date[row] !== missingDay && day[row] === missingDay) {
      setAside(table, row, { ...noOrigin, column: dateField }, problems)
    }
    if (day[row] === missingDay && atDelivery >= 0 && context!.codes[row] === atDelivery) day[row] = 0
  }
  return day
}

function checkDays(
  table: TypedTable,
  dateField: string,
  day: Int32Array,
  restoration: Int32Array,
  restorations: TypedTable,
  today: number,
  problems: ProblemList,
): void {
  // Of a delivery of which the year alone is known, what lies in the future from its first day on does so in any case.
  const { earliest } = deliveryBounds(restorations)
  const counted = table.days.get('days_since_delivery')
  const rounding = counted === undefined ? 0 : roundingOf(counted)
  const context = table.categories.get('context')
  const tryIn = context?.labels.indexOf('try_in') ?? -1
  const isEvent = eventReader(table)
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] !== rowStatus.kept || day[row] === missingDay) continue
    // A try-in comes before the delivery by its nature.
    const beforeIsRight = tryIn >= 0 && context!.codes[row] === tryIn
    if (day[row]! < 0 && !beforeIsRight && isEvent(row)) {
      stopUnlessNamed(table, row, { ...eventBeforeDelivery, column: dateField }, 'restoration', problems)
      continue
    }
    if (day[row]! < 0 && !beforeIsRight) {
      if (counted !== undefined && counted[row] !== missingDay) setAside(table, row, negativeDay, problems)
      else setAside(table, row, { ...beforeDelivery(table), column: dateField }, problems)
      continue
    }
    const origin = restoration[row]! < 0 ? missingDay : earliest[restoration[row]!]!
    const isCounted = counted !== undefined && counted[row] !== missingDay
    if (origin === missingDay || origin + day[row]! - (isCounted ? rounding : 0) <= today) continue
    const column = isCounted ? 'days_since_delivery' : dateField
    if (isEvent(row)) stopUnlessNamed(table, row, { ...eventInFuture, column }, 'restoration', problems)
    else setAside(table, row, { ...inTheFuture, column }, problems)
  }
}

/** Whether a row of the visits says that something happened: left out in silence it would turn into "no event". */
export function eventReader(table: TypedTable): (row: number) => boolean {
  if (table.sheet !== 'visits') return () => false
  const isOneOf = (field: string, quiet: readonly string[]): ((row: number) => boolean) => {
    const column = table.categories.get(field)
    if (column === undefined) return () => false
    const loud = column.labels.map((label) => !quiet.includes(label))
    return (row) => column.codes[row] !== unknownCode && loud[column.codes[row]!]!
  }
  const finding = isOneOf('finding', ['none'])
  const status = isOneOf('restoration_status', ['in_place', 'in_place_modified'])
  const patient = isOneOf('patient_status', ['active', 'moved', 'declined'])
  return (row) => finding(row) || status(row) || patient(row)
}

function orderedRows(
  restoration: Int32Array,
  restorations: number,
  day: Int32Array,
  sequence: Float64Array | undefined,
): { readonly order: Int32Array; readonly firstRow: Int32Array } {
  const firstRow = new Int32Array(restorations + 1)
  for (const one of restoration) if (one >= 0) firstRow[one + 1]!++
  for (let one = 0; one < restorations; one++) firstRow[one + 1]! += firstRow[one]!
  const next = firstRow.slice()
  const order = new Int32Array(firstRow[restorations]!)
  for (let row = 0; row < restoration.length; row++) {
    const one = restoration[row]!
    if (one >= 0) order[next[one]!++] = row
  }
  const key = (row: number): number => (day[row] === missingDay ? Number.MAX_SAFE_INTEGER : day[row]!)
  const place = (row: number): number => {
    const number = sequence?.[row] ?? 0
    return Number.isNaN(number) ? Number.MAX_SAFE_INTEGER : number
  }
  for (let one = 0; one < restorations; one++) {
    const from = firstRow[one]!
    const to = firstRow[one + 1]!
    if (to - from > 1 && !isOrdered(order, from, to, key, place)) {
      order.subarray(from, to).sort((a, b) => key(a) - key(b) || place(a) - place(b) || a - b)
    }
  }
  return { order, firstRow }
}

/** Files mostly come in order already, and sorting each small stretch costs more than looking. */
function isOrdered(
  order: Int32Array,
  from: number,
  to: number,
  key: (row: number) => number,
  place: (row: number) => number,
): boolean {
  for (let at = from + 1; at < to; at++) {
    const step = key(order[at]!) - key(order[at - 1]!)
    if (step < 0 || (step === 0 && place(order[at]!) < place(order[at - 1]!))) return false
  }
  return true
}

const noSuchRestoration = {
  code: 'no-such-restoration',
  parameters: { form: 'row' },
  column: 'restoration_id',
  problem: 'the row belongs to a restoration that the restorations table does not have.',
  expected: 'a restoration_id of the restorations table.',
  mend: 'correct the identifier, or add the restoration, in a copy.',
}

const withRestoration = {
  code: 'restoration-set-aside',
  column: 'restoration_id',
  problem: 'the row belongs to a restoration that is set aside, and goes with it.',
  expected: 'rows of restorations that are kept.',
  mend: 'mend the restoration.',
}

const dateAndDayDiffer = {
  code: 'date-and-day-differ',
  column: 'days_since_delivery',
  problem: 'the date and the days since delivery do not agree.',
  expected: 'one of the two, or both the same.',
  mend: 'correct one of them, in a copy.',
}

const noOrigin = {
  code: 'no-delivery-date',
  problem: 'the row has a date, and its restoration has a delivery year only.',
  expected: 'days_since_delivery wherever delivery_date is not known.',
  mend: 'give the delivery_date, or count the days since delivery.',
}

const negativeDay = {
  code: 'negative-day',
  column: 'days_since_delivery',
  problem: 'the days since delivery are negative.',
  expected: '0 at delivery, and more after it.',
  mend: 'correct the number, in a copy.',
}

function beforeDelivery(table: TypedTable) {
  return {
    code: table.sheet === 'visits' ? 'visit-before-delivery' : 'tightening-before-delivery',
    problem: 'the date lies before the delivery of the restoration.',
    expected: 'dates on or after delivery_date.',
    mend: 'correct one of the two dates, in a copy.',
  }
}

const eventBeforeDelivery = {
  code: 'event-before-delivery',
  problem: 'a finding, a removal or a death is dated before the delivery of the restoration.',
  expected: 'dates on or after delivery_date.',
  mend: 'correct one of the two dates, in a copy.',
}

const eventInFuture = {
  code: 'event-in-future',
  problem: 'a finding, a removal or a death is dated in the future.',
  expected: 'dates up to the day of the run.',
  mend: 'correct the date, in a copy.',
}

const inTheFuture = {
  code: 'date-in-future',
  problem: 'the date lies in the future.',
  expected: 'dates up to the day of the run.',
  mend: 'correct the date, in a copy.',
}
