import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { answerOf } from '../../../src/questions/answer/answer.js'
import { describedCohort } from '../../../src/questions/audit.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { readRecords } from '../../../src/records/read/readDataset.js'
import { csvOf, oneSheet, practice, today, written, writtenFile } from '../practice.js'

/** What stands among the unknown of the answer, as "field: unknown of rows". */
async function unknownOf(path: string): Promise<readonly string[]> {
  const { unknown = [] } = answerOf(
    describedCohort(buildCohort(await readRecords(path, { today })), defaultSettings),
  )
  return unknown.map((one) => `${one.table} ${one.field}: ${one.unknown} of ${one.rows}`)
}

describe('among the unknown of the answer', () => {
  it('is every visit where no column tells of deaths', async () => {
    const tables = practice(60)
    for (const row of tables.visits) row.patient_status = 'active'
    const withColumn = await unknownOf(written(tables))
    for (const row of tables.visits) delete row.patient_status
    const without = await unknownOf(written(tables))
    const all = tables.visits.length
    expect(without).toEqual([...withColumn, `visits patient_status: ${all} of ${all}`])
  })

  it('is a visit whose status of the patient is empty', async () => {
    const tables = practice(60)
    for (const row of tables.visits) row.patient_status = 'active'
    tables.visits[3]!.patient_status = ''
    expect(await unknownOf(written(tables))).toContain(`visits patient_status: 1 of ${tables.visits.length}`)
  })

  it('is every row of one sheet without days of removal or death, and no column that the sheet cannot have', async () => {
    const rows = oneSheet(60)
    for (const row of rows) {
      delete row.removed_date
      delete row.removal_reason
      delete row.deceased_date
    }
    const unknown = await unknownOf(writtenFile('sheet.csv', csvOf(rows)))
    expect(unknown).toContain('restorations removed_date: 60 of 60')
    expect(unknown).toContain('restorations deceased_date: 60 of 60')
    expect(unknown.filter((one) => one.startsWith('visits restoration_status'))).toEqual([])
  })
})
