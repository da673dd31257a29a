import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { check, crown, recordsOf } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const watched = { finding: 'screw_loosening', action_taken: 'watched' }
const removed = { restoration_status: 'removed', screw_checked: 'no' }

/** Findings of the only restoration through its visits. */
function found(
  visits: readonly ReturnType<typeof check>[],
  more: Parameters<typeof crown>[1] = {},
  changes: Parameters<ReturnType<typeof buildCohort>['redefined']>[0] = {},
) {
  const cohort = buildCohort(recordsOf({ restorations: [crown('a', more)], visits }), changes)
  return cohort.repeatedFindings()[0]
}

describe('every finding of the endpoint', () => {
  it('counts, until the last look', () => {
    expect(found([check('a', 100, loose), check('a', 200), check('a', 300, loose), check('a', 500)])).toEqual(
      {
        days: [100, 300],
        endDay: 500,
        terminal: false,
      },
    )
    expect(found([check('a', 100)])).toEqual({ days: [], endDay: 100, terminal: false })
  })

  it('is one on a day, however many rows say so', () => {
    expect(found([check('a', 100, loose), check('a', 100, loose), check('a', 300, loose)])).toEqual({
      days: [100, 300],
      endDay: 300,
      terminal: false,
    })
  })

  it('that was watched and found again before a clear look is the same', () => {
    expect(found([check('a', 100, watched), check('a', 200, loose)])!.days).toEqual([100])
    expect(found([check('a', 100, watched), check('a', 200, watched), check('a', 300, loose)])!.days).toEqual(
      [100],
    )
    expect(found([check('a', 100, watched), check('a', 150), check('a', 200, loose)])!.days).toEqual([
      100, 200,
    ])
    expect(found([check('a', 100, loose), check('a', 200, watched), check('a', 300, loose)])!.days).toEqual([
      100, 200,
    ])
    // Treated, it is over: what is found next is new.
    expect(found([check('a', 100, watched), check('a', 200, loose), check('a', 300, loose)])!.days).toEqual([
      100, 300,
    ])
  })

  it('without a recorded action is treated', () => {
    const bare = { finding: 'screw_loosening' }
    expect(found([check('a', 100, bare), check('a', 200, bare)])!.days).toEqual([100, 200])
  })

  it('is not ended by a visit that was no look', () => {
    const visits = [
      check('a', 100, watched),
      check('a', 150, { screw_checked: 'no' }),
      check('a', 200, loose),
      check('a', 900, { screw_checked: 'no' }),
    ]
    expect(found(visits)).toEqual({ days: [100], endDay: 200, terminal: false })
  })

  it('at a visit that was no look lengthens the time at risk to it', () => {
    expect(found([check('a', 100), check('a', 250, { ...loose, screw_checked: 'no' })])).toEqual({
      days: [250],
      endDay: 250,
      terminal: false,
    })
  })

  it('counts after entry only, and on the day of delivery where recording began with it', () => {
    const entering = { observation_start_date: 250 }
    const unlooked = { ...loose, screw_checked: 'no' }
    const nextLook = { findingsOutsideLooks: 'next look' } as const
    // Found before or on the day from which findings were recorded; the event itself waits for the look on day 300.
    for (const day of [200, 250]) {
      const visits = [check('a', day, unlooked), check('a', 300, loose), check('a', 600)]
      expect(found(visits, entering, nextLook)!.days).toEqual([300])
    }
    expect(found([check('a', 251, loose), check('a', 600)], entering)!.days).toEqual([251])
    expect(found([check('a', 0, loose), check('a', 600)])!.days).toEqual([0])
  })

  it('is looked for from entry on: a removal within recall of it ends the time', () => {
    const gone = check('a', 600, removed)
    expect(
      found([check('a', 100), gone], { observation_start_date: 250 }, { recallIntervalDays: 500 }),
    ).toEqual({
      days: [],
      endDay: 600,
      terminal: true,
    })
  })
})

describe('the end of the time in which it could be found', () => {
  it('is removal, loss or death within the recall interval after the last look', () => {
    expect(found([check('a', 300), check('a', 700, removed)])).toEqual({
      days: [],
      endDay: 700,
      terminal: true,
    })
    expect(found([check('a', 300), check('a', 701, removed)])).toEqual({
      days: [],
      endDay: 300,
      terminal: false,
    })
    expect(found([check('a', 300), check('a', 701, removed)], {}, { recallIntervalDays: 401 })).toEqual({
      days: [],
      endDay: 701,
      terminal: true,
    })
  })

  it('is the removal after a finding, too, and nothing counts after it', () => {
    expect(
      found([check('a', 100, loose), check('a', 200, removed), check('a', 300, loose), check('a', 400)]),
    ).toEqual({ days: [100], endDay: 200, terminal: true })
  })

  it('lets what another row of that day found count, and reads nothing without a day', () => {
    expect(found([check('a', 100), check('a', 200, removed), check('a', 200, loose)])).toEqual({
      days: [200],
      endDay: 200,
      terminal: true,
    })
    const { days_since_delivery: _day, ...dayless } = check('a', 0, loose)
    expect(found([dayless as never, check('a', 200)])).toEqual({ days: [], endDay: 200, terminal: false })
  })

  it('is the finding at which the restoration was removed', () => {
    expect(
      found([check('a', 100), check('a', 200, { ...loose, restoration_status: 'removed' }), check('a', 300)]),
    ).toEqual({ days: [200], endDay: 200, terminal: true })
  })

  it('is a death that another restoration of the patient recorded', () => {
    const cohort = buildCohort(
      recordsOf({
        restorations: [
          crown('a', { patient_id: 'p' }),
          crown('b', { patient_id: 'p', delivery_date: 18_100 }),
        ],
        visits: [
          check('a', 100),
          check('a', 350, { patient_status: 'deceased', screw_checked: 'no', visit_type: 'records_only' }),
          check('b', 90, loose),
          check('b', 120),
        ],
      }),
    )
    expect(cohort.repeatedFindings()).toEqual([
      { days: [], endDay: 350, terminal: true },
      { days: [90], endDay: 250, terminal: true },
    ])
  })
})
