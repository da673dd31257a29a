import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { exitCodeOf, UsageError } from '../../src/core/errors.js'
import { RecordsRefused } from '../../src/records/problems.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import {
  csvOf,
  oneSheet,
  practice,
  type Row,
  temporaryFolder,
  today,
  written,
  writtenFile,
} from './practice.js'

/** The message with which a data set is refused, every line of it. */
async function refusal(path: string): Promise<string> {
  const thrown = await readRecords(path, { today }).catch((error: unknown) => error)
  expect(thrown).toBeInstanceOf(RecordsRefused)
  expect(exitCodeOf(thrown)).toBe(1)
  return (thrown as RecordsRefused).message
}

function inAll(count: string, lines: readonly string[], more = ''): string {
  const listed = lines.map((line, index) => `${index + 1}. ${line}`).join('\n')
  return `the records cannot be used as they are: ${count} the run.\n${listed}\n Expected: records in which nothing stops. Mend: put right what is listed, in a copy of the files, and run again${more}.`
}

describe('what stops', () => {
  it('names a missing column', async () => {
    const tables = practice()
    for (const row of tables.visits) delete row.screw_checked
    expect(await refusal(written(tables))).toBe(
      inAll('1 problem stops', [
        'visits.csv, column screw_checked: the column is missing. Expected: a column screw_checked: Whether the joint was tested for looseness, with the channel closed or open. Mend: add it, or where it has another header run holdfast map and confirm the column map.',
      ]),
    )
  })

  it('refuses dates whose order cannot be decided', async () => {
    const rows = oneSheet(10).map((row, index) => ({ ...row, delivery_date: `0${1 + (index % 9)}/02/2019` }))
    expect(await refusal(writtenFile('sheet.csv', csvOf(rows)))).toBe(
      inAll('1 problem stops', [
        'sheet.csv, column delivery_date, rows 2, 3, 4, 5, 6, 7, 8, 9, 10, 11: whether day or month comes first cannot be decided from the values of the column: every one fits both ways. Expected: dates as YYYY-MM-DD, or one order in the whole column. Mend: say in the column map which it is ("dateOrder": "day-first" or "month-first").',
      ]),
    )
  })

  it('refuses dates of two orders in one column', async () => {
    const rows = oneSheet(4).map((row, index) => ({
      ...row,
      delivery_date: index % 2 === 0 ? '25/02/2019' : '02/25/2019',
    }))
    expect(await refusal(writtenFile('sheet.csv', csvOf(rows)))).toContain(
      'some dates of the column have the day first and others the month.',
    )
  })

  it('refuses torque in N·m', async () => {
    const tables = practice()
    for (const row of tables.tightenings) row.target_torque_ncm = '0.35'
    expect(await refusal(written(tables))).toContain(
      '1. tightenings.csv, column target_torque_ncm, rows 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 50 more: a torque below 1 or above 60 puts the unit of the column in doubt (N·m or N·mm instead of N·cm?). Expected: torques in N·cm, from 5 to 50. Mend: if the whole column is in another unit, say so in the column map ("unit"); if a single value is wrong, correct it in a copy; or leave the restorations concerned out by name: --set-aside torque-unit-in-doubt.',
    )
  })

  it('refuses the name of a patient in a column, and does not repeat it', async () => {
    const tables = practice()
    tables.restorations[4]!.patient_name = 'Ada Musterfrau'
    const message = await refusal(written(tables))
    expect(message).toBe(
      inAll(
        '1 problem stops',
        [
          'restorations.csv, column patient_name: the header announces a name, and the column holds values. Expected: pseudonyms, and no column that says who the patient is. Mend: delete the column, in a copy.',
        ],
        ' (1 more problem was found that would not stop it)',
      ),
    )
    expect(message).not.toContain('Musterfrau')
  })

  it('refuses a name in the place of a pseudonym', async () => {
    const tables = practice()
    tables.restorations[4]!.patient_id = 'Ada Musterfrau'
    const message = await refusal(written(tables))
    expect(message).toContain(
      'restorations.csv, column patient_id, row 6: the column holds a name. Expected: nothing that says who a person is. Mend: remove it or put a pseudonym in its place, in a copy.',
    )
    expect(message).not.toContain('Musterfrau')
  })

  it('refuses more than 5% of rows set aside', async () => {
    const tables = practice()
    for (const row of tables.visits.slice(0, 5)) row.visit_date = '2018-01-01'
    expect(await refusal(written(tables))).toBe(
      inAll(
        '1 problem stops',
        [
          'visits.csv: 5 of 80 rows of visits are set aside: more than 5%. Expected: few rows with slips; more point to a fault of the whole file or of its reading. Mend: mend the problems that set rows aside; or leave the rows out by name: --set-aside too-many-set-aside.',
        ],
        ' (1 more problem was found that would not stop it)',
      ),
    )
    const allowed = await readRecords(written(tables), { today, setAsideLimit: 0.1 })
    expect(allowed.visits.rowCount).toBe(75)
  })

  it('refuses a file without rows and a file without bytes', async () => {
    const header = csvOf(oneSheet(1)).split('\n')[0]!
    expect(await refusal(writtenFile('sheet.csv', `${header}\n`))).toBe(
      inAll('1 problem stops', [
        'sheet.csv: the table has a header and no rows. Expected: at least one row below the header. Mend: fill the table, or export it again.',
      ]),
    )
    expect(await refusal(writtenFile('sheet.csv', ''))).toBe(
      inAll('1 problem stops', [
        'sheet.csv: the file is empty. Expected: a header row and at least one row below it. Mend: export the table again.',
      ]),
    )
    expect(await refusal(writtenFile('sheet.csv', '\n\n \n'))).toContain('the file is empty.')
  })

  it('refuses a folder without data', async () => {
    const folder = join(temporaryFolder(), 'mine')
    mkdirSync(folder)
    writeFileSync(join(folder, 'readme.md'), 'nothing here')
    expect(await refusal(folder)).toBe(
      inAll('1 problem stops', [
        'mine: the folder holds no tables. Expected: restorations.csv, tightenings.csv and visits.csv, or one file in the one-sheet form. Mend: give the folder in which the tables lie, or write empty ones with holdfast template.',
      ]),
    )
  })

  it('refuses a binary file', async () => {
    const bytes = Uint8Array.from({ length: 4_000 }, (_, index) => (index * 7919) % 256)
    expect(await refusal(writtenFile('sheet.csv', bytes))).toBe(
      inAll('1 problem stops', [
        'sheet.csv: the file is no text: it holds bytes that no text has. Expected: a CSV file, or a workbook. Mend: export the table as CSV (UTF-8).',
      ]),
    )
  })

  it('refuses a folder in which a table is missing', async () => {
    const { restorations, visits } = practice()
    const folder = temporaryFolder()
    writeFileSync(join(folder, 'restorations.csv'), csvOf(restorations))
    writeFileSync(join(folder, 'visits.csv'), csvOf(visits))
    expect(await refusal(folder)).toBe(
      inAll('1 problem stops', [
        'tightenings: the table tightenings is missing. Expected: the three tables restorations, tightenings and visits, or one file in the one-sheet form. Mend: give the folder in which all three lie; a table without rows still needs its header.',
      ]),
    )
  })

  it('refuses an unknown word without repeating it, and two columns for one field', async () => {
    const rows: Row[] = oneSheet(10)
    rows[2]!.restoration_type = 'bridge of some kind'
    const message = await refusal(writtenFile('sheet.csv', csvOf(rows)))
    expect(message).toContain(
      'sheet.csv, column restoration_type, row 4: a word is none of the codes of restoration_type. Expected: single_crown, splinted_crowns, fixed_partial, fixed_partial_cantilever, full_arch, or empty where it is not known. Mend: correct the word in a copy, or say in the column map which code it means ("values"); or leave the values out by name: --set-aside unknown-word.',
    )
    expect(message).not.toContain('bridge of')
    const doubled = oneSheet(10).map((row) => ({ ...row, 'Delivery Date': row.delivery_date! }))
    expect(await refusal(writtenFile('sheet.csv', csvOf(doubled)))).toContain(
      'column Delivery Date: two columns stand for the same field.',
    )
  })

  it('lists every problem at once', async () => {
    const tables = practice()
    for (const row of tables.tightenings) row.target_torque_ncm = '350'
    tables.restorations[3]!.sex = 'w'
    tables.visits[7]!.visit_date = '2018-01-01'
    const thrown = await readRecords(written(tables), { today }).catch((error: unknown) => error)
    expect(
      (thrown as RecordsRefused).problems.map((one) => `${one.severity} ${one.code} ${one.count}`),
    ).toEqual(['stop unknown-word 1', 'stop torque-unit-in-doubt 60', 'stop event-before-delivery 1'])
  })

  it('calls a missing path a wrong call, not bad data', async () => {
    const path = join(temporaryFolder(), 'nothing')
    const thrown = await readRecords(path, { today }).catch((error: unknown) => error)
    expect(thrown).toBeInstanceOf(UsageError)
    expect(exitCodeOf(thrown)).toBe(2)
    expect((thrown as UsageError).message).toBe(
      `there is nothing at ${path}, or it may not be looked at. Expected: a folder with restorations, tightenings and visits, a one-sheet file, or a workbook. Mend: check the spelling of the path.`,
    )
  })
})
