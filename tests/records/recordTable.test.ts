import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { plainRecords, recordsOfPlain, sharedRecords } from '../../src/records/recordTable.js'
import { sheetFields } from '../../src/vocabulary/fields.js'

describe('records as plain data', () => {
  it('are the same records when another thread has got them', async () => {
    const records = await readRecords('data-demo', { today: 20_500 })
    const come = recordsOfPlain(structuredClone(plainRecords(records)!))
    expect(Object.keys(come).sort()).toEqual(Object.keys(records).sort())
    for (const name of ['restorations', 'tightenings', 'visits'] as const) {
      expect(come[name].rowCount).toBe(records[name].rowCount)
      expect(come[name].sourceRow).toEqual(records[name].sourceRow)
      for (const { name: field } of [...sheetFields[name], { name: 'region' }, { name: 'arch' }]) {
        expect(come[name].has(field)).toBe(records[name].has(field))
        expect(come[name].category(field)).toEqual(records[name].category(field))
        expect(come[name].number(field)).toEqual(records[name].number(field))
        expect(come[name].day(field)).toEqual(records[name].day(field))
      }
    }
    expect(come.visits.firstRow).toEqual(records.visits.firstRow)
    expect(come.tightenings.restoration).toEqual(records.tightenings.restoration)
    expect(buildCohort(come).summary).toEqual(buildCohort(records).summary)
  })

  it('are in memory that threads share, and the same, once that is asked for', async () => {
    const records = await readRecords('data-demo', { today: 20_500 })
    const come = sharedRecords(records)
    expect(plainRecords(come)).toEqual(plainRecords(records))
    for (const { sourceRow, columns, links } of Object.values(plainRecords(come)!.tables)) {
      const codes = Array.from(columns.categories.values(), (one) => one.codes)
      const all = [sourceRow, ...codes, ...columns.numbers.values(), ...columns.days.values()]
      if (links !== undefined) all.push(links.restoration, links.firstRow)
      for (const column of all) expect(column.buffer).toBeInstanceOf(SharedArrayBuffer)
    }
    const other = { ...records, visits: { ...records.visits } }
    expect(sharedRecords(other)).toBe(other)
  })

  it('are not made of tables that were not made by reading', async () => {
    const records = await readRecords('data-demo', { today: 20_500 })
    expect(plainRecords({ ...records, visits: { ...records.visits } })).toBeUndefined()
  })
})
