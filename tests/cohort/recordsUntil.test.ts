import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { recordsUntil } from '../../src/cohort/recordsUntil.js'
import { missingDay } from '../../src/records/columns.js'
import { check, crown, recordsOf, tightening } from './recordsOf.js'

const { delivery_date: _date, ...undated } = crown('d')
const { days_since_delivery: _day, ...dayless } = check('b', 0, { visit_type: 'telephone' })
const records = recordsOf({
  restorations: [
    crown('a'),
    crown('b', { delivery_date: 18_100 }),
    crown('c', { delivery_date: 19_000 }),
    undated as never,
  ],
  tightenings: [
    tightening('a', 0, { days_since_delivery: 0, achieved_torque_ncm: 30 }),
    tightening('a', 0, { days_since_delivery: 201, context: 'recall_check', achieved_torque_ncm: 31 }),
    tightening('b', 0, { achieved_torque_ncm: 32 }),
  ],
  visits: [
    check('a', 100),
    check('a', 200),
    check('a', 201, { finding: 'screw_loosening' }),
    dayless as never,
    check('b', 100),
    check('b', 101),
    check('c', 0),
    check('d', 5000),
  ],
})
const until = recordsUntil(records, 18_200)

describe('the records as they stood at the end of a day', () => {
  it('hold what happened on it and before, by the calendar, and what has no day', () => {
    const { visits, tightenings } = until
    expect([...visits.firstRow]).toEqual([0, 2, 4, 4, 5])
    expect([...visits.restoration]).toEqual([0, 0, 1, 1, 3])
    expect([...visits.day('days_since_delivery')]).toEqual([100, 200, missingDay, 100, 5000])
    expect(visits.rowCount).toBe(5)
    expect([...tightenings.number('achieved_torque_ncm')]).toEqual([30, 32])
    expect([...tightenings.firstRow]).toEqual([0, 1, 2, 2, 2])
    expect(tightenings.rowCount).toBe(2)
  })

  it('keep the columns of each row together, and what fields there are', () => {
    const { visits } = until
    const type = visits.category('visit_type')
    expect(Array.from(type.codes, (code) => type.labels[code])).toEqual([
      'scheduled',
      'scheduled',
      'telephone',
      'scheduled',
      'scheduled',
    ])
    // Source rows count from 2, in the order in which the table holds them.
    const all = [...records.visits.sourceRow]
    expect([...visits.sourceRow]).toEqual([0, 1, 3, 4, 7].map((row) => all[row]))
    expect(visits.has('finding')).toBe(true)
    expect(visits.has('onset_day')).toBe(false)
    expect(visits.name).toBe('visits')
    expect(until.restorations).toBe(records.restorations)
    expect(Object.isFrozen(until)).toBe(true)
  })

  it('know nothing of what was found later', () => {
    expect(buildCohort(records).status[0]).toBe(1)
    const cohort = buildCohort(until)
    expect([...cohort.recordRow]).toEqual([0, 1, 3])
    expect([...cohort.timeDays]).toEqual([200, 100, 5000])
    expect([...cohort.status]).toEqual([0, 0, 0])
    expect(cohort.summary.neverChecked).toBe(1)
  })

  it('are the whole of them on the last day, and leave the given ones as they were', () => {
    const before = [...records.visits.firstRow]
    const all = recordsUntil(records, 30_000)
    expect([...all.visits.firstRow]).toEqual(before)
    expect([...records.visits.firstRow]).toEqual(before)
    expect([...all.visits.day('days_since_delivery')]).toEqual([...records.visits.day('days_since_delivery')])
  })
})
