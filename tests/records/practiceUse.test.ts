import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { isoFromDay } from '../../src/core/calendar.js'
import { CohortError, UsageError } from '../../src/core/errors.js'
import { recallList } from '../../src/records/desk/recallList.js'
import { recallPage } from '../../src/records/desk/recallPage.js'
import { deidentify } from '../../src/records/identities/deidentify.js'
import { readCorrections } from '../../src/records/read/corrections.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { csvOf, practice, temporaryFolder, today, written, writtenFile } from './practice.js'

describe('the recall list', () => {
  it('lists by patient who is overdue, found loose first, and counts who is not on it', async () => {
    const tables = practice(16)
    tables.restorations.forEach((row, index) => {
      row.patient_id = `P${String(index < 2 ? 1 : index).padStart(4, '0')}`
    })
    tables.restorations[2]!.connection = 'screwless'
    tables.visits[9]!.restoration_status = 'removed'
    for (const row of tables.visits) row.patient_status = 'active'
    tables.visits[11]!.patient_status = 'moved'
    tables.visits = tables.visits.filter((row) => row.restoration_id !== 'R0007')
    tables.visits.find((row) => row.restoration_id === 'R0008')!.finding = 'screw_loosening'
    tables.visits.filter((row) => row.restoration_id === 'R0009')[1]!.visit_date = isoFromDay(today - 30)
    tables.visits.filter((row) => row.restoration_id === 'R0010')[1]!.visit_date = isoFromDay(today - 330)
    const records = await readRecords(written(tables), { today })
    const { overdue, dueSoon, notListed, intervalDays, soonDays } = recallList(records, { today })
    expect([intervalDays, soonDays]).toEqual([365, 60])
    expect(notListed).toEqual({ notYetDue: 1, removedOrLost: 1, patientGone: 1, noScrew: 1 })
    expect(overdue.map((one) => `${one.patient_id} ${one.foundLoose}`)).toEqual([
      'P0003 when last seen',
      'P0013 when last seen',
      'P0007 earlier',
      'P0006 never',
      'P0001 never',
      ...['P0010', 'P0011', 'P0012', 'P0014', 'P0015'].map((key) => `${key} never`),
    ])
    expect(overdue[4]!.restorations.map((one) => one.restoration_id)).toEqual(['R0001', 'R0002'])
    expect(overdue[3]!.restorations[0]).toEqual({
      restoration_id: 'R0007',
      clinic_id: 'A',
      tooth_position: '14',
      since: '2019-03-14',
      everChecked: false,
      due: '2020-03-13',
      daysOverdue: 1_935,
      foundLoose: 'never',
    })
    expect(dueSoon.map((one) => `${one.patient_id} ${one.daysOverdue}`)).toEqual(['P0009 -35'])
    const later = recallList(records, { today, intervalDays: 4_000 })
    expect(later.overdue.map((one) => one.patient_id)).toEqual(['P0003', 'P0013'])
    expect(later.dueSoon).toEqual([])
  })

  it('leaves a patient out who died by any of the restorations, and takes one up who came back', async () => {
    const tables = practice(8)
    tables.visits[3]!.patient_status = 'deceased'
    Object.assign(tables.visits[4]!, { patient_status: 'moved' })
    Object.assign(tables.visits[7]!, { patient_status: 'active' })
    const records = await readRecords(written(tables), { today })
    const { overdue, notListed } = recallList(records, { today })
    expect(notListed.patientGone).toBe(2)
    expect(overdue.map((one) => one.patient_id).sort()).toEqual(['P0002', 'P0003', 'P0004'])
  })

  it('is printed as a page with the patients one below the other', async () => {
    const records = await readRecords(written(practice(8)), { today })
    const page = recallPage(recallList(records, { today }), '2025-06-30')
    expect(page).toContain('<title>Recall list, 2025-06-30</title>')
    expect(page.match(/<tbody>/g)).toHaveLength(4)
    expect(page).toContain('thead { display: table-header-group; }')
    expect(page).toContain('<tr class="loose"><td>P0002</td>')
  })

  it('cannot be made of records without dates', async () => {
    const out = join(temporaryFolder(), 'shared')
    await deidentify(written(practice()), out, { today, acceptSmallGroups: 1 })
    const records = await readRecords(out, { today })
    expect(() => recallList(records, { today })).toThrow(CohortError)
    expect(() => recallList(records, { today })).toThrow(
      'the records have no dates of delivery, so that nothing can be due today. Expected: local records with delivery_date; the shareable form has none. Mend: run it on the records of the practice itself.',
    )
  })
})

