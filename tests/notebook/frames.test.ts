import { join } from 'node:path'
import type { DataFrame } from 'danfojs-node'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { buildCohort, incidence, readRecords, retention } from '../../src/index.js'
import { type FrameRow, fromFrame, toFrame } from '../../src/notebook/frames.js'
import { frameTable, isFrame } from '../../src/notebook/frameTable.js'
import { bundleOf } from '../../src/notebook/valueDisplay.js'
import { shown } from '../../src/notebook/valueTable.js'

const demo = join(import.meta.dirname, '../../data-demo')

describe('toFrame and fromFrame', () => {
  it('keep types and missing values, in double precision', async () => {
    const rows = [
      { whole: 1, exact: 0.1, text: 'a', flag: true, gap: 7 },
      { whole: 2, exact: null, text: null, flag: null, gap: null },
      { whole: 3, exact: 1 / 3, text: '', flag: false, gap: 9 },
    ]
    const before = structuredClone(rows)
    const frame = await toFrame<DataFrame>(rows)
    expect(frame.dtypes).toEqual(['int32', 'float32', 'string', 'boolean', 'float32'])
    expect(frame.shape).toEqual([3, 5])
    expect(fromFrame(frame)).toEqual(rows)
    expect(rows).toEqual(before)
  })

  it('give back what went in, whatever the rows', async () => {
    const cell = fc.record({
      n: fc.option(fc.double({ noNaN: true, noDefaultInfinity: true }), { nil: null }),
      t: fc.option(fc.string(), { nil: null }),
      b: fc.option(fc.boolean(), { nil: null }),
    })
    await fc.assert(
      fc.asyncProperty(fc.array(cell, { minLength: 1, maxLength: 8 }), async (rows) => {
        expect(fromFrame(await toFrame(rows))).toEqual(rows)
      }),
      { numRuns: 40 },
    )
  })

  it('take tables of the records and results', async () => {
    const records = await readRecords(demo, { today: 20484 })
    const restorations = fromFrame(await toFrame(records.restorations))
    expect(restorations).toHaveLength(records.restorations.rowCount)
    expect(restorations[0]!.delivery_date).toMatch(/^\d{4}-\d\d-\d\d$/)
    const ages = records.restorations.number('age_at_delivery_years')
    expect(restorations.map((row) => row.age_at_delivery_years)).toEqual(
      Array.from(ages, (age) => (Number.isNaN(age) ? null : age)),
    )
    const cohort = buildCohort(records)
    const found = incidence(cohort)
    const risks = fromFrame(await toFrame(found))
    expect(risks[1]).toMatchObject({ group: 'all', years: 3, risk: found.overall.horizons[1]!.risk.estimate })
    const kept = retention(cohort)
    const curve = fromFrame(await toFrame(kept)).filter((row) => row.group === 'all')
    expect(curve.map((row) => row.retention)).toEqual(kept.overall.rows.map((row) => row.retention))
  })

  it('take no rows, rows without columns in common, and whole numbers beyond 32 bits', async () => {
    expect(fromFrame(await toFrame([]))).toEqual([])
    const empty = await toFrame([])
    expect(frameTable(empty)).toMatchObject({ title: '0 rows of 0 columns', rows: [] })
    expect(fromFrame(await toFrame([{ a: 1 }, { b: 2 ** 40 }]))).toEqual([
      { a: 1, b: null },
      { a: null, b: 2 ** 40 },
    ])
    const large = await toFrame<DataFrame>([{ count: 2 ** 40 }])
    expect(large.dtypes).toEqual(['float32'])
    expect(frameTable(large).title).toBe('1 row of 1 column')
    const sheet = await readRecords(join(demo, 'one-sheet.csv'), { today: 20484 })
    const visits = await toFrame(sheet.visits)
    expect(fromFrame(visits)).toHaveLength(sheet.visits.rowCount)
  })

  it('refuse what is no frame and nothing to make one of', async () => {
    expect(() => fromFrame({})).toThrow('this is no data frame. Expected: a DataFrame of danfojs-node.')
    await expect(toFrame([1, 2] as unknown as readonly FrameRow[])).rejects.toThrow(
      'no frame can be made of this. Expected: an array of plain objects',
    )
  })

  it('show as a table of the first rows, missing values named and markup of the data escaped', async () => {
    const frame = await toFrame<DataFrame>(
      Array.from({ length: 25 }, (_, i) => ({ i, text: i === 0 ? '<b>' : null, value: i / 3 })),
    )
    expect(isFrame(frame)).toBe(true)
    expect(frameTable(frame)).toMatchObject({ title: '25 rows of 3 columns, the first 20 shown' })
    expect(frameTable(frame).rows[1]!.map(shown)).toEqual(['1', '1', 'missing', '0.333333'])
    const html = String((await bundleOf(frame))?.['text/html'])
    expect(html).toContain('&lt;b&gt;')
    expect(html.match(/<tr>/g)).toHaveLength(21)
  })
})
