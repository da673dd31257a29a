import { missingDay, unknownCode } from '../columns.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { markRepeated, rowComparison } from '../understanding/identicalRows.js'
import { daysOrMissing, rowStatus, type TypedTable } from '../understanding/typedTable.js'

/** Sets a row aside with its reason. */
export function setAside(
  table: TypedTable,
  row: number,
  kind: Omit<ProblemKind, 'severity' | 'file'>,
  problems: ProblemList,
): void {
  table.status[row] = rowStatus.setAside
  problems.add({ ...kind, severity: 'set-aside', file: table.file }, table.sourceRow[row]!)
}

/** Checks of the restorations table by itself: duplicates, deliveries in the future, the gap since placement. */
export function checkRestorations(table: TypedTable, today: number, problems: ProblemList): void {
  checkDoubledIds(table, problems)
  checkDoubledSites(table, problems)
  const delivery = daysOrMissing(table.dates, 'delivery_date', table.rowCount)
  const placement = table.dates.get('implant_placement_date')
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] !== rowStatus.kept || delivery[row] === missingDay) continue
    if (delivery[row]! > today) setAside(table, row, deliveryInFuture, problems)
    else if (placement !== undefined && placement[row] !== missingDay) {
      const gap = delivery[row]! - placement[row]!
      if (gap < 0 || gap > 1_825) {
        problems.add({ ...placementGap, file: table.file }, table.sourceRow[row]!)
      }
    }
  }
}

/** One identifier on several rows: identical rows count once, rows that differ are all set aside. */
function checkDoubledIds(table: TypedTable, problems: ProblemList): void {
  const { codes } = table.categories.get('restoration_id')!
  const groups = rowsByKey(table, (row) => (codes[row] === unknownCode ? undefined : codes[row]!))
  const same = rowComparison(table)
  for (const rows of groups) {
    const first = rows[0]!
    if (rows.every((row) => same(first, row))) {
      for (const row of rows.slice(1)) markRepeated(table, row, problems)
    } else for (const row of rows) setAside(table, row, doubledId, problems)
  }
}

/** One patient, position and day of delivery on several rows: which of them is true cannot be known. */
function checkDoubledSites(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')?.codes
  const position = table.categories.get('tooth_position')?.codes
  const delivery = table.dates.get('delivery_date')
  if (patient === undefined || position === undefined || delivery === undefined) return
  const groups = rowsByKey(table, (row) => {
    if (patient[row] === unknownCode || position[row] === unknownCode) return undefined
    return delivery[row] === missingDay ? undefined : `${patient[row]} ${position[row]} ${delivery[row]}`
  })
  for (const rows of groups) for (const row of rows) setAside(table, row, doubledSite, problems)
}

/** Kept rows that share a key, as groups of two or more. */
export function rowsByKey(
  table: TypedTable,
  keyOf: (row: number) => string | number | undefined,
): readonly (readonly number[])[] {
  const first = new Map<string | number, number>()
  const shared = new Map<string | number, number[]>()
  for (let row = 0; row < table.rowCount; row++) {
    const key = table.status[row] === rowStatus.kept ? keyOf(row) : undefined
    if (key === undefined) continue
    const earlier = first.get(key)
    if (earlier === undefined) {
      first.set(key, row)
      continue
    }
    const group = shared.get(key)
    if (group === undefined) shared.set(key, [earlier, row])
    else group.push(row)
  }
  return [...shared.values()]
}

const doubledId = {
  code: 'duplicate-restoration',
  column: 'restoration_id',
  problem:
    'several rows with different values share one restoration_id; all of them and their visits are set aside.',
  expected: 'each restoration on one row.',
  mend: 'keep the true row, or give the rows identifiers of their own, in a copy.',
}

const doubledSite = {
  code: 'duplicate-site',
  column: 'tooth_position',
  problem:
    'several rows have the same patient, tooth position and day of delivery; all of them are set aside.',
  expected: 'one restoration on one site on one day.',
  mend: 'keep the true row, in a copy.',
}

const deliveryInFuture = {
  code: 'delivery-in-future',
  column: 'delivery_date',
  problem: 'the delivery lies in the future.',
  expected: 'deliveries up to the day of the run.',
  mend: 'correct the date, in a copy.',
}

const placementGap = {
  severity: 'warn',
  code: 'placement-gap',
  column: 'implant_placement_date',
  problem: 'the delivery lies before the placement of the implant, or more than 1,825 days after it.',
  expected: '0 to 1,825 days from placement to delivery.',
  mend: 'check both dates; leave them where they are right.',
} as const
