import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { type CohortDefinition, defaultDefinition } from '../../src/cohort/definition.js'
import { lookReader } from '../../src/cohort/looks.js'
import { randomStream } from '../../src/core/random.js'
import { check, crown, recordsOf } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const blank = { screw_checked: undefined as never }

/** A visit whose cells are left blank where undefined. */
function visit(day: number, more: Readonly<Record<string, string | undefined>> = {}) {
  const row = check('a', day, more as Record<string, string>)
  return Object.fromEntries(Object.entries(row).filter(([, value]) => value !== undefined)) as typeof row
}

function followed(visits: readonly ReturnType<typeof check>[], changes: Partial<CohortDefinition> = {}) {
  const cohort = buildCohort(recordsOf({ restorations: [crown('a')], visits }), {
    ...defaultDefinition,
    ...changes,
  })
  return {
    day: cohort.timeDays[0],
    status: cohort.status[0],
    clear: cohort.lastClearDays[0],
    firstLook: cohort.firstLookDays[0],
    early: cohort.earlyEvent[0],
    looks: cohort.summary.looks,
  }
}

describe('a look', () => {
  it('is a visit in person that does not say no; a blank tick is presumed, by telephone or from records is none', () => {
    expect(followed([visit(100), visit(200, blank)])).toMatchObject({ day: 200, status: 0 })
    expect(followed([visit(100), visit(200, { screw_checked: 'no' })])).toMatchObject({ day: 100 })
    expect(followed([visit(100), visit(200, { ...blank, visit_type: 'telephone' })])).toMatchObject({
      day: 100,
    })
    expect(followed([visit(100), visit(200, { visit_type: 'records_only' })])).toMatchObject({ day: 100 })
    expect(followed([visit(100), visit(200, { ...blank, visit_type: undefined })])).toMatchObject({
      day: 200,
    })
  })

  it('is read from all rows of its day: yes before no, no before blank', () => {
    expect(followed([visit(100, { screw_checked: 'no' }), visit(100, blank), visit(90)])).toMatchObject({
      day: 90,
    })
    expect(followed([visit(100, { screw_checked: 'no' }), visit(100), visit(90)])).toMatchObject({ day: 100 })
  })

  it('does not depend on what was found: a blank visit is one whether the screw was loose or not', () => {
    for (const tick of ['yes', undefined]) {
      const clean = followed([visit(100), visit(200, { screw_checked: tick })])
      const found = followed([visit(100), visit(200, { screw_checked: tick, ...loose })])
      expect([clean.day, clean.firstLook]).toEqual([found.day, found.firstLook])
    }
  })

  it('is none the less one where its tick is blanked, and only a "no" that is blanked is lost', () => {
    const random = randomStream(77, 1)
    const visits = Array.from({ length: 40 }, (_one, i) => ({
      day: 30 * (i + 1),
      said: random.uniform() < 0.15 ? 'no' : 'yes',
      drop: random.uniform() < 0.8,
    }))
    const at = (blanked: (one: (typeof visits)[number]) => boolean) =>
      followed([
        ...visits.map((one) =>
          visit(one.day, { screw_checked: blanked(one) ? (undefined as never) : one.said }),
        ),
        visit(1210, loose),
      ])
    const complete = at(() => false)
    expect(at((one) => one.drop && one.said === 'yes')).toEqual(complete)
    expect(at((one) => one.drop).clear).toBeGreaterThanOrEqual(complete.clear!)
  })

  it('with ticks only is one that says yes, and a finding at another visit waits for the next', () => {
    const ticks = { looks: 'ticks' } as const
    expect(followed([visit(100), visit(200, blank)], ticks)).toMatchObject({ day: 100, status: 0 })
    expect(followed([visit(100), visit(200, { ...blank, ...loose }), visit(300)], ticks)).toMatchObject({
      day: 300,
      status: 1,
      clear: 100,
      looks: { events: 1, foundOutsideLook: 1, findingsNotCounted: 0 },
    })
    expect(followed([visit(100), visit(200, { ...blank, ...loose })], ticks)).toMatchObject({
      day: 100,
      status: 0,
      looks: { events: 0, findingsNotCounted: 1 },
    })
  })

  it('that came only after the restoration was gone does not bring a waiting finding back', () => {
    const visits = [
      visit(100),
      visit(200, { screw_checked: 'no', ...loose }),
      visit(300, { screw_checked: 'no', restoration_status: 'removed' }),
      visit(400),
    ]
    expect(followed(visits, { findingsOutsideLooks: 'next look' })).toMatchObject({
      day: 300,
      status: 2,
      looks: { findingsNotCounted: 1 },
    })
  })
})

