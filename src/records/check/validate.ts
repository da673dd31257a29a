import { tableNames } from '../../vocabulary/fields.js'
import type { LinkedTable, QualityReport, RecordTable, TableName } from '../dataset.js'
import type { ProblemList } from '../problems.js'
import { rowStatus, type TypedTable } from '../understand/typedTable.js'
import type { TypedTables } from '../understand/unfoldOneSheet.js'
import { checkAcross } from './checkAcross.js'
import { checkRestorations } from './checkRestorations.js'
import { checkTightenings } from './checkTightenings.js'
import { checkSites, checkVisits } from './checkVisits.js'
import { completenessByGroup, completenessOf } from './completeness.js'
import { finishLinked, finishRestorations } from './finishTables.js'
import { type LinkedRows, linkRows } from './linkRows.js'

/** What validation keeps, and what it counts. */
export interface ValidatedTables {
  readonly restorations: RecordTable
  readonly tightenings: LinkedTable
  readonly visits: LinkedTable
  readonly rows: QualityReport['rows']
  readonly withdrawnRestorations: number
  readonly completeness: Omit<QualityReport, 'problems' | 'rows'>
}

/**
 * Runs every check across rows, sets impossible rows aside and links the rest. Nothing is thrown: what is found goes
 * to the problems, and more than the allowed share of a table set aside is a problem that stops.
 *
 * @param today day number after which dates lie in the future
 * @param setAsideLimit largest share of the rows of a table that may be set aside
 */
export function validate(
  tables: TypedTables,
  today: number,
  setAsideLimit: number,
  problems: ProblemList,
): ValidatedTables {
  const { restorations } = tables
  checkRestorations(restorations, today, problems)
  const tightenings = linkRows(tables.tightenings, restorations, today, problems)
  const visits = linkRows(tables.visits, restorations, today, problems)
  const removals = checkVisits(visits, problems)
  checkTightenings(tightenings, restorations, problems)
  checkAcross(restorations, { tightenings, visits }, removals, problems)
  checkSites(restorations, visits, removals, problems)
  withdraw(tightenings, restorations)
  withdraw(visits, restorations)
  const rows = {} as Record<TableName, { read: number; setAside: number }>
  for (const name of tableNames) rows[name] = countRows(tables[name], setAsideLimit, problems)
  const finished = finishRestorations(restorations)
  const linked = {
    tightenings: finishLinked('tightenings', tightenings, finished.positionOfRow, finished.restorations),
    visits: finishLinked('visits', visits, finished.positionOfRow, finished.restorations),
  }
  const tablesKept = { restorations: finished.restorations, ...linked }
  const all = [finished.restorations, linked.tightenings, linked.visits]
  const byClinic = completenessByGroup(tablesKept, 'clinic_id')
  const byTightening = completenessByGroup(tablesKept, 'tightening_group')
  const completeness = {
    completeness: all.flatMap((table) => completenessOf(table, finished.restorations.has('delivery_date'))),
    ...(byClinic.length === 0 ? {} : { completenessByClinic: byClinic }),
    ...(byTightening.length === 0 ? {} : { completenessByTighteningGroup: byTightening }),
  }
  return { ...tablesKept, rows, withdrawnRestorations: restorations.withdrawn.size, completeness }
}

/** Leaves out the restorations whose outcome or exposure the user has set aside by name. */
function withdraw({ table, restoration }: LinkedRows, restorations: TypedTable): void {
  for (const row of table.withdrawn) {
    const target = restoration[row]!
    if (target < 0) continue
    restorations.status[target] = rowStatus.setAside
    restorations.withdrawn.add(target)
  }
}

/** Rows read and set aside; those that the user has set aside by name do not count against the limit. */
function countRows(
  table: TypedTable,
  limit: number,
  problems: ProblemList,
): { readonly read: number; readonly setAside: number } {
  const read = table.rowCount + table.setAsideWhileReading
  let setAside = table.setAsideWhileReading
  for (const status of table.status) if (status === rowStatus.setAside) setAside++
  if (setAside - table.withdrawn.size > limit * read) {
    problems.add({
      severity: 'stop',
      leavesOut: 'row',
      code: 'too-many-set-aside',
      parameters: { setAside, read, table: table.sheet, limit },
      file: table.file,
      problem: `${setAside} of ${read} rows of ${table.sheet} are set aside: more than ${Math.round(limit * 1000) / 10}%.`,
      expected: 'few rows with slips; more point to a fault of the whole file or of its reading.',
      mend: 'mend the problems that set rows aside.',
    })
  }
  return { read, setAside }
}
