import { describe, expect, it } from 'vitest'
import { buildCohort, competingCauseName } from '../../src/cohort/cohort.js'
import { type CohortDefinition, defaultDefinition } from '../../src/cohort/definition.js'
import { competingCauses, findingPlaces, followHistories } from '../../src/cohort/endpoint.js'
import { missingDay } from '../../src/records/columns.js'
import { check, crown, recordsOf } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const no = { screw_checked: 'no' }

/** The history of the only restoration, days that are not known as undefined. */
function history(visits: readonly object[], changes: Partial<CohortDefinition> = {}) {
  const records = recordsOf({ restorations: [crown('a')], visits: visits as never })
  const all = followHistories(records, { ...defaultDefinition, ...changes })
  const day = (column: Int32Array) => (column[0] === missingDay ? undefined : column[0])
  return {
    event: day(all.eventDay),
    place: findingPlaces[all.findingPlace[0]!],
    firstLook: day(all.firstLookDay),
    clear: day(all.lastClearDay),
    onset: day(all.onsetDay),
    lastLook: day(all.lastLookDay),
    contact: day(all.lastContactDay),
    competing: day(all.competingDay),
    cause: competingCauses[all.competingCause[0]!],
  }
}

const dayless = (more: object) => {
  const { days_since_delivery: _day, ...rest } = check('a', 0, more as never)
  return rest
}

describe('the history of a restoration', () => {
  it('without a visit says nothing', () => {
    expect(history([])).toMatchObject({
      event: undefined,
      place: 'nowhere',
      firstLook: undefined,
      clear: 0,
      onset: undefined,
      lastLook: undefined,
      contact: undefined,
      competing: undefined,
    })
  })

  it('keeps the first finding, when it was first noticed, and the looks before it apart', () => {
    expect(
      history([
        check('a', 0),
        check('a', 100),
        check('a', 180),
        check('a', 300, { ...loose, onset_day: 250 }),
        check('a', 400, { ...loose, onset_day: 390 }),
        check('a', 500),
      ]),
    ).toMatchObject({
      event: 300,
      place: 'at-look',
      firstLook: 100,
      clear: 180,
      onset: 250,
      lastLook: 500,
      contact: 500,
    })
  })

  it('reads nothing from a visit without a day', () => {
    const visits = [dayless(loose), check('a', 200), dayless({ restoration_status: 'removed' })]
    expect(history(visits)).toMatchObject({
      event: undefined,
      place: 'nowhere',
      lastLook: 200,
      contact: 200,
      competing: undefined,
    })
  })

  it('takes no look without a day for the last clean one', () => {
    expect(history([dayless({}), check('a', 200, loose)])).toMatchObject({
      event: 200,
      clear: 0,
      firstLook: 200,
    })
  })

  it('says where a finding was made', () => {
    expect(history([check('a', 100, { ...loose, ...no })]).place).toBe('marked-no')
    expect(history([check('a', 100, { ...loose, visit_type: 'telephone' })]).place).toBe('outside-look')
    expect(history([check('a', 100, loose)]).place).toBe('at-look')
    // By telephone nothing is marked: the "no" of a call says nothing of a look.
    expect(history([check('a', 100, { ...loose, ...no, visit_type: 'telephone' })]).place).toBe(
      'outside-look',
    )
  })

  it('lets a finding outside a look count as a look on its day, unless it waits for the next', () => {
    const visits = [check('a', 100), check('a', 200, { ...loose, ...no }), check('a', 350)]
    expect(history(visits)).toMatchObject({ event: 200, clear: 100, lastLook: 350 })
    expect(history(visits, { findingsOutsideLooks: 'next look' })).toMatchObject({ event: 350, clear: 100 })
    expect(history(visits.slice(0, 2))).toMatchObject({ lastLook: 200 })
    expect(history(visits.slice(0, 2), { findingsOutsideLooks: 'next look' })).toMatchObject({
      event: undefined,
      place: 'marked-no',
      lastLook: 100,
    })
    // To the last contact of any kind every visit is a look, so that nothing waits.
    expect(history(visits, { findingsOutsideLooks: 'next look', riskEndsAt: 'last contact' })).toMatchObject({
      event: 200,
    })
  })

  it('keeps the onset of a finding that waits, and reads the waiting look on the day of a removal', () => {
    const waits = { findingsOutsideLooks: 'next look' } as const
    const called = check('a', 200, { ...loose, visit_type: 'telephone', onset_day: 190 })
    expect(history([called, check('a', 260)], waits)).toMatchObject({ event: 260, onset: 190 })
    const removed = check('a', 300, { ...no, restoration_status: 'removed' })
    expect(history([called, removed, check('a', 400)], waits).event).toBeUndefined()
    expect(
      history([called, removed, { ...check('a', 300), restoration_status: 'removed' }], waits),
    ).toMatchObject({ event: 300 })
    expect(history([called, dayless({}), check('a', 260)], waits)).toMatchObject({ event: 260 })
  })

  it('reads no look after the restoration was gone, but contacts', () => {
    expect(
      history([
        check('a', 100),
        check('a', 200, { ...no, restoration_status: 'removed' }),
        check('a', 300),
        check('a', 350, { restoration_status: 'removed', removal_reason: 'implant_loss' }),
        check('a', 400, loose),
      ]),
    ).toMatchObject({ lastLook: 100, clear: 100, contact: 400, competing: 200, cause: 'removed or remade' })
  })

  it('reads a look on the day on which the restoration was gone', () => {
    // Rows of a day are one visit, and a "yes" among them wins.
    expect(
      history([check('a', 200, { ...no, restoration_status: 'removed' }), check('a', 200)]),
    ).toMatchObject({ competing: 200, lastLook: 200 })
    expect(history([check('a', 200, { ...no, restoration_status: 'removed' })])).toMatchObject({
      competing: 200,
      lastLook: undefined,
    })
    expect(history([check('a', 150), check('a', 200, { restoration_status: 'removed' })])).toMatchObject({
      competing: 200,
      lastLook: 200,
      clear: 200,
    })
  })
})

