import { missingDay, unknownCode } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { markIdenticalAmong, rowOrder } from '../understand/identicalRows.js'
import { codesIn, rowStatus, type TypedTable } from '../understand/typedTable.js'
import { setAside, stopUnlessNamed } from './checkRestorations.js'
import type { LinkedRows } from './linkRows.js'

type Warned = Omit<ProblemKind, 'severity' | 'file'>

/** Longest and shortest wait between two tightenings that count as repeated at delivery, in minutes. */
const repeatedWithin = { from: 2, to: 60 } as const

/** Checks of the tightenings: doubled and broken sequences, torques off target, calibration, the reported group. */
export function checkTightenings(linked: LinkedRows, restorations: TypedTable, problems: ProblemList): void {
  checkSequences(linked, problems)
  checkEachTightening(linked, problems)
  checkReportedGroup(linked, restorations, problems)
}

/** Rows of one screw share no sequence number, and the numbers run from 1 without a gap, forward in time. */
function checkSequences({ table, order, firstRow, day }: LinkedRows, problems: ProblemList): void {
  const sequence = table.numbers.get('sequence')!
  const minutes = table.numbers.get('minutes_since_first')
  const screw = codesIn(table, 'screw_position')
  const likeness = rowOrder(table)
  for (let restoration = 0; restoration + 1 < firstRow.length; restoration++) {
    const rows = keptRows(table, order, firstRow, restoration)
    if (rows.length === 0) continue
    // Where only some rows name their screw, which of them is its first is not known, and that stops by itself.
    const isPartlyNamed =
      screw !== undefined &&
      rows.some((row) => screw[row] === unknownCode) &&
      rows.some((row) => screw[row] !== unknownCode)
    for (const ofScrew of groupedBy(rows, (row) => screw?.[row] ?? unknownCode)) {
      const bySequence = groupedBy(ofScrew, (row) => sequence[row]!)
      for (const doubled of bySequence)
        if (doubled.length > 1) setAsideDoubled(table, doubled, likeness, problems)
      const kept = ofScrew.filter((row) => table.status[row] === rowStatus.kept)
      kept.sort((left, right) => sequence[left]! - sequence[right]!)
      checkDeliveryDay(kept, { table, day, minutes: isPartlyNamed ? undefined : minutes }, problems)
      if (kept.some((row, index) => sequence[row] !== index + 1)) {
        warn(table, kept[0]!, brokenSequence, problems)
      }
      for (let index = 1; index < kept.length; index++) {
        if (runsBackward(kept[index - 1]!, kept[index]!, day, minutes)) {
          warn(table, kept[index]!, sequenceBackward, problems)
        }
      }
    }
  }
}

/**
 * Tightenings of a screw that are called delivery lie on its day, and the first of them is there: minutes are counted
 * from it, so that a screw of which all have minutes above 0 lacks one. Either decides the group of the restoration.
 */
function checkDeliveryDay(
  rows: readonly number[],
  { table, day, minutes }: Pick<LinkedRows, 'table' | 'day'> & { readonly minutes: Float64Array | undefined },
  problems: ProblemList,
): void {
  const context = table.categories.get('context')
  const atDelivery = context?.labels.indexOf('delivery') ?? -1
  const called = rows.filter((row) => context?.codes[row] === atDelivery)
  for (const row of called)
    if (day[row]! > 0) stopUnlessNamed(table, row, deliveryLater, 'restoration', problems)
  const onDay = called.filter((row) => day[row] === 0)
  if (minutes !== undefined && onDay.length > 0 && onDay.every((row) => minutes[row]! > 0))
    stopUnlessNamed(table, onDay[0]!, firstMissing, 'restoration', problems)
}

function runsBackward(
  earlier: number,
  later: number,
  day: Int32Array,
  minutes: Float64Array | undefined,
): boolean {
  if (day[earlier] === missingDay || day[later] === missingDay) return false
  if (day[later] !== day[earlier]) return day[later]! < day[earlier]!
  return minutes !== undefined && minutes[later]! < minutes[earlier]!
}

function setAsideDoubled(
  table: TypedTable,
  rows: readonly number[],
  likeness: (left: number, right: number) => number,
  problems: ProblemList,
): void {
  if (rows.every((row) => likeness(rows[0]!, row) === 0)) {
    markIdenticalAmong(table, rows, likeness, problems)
  } else for (const row of rows) setAside(table, row, doubledSequence, problems)
}

