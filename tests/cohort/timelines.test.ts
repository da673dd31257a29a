import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { check, crown, recordsOf } from './recordsOf.js'

describe('the history of a restoration, visit by visit', () => {
  const histories = buildCohort(
    recordsOf({
      restorations: [
        crown('a'),
        crown('b', { restoration_type: 'full_arch' }),
        { restoration_type: 'single_crown', delivery_date: 18_000 },
      ],
      visits: [
        check('a', 300, { finding: 'screw_loosening', action_taken: 'tightened' }),
        check('a', 300, { finding: 'veneer_chipping', action_taken: 'polished' }),
        check('a', 100, { screw_checked: 'no' }),
        check('a', 300, { finding: 'screw_loosening', action_taken: 'tightened' }),
        check('a', 400, { restoration_status: 'in_place_modified' }),
        check('a', 500, { finding: 'other', restoration_status: 'removed', visit_type: 'telephone' }),
        check('b', 100),
        check('undefined', 200),
      ],
    }),
  ).recordedHistories()

  it('is told by the restorations of the cohort, in order of day, rows of a day together', () => {
    expect(histories[0]).toEqual({
      restoration: 'a',
      patient: 'patient_a',
      days: [
        { day: 100, looked: false, findings: [], actions: [] },
        {
          day: 300,
          looked: true,
          findings: ['screw_loosening', 'veneer_chipping'],
          actions: ['tightened', 'polished'],
        },
        { day: 400, looked: true, findings: [], actions: [], status: 'in_place_modified' },
        { day: 500, looked: false, findings: ['other'], actions: [], status: 'removed' },
      ],
    })
  })

  it('has no name where the records have none', () => {
    expect(histories).toHaveLength(2)
    expect(histories[1]).toEqual({
      restoration: 'unknown',
      patient: 'unknown',
      days: [{ day: 200, looked: true, findings: [], actions: [] }],
    })
  })

  it('leaves out what has no day', () => {
    const { days_since_delivery: _day, ...undated } = check('a', 0, { finding: 'screw_loosening' })
    const [only] = buildCohort(
      recordsOf({ restorations: [crown('a')], visits: [undated as never, check('a', 50)] }),
    ).recordedHistories()
    expect(only!.days.map(({ day }) => day)).toEqual([50])
  })
})