describe('a look, seen from its day', () => {
  it('is read restoration by restoration, and visits without a day stand alone', () => {
    const undated = (id: string, more: object) => {
      const { days_since_delivery: _day, ...rest } = check(id, 0, more as never)
      return rest as ReturnType<typeof check>
    }
    const records = recordsOf({
      restorations: [crown('a'), crown('b')],
      visits: [
        undated('a', { screw_checked: 'no' }),
        undated('a', {}),
        check('a', 100, { screw_checked: 'no' }),
        check('b', 100),
        check('b', 200, { screw_checked: 'no', visit_type: 'telephone' }),
      ],
    })
    const reader = lookReader(records, 'screw_loosening')
    const read = (of: (row: number) => boolean) => [0, 1, 2, 3, 4].map(of)
    expect(read(reader.isLook)).toEqual([false, true, false, true, false])
    expect(read(reader.isMarkedNo)).toEqual([true, false, true, false, false])
    expect(read(reader.isInPerson)).toEqual([true, true, true, true, false])
  })

  it('with ticks needs its yes, and for what is no matter of the screw every visit in person is one', () => {
    const blanked = { ...check('a', 300) } as Record<string, string | number>
    delete blanked.screw_checked
    const records = recordsOf({
      restorations: [crown('a')],
      visits: [
        check('a', 100),
        check('a', 200, { screw_checked: 'no' }),
        blanked as never,
        check('a', 400, { visit_type: 'records_only' }),
      ],
    })
    const looks = (...asked: readonly unknown[]) =>
      [0, 1, 2, 3].map(
        (lookReader as (...all: readonly unknown[]) => ReturnType<typeof lookReader>)(records, ...asked)
          .isLook,
      )
    expect(looks('screw_loosening')).toEqual([true, false, true, false])
    expect(looks('screw_loosening', 'presumed')).toEqual([true, false, true, false])
    expect(looks('screw_loosening', 'ticks')).toEqual([true, false, false, false])
    expect(looks('veneer_chipping')).toEqual([true, true, true, false])
    expect(looks('veneer_chipping', 'ticks')).toEqual([true, true, true, false])
  })

  it('is not made by a blank tick where the records know no yes or no', () => {
    const blanked = { ...check('a', 300) } as Record<string, string | number>
    delete blanked.screw_checked
    const records = recordsOf({ restorations: [crown('a')], visits: [blanked as never] })
    expect(lookReader(records, 'screw_loosening').isLook(0)).toBe(true)
    expect(lookReader(records, 'screw_loosening').isMarkedNo(0)).toBe(false)
    expect(lookReader(records, 'screw_loosening', 'ticks').isLook(0)).toBe(false)
  })
})

describe('a loosening found at a visit marked no', () => {
  const visits = [visit(100), visit(200, { screw_checked: 'no', ...loose }), visit(350, blank)]

  it('counts on that day, and is counted as such', () => {
    expect(followed(visits)).toMatchObject({
      day: 200,
      status: 1,
      clear: 100,
      looks: { foundAtVisitMarkedNo: 1, foundOutsideLook: 0 },
    })
  })

  it('counts at the next look where that is asked for', () => {
    expect(followed(visits, { findingsOutsideLooks: 'next look' })).toMatchObject({
      day: 350,
      status: 1,
      clear: 100,
    })
  })
})

