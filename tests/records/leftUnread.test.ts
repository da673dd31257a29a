import { renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { type CellObject, utils, type WorkSheet, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import {
  csvOf,
  oneSheet,
  type Practice,
  practice,
  type Row,
  today,
  written,
  writtenFile,
} from './practice.js'

/** What is told of a data set other than notes: severity, code, file, column and rows. */
async function told(path: string): Promise<readonly string[]> {
  const { problems } = await checkRecords(path, { today })
  return problems
    .filter((one) => one.severity !== 'note')
    .map(({ severity, code, place, rows }) =>
      [severity, code, place.file ?? '', place.column ?? '', rows.join(' ')].join(' ').trimEnd(),
    )
}

/** A sheet of the given rows, in which every row is as long as the headers. */
function sheetOf(rows: readonly Row[]): WorkSheet {
  const headers = Object.keys(rows[0]!)
  return utils.aoa_to_sheet([headers, ...rows.map((row) => headers.map((header) => row[header] ?? ''))])
}

function workbook(sheets: Readonly<Record<string, WorkSheet>>): string {
  const book = utils.book_new()
  for (const [name, sheet] of Object.entries(sheets)) utils.book_append_sheet(book, sheet, name)
  return writtenFile('book.xlsx', write(book, { type: 'buffer', bookType: 'xlsx' }))
}

describe('files beside the tables of a folder', () => {
  it('stop where they are versions of a table that is read', async () => {
    for (const name of ['visits-2025.csv', 'visits (1).csv', 'Visits copy.xlsx']) {
      const folder = written(practice())
      writeFileSync(join(folder, name), csvOf(practice().visits.slice(0, 9)))
      expect(await told(folder)).toEqual([`stop table-in-versions ${name}`])
    }
  })

  it('are counted where they are others', async () => {
    const folder = written(practice())
    writeFileSync(join(folder, 'export-2025.csv'), csvOf(oneSheet()))
    writeFileSync(join(folder, 'one-sheet.csv'), csvOf(oneSheet()))
    writeFileSync(join(folder, 'notes.txt'), 'call the laboratory')
    const [line, ...others] = await told(folder)
    expect(line).toMatch(/^warn files-not-read holdfast-records-/)
    expect(others).toEqual([])
    const { problems } = await checkRecords(folder, { today })
    expect(problems[0]!.problem).toBe('2 other files of the folder could be tables and were not read.')
  })

  it('are nothing where the names are those of the tables in capitals', async () => {
    const folder = written(practice())
    renameSync(join(folder, 'visits.csv'), join(folder, 'Visits.CSV'))
    expect(await told(folder)).toEqual([])
  })
})

describe('sheets beside those that are read', () => {
  const tables = (): Record<string, WorkSheet> =>
    Object.fromEntries(Object.entries(practice() as Practice).map(([name, rows]) => [name, sheetOf(rows)]))

  it('stop where they have the headers of one of them', async () => {
    const more = { ...tables(), 'visits (2)': sheetOf(practice().visits.slice(0, 9)) }
    expect(await told(workbook(more))).toEqual(['stop sheet-beside book.xlsx, sheet 4'])
    const halves = {
      one_sheet: sheetOf(oneSheet().slice(0, 20)),
      2024: sheetOf(oneSheet().slice(20)),
    }
    expect(await told(workbook(halves))).toContain('stop sheet-beside book.xlsx, sheet 1')
  })

  it('are told where the one sheet stands beside the three tables, and nothing where they hold something else', async () => {
    const both = { ...tables(), one_sheet: sheetOf(oneSheet()) }
    expect(await told(workbook(both))).toEqual(['warn sheet-not-read book.xlsx, sheet one_sheet'])
    const legend = { ...tables(), Legend: sheetOf([{ code: 'single', meaning: 'once' }]) }
    expect(await told(workbook(legend))).toEqual([])
  })
})

describe('a unit in the format of a number', () => {
  const wait = async (format: string): Promise<readonly string[]> => {
    const rows = oneSheet()
    const sheet = sheetOf(rows)
    const column = Object.keys(rows[0]!).indexOf('wait_minutes')
    const cell: CellObject = { t: 'n', v: 12, z: format }
    sheet[utils.encode_cell({ r: 2, c: column })] = cell
    return told(workbook({ Crowns: sheet }))
  }

  it('stops where it is not that of the field, and is taken where it is', async () => {
    expect(await wait('0" h"')).toEqual(['stop other-unit book.xlsx wait_minutes 3'])
    expect(await wait('0\\ \\s')).toEqual(['stop other-unit book.xlsx wait_minutes 3'])
    expect(await wait('0%')).toEqual(['stop not-a-number book.xlsx wait_minutes 3'])
    expect(await wait('0" min"')).toEqual([])
    expect(await wait('#,##0.0')).toEqual([])
    expect(await wait('"W"0" (chart)"')).toEqual([])
  })
})

describe('rows of one sheet that cannot be told apart', () => {
  const nameless = (rows: readonly Row[]): string =>
    writtenFile('sheet.csv', csvOf(rows.map(({ restoration_id, tooth_position, ...row }) => row)))

  it('stop where patient and delivery are alike and the rest is too', async () => {
    const rows = oneSheet()
    rows[1] = { ...rows[0]!, tooth_position: '46' }
    expect(await told(nameless(rows))).toEqual(['stop rows-not-told-apart sheet.csv tooth_position 2 3'])
    const { restorations } = await readRecords(nameless(rows), { today, setAside: ['rows-not-told-apart'] })
    expect(restorations.rowCount).toBe(38)
  })

  it('stop where they may be visits: the last check of one crown is on several days', async () => {
    const rows = oneSheet()
    rows[1] = { ...rows[0]!, last_check_date: '2022-01-10' }
    expect(await told(nameless(rows))).toEqual(['stop rows-not-told-apart sheet.csv tooth_position 2 3'])
  })

  it('are crowns where anything else differs, or where the position is known', async () => {
    const rows = oneSheet()
    rows[1] = { ...rows[0]!, target_torque_ncm: '30' }
    expect(await told(nameless(rows))).toEqual([])
    const two = oneSheet().map(({ restoration_id, ...row }) => row as Row)
    two[1] = { ...two[0]!, tooth_position: '46' }
    expect(await told(writtenFile('sheet.csv', csvOf(two)))).toEqual([])
    expect((await readRecords(writtenFile('sheet.csv', csvOf(two)), { today })).restorations.rowCount).toBe(
      40,
    )
  })
})

describe('headers of the data dictionary with a number behind them', () => {
  it('stop where something stands below them, and do not where a map says what they are', async () => {
    const rows = oneSheet().map(
      (row) => ({ ...row, first_loosening_date_2: '', last_check_date_2: '' }) as Row,
    )
    expect(await told(writtenFile('sheet.csv', csvOf(rows)))).toEqual([])
    rows[4]!.first_loosening_date_2 = '2022-01-10'
    const path = writtenFile('sheet.csv', csvOf(rows))
    // A date outside the columns of dates may identify, besides.
    const beside = 'warn possible-identifier-value sheet.csv 12'
    expect(await told(path)).toEqual(['stop column-of-another sheet.csv first_loosening_date_2', beside])
    const fields = Object.keys(oneSheet()[0]!).map((header) => ({ header, field: header }))
    const unused = ['first_loosening_date_2', 'last_check_date_2'].map((header) => ({ header, field: null }))
    const map = {
      holdfastColumnMap: 1,
      confirmed: true,
      sheets: [{ sheet: 'one_sheet', file: 'sheet.csv', columns: [...fields, ...unused] }],
    }
    writeFileSync(`${path}.map.json`, JSON.stringify(map))
    expect(await told(path)).toEqual([beside])
  })

  it('stop in the tables, too: a second finding of a visit is a row of its own', async () => {
    const tables = practice()
    for (const row of tables.visits) row.finding_2 = ''
    tables.visits[3]!.finding_2 = 'screw_loosening'
    expect(await told(written(tables))).toEqual(['stop column-of-another visits.csv finding_2'])
  })
})

describe('a date that may have lost a digit', () => {
  const change = (of: (rows: Row[]) => void): Promise<readonly string[]> => {
    const rows = oneSheet()
    of(rows)
    return told(writtenFile('sheet.csv', csvOf(rows)))
  }

  it('stops where the column writes two digits throughout, and where the day comes first likewise', async () => {
    const cut = await change((rows) => {
      rows[0]!.last_check_date = '2021-11-2'
    })
    expect(cut).toEqual(['stop date-cut-short sheet.csv last_check_date 2'])
    const dayFirst = await change((rows) => {
      for (const row of rows) row.last_check_date = row.last_check_date!.split('-').reverse().join('.')
      rows[0]!.last_check_date = '2.11.2021'
    })
    expect(dayFirst).toEqual(cut)
  })

  it('is read where the column writes days and months of one digit', async () => {
    const short = await change((rows) => {
      for (const row of rows) row.last_check_date = row.last_check_date!.replace(/-0/g, '-')
    })
    expect(short).toEqual([])
    const mixed = await change((rows) => {
      for (const row of rows.slice(0, 9)) row.last_check_date = row.last_check_date!.replace(/-0/g, '-')
    })
    expect(mixed).toEqual([])
  })
})
