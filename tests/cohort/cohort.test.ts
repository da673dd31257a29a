import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { defaultDefinition, type EndpointName } from '../../src/cohort/definition.js'
import { CohortError } from '../../src/core/errors.js'
import { check, crown, recordsOf } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }

/** Day and status of the only restoration, followed through the visits given. */
function followed(
  visits: readonly ReturnType<typeof check>[],
  more: Parameters<typeof crown>[1] = {},
  endpoint: EndpointName = 'screw_loosening',
): { day: number; status: number; clear: number } {
  const cohort = buildCohort(recordsOf({ restorations: [crown('a', more)], visits }), {
    ...defaultDefinition,
    endpoint,
  })
  return { day: cohort.timeDays[0]!, status: cohort.status[0]!, clear: cohort.lastClearDays[0]! }
}

describe('a name that is not there', () => {
  const records = recordsOf({ restorations: [crown('a')], visits: [check('a', 100)] })
  const cohort = buildCohort(records)

  it('is refused with the nearest that is, and answers nothing', () => {
    expect(() => cohort.category('abutment_orgin' as never)).toThrow(
      /there is no field of labels in restorations "abutment_orgin"\..*Mend: did you mean abutment_origin\?/,
    )
    expect(() => cohort.number('implant_diameter' as never)).toThrow(/did you mean implant_diameter_mm\?/)
    expect(() => cohort.number('sex' as never)).toThrow(expect.objectContaining({ code: 'unknown-name' }))
    expect(() => cohort.has('bruxsim' as never)).toThrow(/did you mean bruxism\?/)
    for (const changes of [{ endpoint: 'screw_losening' }, { restorationTypes: ['single_crowns'] }]) {
      expect(() => cohort.redefined(changes as never)).toThrow(
        /did you mean (screw_loosening|single_crown)\?/,
      )
    }
  })

  it('is told from a field that these records do not have', () => {
    expect(cohort.has('bruxism')).toBe(false)
    expect(cohort.has('restoration_type')).toBe(true)
    expect([...cohort.category('bruxism').codes]).toEqual([-1])
  })
})

describe('an implant that is lost', () => {
  it('is the endpoint where the endpoint is implant loss, whether finding or reason of removal says so', () => {
    const removed = { restoration_status: 'removed', removal_reason: 'implant_loss', finding: 'other' }
    expect(followed([check('a', 100), check('a', 200, removed)], {}, 'implant_loss')).toMatchObject({
      day: 200,
      status: 1,
    })
  })
})

describe('time at risk for loosening', () => {
  it('runs to the day on which the loose screw was found', () => {
    expect(followed([check('a', 100), check('a', 200, loose), check('a', 300)])).toEqual({
      day: 200,
      status: 1,
      clear: 100,
    })
  })

  it('runs to the last check, not to a later visit without one', () => {
    expect(followed([check('a', 100), check('a', 500, { screw_checked: 'no' })])).toMatchObject({
      day: 100,
      status: 0,
    })
  })

  it('lies between delivery and the visit where the first check finds it', () => {
    expect(followed([check('a', 400, loose)])).toEqual({ day: 400, status: 1, clear: 0 })
  })

  it('takes the last clear check from before the visit, not from another row of the same visit', () => {
    expect(followed([check('a', 100), check('a', 200), check('a', 200, loose)])).toMatchObject({
      day: 200,
      clear: 100,
    })
  })

  it('counts a loosening found at a visit without a recorded check', () => {
    expect(followed([check('a', 90, { ...loose, screw_checked: 'no' })])).toMatchObject({
      day: 90,
      status: 1,
    })
  })

  it('counts an event on day 0 as an event at time 0', () => {
    const cohort = buildCohort(recordsOf({ restorations: [crown('a')], visits: [check('a', 0, loose)] }))
    expect(cohort.timeDays[0]).toBe(0)
    expect(cohort.summary.eventsOnDayZero).toBe(1)
  })

  it('is not ended by a fractured screw while the restoration stays in place', () => {
    const visits = [check('a', 100, { finding: 'screw_fracture' }), check('a', 300)]
    expect(followed(visits)).toMatchObject({ day: 300, status: 0 })
    expect(followed(visits, {}, 'screw_fracture')).toMatchObject({ day: 100, status: 1 })
    expect(followed(visits, {}, 'screw_complication')).toMatchObject({ day: 100, status: 1 })
  })
})

