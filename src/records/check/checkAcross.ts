import { missingDay, unknownCode } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { forEachShared, groupRows } from '../understand/rowGroups.js'
import { codesIn, daysOrMissing, rowStatus, type TypedTable } from '../understand/typedTable.js'
import { setAside, stopUnlessNamed } from './checkRestorations.js'
import { keptRows } from './checkTightenings.js'
import { afterDeath, eventAfterDeath } from './checkVisits.js'
import { eventReader, type LinkedRows } from './linkRows.js'

type Fault = Omit<ProblemKind, 'severity' | 'file'>

/** Checks of what restorations of one patient, and the two linked tables, say of each other. */
export function checkAcross(
  restorations: TypedTable,
  { tightenings, visits }: { readonly tightenings: LinkedRows; readonly visits: LinkedRows },
  problems: ProblemList,
): void {
  checkDeaths(restorations, visits, problems)
  checkAfterLoosening(tightenings, visits, problems)
}

/**
 * A death that is written at one restoration is that of the patient: whatever is recorded later of any other restoration
 * contradicts it. Without dates of delivery the restorations cannot be put on one calendar, and nothing is told.
 */
function checkDeaths(restorations: TypedTable, visits: LinkedRows, problems: ProblemList): void {
  const patients = restorations.categories.get('patient_id')
  const status = visits.table.categories.get('patient_status')
  const dead = status?.labels.indexOf('deceased') ?? -1
  if (patients === undefined || dead < 0) return
  const delivery = daysOrMissing(restorations.dates, 'delivery_date', restorations.rowCount)
  const isWanted = (row: number): boolean =>
    restorations.status[row] === rowStatus.kept && delivery[row] !== missingDay
  const rowsOf = (restoration: number): readonly number[] =>
    keptRows(visits.table, visits.order, visits.firstRow, restoration)
  const isDead = (row: number): boolean => status!.codes[row] === dead
  const isEvent = eventReader(visits.table)
  forEachShared(groupRows(patients.codes, patients.labels.length, isWanted), (own) => {
    const deaths = [...own].flatMap((restoration) =>
      rowsOf(restoration)
        .filter((row) => isDead(row) && visits.day[row] !== missingDay)
        .map((row) => delivery[restoration]! + visits.day[row]!),
    )
    if (deaths.length === 0) return
    const died = Math.min(...deaths)
    for (const restoration of own) {
      if (delivery[restoration]! > died)
        stopUnlessNamed(restorations, restoration, deliveredAfterDeath, 'restoration', problems)
      for (const row of rowsOf(restoration)) {
        if (visits.day[row] === missingDay || delivery[restoration]! + visits.day[row]! <= died) continue
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