describe('corrections', () => {
  const header = 'file,row,column,old,new,why\n'

  it('are applied to what is read, listed, and leave the file as it is', async () => {
    const tables = practice()
    tables.visits[0]!.visit_date = '2002-01-07'
    const source = written(tables)
    const before = readFileSync(join(source, 'visits.csv'), 'utf8')
    const path = writtenFile(
      'corrections.csv',
      `${header}visits.csv,2,visit_date,2002-01-07,2020-01-07,digits swapped\n`,
    )
    const corrections = await readCorrections(path)
    const records = await readRecords(source, { today, corrections })
    expect(
      records.quality.problems.map((one) => `${one.severity} ${one.code} ${one.rows}: ${one.problem}`),
    ).toEqual(['note corrected 2: a value was corrected by the correction file (digits swapped).'])
    expect(records.visits.rowCount).toBe(80)
    expect(readFileSync(join(source, 'visits.csv'), 'utf8')).toBe(before)
  })

  it('bring in a text that nothing else of the column is, however many it has', async () => {
    const one = practice(1)
    const many = Array.from({ length: 255 }, (_row, i) => ({ restoration_id: `R${i}` }))
    const tables = {
      restorations: many.map((of, i) => ({
        ...one.restorations[0]!,
        ...of,
        patient_id: `P${i}`,
        implant_id: `I${i}`,
      })),
      tightenings: many.map((of) => ({ ...one.tightenings[0]!, ...of })),
      visits: many.map((of) => ({ ...one.visits[0]!, ...of })),
    }
    const source = written(tables)
    const corrections = await readCorrections(
      writtenFile('corrections.csv', `${header}restorations.csv,2,implant_id,I0,I-new,typed twice\n`),
    )
    const { restorations } = await readRecords(source, { today, corrections })
    const { labels, codes } = restorations.category('implant_id')
    expect(Array.from(codes, (code) => labels[code])).toEqual([
      'I-new',
      ...tables.restorations.slice(1).map((row) => row.implant_id),
    ])
  })

  it('stop where they do not fit, and never print a reason that may name a person', async () => {
    const source = written(practice())
    const wrong = await readCorrections(
      writtenFile('corrections.csv', `${header}visits.csv,2,finding,screw_loosening,none,not loose\n`),
    )
    await expect(readRecords(source, { today, corrections: wrong })).rejects.toThrow(
      'visits.csv, column finding, row 2: a correction names a file, row or column that is not there, or an old value that the cell does not have.',
    )
    const told = await readCorrections(
      writtenFile(
        'corrections.csv',
        `${header}visits.csv,2,finding,none,screw_loosening,Mrs Jones said so\n`,
      ),
    )
    const { quality } = await readRecords(source, { today, corrections: told })
    expect(JSON.stringify(quality)).not.toContain('Jones')
    expect(quality.problems[0]!.problem).toBe('a value was corrected by the correction file.')
  })

  it('are refused without a reason, a row or a column', async () => {
    await expect(readCorrections(writtenFile('c.csv', `${header}a.csv,2,b,c,d,\n`))).rejects.toThrow(
      'c.csv: the correction file cannot be used: row 2: "why" is empty. Expected: the columns file, row, column, old, new and why, with a reason on every row. Mend: put it right; the data set itself stays as it is.',
    )
    await expect(readCorrections(writtenFile('c.csv', `${header}a.csv,x,b,c,d,e\n`))).rejects.toThrow(
      '"row" is no row',
    )
    await expect(readCorrections(writtenFile('c.csv', 'file,row\na,2\n'))).rejects.toThrow(
      'columns are missing: column, old, new, why',
    )
    await expect(readCorrections(join(temporaryFolder(), 'none.csv'))).rejects.toThrow(UsageError)
  })
})

describe('completeness', () => {
  it('is counted by field, by clinic and by tightening group', async () => {
    const tables = practice(20)
    tables.restorations.forEach((row, index) => {
      row.clinic_id = index < 5 ? 'A' : 'B'
      row.bruxism = index < 8 ? 'none' : ''
    })
    const folder = temporaryFolder()
    for (const [name, rows] of Object.entries(tables)) writeFileSync(join(folder, `${name}.csv`), csvOf(rows))
    const { quality } = await readRecords(folder, { today })
    const ofBruxism = { table: 'restorations', field: 'bruxism' }
    expect(quality.completeness.find((one) => one.field === 'bruxism')).toEqual({
      ...ofBruxism,
      known: 8,
      unknown: 12,
    })
    expect(quality.completenessByClinic!.filter((one) => one.field === 'bruxism')).toEqual([
      { ...ofBruxism, group: 'A', known: 5, unknown: 0 },
      { ...ofBruxism, group: 'B', known: 3, unknown: 12 },
    ])
    expect(quality.completenessByTighteningGroup!.filter((one) => one.field === 'bruxism')).toEqual([
      { ...ofBruxism, group: 'single', known: 4, unknown: 6 },
      { ...ofBruxism, group: 'repeated', known: 4, unknown: 6 },
    ])
    const fields = quality.completeness.map((one) => `${one.table} ${one.field}`)
    expect(fields).toContain('visits visit_date')
    expect(fields).not.toContain('visits days_since_delivery')
    expect(fields).not.toContain('restorations arch')
  })
})
