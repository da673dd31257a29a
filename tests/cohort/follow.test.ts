import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { defaultDefinition } from '../../src/cohort/definition.js'
import { check, crown, recordsOf, tightening } from './recordsOf.js'

const later = (id: string, day: number, more = {}) =>
  tightening(id, 0, { context: 'recall_check', days_since_delivery: day, ...more })

describe('later tightenings', () => {
  const records = recordsOf({
    restorations: ['a', 'b', 'c', 'd', 'e'].map((id) => crown(id)),
    tightenings: [
      tightening('a', 0, { days_since_delivery: 0 }),
      later('a', 700),
      later('a', 365),
      later('b', 365, { action: 'removal_measurement' }),
      later('c', 200, { context: 'after_loosening' }),
      later('d', 0),
      tightening('e', 0, { context: 'recall_check' }),
    ],
    visits: ['a', 'b', 'c', 'd', 'e'].map((id) => check(id, 800)),
  })

  it('are the first at a recall check, after delivery, with a known day, and no bench measurement', () => {
    expect([...buildCohort(records).laterTighteningDays()]).toEqual([
      365,
      Number.NaN,
      Number.NaN,
      Number.NaN,
      Number.NaN,
    ])
  })
})

describe('a tightening called delivery', () => {
  const dayOf = (tightenings: readonly object[]) => [
    ...buildCohort(
      recordsOf({
        restorations: [crown('a'), crown('b')],
        tightenings: tightenings as never,
        visits: [check('a', 800), check('b', 800)],
      }),
    ).laterTighteningDays(),
  ]

  it('but dated after its day is a later one, the earliest standing', () => {
    expect(dayOf([tightening('a', 0, { days_since_delivery: 1 })])).toEqual([1, Number.NaN])
    expect(dayOf([tightening('b', 0, { days_since_delivery: 90 }), later('b', 30)])).toEqual([Number.NaN, 30])
    expect(dayOf([later('b', 30), tightening('b', 0, { days_since_delivery: 90 })])).toEqual([Number.NaN, 30])
    expect(dayOf([tightening('a', 0, { days_since_delivery: 0 })])).toEqual([Number.NaN, Number.NaN])
  })

  it('is none without a context or an action to say so, nor where nothing was tightened', () => {
    const { context: _context, ...placeless } = later('a', 100)
    expect(dayOf([placeless])).toEqual([Number.NaN, Number.NaN])
    expect(dayOf([placeless, later('b', 200)])).toEqual([Number.NaN, 200])
    const { action: _action, ...bare } = later('a', 100)
    expect(dayOf([bare])).toEqual([100, Number.NaN])
    // What is recorded first of all is a measurement.
    const bench = later('a', 100, { action: 'removal_measurement' })
    expect(dayOf([bench, later('a', 200)])).toEqual([200, Number.NaN])
    expect(dayOf([])).toEqual([Number.NaN, Number.NaN])
  })
})

describe('visit counts', () => {
  it('begin after entry and after the day of delivery, and end with the time at risk', () => {
    const { days_since_delivery: _day, ...dayless } = check('a', 0, { visit_type: 'telephone' })
    const { visit_type: _type, ...untyped } = check('a', 120)
    const records = recordsOf({
      restorations: [crown('a'), crown('b', { observation_start_date: 100 })],
      visits: [
        dayless as never,
        check('a', 0),
        untyped as never,
        check('a', 200),
        check('a', 300, { visit_type: 'telephone' }),
        check('b', 100),
        check('b', 150, { visit_type: 'unscheduled' }),
        check('b', 170),
      ],
    })
    const counts = buildCohort(records).visitCounts()
    expect([...counts.looks]).toEqual([2, 2])
    expect([...counts.scheduledLooks]).toEqual([1, 1])
    expect([...counts.contacts]).toEqual([2, 2])
  })

  it('know no scheduled visit where none is called so', () => {
    const { visit_type: _type, ...untyped } = check('a', 120)
    const counts = buildCohort(
      recordsOf({ restorations: [crown('a')], visits: [untyped as never] }),
    ).visitCounts()
    expect([...counts.looks]).toEqual([1])
    expect([...counts.scheduledLooks]).toEqual([0])
  })

  it('count each day once, while at risk, and tell scheduled looks from others', () => {
    const records = recordsOf({
      restorations: [crown('a'), crown('b', { observation_start_date: 150 })],
      visits: [
        check('a', 100),
        check('a', 100, { finding: 'veneer_chipping' }),
        check('a', 200, { visit_type: 'unscheduled' }),
        check('a', 300, { screw_checked: 'no' }),
        check('a', 400, { finding: 'screw_loosening' }),
        check('a', 500),
        check('b', 100),
        check('b', 200),
      ],
    })
    const counts = buildCohort(records).visitCounts()
    expect([...counts.scheduledLooks]).toEqual([2, 1])
    expect([...counts.looks]).toEqual([3, 1])
    expect([...counts.contacts]).toEqual([4, 1])
  })
})

describe('attrition by group', () => {
  it('accounts for every restoration of the records by its exposure, unknown among them', () => {
    const records = recordsOf({
      restorations: [
        crown('a'),
        crown('b', { restoration_type: 'full_arch' }),
        crown('c'),
        crown('d'),
        crown('e', { connection: 'screwless' }),
      ],
      tightenings: [
        tightening('a', 0),
        tightening('b', 0),
        tightening('c', 0),
        tightening('c', 12),
        tightening('e', 0),
      ],
      visits: ['a', 'b', 'd', 'e'].map((id) => check(id, 365)),
    })
    expect(buildCohort(records).attritionByGroup()).toEqual([
      {
        group: 'single',
        restorations: 3,
        leftOut: [
          { code: 'other-type', restorations: 1 },
          { code: 'screwless', restorations: 1 },
        ],
        leftOutTotal: 2,
        included: 1,
      },
      {
        group: 'repeated in the window',
        restorations: 1,
        leftOut: [{ code: 'never-checked', restorations: 1 }],
        leftOutTotal: 1,
        included: 0,
      },
      { group: 'unknown', restorations: 1, leftOut: [], leftOutTotal: 0, included: 1 },
    ])
  })
})

describe('a cohort by another definition', () => {
  const records = recordsOf({
    restorations: [crown('a'), crown('b')],
    visits: [
      check('a', 100),
      check('a', 300, { screw_checked: 'no', finding: 'veneer_chipping' }),
      check('b', 200, { screw_checked: 'no', visit_type: 'telephone' }),
    ],
  })
  const cohort = buildCohort(records)

  it('follows another endpoint of the same records', () => {
    const chipping = cohort.redefined({ endpoint: 'veneer_chipping' })
    expect([...chipping.timeDays]).toEqual([300])
    expect([...chipping.status]).toEqual([1])
    expect(cohort.definition).toEqual(defaultDefinition)
  })

  it('runs time at risk to the last contact of any kind where that is asked for', () => {
    expect([...cohort.timeDays]).toEqual([100])
    const contacts = cohort.redefined({ riskEndsAt: 'last contact' })
    expect([...contacts.timeDays]).toEqual([300, 200])
    expect(contacts.summary.neverChecked).toBe(0)
  })
})
