import { missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import { oneSheetOwnFields } from '../schema/oneSheetFields.js'
import { fieldOf } from '../schema.js'
import { checkOneSheet } from './checkOneSheet.js'
import { markIdenticalRows } from './identicalRows.js'
import { daysOrMissing, rowStatus, type TypedTable, typedTable } from './typedTable.js'

/** What the one-sheet form cannot answer, in words. */
export const oneSheetCannotAnswer: readonly string[] = Object.freeze([
  'loosening after the first (its dates are not there)',
  'complications other than loosening, removal and implant loss',
  'every visit: only the first loosening, the last check before it and the last check of all are known',
  'whether the screw was undone between two tightenings at delivery',
])

/** The three tables, typed but not yet linked. */
export interface TypedTables {
  readonly restorations: TypedTable
  readonly tightenings: TypedTable
  readonly visits: TypedTable
}

/**
 * Unfolds the one-sheet form: a restoration, its tightenings at delivery, and visits for the last check before the
 * first loosening, the first loosening, the last check, the removal and the death. Rows that are set aside go with
 * their restoration.
 */
export function unfoldOneSheet(sheet: TypedTable, today: number, problems: ProblemList): TypedTables {
  markIdenticalRows(sheet, siteKey(sheet), problems)
  checkOneSheet(sheet, today, problems)
  const restorations = restorationsOf(sheet)
  if (!restorations.categories.has('restoration_id')) makeRestorationIds(restorations, problems)
  const ids = restorations.categories.get('restoration_id')!
  return {
    restorations,
    tightenings: tighteningsOf(sheet, ids),
    visits: visitsOf(sheet, ids),
  }
}

/** Key of patient, position and delivery, by which identical rows are found. */
function siteKey(sheet: TypedTable): (row: number) => string {
  const patient = sheet.categories.get('patient_id')
  const position = sheet.categories.get('tooth_position')
  const delivery = sheet.dates.get('delivery_date')
  return (row) => `${patient?.codes[row]} ${position?.codes[row]} ${delivery?.[row]}`
}

function restorationsOf(sheet: TypedTable): TypedTable {
  const table = typedTable('restorations', sheet.file, sheet.sourceRow, sheet.setAsideWhileReading)
  table.status.set(sheet.status)
  const own = new Set(oneSheetOwnFields.map((field) => field.name))
  for (const kind of ['categories', 'numbers', 'dates', 'days'] as const) {
    for (const [name, column] of sheet[kind] as Map<string, never>) {
      if (!own.has(name)) (table[kind] as Map<string, never>).set(name, column)
    }
  }
  return table
}

/** Identifies restorations by patient, position and order of rows where the sheet has no identifier of its own. */
function makeRestorationIds(table: TypedTable, problems: ProblemList): void {
  const patient = table.categories.get('patient_id')!
  const position = table.categories.get('tooth_position')
  const seen = new Map<string, number>()
  const labels: string[] = []
  const codes = new Int32Array(table.rowCount)
  for (let row = 0; row < table.rowCount; row++) {
    const positionCode = position?.codes[row] ?? unknownCode
    const who =
      patient.codes[row] === unknownCode ? `row${table.sourceRow[row]}` : patient.labels[patient.codes[row]!]!
    const where = positionCode === unknownCode ? 'x' : position!.labels[positionCode]!
    const key = `${who}-${where}`
    const order = (seen.get(key) ?? 0) + 1
    seen.set(key, order)
    codes[row] = labels.push(`${key}-${order}`) - 1
  }
  table.categories.set('restoration_id', { labels, codes })
  problems.add(
    {
      severity: 'note',
      code: 'restoration-ids-made',
      file: table.file,
      column: 'restoration_id',
      problem:
        'there is no column restoration_id; identifiers were made from patient, tooth position and order.',
      expected: 'a column restoration_id with a pseudonym of its own for each restoration.',
      mend: 'nothing needs doing, as long as the order of the rows stays the same.',
    },
    undefined,
    table.rowCount,
  )
}

/** Rows of an unfolded table as they are made, one sheet row after another. */
class UnfoldedRows {
  readonly #sheet: TypedTable
  readonly #from: number[] = []
  readonly #cells = new Map<string, number[]>()

  constructor(sheet: TypedTable) {
    this.#sheet = sheet
  }

  add(sheetRow: number, cells: Readonly<Record<string, number>>): void {
    const at = this.#from.push(sheetRow) - 1
    for (const [name, value] of Object.entries(cells)) {
      const column = this.#cells.get(name) ?? []
      this.#cells.set(name, column)
      column[at] = value
    }
  }

  finish(name: 'tightenings' | 'visits', ids: { labels: readonly string[]; codes: Int32Array }): TypedTable {
    const sourceRow = Int32Array.from(this.#from, (row) => this.#sheet.sourceRow[row]!)
    const table = typedTable(name, this.#sheet.file, sourceRow)
    table.status.set(Uint8Array.from(this.#from, (row) => this.#sheet.status[row]!))
    table.categories.set('restoration_id', {
      labels: ids.labels,
      codes: Int32Array.from(this.#from, (row) => ids.codes[row]!),
    })
    for (const [field, cells] of this.#cells) {
      const length = this.#from.length
      const { kind, codes } = fieldOf(name, field)!
      const filled = (missing: number): number[] => Array.from({ length }, (_, row) => cells[row] ?? missing)
      if (kind === 'code') {
        table.categories.set(field, { labels: codes!, codes: Int32Array.from(filled(unknownCode)) })
      } else if (kind === 'date') table.dates.set(field, Int32Array.from(filled(missingDay)))
      else if (kind === 'day') table.days.set(field, Int32Array.from(filled(missingDay)))
      else table.numbers.set(field, Float64Array.from(filled(Number.NaN)))
    }
    return table
  }
}

function codeIn(table: 'tightenings' | 'visits', field: string, code: string): number {
  return fieldOf(table, field)!.codes!.indexOf(code)
}

function tighteningsOf(sheet: TypedTable, ids: { labels: readonly string[]; codes: Int32Array }): TypedTable {
  const times = sheet.numbers.get('tightenings_at_delivery')
  const wait = sheet.numbers.get('wait_minutes')
  const torque = sheet.numbers.get('target_torque_ncm')
  const context = codeIn('tightenings', 'context', 'delivery')
  const first = codeIn('tightenings', 'action', 'tighten')
  const again = codeIn('tightenings', 'action', 'tighten_again')
  const rows = new UnfoldedRows(sheet)
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] === rowStatus.repeated) continue
    const count = times?.[row] ?? Number.NaN
    for (let sequence = 1; sequence <= count; sequence++) {
      rows.add(row, {
        sequence,
        minutes_since_first: sequence === 1 ? 0 : sequence === 2 ? (wait?.[row] ?? Number.NaN) : Number.NaN,
        days_since_delivery: 0,
        context,
        action: sequence === 1 ? first : again,
        target_torque_ncm: torque?.[row] ?? Number.NaN,
      })
    }
  }
  return rows.finish('tightenings', ids)
}

function visitsOf(sheet: TypedTable, ids: { labels: readonly string[]; codes: Int32Array }): TypedTable {
  const date = (field: string): Int32Array => daysOrMissing(sheet.dates, field, sheet.rowCount)
  const lastCheck = date('last_check_date')
  const checkBefore = date('last_check_before_loosening_date')
  const loosening = date('first_loosening_date')
  const removed = date('removed_date')
  const deceased = date('deceased_date')
  const reason = sheet.categories.get('removal_reason')
  const code = (field: string, label: string): number => codeIn('visits', field, label)
  const checked = { screw_checked: code('screw_checked', 'yes'), finding: code('finding', 'none') }
  const unchecked = { screw_checked: code('screw_checked', 'no'), finding: code('finding', 'none') }
  const loose = { ...checked, finding: code('finding', 'screw_loosening') }
  const byImplantLoss = code('removal_reason', 'implant_loss')
  const rows = new UnfoldedRows(sheet)
  for (let row = 0; row < sheet.rowCount; row++) {
    if (sheet.status[row] === rowStatus.repeated) continue
    const add = (day: number, cells: Readonly<Record<string, number>>): void => {
      if (day !== missingDay) rows.add(row, { visit_date: day, ...cells })
    }
    add(checkBefore[row]!, checked)
    add(loosening[row]!, loose)
    if (lastCheck[row] !== loosening[row] && lastCheck[row] !== checkBefore[row])
      add(lastCheck[row]!, checked)
    const removalReason = reason?.codes[row] ?? unknownCode
    add(removed[row]!, {
      ...unchecked,
      ...(removalReason === byImplantLoss ? { finding: code('finding', 'implant_loss') } : {}),
      restoration_status: code('restoration_status', 'removed'),
      removal_reason: removalReason,
    })
    add(deceased[row]!, {
      ...unchecked,
      visit_type: code('visit_type', 'records_only'),
      patient_status: code('patient_status', 'deceased'),
    })
  }
  return rows.finish('visits', ids)
}
