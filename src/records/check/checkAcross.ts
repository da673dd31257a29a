import { missingDay, unknownCode } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { roundingOf } from '../understand/roundedDays.js'
import { forEachShared, groupRows } from '../understand/rowGroups.js'
import { codesIn, rowStatus, type TypedTable } from '../understand/typedTable.js'
import { setAside, stopUnlessNamed } from './checkRestorations.js'
import { keptRows, warn } from './checkTightenings.js'
import { afterDeath, eventAfterDeath, type RemovalDays } from './checkVisits.js'
import { deliveryBounds } from './deliveryBounds.js'
import { eventReader, type LinkedRows } from './linkRows.js'

type Fault = Omit<ProblemKind, 'severity' | 'file'>

/** Checks of what restorations of one patient, and the two linked tables, say of each other. */
export function checkAcross(
  restorations: TypedTable,
  { tightenings, visits }: { readonly tightenings: LinkedRows; readonly visits: LinkedRows },
  removals: RemovalDays,
  problems: ProblemList,
): void {
  checkDeaths(restorations, visits, problems)
  checkAfterLoosening(tightenings, visits, problems)
  checkAfterEnd(restorations, { tightenings, visits }, removals, problems)
  checkActions(tightenings, visits, problems)
}

/** Nothing is tightened after the restoration was gone or the patient had died, as any restoration of the patient has it. */
function checkAfterEnd(
  restorations: TypedTable,
  { tightenings, visits }: { readonly tightenings: LinkedRows; readonly visits: LinkedRows },
  { removedDay }: RemovalDays,
  problems: ProblemList,
): void {
  const { earliest, latest } = deliveryBounds(restorations, roundingOf(visits.day))
  const patient = restorations.categories.get('patient_id')?.codes
  const status = visits.table.categories.get('patient_status')
  const dead = status?.labels.indexOf('deceased') ?? -1
  const ownDeath = new Map<number, number>()
  const death = new Map<number, number>()
  for (let row = 0; dead >= 0 && row < visits.table.rowCount; row++) {
    const restoration = visits.restoration[row]!
    const isTold = visits.table.status[row] === rowStatus.kept && status!.codes[row] === dead
    if (!isTold || restoration < 0 || visits.day[row] === missingDay) continue
    ownDeath.set(
      restoration,
      Math.min(ownDeath.get(restoration) ?? Number.POSITIVE_INFINITY, visits.day[row]!),
    )
    if (patient === undefined || latest[restoration] === missingDay) continue
    const died = latest[restoration]! + visits.day[row]!
    death.set(
      patient[restoration]!,
      Math.min(death.get(patient[restoration]!) ?? Number.POSITIVE_INFINITY, died),
    )
  }
  const { table, restoration, day } = tightenings
  for (let row = 0; row < table.rowCount; row++) {
    const own = restoration[row]!
    // A delivery after a death is told by its date.
    if (table.status[row] !== rowStatus.kept || own < 0 || day[row] === missingDay || day[row]! <= 0) continue
    const gone = removedDay[own] === missingDay ? Number.POSITIVE_INFINITY : removedDay[own]!
    const onCalendar = earliest[own] === missingDay ? Number.NEGATIVE_INFINITY : earliest[own]! + day[row]!
    const isAfterDeath =
      day[row]! > (ownDeath.get(own) ?? Number.POSITIVE_INFINITY) ||
      onCalendar > (death.get(patient?.[own] ?? -1) ?? Number.POSITIVE_INFINITY)
    if (isAfterDeath || day[row]! > gone)
      stopUnlessNamed(table, row, tightenedAfterEnd, 'restoration', problems)
  }
}

/**
 * A screw that was tightened or replaced where nothing was found may have been loose: a tightening on that day says what was
 * done, and without one the row is listed.
 */
function checkActions(tightenings: LinkedRows, visits: LinkedRows, problems: ProblemList): void {
  const action = visits.table.categories.get('action_taken')
  const finding = visits.table.categories.get('finding')
  const none = finding?.labels.indexOf('none') ?? -1
  if (action === undefined || finding === undefined) return
  const isOfScrew = action.labels.map((label) => label === 'tightened' || label === 'screw_replaced')
  for (let row = 0; row < visits.table.rowCount; row++) {
    const restoration = visits.restoration[row]!
    if (visits.table.status[row] !== rowStatus.kept || restoration < 0) continue
    if (action.codes[row] === unknownCode || isOfScrew[action.codes[row]!] !== true) continue
    if (finding.codes[row] !== none) continue
    // A tightening of the restoration that was set aside is listed by itself, and may be the one that is looked for.
    const { order, firstRow, table, day } = tightenings
    const isTold = order
      .subarray(firstRow[restoration]!, firstRow[restoration + 1]!)
      .some((one) => day[one] === visits.day[row] || table.status[one] === rowStatus.setAside)
    const rows = keptRows(visits.table, visits.order, visits.firstRow, restoration)
    const isFoundBeside = rows.some(
      (one) => visits.day[one] === visits.day[row] && finding.codes[one] !== none,
    )
    if (!isTold && !isFoundBeside) warn(visits.table, row, actionWithoutFinding, problems)
  }
}

