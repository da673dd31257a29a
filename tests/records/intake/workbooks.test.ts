import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { utils, type WorkSheet, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { temporaryFolder, today, writtenFile } from '../practice.js'

type Sheets = Readonly<Record<string, readonly (readonly string[])[]>>

function workbook(sheets: Sheets, change: (sheet: WorkSheet) => void = () => undefined): string {
  const book = utils.book_new()
  for (const [name, rows] of Object.entries(sheets)) {
    const sheet = utils.aoa_to_sheet(rows.map((row) => [...row]))
    if (name === Object.keys(sheets)[0]) change(sheet)
    utils.book_append_sheet(book, sheet, name)
  }
  return writtenFile('book.xlsx', write(book, { type: 'buffer', bookType: 'xlsx' }))
}

/** What is read of a workbook by answers, as the lines of the three tables. */
async function readBy(path: string, sheets: object) {
  const answers = `${path}.mine.json`
  writeFileSync(answers, JSON.stringify({ holdfastAnswers: 1, right: true, sheets }))
  const tables = join(temporaryFolder(), 'read')
  const said: string[] = []
  const done = await runInterview(path, {
    today,
    redo: false,
    answers,
    tables,
    say: (text) => said.push(text),
  })
  expect(done ? '' : said.join('\n')).toBe('')
  const lines = (name: string): readonly string[] =>
    readFileSync(join(tables, `${name}.csv`), 'utf8')
      .trim()
      .split('\n')
      .slice(1)
  const { problems } = await checkRecords(path, { today })
  return {
    restorations: lines('restorations'),
    visits: lines('visits'),
    tightenings: lines('tightenings'),
    problems,
  }
}

const head = ['Patient', 'Tooth', 'Delivered', 'Last check', 'Loosened']
const columns = {
  Patient: 'patient_id',
  Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
  Delivered: 'delivery_date',
  'Last check': 'last_check_date',
  Loosened: 'first_loosening_date',
}
const all = {
  rows: 'restoration',
  type: 'single_crown',
  blankLoosening: 'never',
  columns,
  columnsRight: true,
}

describe('workbooks', () => {
  it('fills merged cells down where the user says so, and stops without that', async () => {
    const rows = [
      head,
      ['P1', '36', '2020-01-13', '2021-01-13', ''],
      ['', '46', '2020-01-14', '2021-01-14', ''],
      ['P2', '14', '2020-01-15', '2021-01-15', ''],
    ]
    const path = workbook({ Crowns: rows }, (sheet) => {
      sheet['!merges'] = [{ s: { r: 1, c: 0 }, e: { r: 2, c: 0 } }]
    })
    const before = await checkRecords(path, { today })
    expect(before.problems.map((one) => one.code)).toContain('merged-cells')
    const { restorations } = await readBy(path, { '*': { ...all, mergedCells: 'fill' } })
    expect(restorations).toEqual([
      'P1-36-1,P1,2020-01-13,36,single_crown',
      'P1-46-1,P1,2020-01-14,46,single_crown',
      'P2-14-1,P2,2020-01-15,14,single_crown',
    ])
  })

  it('names hidden rows, and leaves them out where the user says so', async () => {
    const rows = [
      head,
      ['P1', '36', '2020-01-13', '2021-01-13', ''],
      ['P9', '46', '2020-01-14', '2021-01-14', ''],
      ['P2', '14', '2020-01-15', '2021-01-15', ''],
    ]
    const path = workbook({ Crowns: rows }, (sheet) => {
      sheet['!rows'] = [{}, {}, { hidden: true }, {}]
    })
    const before = await checkRecords(path, { today })
    expect(before.problems.find((one) => one.code === 'hidden-rows')?.rows).toEqual([3])
    const out = await readBy(path, { '*': { ...all, hiddenRows: 'leave-out' } })
    expect(out.restorations.map((line) => line.slice(0, 2))).toEqual(['P1', 'P2'])
  })

  it('reads headers on two rows, groups above single columns', async () => {
    const rows = [
      ['', '', 'Crown', 'Check', ''],
      ['Patient', 'Tooth', 'delivered', 'last', 'loose'],
      ['P1', '36', '2020-01-13', '2021-01-13', '2020-08-20'],
    ]
    const { restorations, visits } = await readBy(workbook({ Crowns: rows }), {
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        headerRows: 2,
        blankLoosening: 'never',
        columns: {
          Patient: 'patient_id',
          Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
          'Crown delivered': 'delivery_date',
          'Check last': 'last_check_date',
          'Check loose': 'first_loosening_date',
        },
      },
    })
    expect(restorations).toEqual(['P1-36-1,P1,2020-01-13,36,single_crown'])
    expect(visits).toEqual(['P1-36-1,2020-08-20,yes,screw_loosening', 'P1-36-1,2021-01-13,yes,none'])
  })

  it('puts a sheet of another name below the one whose headers it has, or ignores it, by the word of the user', async () => {
    const sheets = {
      later: [head, ['P2', '14', '2020-01-15', '2021-01-15', '']],
      one_sheet: [head, ['P1', '36', '2020-01-13', '2021-01-13', '']],
    }
    const before = await checkRecords(workbook(sheets), { today })
    expect(before.problems.map((one) => one.code)).toContain('sheet-beside')
    const both = await readBy(workbook(sheets), { '*': { ...all, use: 'records' } })
    expect(both.restorations.map((line) => line.slice(0, 2))).toEqual(['P2', 'P1'])
    expect(both.problems.filter((one) => one.severity === 'stop')).toEqual([])
    const one = await readBy(workbook(sheets), { '*': { ...all, use: 'records' }, later: { use: 'ignore' } })
    expect(one.restorations.map((line) => line.slice(0, 2))).toEqual(['P1'])
  })

  it('links a sheet of visits to the crowns of another sheet', async () => {
    const crowns = [
      ['Patient', 'Tooth', 'Delivered'],
      ['P1', '36', '2020-01-13'],
      ['P2', '14', '2020-01-15'],
    ]
    const recalls = [
      ['Patient', 'Tooth', 'Seen', 'Found'],
      ['P2', '14', '2021-02-15', 'loose'],
      ['P1', '36', '2021-02-13', 'fine'],
      ['P1', '36', '2022-02-13', 'fine'],
    ]
    const path = workbook({ Crowns: crowns, Recalls: recalls })
    const answers = {
      Crowns: {
        use: 'records',
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        lastCheck: null,
        loosening: null,
        columns: {
          Patient: 'patient_id',
          Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
          Delivered: 'delivery_date',
        },
      },
      Recalls: {
        use: 'records',
        rows: 'visit',
        headerRow: 1,
        delivery: null,
        columns: {
          Patient: 'patient_id',
          Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
          Seen: { field: 'visit_date', checked: true },
          Found: { field: 'finding', values: { fine: 'none', loose: 'screw_loosening' } },
        },
      },
    }
    const { visits, problems } = await readBy(path, answers)
    expect(problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(visits).toEqual([
      'P1-36-1,2021-02-13,yes,none',
      'P1-36-1,2022-02-13,yes,none',
      'P2-14-1,2021-02-15,yes,screw_loosening',
    ])
  })

  it('gives each crown its own value where a cell holds one for each', async () => {
    const rows = [
      [...head, 'Torque', 'Times'],
      ['P1', '24, 25', '2020-01-13', '2021-01-13', '', '35/30', '1'],
    ]
    const { tightenings } = await readBy(workbook({ Crowns: rows }), {
      '*': {
        ...all,
        severalCrowns: 'each',
        columns: {
          ...columns,
          Torque: { field: 'target_torque_ncm', unit: 'N·cm', perCrown: true },
          Times: 'tightenings_at_delivery',
        },
      },
    })
    expect(tightenings.map((line) => line.split(',').at(-1))).toEqual(['35', '30'])
  })
})