function checkEachTightening({ table, day }: LinkedRows, problems: ProblemList): void {
  const context = table.categories.get('context')
  const tryIn = context?.labels.indexOf('try_in') ?? -1
  const target = table.numbers.get('target_torque_ncm')
  const achieved = table.numbers.get('achieved_torque_ncm')
  const calibrationDay = table.days.get('device_last_calibration_day')
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] !== rowStatus.kept) continue
    if (day[row] === missingDay && context?.codes[row] !== tryIn)
      stopUnlessNamed(table, row, withoutDay, 'row', problems)
    const deviation = Math.abs((achieved?.[row] ?? Number.NaN) / (target?.[row] ?? Number.NaN) - 1)
    // Decimal torques such as 38.5 against 35 are exactly 10% off on paper and a hair more in binary.
    if (deviation > 0.1 + 1e-9) warn(table, row, offTarget, problems)
    const calibrated = calibrationDay?.[row] ?? missingDay
    if (calibrated === missingDay || day[row] === missingDay) continue
    if (day[row]! - calibrated > 365) warn(table, row, oldCalibration, problems)
    if (calibrated > day[row]!) warn(table, row, laterCalibration, problems)
  }
}

/** Compares the tightenings at delivery with the group that the chart reports, screw by screw. */
function checkReportedGroup(
  { table, order, firstRow }: LinkedRows,
  restorations: TypedTable,
  problems: ProblemList,
): void {
  const context = table.categories.get('context')
  const action = table.categories.get('action')
  const atDelivery = context?.labels.indexOf('delivery') ?? -1
  const measurement = action?.labels.indexOf('removal_measurement') ?? -2
  const minutes = table.numbers.get('minutes_since_first')
  const screw = codesIn(table, 'screw_position')
  const group = restorations.categories.get('tightening_group')
  for (let restoration = 0; restoration < restorations.rowCount; restoration++) {
    if (restorations.status[restoration] !== rowStatus.kept) continue
    const rows = keptRows(table, order, firstRow, restoration).filter(
      (row) => context?.codes[row] === atDelivery && action?.codes[row] !== measurement,
    )
    const reported = group?.labels[group.codes[restoration]!]
    const named = screw === undefined ? 0 : rows.filter((row) => screw[row] !== unknownCode).length
    const nameless = rows.find((row) => screw?.[row] === unknownCode)
    if (named > 0 && nameless !== undefined)
      stopUnlessNamed(table, nameless, screwPartlyNamed, 'restoration', problems)
    if (rows.length === 0) {
      warn(restorations, restoration, noTightening, problems)
      continue
    }
    const screws = groupedBy(rows, (row) => screw?.[row] ?? unknownCode)
    if (reported === 'repeated' && !screws.some((one) => isRepeated(one, minutes))) {
      warn(restorations, restoration, notRepeated, problems)
    }
    if (reported === 'single' && screws.some((one) => one.length > 1)) {
      warn(restorations, restoration, notSingle, problems)
    }
  }
}

/** Two tightenings of one screw with a wait in the window; a wait that is not known does not speak against it. */
function isRepeated(rows: readonly number[], minutes: Float64Array | undefined): boolean {
  if (rows.length < 2 || minutes === undefined) return rows.length >= 2
  const times = rows.map((row) => minutes[row]!)
  if (times.some(Number.isNaN)) return true
  const first = Math.min(...times)
  return times.some((time) => time - first >= repeatedWithin.from && time - first <= repeatedWithin.to)
}

/** Rows of a restoration that are kept, in order. */
export function keptRows(
  table: TypedTable,
  order: Int32Array,
  firstRow: Int32Array,
  restoration: number,
): number[] {
  const rows: number[] = []
  for (let at = firstRow[restoration]!; at < firstRow[restoration + 1]!; at++) {
    const row = order[at]!
    if (table.status[row] === rowStatus.kept) rows.push(row)
  }
  return rows
}

function groupedBy(rows: readonly number[], keyOf: (row: number) => number): readonly number[][] {
  if (rows.length === 1) return [[rows[0]!]]
  const groups = new Map<number, number[]>()
  for (const row of rows) {
    const key = keyOf(row)
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [row])
    else group.push(row)
  }
  return [...groups.values()]
}

