import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { cappedTimes, placedDay, placedTimes, placements } from '../../src/cohort/placement.js'
import { check, crown, recordsOf } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }

describe('where an event is placed', () => {
  it('lies halfway, on the day of finding, or right after the last clean look, in exact half days', () => {
    expect(placedDay('midpoint', 100, 0, 201)).toBe(150.5)
    expect(placedDay('midpoint', 0, 0, 300)).toBe(150)
    expect(placedDay('found', 100, 0, 201)).toBe(201)
    expect(placedDay('after-last-look', 100, 0, 201)).toBe(100.5)
  })

  it('differs by half a day at most with a clean look the day before', () => {
    expect(placedDay('midpoint', 200, 0, 201)).toBe(200.5)
    expect(placedDay('after-last-look', 200, 0, 201)).toBe(200.5)
  })

  it('stays at 0 on the day of delivery, and after the day from which findings were recorded', () => {
    for (const placement of ['midpoint', 'found', 'after-last-look'] as const) {
      expect(placedDay(placement, 0, 0, 0)).toBe(0)
      expect(placedDay(placement, 0, 250, 300)).toBeGreaterThan(250)
    }
    expect(placedDay('midpoint', 0, 250, 300)).toBe(275)
  })
})

describe('placed times', () => {
  const cohort = buildCohort(
    recordsOf({
      restorations: [crown('a'), crown('b'), crown('c'), crown('d', { observation_start_date: 600 })],
      visits: [
        check('a', 100),
        check('a', 300, loose),
        check('b', 400),
        check('c', 200),
        check('c', 350, { screw_checked: 'no', restoration_status: 'removed' }),
        check('d', 500),
        check('d', 800, loose),
      ],
    }),
  )

  it('move events only', () => {
    expect([...placedTimes(cohort, 'midpoint').timeDays]).toEqual([200, 400, 350, 700])
    expect([...placedTimes(cohort, 'after-last-look').timeDays]).toEqual([100.5, 400, 350, 600.5])
    expect([...placedTimes(cohort, 'found').timeDays]).toEqual([300, 400, 350, 800])
    expect([...placedTimes(cohort, 'found').status]).toEqual([1, 0, 2, 1])
    expect([...cohort.timeDays]).toEqual([300, 400, 350, 800])
  })

  it('are capped after placing: an event found later than the cap may have come before it', () => {
    const capped = cappedTimes(placedTimes(cohort, 'midpoint'), 250)
    expect([...capped.row]).toEqual([0, 1, 2])
    expect([...capped.timeDays]).toEqual([200, 250, 250])
    expect([...capped.status]).toEqual([1, 0, 0])
    expect([...cappedTimes(placedTimes(cohort, 'found'), 250).status]).toEqual([0, 0, 0])
  })

  it('are copies: whoever changes them changes no cohort', () => {
    const placed = placedTimes(cohort, 'found')
    expect(placed.placement).toBe('found')
    expect([...placed.row]).toEqual([0, 1, 2, 3])
    expect([...placed.entryDays]).toEqual([0, 0, 0, 600])
    expect(placed.competingCause[2]).toBe(cohort.competingCause[2])
    expect(Object.isFrozen(placed)).toBe(true)
    for (const column of ['timeDays', 'status', 'entryDays', 'competingCause'] as const) {
      placed[column].fill(7)
      expect([...cohort[column]]).not.toContain(7)
    }
  })

  it('keep what happened on the last day, and leave out who entered then or later', () => {
    const placed = placedTimes(cohort, 'found')
    const capped = cappedTimes(placed, 300)
    expect([...capped.status]).toEqual([1, 0, 0])
    expect([...capped.timeDays]).toEqual([300, 300, 300])
    expect([...capped.competingCause]).toEqual([...placed.competingCause].slice(0, 3))
    expect(capped.placement).toBe('found')
    expect(Object.isFrozen(capped)).toBe(true)
    expect([...cappedTimes(placed, 600).row]).toEqual([0, 1, 2])
    const later = cappedTimes(placed, 601)
    expect([...later.row]).toEqual([0, 1, 2, 3])
    expect([...later.entryDays]).toEqual([0, 0, 0, 600])
    expect([...later.timeDays]).toEqual([300, 400, 350, 601])
    expect([...later.status]).toEqual([1, 0, 2, 0])
    // Those who entered at delivery stay, even where nothing of their time does.
    expect([...cappedTimes(placed, 0).row]).toEqual([0, 1, 2])
  })

  it('come in the order of every table', () => {
    expect(placements).toEqual(['after-last-look', 'midpoint', 'found'])
  })
})
