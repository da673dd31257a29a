import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll } from 'vitest'
import { dayFromIso, isoFromDay } from '../../src/core/calendar.js'
import type { RecordProblem } from '../../src/records/dataset.js'

/** Day of the run in these tests. */
export const today = dayFromIso('2025-06-30')!

const folders: string[] = []

/** A folder of its own for one test, removed at the end of the file. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'holdfast-records-'))
  folders.push(folder)
  return folder
}

afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true })
})

/** Writes one file into a folder of its own and gives its path. */
export function writtenFile(name: string, content: string | Uint8Array): string {
  const path = join(temporaryFolder(), name)
  writeFileSync(path, content)
  return path
}

/** A row of an invented table: field to text. */
export type Row = Record<string, string>

/** The three tables of an invented practice, to be changed by a test before they are written. */
export interface Practice {
  restorations: Row[]
  tightenings: Row[]
  visits: Row[]
}

/** An invented practice of forty restorations without a fault: two checks each, every tenth found loose. */
export function practice(count = 40): Practice {
  const made: Practice = { restorations: [], tightenings: [], visits: [] }
  for (let index = 0; index < count; index++) addRestoration(made, index)
  return made
}

function addRestoration(made: Practice, index: number): void {
  const id = `R${String(index + 1).padStart(4, '0')}`
  const delivery = dayFromIso('2019-01-07')! + 11 * index
  const repeated = index % 2 === 1
  made.restorations.push({
    restoration_id: id,
    patient_id: `P${String(1 + (index >> 1)).padStart(4, '0')}`,
    clinic_id: 'A',
    delivery_date: isoFromDay(delivery),
    tooth_position: String([36, 46, 14, 25][index % 4]),
    restoration_type: 'single_crown',
    connection: 'conical',
    tightening_group: repeated ? 'repeated' : 'single',
  })
  for (let sequence = 1; sequence <= (repeated ? 2 : 1); sequence++) {
    made.tightenings.push({
      restoration_id: id,
      sequence: String(sequence),
      minutes_since_first: sequence === 1 ? '0' : '10',
      days_since_delivery: '0',
      context: 'delivery',
      action: sequence === 1 ? 'tighten' : 'tighten_again',
      target_torque_ncm: '35',
    })
  }
  for (const years of [1, 2]) {
    const loose = index % 10 === 3 && years === 2
    made.visits.push({
      restoration_id: id,
      visit_date: isoFromDay(delivery + 365 * years + (index % 7)),
      visit_type: 'scheduled',
      screw_checked: 'yes',
      finding: loose ? 'screw_loosening' : 'none',
      restoration_status: 'in_place',
    })
  }
}

/** Text of a table; columns are those of the first row. */
export function csvOf(rows: readonly Row[], separator = ','): string {
  const headers = [...new Set(rows.flatMap((row) => Object.keys(row)))]
  const lines = rows.map((row) => headers.map((header) => row[header] ?? '').join(separator))
  return [headers.join(separator), ...lines, ''].join('\n')
}

/** Writes the three tables into a folder and gives its path. */
export function written(tables: Practice, separator = ','): string {
  const folder = temporaryFolder()
  for (const [name, rows] of Object.entries(tables)) {
    writeFileSync(join(folder, `${name}.csv`), csvOf(rows, separator))
  }
  return folder
}

/** Rows of the one-sheet form of an invented practice without a fault. */
export function oneSheet(count = 40): Row[] {
  return Array.from({ length: count }, (_, index) => {
    const delivery = dayFromIso('2019-01-07')! + 11 * index
    const loose = index % 10 === 3
    return {
      restoration_id: `R${String(index + 1).padStart(4, '0')}`,
      patient_id: `P${String(1 + (index >> 1)).padStart(4, '0')}`,
      delivery_date: isoFromDay(delivery),
      tooth_position: String([36, 46, 14, 25][index % 4]),
      restoration_type: 'single_crown',
      tightenings_at_delivery: index % 2 === 1 ? '2' : '1',
      wait_minutes: index % 2 === 1 ? '10' : '',
      target_torque_ncm: '35',
      last_check_before_loosening_date: loose ? isoFromDay(delivery + 365) : '',
      first_loosening_date: loose ? isoFromDay(delivery + 730) : '',
      last_check_date: isoFromDay(delivery + 730),
    }
  })
}

/** The problem of a code, as one line of place, severity, count and rows, or undefined. */
export function problemOf(problems: readonly RecordProblem[], code: string): RecordProblem | undefined {
  return problems.find((one) => one.code === code)
}