/** Warns about a row that is kept. */
export function warn(table: TypedTable, row: number, kind: Warned, problems: ProblemList): void {
  problems.add({ ...kind, severity: 'warn', file: table.file }, table.sourceRow[row]!)
}

const doubledSequence: Warned = {
  code: 'duplicate-tightening',
  column: 'sequence',
  problem: 'several rows of one screw share a sequence number and differ; all of them are set aside.',
  expected: 'each application of torque on one row, numbered 1 to n for each screw.',
  mend: 'keep the true row, or number them, in a copy.',
}

const brokenSequence: Warned = {
  code: 'sequence-not-consecutive',
  column: 'sequence',
  problem: 'the sequence numbers of a screw do not run from 1 without a gap; a tightening may be missing.',
  expected: '1 to n for each screw.',
  mend: 'add the missing tightening or correct the numbers, in a copy.',
}

const deliveryLater: Warned = {
  code: 'delivery-on-another-day',
  column: 'context',
  problem: 'a tightening is called delivery and lies on a later day.',
  expected: 'context delivery on the day of delivery only.',
  mend: 'correct the day or the context, in a copy.',
}

const firstMissing: Warned = {
  code: 'first-tightening-missing',
  column: 'minutes_since_first',
  problem: 'every tightening of a screw at delivery has minutes since the first, and the first is not there.',
  expected: '0 minutes for the first tightening of each screw.',
  mend: 'add the first tightening, or correct the minutes, in a copy.',
}

const sequenceBackward: Warned = {
  code: 'sequence-against-time',
  column: 'sequence',
  problem: 'a later number in the sequence has an earlier day or minute.',
  expected: 'sequence numbers in the order of time.',
  mend: 'correct the sequence, the day or the minutes, in a copy.',
}

const withoutDay: Warned = {
  code: 'tightening-without-day',
  column: 'days_since_delivery',
  problem: 'a tightening after delivery has no day and cannot be placed in time.',
  expected: 'days_since_delivery or tightening_date for every context but delivery.',
  mend: 'fill in the day, in a copy.',
}

const offTarget: Warned = {
  code: 'torque-off-target',
  column: 'achieved_torque_ncm',
  problem: 'the achieved torque is more than 10% off the target.',
  expected: 'achieved within 10% of target.',
  mend: 'check both numbers; leave them where they are right.',
}

const oldCalibration: Warned = {
  code: 'calibration-old',
  column: 'device_last_calibration_date',
  problem: 'the device had last been calibrated more than 365 days before.',
  expected: 'a calibration within 365 days.',
  mend: 'have the device calibrated; nothing needs changing in the records.',
}

const laterCalibration: Warned = {
  code: 'calibration-after-use',
  column: 'device_last_calibration_date',
  problem: 'the last calibration of the device lies after its use.',
  expected: 'the last calibration before the tightening.',
  mend: 'correct one of the two dates, in a copy.',
}

const noTightening: Warned = {
  code: 'no-tightening-at-delivery',
  column: 'restoration_id',
  problem: 'there is no tightening at delivery; how the screw was tightened is known from the chart at best.',
  expected: 'at least one tightening with context delivery for each restoration.',
  mend: 'add it where it is on record.',
}

const screwPartlyNamed: Warned = {
  code: 'screw-partly-named',
  column: 'screw_position',
  problem:
    'some tightenings of a restoration at delivery name their screw and others do not: how often each was tightened is not known.',
  expected: 'screw_position on every tightening of a restoration, or on none.',
  mend: 'fill in the screw, or clear it where the restoration has one screw only, in a copy.',
}

const notRepeated: Warned = {
  code: 'repeated-not-in-events',
  parameters: repeatedWithin,
  column: 'tightening_group',
  problem: `the chart says repeated, and no screw was tightened twice ${repeatedWithin.from} to ${repeatedWithin.to} minutes apart at delivery.`,
  expected: 'two tightenings of the same screw at delivery; the analysis goes by the tightenings.',
  mend: 'correct the group or the tightenings, in a copy.',
}

const notSingle: Warned = {
  code: 'single-not-in-events',
  column: 'tightening_group',
  problem: 'the chart says single, and a screw was tightened more than once at delivery.',
  expected: 'one tightening of each screw at delivery; the analysis goes by the tightenings.',
  mend: 'correct the group or the tightenings, in a copy.',
}