describe('what comparisons of follow-up need', () => {
  it('tells the first look, and a finding without a clean look before', () => {
    expect(followed([visit(0), visit(120), visit(200, loose)])).toMatchObject({ firstLook: 120, early: 0 })
    expect(followed([visit(0), visit(200, loose)])).toMatchObject({ firstLook: 200, early: 1 })
    expect(followed([visit(50, { screw_checked: 'no' }), visit(200, loose)])).toMatchObject({
      firstLook: 200,
      early: 1,
    })
  })

  it('lists the days on which each restoration was seen, and who was left out unseen', () => {
    const records = recordsOf({
      restorations: [
        crown('a'),
        crown('b', { patient_id: 'patient_a' }),
        crown('c', { observation_start_date: 500 }),
        crown('d', { restoration_type: 'full_arch' }),
        crown('e'),
      ],
      visits: [
        check('a', 0),
        check('a', 100),
        check('a', 100, { finding: 'veneer_chipping' }),
        check('a', 300, { screw_checked: 'no' }),
        check('a', 400, { visit_type: 'telephone' }),
        check('c', 400),
        check('d', 400),
        check('e', 0),
      ],
    })
    const cohort = buildCohort(records)
    const seen = cohort.seenDays()
    expect([...seen.first]).toEqual([0, 2])
    expect([...seen.days]).toEqual([100, 300])
    expect([...seen.look]).toEqual([1, 0])
    const unknown = cohort.unknownOutcomes()
    expect(unknown.reason).toEqual(['never-checked', 'no-time-at-risk', 'never-checked'])
    expect(unknown.patient[0]).toBe(cohort.patient[0])
    expect([...unknown.recordRow]).toEqual([1, 2, 4])
    expect(cohort.summary).toMatchObject({ checked: 1, neverChecked: 2 })
    expect(cohort.summary.looks).toMatchObject({ eligible: 4, deliveryDayOnly: 1, leftOut: 3 })
  })

  it('lists a day of each restoration, also where the one before was last seen on the same', () => {
    const seen = buildCohort(
      recordsOf({
        restorations: [crown('a'), crown('b'), crown('c')],
        visits: [check('a', 50), check('a', 100), check('b', 100), check('c', 100), check('c', 100)],
      }),
    ).seenDays()
    expect([...seen.first]).toEqual([0, 2, 3, 4])
    expect([...seen.days]).toEqual([50, 100, 100, 100])
  })

  it('leaves out restorations whose outcome cannot be read, and counts them', () => {
    const records = {
      ...recordsOf({ restorations: [crown('a'), crown('b')], visits: [check('a', 100), check('b', 100)] }),
      unreadableOutcome: Uint8Array.of(0, 1),
    }
    const { summary } = buildCohort(records)
    expect(summary.looks).toMatchObject({ eligible: 2, outcomeUnreadable: 1, leftOut: 1 })
    expect(summary.attrition.steps.find(({ code }) => code === 'outcome-unreadable')).toMatchObject({
      leftOut: 1,
    })
    expect(summary.attrition.included).toBe(1)
  })
})

describe('restorations that the user set aside since they cannot be read', () => {
  it('are unknown: they count among the eligible and the left out', () => {
    const records = recordsOf({
      restorations: [crown('a'), crown('b')],
      visits: [check('a', 100), check('b', 100)],
    })
    const { summary } = buildCohort({ ...records, quality: { ...records.quality, withdrawnRestorations: 3 } })
    expect(summary.looks).toMatchObject({ eligible: 5, outcomeUnreadable: 3, leftOut: 3 })
  })
})

describe('blanking ticks', () => {
  it('changes no time, no event and no last clean look, whichever ticks are blanked', () => {
    const random = randomStream(20261129, 1)
    const ids = Array.from({ length: 60 }, (_one, i) => `r${i}`)
    const visits = ids.flatMap((id) =>
      Array.from({ length: 5 }, (_one, k) =>
        check(id, 180 * (k + 1) + Math.floor(60 * random.uniform()), random.uniform() < 0.1 ? loose : {}),
      ),
    )
    const restorations = ids.map((id) => crown(id))
    const whole = buildCohort(recordsOf({ restorations, visits }))
    const blanked = buildCohort(
      recordsOf({
        restorations,
        visits: visits.map((row) => {
          const { screw_checked: _tick, ...rest } = row
          return random.uniform() < 0.5 ? (rest as typeof row) : row
        }),
      }),
    )
    expect([...blanked.timeDays]).toEqual([...whole.timeDays])
    expect([...blanked.status]).toEqual([...whole.status])
    expect([...blanked.lastClearDays]).toEqual([...whole.lastClearDays])
    expect(whole.summary.looks.events).toBeGreaterThan(10)
  })
})