describe('what competes', () => {
  const cause = (more: object, endpoint: CohortDefinition['endpoint'] = 'screw_loosening') => {
    const { competing, cause: by } = history([check('a', 100), check('a', 200, more as never)], { endpoint })
    return competing === undefined ? 'nothing' : by
  }
  const statusless = (more: object) => {
    const { restoration_status: _status, ...rest } = check('a', 200, more as never)
    const { competing, cause: by } = history([check('a', 100), rest])
    return competing === undefined ? 'nothing' : by
  }

  it('is removal, loss and remaking, and implant loss by whatever says so', () => {
    expect(cause({ restoration_status: 'removed' })).toBe('removed or remade')
    expect(cause({ restoration_status: 'lost' })).toBe('removed or remade')
    expect(cause({ restoration_status: 'in_place' })).toBe('nothing')
    expect(cause({ finding: 'implant_loss' })).toBe('implant loss')
    expect(cause({ restoration_status: 'removed', removal_reason: 'implant_loss' })).toBe('implant loss')
    expect(cause({ restoration_status: 'removed', action_taken: 'implant_removed' })).toBe('implant loss')
    // The status decides: what was done to a restoration in place did not end it.
    expect(cause({ action_taken: 'implant_removed' })).toBe('nothing')
    expect(statusless({ action_taken: 'remade' })).toBe('removed or remade')
    expect(statusless({ action_taken: 'implant_removed' })).toBe('implant loss')
    expect(statusless({ action_taken: 'tightened' })).toBe('nothing')
    expect(statusless({})).toBe('nothing')
  })

  it('is not the endpoint itself', () => {
    expect(cause({ finding: 'implant_loss' }, 'implant_loss')).toBe('nothing')
    expect(cause({ restoration_status: 'removed' }, 'implant_loss')).toBe('removed or remade')
    expect(cause({ restoration_status: 'removed' }, 'removal')).toBe('nothing')
    const removal = (more: object) =>
      history([check('a', 100), check('a', 200, more as never)], { endpoint: 'removal' }).event
    expect(removal({ restoration_status: 'lost' })).toBe(200)
    expect(removal({ finding: 'implant_loss' })).toBe(200)
    expect(removal({})).toBeUndefined()
  })

  it('has a name by its code, and another where there is none', () => {
    expect([0, 1, 2, 3].map(competingCauseName)).toEqual([
      'implant loss',
      'removed or remade',
      'death',
      'other',
    ])
  })
})