/**
 * A death that is written at one restoration is that of the patient: whatever is recorded later of any other restoration
 * contradicts it. Where the year of a delivery is all that is known, only what is later on every day of it does.
 */
function checkDeaths(restorations: TypedTable, visits: LinkedRows, problems: ProblemList): void {
  const patients = restorations.categories.get('patient_id')
  const status = visits.table.categories.get('patient_status')
  const dead = status?.labels.indexOf('deceased') ?? -1
  if (patients === undefined || dead < 0) return
  const { earliest, latest } = deliveryBounds(restorations, roundingOf(visits.day))
  const isWanted = (row: number): boolean =>
    restorations.status[row] === rowStatus.kept && earliest[row] !== missingDay
  const rowsOf = (restoration: number): readonly number[] =>
    keptRows(visits.table, visits.order, visits.firstRow, restoration)
  const isDead = (row: number): boolean => status!.codes[row] === dead
  const isEvent = eventReader(visits.table)
  forEachShared(groupRows(patients.codes, patients.labels.length, isWanted), (own) => {
    const deaths = [...own].flatMap((restoration) =>
      rowsOf(restoration)
        .filter((row) => isDead(row) && visits.day[row] !== missingDay)
        .map((row) => latest[restoration]! + visits.day[row]!),
    )
    if (deaths.length === 0) return
    const died = Math.min(...deaths)
    for (const restoration of own) {
      if (earliest[restoration]! > died)
        stopUnlessNamed(restorations, restoration, deliveredAfterDeath, 'restoration', problems)
      for (const row of rowsOf(restoration)) {
        if (visits.day[row] === missingDay || earliest[restoration]! + visits.day[row]! <= died) continue
        if (isDead(row)) continue
        if (isEvent(row)) stopUnlessNamed(visits.table, row, eventAfterDeath, 'restoration', problems)
        else setAside(visits.table, row, afterDeath, problems)
      }
    }
  })
}

/** A screw that was tightened after it had come loose came loose: a visit has to say so, on that day or before. */
function checkAfterLoosening(tightenings: LinkedRows, visits: LinkedRows, problems: ProblemList): void {
  const context = codesIn(tightenings.table, 'context')
  const labels = tightenings.table.categories.get('context')?.labels
  const after = labels?.indexOf('after_loosening') ?? -1
  if (context === undefined || after < 0) return
  const finding = visits.table.categories.get('finding')
  const loose = finding?.labels.indexOf('screw_loosening') ?? -1
  for (let row = 0; row < tightenings.table.rowCount; row++) {
    if (tightenings.table.status[row] !== rowStatus.kept || context[row] !== after) continue
    const restoration = tightenings.restoration[row]!
    if (restoration < 0 || tightenings.day[row] === missingDay) continue
    const isFound = keptRows(visits.table, visits.order, visits.firstRow, restoration).some(
      (visit) =>
        finding?.codes[visit] === loose &&
        loose !== unknownCode &&
        visits.day[visit]! <= tightenings.day[row]!,
    )
    if (!isFound) stopUnlessNamed(tightenings.table, row, looseningNotFound, 'restoration', problems)
  }
}

const tightenedAfterEnd: Fault = {
  code: 'tightening-after-end',
  column: 'days_since_delivery',
  problem: 'a tightening lies after the removal of the restoration or the death of the patient.',
  expected: 'tightenings up to the removal and the death.',
  mend: 'correct the day, the removal or the death, or move the row to the restoration that followed, in a copy.',
}

const actionWithoutFinding: Fault = {
  code: 'action-without-finding',
  column: 'action_taken',
  problem:
    'the screw was tightened or replaced, nothing is said to have been found, and no tightening tells of that day.',
  expected:
    'finding screw_loosening where the screw was loose, or a tightening of that day where it was not.',
  mend: 'fill in what was found, or add the tightening, in a copy; no loosening is counted.',
}

const deliveredAfterDeath: Fault = {
  code: 'delivery-after-death',
  column: 'delivery_date',
  problem: 'the delivery lies after the death of the patient, as another restoration has it.',
  expected: 'deliveries up to the day of the death.',
  mend: 'correct the status, the date or the patient, in a copy.',
}

const looseningNotFound: Fault = {
  code: 'loosening-not-in-visits',
  column: 'context',
  problem: 'the screw was tightened after it had come loose, and no visit up to that day found it loose.',
  expected: 'finding screw_loosening at a visit on that day or before.',
  mend: 'add the finding to the visits, or correct the context, in a copy.',
}