describe('competing events', () => {
  const removed = { restoration_status: 'removed', removal_reason: 'elective', screw_checked: 'no' }

  it('end the time at risk on their own day within the recall interval', () => {
    expect(followed([check('a', 300), check('a', 700, removed)])).toMatchObject({ day: 700, status: 2 })
    expect(followed([check('a', 300), check('a', 701, removed)])).toMatchObject({ day: 300, status: 0 })
  })

  it('are counted where they came later than that', () => {
    const late = recordsOf({
      restorations: [crown('a')],
      visits: [check('a', 300), check('a', 701, removed)],
    })
    expect(buildCohort(late).summary.competingBeyondRecall).toBe(1)
  })

  it('yield to a loosening found at the same visit', () => {
    expect(followed([check('a', 300, { ...loose, restoration_status: 'removed' })])).toMatchObject({
      status: 1,
    })
  })

  it('come from the status before the action taken, and from the action where the status is unknown', () => {
    const kept = { action_taken: 'remade', restoration_status: 'in_place_modified' }
    expect(followed([check('a', 50), check('a', 100, kept)])).toMatchObject({ day: 100, status: 0 })
    const { restoration_status: _status, ...unknown } = check('a', 100, { action_taken: 'remade' })
    expect(followed([check('a', 50), unknown])).toMatchObject({ day: 100, status: 2 })
  })

  it('of a death reach every restoration of the patient, each on its own day', () => {
    const cohort = buildCohort(
      recordsOf({
        restorations: [
          crown('a', { patient_id: 'p' }),
          crown('b', { patient_id: 'p', delivery_date: 18_100 }),
          crown('c', { patient_id: 'q' }),
        ],
        visits: [
          check('a', 200),
          check('a', 300, { patient_status: 'deceased', screw_checked: 'no', visit_type: 'records_only' }),
          check('b', 90),
          check('c', 90),
        ],
      }),
    )
    expect([...cohort.timeDays]).toEqual([300, 200, 90])
    expect([...cohort.status]).toEqual([2, 2, 0])
  })

  it('end the implant-loss endpoint only where the implant itself was not lost', () => {
    const lost = check('a', 100, { finding: 'implant_loss', restoration_status: 'lost' })
    expect(followed([lost], {}, 'implant_loss')).toMatchObject({ day: 100, status: 1 })
    expect(followed([check('a', 50), lost])).toMatchObject({ day: 100, status: 2 })
  })
})

describe('attrition', () => {
  const records = recordsOf({
    restorations: [
      crown('a'),
      crown('b', { restoration_type: 'full_arch' }),
      crown('c', { connection: 'screwless' }),
      crown('d'),
      crown('e', { observation_start_date: 400 }),
      crown('f', { observation_start_date: 400 }),
      crown('g', { observation_start_date: 100 }),
    ],
    visits: [
      ...['a', 'b', 'c', 'g'].map((id) => check(id, 365)),
      check('d', 365, { screw_checked: 'no' }),
      check('e', 365),
      check('f', 365, loose),
    ],
    setAside: 3,
  })

  it('accounts for every row, with a reason', () => {
    const { attrition } = buildCohort(records).summary
    const counted = attrition.steps
      .filter((step) => step.leftOut > 0)
      .map((step) => [step.code, step.leftOut])
    expect(counted).toEqual([
      ['set-aside', 3],
      ['other-type', 1],
      ['screwless', 1],
      ['event-before-recording', 1],
      ['never-checked', 1],
      ['no-time-at-risk', 1],
    ])
    expect(attrition.rowsRead - attrition.steps.reduce((sum, step) => sum + step.leftOut, 0)).toBe(2)
    expect(attrition.included).toBe(2)
  })

  it('lets a restoration enter on the day from which findings were recorded', () => {
    expect([...buildCohort(records).entryDays]).toEqual([0, 100])
  })

  it('refuses an empty cohort with the account of why', () => {
    const none = recordsOf({ restorations: [crown('a'), crown('b', { restoration_type: 'full_arch' })] })
    expect(() => buildCohort(none)).toThrow(CohortError)
    expect(() => buildCohort(none)).toThrow(
      'no restoration has time at risk; left out: 1 other-type; 1 never-checked. Expected: at least one single crown on a screw joint whose screw was checked after delivery. Mend: define the cohort for the types of restoration that you have.',
    )
  })
})