describe('a death', () => {
  const died = (id: string, day: number) =>
    check(id, day, { patient_status: 'deceased', ...no, visit_type: 'records_only' })
  const twins = (second: object, visits: readonly object[]) =>
    followHistories(
      recordsOf({
        restorations: [
          crown('a', { patient_id: 'p' }),
          { ...crown('b', { patient_id: 'p' }), ...second },
        ] as never,
        visits: visits as never,
      }),
      defaultDefinition,
    )

  it('comes on its own day of each restoration, and not before delivery', () => {
    const { competingDay, competingCause } = twins({ delivery_date: 18_300 }, [died('a', 300)])
    expect([...competingDay]).toEqual([300, 0])
    expect([...competingCause].map(competingCauseName)).toEqual(['death', 'death'])
    expect([...twins({ delivery_date: 18_301 }, [died('a', 300)]).competingDay]).toEqual([300, missingDay])
  })

  it('comes after what ended the restoration before, and before what is recorded later', () => {
    const gone = (day: number) => check('b', day, { ...no, restoration_status: 'removed' })
    const earlier = twins({}, [died('a', 300), gone(200)])
    expect([earlier.competingDay[1], competingCauseName(earlier.competingCause[1]!)]).toEqual([
      200,
      'removed or remade',
    ])
    const same = twins({}, [died('a', 300), gone(300)])
    expect(competingCauseName(same.competingCause[1]!)).toBe('removed or remade')
    const later = twins({}, [died('a', 300), gone(301)])
    expect([later.competingDay[1], competingCauseName(later.competingCause[1]!)]).toEqual([300, 'death'])
  })

  it('comes before a look that is dated after it', () => {
    const cohort = buildCohort(
      recordsOf({ restorations: [crown('a')], visits: [check('a', 100), died('a', 300), check('a', 350)] }),
    )
    expect([cohort.timeDays[0], cohort.status[0]]).toEqual([300, 2])
  })

  it('on the day of a finding yields to it, and a finding after what ended the restoration yields to that', () => {
    const end = (visits: readonly object[]) => {
      const cohort = buildCohort(recordsOf({ restorations: [crown('a')], visits: visits as never }))
      return [cohort.timeDays[0], cohort.status[0], cohort.summary.looks.events]
    }
    expect(end([check('a', 100), check('a', 300, loose), died('a', 300)])).toEqual([300, 1, 1])
    expect(end([check('a', 100), died('a', 299), check('a', 300, loose)])).toEqual([299, 2, 0])
    const gone = check('a', 200, { ...no, restoration_status: 'removed' })
    expect(end([check('a', 100), gone, check('a', 300, loose)])).toEqual([200, 2, 0])
    expect(end([check('a', 100), gone, check('a', 200, loose)])).toEqual([200, 1, 1])
  })

  it('recorded twice is the earlier', () => {
    for (const visits of [
      [died('a', 300), died('b', 250)],
      [died('a', 250), died('b', 300)],
    ]) {
      expect([...twins({}, visits).competingDay]).toEqual([250, 250])
    }
  })

  it('reaches only its own restoration where a delivery is not dated', () => {
    const { delivery_date: _date, ...undated } = crown('b', { patient_id: 'p' })
    const days = (visits: readonly object[]) => [
      ...followHistories(
        recordsOf({
          restorations: [crown('a', { patient_id: 'p' }), undated as never],
          visits: visits as never,
        }),
        defaultDefinition,
      ).competingDay,
    ]
    expect(days([died('a', 300)])).toEqual([300, missingDay])
    expect(days([died('b', 300)])).toEqual([missingDay, 300])
  })

  it('reaches the others of the patient, also where one more delivery is not dated', () => {
    const { delivery_date: _date, ...undated } = crown('b', { patient_id: 'p' })
    const { competingDay } = followHistories(
      recordsOf({
        restorations: [
          crown('a', { patient_id: 'p' }),
          undated as never,
          crown('c', { patient_id: 'p', delivery_date: 18_100 }),
        ],
        visits: [died('a', 300), died('b', 700)],
      }),
      defaultDefinition,
    )
    expect([...competingDay]).toEqual([300, 700, 200])
  })

  it('without a day ends nothing, takes nothing back, and reaches no other patient', () => {
    const { days_since_delivery: _day, ...undated } = died('a', 0)
    expect([...twins({}, [undated]).competingDay]).toEqual([missingDay, missingDay])
    const gone = check('a', 200, { ...no, restoration_status: 'removed' })
    expect([...twins({}, [gone, undated]).competingDay]).toEqual([200, missingDay])
    expect([...twins({ patient_id: 'q' }, [died('a', 300)]).competingDay]).toEqual([300, missingDay])
  })

  it('ends the time at risk of a restoration that was looked at within recall', () => {
    const cohort = buildCohort(
      recordsOf({ restorations: [crown('a')], visits: [check('a', 100), died('a', 300)] }),
    )
    expect([cohort.timeDays[0], cohort.status[0], cohort.lastContactDays[0]]).toEqual([300, 2, 300])
    expect(competingCauseName(cohort.competingCause[0]!)).toBe('death')
  })
})
