import { describe, expect, it } from 'vitest'
import { checkRecords } from '../../src/records/read/readDataset.js'
import { corpusFiles } from './corpusFiles.js'
import { today, writtenFile } from './practice.js'

describe('the corpus of small files', () => {
  it('has at least 60 of them', () => {
    expect(corpusFiles.length).toBeGreaterThanOrEqual(60)
    expect(new Set(corpusFiles.map((file) => file.title)).size).toBe(corpusFiles.length)
  })

  it.each(corpusFiles.map((file) => [file.title, file] as const))('%s', async (_title, file) => {
    const { problems, records } = await checkRecords(writtenFile(file.name, file.content), { today })
    expect({
      restorations: records?.restorations.rowCount,
      problems: problems.map((one) => `${one.severity} ${one.code}`),
    }).toEqual({ restorations: file.restorations, problems: file.problems })
    if (file.firstVisits !== undefined) {
      const { visits } = records!
      expect([...visits.day('visit_date').slice(0, visits.firstRow[1])]).toEqual(file.firstVisits)
    }
    if (file.firstTorque !== undefined) {
      expect(records!.tightenings.number('target_torque_ncm')[0]).toBe(file.firstTorque)
    }
    for (const one of problems)
      expect(one.problem.length * one.expected.length * one.mend.length).toBeGreaterThan(0)
  })
})
