import { describe, expect, it } from 'vitest'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { covariateValues, textCovariate } from '../../src/cohort/covariates.js'
import { defaultDefinition, exposureGroups } from '../../src/cohort/definition.js'
import { knownDeliveryDay, latestDeliveryDay } from '../../src/cohort/deliveryDay.js'
import { chartedWays } from '../../src/cohort/exposure.js'
import { possibleFollowUp } from '../../src/cohort/possibleFollowUp.js'
import { dayFromIso, daysPerYear } from '../../src/core/calendar.js'
import { missingDay } from '../../src/records/columns.js'
import { isScrewEndpoint } from '../../src/vocabulary/endpoints.js'
import { check, crown, recordsOf, tightening } from './recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const no = { screw_checked: 'no' }
const { delivery_date: _date, ...undatedCrown } = crown('x')
/** A crown of which only the year of delivery is known, or not even that. */
const undated = (id: string, more = {}) => ({ ...undatedCrown, restoration_id: id, patient_id: id, ...more })

/**
 * Eight restorations in the cohort by default. a loosens with a clean look before, b without, c at a visit marked no, d by
 * telephone; e is removed within recall, f long after it; g was found but waits where findings wait; h was only contacted
 * by telephone; i is of another type; j only ever seen at delivery.
 */
const records = recordsOf({
  restorations: [
    crown('a', {
      patient_id: 'p',
      clinic_id: 'B',
      operator_id: 'o2',
      implant_diameter_mm: 4.1,
      sex: 'female',
    }),
    crown('b', {
      patient_id: 'q',
      clinic_id: 'A',
      operator_id: 'o1',
      delivery_date: dayFromIso('2017-06-01')!,
    }),
    crown('c', { patient_id: 'p', clinic_id: 'A', operator_id: 'o1', implant_diameter_mm: 3.5 }),
    crown('d', { clinic_id: 'C', delivery_date: dayFromIso('2021-06-01')! }),
    crown('e', { observation_start_date: 50 }),
    crown('f'),
    crown('g'),
    crown('h', { patient_id: 'q', operator_id: 'o3', sex: 'male', implant_diameter_mm: 5, clinic_id: 'D' }),
    crown('i', { restoration_type: 'full_arch', clinic_id: 'Z' }),
    crown('j', { patient_id: 'late' }),
  ],
  tightenings: [tightening('a', 0), tightening('a', 12), tightening('b', 0), tightening('h', 0)].map(
    (row) => row,
  ),
  visits: [
    check('a', 0),
    check('a', 100),
    check('a', 200, { ...loose, onset_day: 150 }),
    check('b', 250, loose),
    check('c', 100),
    check('c', 300, { ...loose, ...no }),
    check('d', 100),
    check('d', 400, { ...loose, visit_type: 'telephone' }),
    check('e', 300),
    check('e', 500, { ...no, restoration_status: 'removed' }),
    check('f', 300),
    check('f', 900, { ...no, restoration_status: 'removed' }),
    check('g', 300),
    check('h', 300, { visit_type: 'telephone' }),
    check('i', 300),
    check('j', 0),
  ],
})
const cohort = buildCohort(records)

describe('the columns of a cohort', () => {
  it('hold for each restoration when it was at risk and what ended that', () => {
    expect([...cohort.recordRow]).toEqual([0, 1, 2, 3, 4, 5, 6])
    expect(cohort.n).toBe(7)
    expect([...cohort.timeDays]).toEqual([200, 250, 300, 400, 500, 300, 300])
    expect([...cohort.entryDays]).toEqual([0, 0, 0, 0, 50, 0, 0])
    expect([...cohort.status]).toEqual([1, 1, 1, 1, 2, 0, 0])
    expect(cohort.competingCause[4]).toBe(1)
    expect([...cohort.lastClearDays]).toEqual([100, 0, 100, 100, 300, 300, 300])
    expect([...cohort.firstLookDays]).toEqual([100, 250, 100, 100, 300, 300, 300])
    expect([...cohort.earlyEvent]).toEqual([0, 1, 0, 0, 0, 0, 0])
    expect([...cohort.findingPlace]).toEqual([1, 1, 2, 3, 0, 0, 0])
    expect([...cohort.onsetDays]).toEqual([150, ...Array(6).fill(Number.NaN)])
    expect([...cohort.lastContactDays]).toEqual([200, 250, 300, 400, 500, 900, 300])
    expect([...cohort.patient]).toEqual([0, 1, 0, 2, 3, 4, 5])
    expect([...cohort.deliveryYear]).toEqual([2019, 2017, 2019, 2021, 2019, 2019, 2019])
    expect([...cohort.deliveryDay].slice(0, 2)).toEqual([18_000, dayFromIso('2017-06-01')])
  })

  it('hold what was done at delivery', () => {
    expect(Array.from(cohort.exposure, (code) => exposureGroups[code])).toEqual([
      'repeated in the window',
      'single',
      ...Array(5).fill('unknown'),
    ])
    expect([...cohort.waitMinutes]).toEqual([12, ...Array(6).fill(Number.NaN)])
    expect([...cohort.secondRecorded()]).toEqual([1, 0, 0, 0, 0, 0, 0])
    expect([...cohort.exposureFromReport()]).toEqual(Array(7).fill(0))
  })

  it('hold fields by the rows, with every label of the records', () => {
    expect(textCovariate(cohort, 'sex')).toEqual(['female', ...Array(6).fill(undefined)])
    expect(cohort.category('sex').labels).toEqual(['female', 'male'])
    expect([...cohort.number('implant_diameter_mm')].slice(0, 3)).toEqual([4.1, Number.NaN, 3.5])
    expect(cohort.clinic.labels).toEqual(['B', 'A', 'C', 'D', 'Z'])
  })

  it('are of the rows asked for as covariates', () => {
    const rows = Int32Array.of(2, 0, 1)
    expect(covariateValues(cohort, rows, 'implant_diameter_mm')).toEqual([3.5, 4.1, undefined])
    expect(covariateValues(cohort, rows, 'sex')).toEqual([undefined, 'female', undefined])
    expect(covariateValues(cohort, rows, 'delivery_year')).toEqual([2019, 2019, 2017])
    expect(covariateValues(cohort, rows, 'operator')).toEqual(['o1', 'o2', 'o1'])
    expect(covariateValues(cohort, rows, 'delivery_day')).toEqual([
      18_000 / 365.25,
      18_000 / 365.25,
      dayFromIso('2017-06-01')! / 365.25,
    ])
    expect(() => covariateValues(cohort, rows, 'delivery_dya' as never)).toThrow('did you mean delivery_day?')
  })

  it('are frozen, and so is what is said of them', () => {
    expect(Object.isFrozen(cohort)).toBe(true)
    expect(Object.isFrozen(cohort.summary)).toBe(true)
    expect(Object.isFrozen(cohort.summary.looks)).toBe(true)
  })
})

describe('what a cohort says of itself', () => {
  const { summary } = cohort

  it('counts patients, clinics, operators and years of those in it', () => {
    expect(summary.patients).toBe(6)
    expect(summary.clinics).toEqual(['A', 'B', 'C'])
    expect(summary.operators).toBe(2)
    expect(summary.deliveryYears).toEqual({ first: 2017, last: 2021 })
    expect(summary.checked).toBe(7)
    expect(summary.neverChecked).toBe(2)
    expect(summary.source).toBe(records.source)
    expect(summary.quality).toBe(records.quality)
  })

  it('tells what its events rest on', () => {
    expect(summary.looks).toEqual({
      events: 4,
      eventsWithCleanLook: 3,
      foundAtVisitMarkedNo: 1,
      foundOutsideLook: 1,
      findingsNotCounted: 0,
      deliveryDayOnly: 1,
      eligible: 9,
      outcomeUnreadable: 0,
      leftOut: 2,
    })
    expect(summary.competingBeyondRecall).toBe(1)
    expect(summary.eventsOnDayZero).toBe(0)
    // Where findings wait for a look that never came, they are counted aloud, in the cohort and out of it.
    const waiting = cohort.redefined({ findingsOutsideLooks: 'next look' })
    expect(waiting.summary.looks).toMatchObject({
      events: 2,
      foundAtVisitMarkedNo: 0,
      foundOutsideLook: 0,
      findingsNotCounted: 2,
    })
  })

  it('counts restorations by exposure group, those that disagree and those by the chart alone', () => {
    expect(summary.exposure).toEqual(
      exposureGroups.map((group) => ({
        group,
        restorations: { single: 1, 'repeated in the window': 1, unknown: 5 }[group as string] ?? 0,
      })),
    )
    const charted = buildCohort(
      recordsOf({
        restorations: [
          crown('a', { tightening_group: 'single' }),
          crown('b', { tightening_group: 'repeated' }),
          crown('c', { tightening_group: 'single' }),
          crown('d', { tightening_group: 'other' }),
          crown('e', { tightening_group: 'unheard of' }),
          crown('f', { tightening_group: 'single', restoration_type: 'full_arch' }),
        ],
        tightenings: [tightening('a', 0), tightening('b', 0)],
        visits: ['a', 'b', 'c', 'd', 'e', 'f'].map((id) => check(id, 100)),
      }),
    )
    expect(charted.summary.exposureDisagreements).toBe(1)
    expect(charted.summary.exposureFromReportOnly).toBe(2)
    expect([...charted.exposureFromReport()]).toEqual([0, 0, 1, 1, 0])
    expect(Array.from(charted.charted(), (code) => chartedWays[code])).toEqual([
      'single',
      'repeated',
      'single',
      'other',
      'nothing',
    ])
    expect(Array.from(charted.exposure, (code) => exposureGroups[code])).toEqual([
      'single',
      'single',
      'single, by the chart',
      'other',
      'unknown',
    ])
  })

  it('keeps those who were only seen at delivery where nobody else is left, so that it can say so', () => {
    const only = buildCohort(
      recordsOf({ restorations: [crown('a'), crown('b')], visits: [check('a', 0), check('b', 0)] }),
    )
    expect([...only.timeDays]).toEqual([0, 0])
    expect(only.summary.looks).toMatchObject({ deliveryDayOnly: 2, leftOut: 2, eligible: 2 })
    expect(only.summary.neverChecked).toBe(0)
    const gone = check('a', 200, { ...no, restoration_status: 'removed' })
    const removed = buildCohort(recordsOf({ restorations: [crown('a')], visits: [check('a', 0), gone] }))
    expect([removed.status[0], removed.lastClearDays[0], removed.earlyEvent[0]]).toEqual([2, 0, 0])
    // A loosening on the day of delivery is an event, and so known.
    const found = buildCohort(
      recordsOf({ restorations: [crown('a'), crown('b')], visits: [check('a', 0, loose), check('b', 0)] }),
    )
    expect([...found.recordRow]).toEqual([0])
    expect(found.summary.looks).toMatchObject({ deliveryDayOnly: 1, leftOut: 1, eligible: 2 })
  })

  it('accounts for rows that were the same and became one', () => {
    const { quality } = records
    const twice = {
      ...records,
      quality: {
        ...quality,
        rows: { ...quality.rows, restorations: { read: records.restorations.rowCount + 4, setAside: 1 } },
      },
    }
    expect(buildCohort(twice).summary.attrition).toEqual({
      rowsRead: 14,
      steps: [
        { code: 'identical-rows', leftOut: 3, remaining: 11 },
        { code: 'set-aside', leftOut: 1, remaining: 10 },
        { code: 'other-type', leftOut: 1, remaining: 9 },
        { code: 'type-unknown', leftOut: 0, remaining: 9 },
        { code: 'screwless', leftOut: 0, remaining: 9 },
        { code: 'event-before-recording', leftOut: 0, remaining: 9 },
        { code: 'outcome-unreadable', leftOut: 0, remaining: 9 },
        { code: 'never-checked', leftOut: 2, remaining: 7 },
        { code: 'no-time-at-risk', leftOut: 0, remaining: 7 },
      ],
      included: 7,
    })
    expect(cohort.summary.attrition.steps[0]!.code).toBe('set-aside')
  })
})

describe('the account of a group', () => {
  it('names its reasons in one order, whoever comes first', () => {
    const groups = buildCohort(
      recordsOf({
        restorations: [
          crown('a'),
          crown('b', { connection: 'screwless' }),
          crown('c', { restoration_type: 'full_arch' }),
          crown('d'),
          crown('e'),
        ],
        visits: [check('b', 100), check('c', 100), check('d', 100)],
      }),
    ).attritionByGroup()
    expect(groups).toEqual([
      {
        group: 'unknown',
        restorations: 5,
        leftOut: [
          { code: 'never-checked', restorations: 2 },
          { code: 'other-type', restorations: 1 },
          { code: 'screwless', restorations: 1 },
        ],
        leftOutTotal: 4,
        included: 1,
      },
    ])
    expect(Object.isFrozen(groups[0]!.leftOut[0])).toBe(true)
  })
})

describe('those of unknown outcome', () => {
  const unknown = cohort.unknownOutcomes()

  it('are described as those in the cohort are', () => {
    expect(unknown.n).toBe(2)
    expect([...unknown.recordRow]).toEqual([7, 9])
    expect(unknown.reason).toEqual(['never-checked', 'never-checked'])
    // The patient of h is that of b; that of j is in no other restoration.
    expect([...unknown.patient]).toEqual([cohort.patient[1], 6])
    expect(Array.from(unknown.clinic.codes, (code) => unknown.clinic.labels[code])).toEqual(['D', undefined])
    expect(Array.from(unknown.operator.codes, (code) => unknown.operator.labels[code])).toEqual([
      'o3',
      undefined,
    ])
    expect(Array.from(unknown.exposure, (code) => exposureGroups[code])).toEqual(['single', 'unknown'])
    expect([...unknown.deliveryYear]).toEqual([2019, 2019])
    expect([...unknown.deliveryDay]).toEqual([18_000, 18_000])
    expect([...unknown.lastContactDays]).toEqual([300, 0])
    expect([...unknown.category('sex').codes]).toEqual([1, -1])
    expect([...unknown.number('implant_diameter_mm')]).toEqual([5, Number.NaN])
    expect(() => unknown.category('sexe' as never)).toThrow('did you mean sex?')
    expect(() => unknown.number('implant_diameter' as never)).toThrow('did you mean implant_diameter_mm?')
  })

  it('have no last contact where there was none', () => {
    const alone = buildCohort(
      recordsOf({ restorations: [crown('a'), crown('b')], visits: [check('a', 100)] }),
    )
    expect([...alone.unknownOutcomes().lastContactDays]).toEqual([Number.NaN])
  })
})

describe('why a restoration is left out', () => {
  const reason = (more: object, visits: readonly object[], changes = {}) => {
    const all = buildCohort(
      recordsOf({
        restorations: [crown('a', more as never), crown('z')],
        visits: [...visits, check('z', 100)] as never,
      }),
      changes,
    )
    return all.summary.attrition.steps.filter((step) => step.leftOut > 0).map((step) => step.code)[0] ?? 'in'
  }
  const entering = { observation_start_date: 200 }

  it('is the first of the reasons that hold, with entry on its day', () => {
    expect(reason(entering, [check('a', 200, loose)])).toBe('event-before-recording')
    expect(reason(entering, [check('a', 201, loose)])).toBe('in')
    expect(reason(entering, [check('a', 200)])).toBe('no-time-at-risk')
    expect(reason(entering, [check('a', 201)])).toBe('in')
    expect(reason({}, [])).toBe('never-checked')
    expect(reason({}, [check('a', 100, no)])).toBe('never-checked')
    expect(reason({}, [check('a', 0)])).toBe('never-checked')
    expect(reason({}, [check('a', 0, loose)])).toBe('in')
    expect(reason({ observation_start_date: -30 }, [check('a', 0, loose)])).toBe('in')
    expect(reason({ connection: 'screwless' }, [check('a', 200)])).toBe('screwless')
    // Recording that began later lets the competing event count from entry.
    expect(
      reason(entering, [check('a', 100), check('a', 300, { ...no, restoration_status: 'removed' })]),
    ).toBe('in')
    expect(
      reason(entering, [check('a', 100), check('a', 300, { ...no, restoration_status: 'removed' })], {
        recallIntervalDays: 199,
      }),
    ).toBe('no-time-at-risk')
  })

  it('is never an entry before delivery: recording that began then is recording from delivery', () => {
    const early = buildCohort(
      recordsOf({ restorations: [crown('a', { observation_start_date: -30 })], visits: [check('a', 100)] }),
    )
    expect([...early.entryDays]).toEqual([0])
  })

  it('is another type, or none recorded', () => {
    const untyped = recordsOf({
      restorations: [{ ...crown('b'), restoration_type: 'fixed_partial' }, crown('z'), undated('c')].map(
        (one, i) => (i === 2 ? { restoration_id: 'c', patient_id: 'c', delivery_date: 18_000 } : one),
      ),
      visits: ['b', 'c', 'z'].map((id) => check(id, 100)),
    })
    const left = (of: Cohort) =>
      of.summary.attrition.steps.filter((step) => step.leftOut > 0).map((step) => [step.code, step.leftOut])
    expect(left(buildCohort(untyped))).toEqual([
      ['other-type', 1],
      ['type-unknown', 1],
    ])
    // A type of which the records hold nobody asks for nobody, least of all for those of unknown type.
    expect(left(buildCohort(untyped, { restorationTypes: ['single_crown', 'full_arch'] }))).toEqual([
      ['other-type', 1],
      ['type-unknown', 1],
    ])
  })

  it('and the mend is that of the reason that left out most', () => {
    const refused = (restorations: readonly object[], visits: readonly object[] = []) => {
      try {
        buildCohort(recordsOf({ restorations, visits } as never))
      } catch (error) {
        return (error as { mend: string }).mend
      }
      throw new Error('nothing was refused')
    }
    const { restoration_type: _type, ...untyped } = crown('a')
    expect(refused([untyped, { ...untyped, restoration_id: 'b' }, crown('c')])).toBe(
      'record restoration_type, such as single_crown, or answer in holdfast map of what type the restorations are.',
    )
    expect(refused([crown('a', { connection: 'screwless' })])).toBe(
      'choose an endpoint other than the screw for screwless connections.',
    )
    expect(refused([crown('a', entering)], [check('a', 100, loose)])).toBe(
      'check observation_start_date against the dates of the findings.',
    )
    expect(refused([crown('a')])).toBe('record visits with screw_checked = yes.')
    expect(refused([crown('a', entering)], [check('a', 100)])).toBe(
      'check observation_start_date against the dates of the visits.',
    )
    expect(() => buildCohort(recordsOf({ restorations: [] }))).toThrow(
      'no restoration has time at risk; left out: none, the table is empty.',
    )
  })
})

describe('the default definition', () => {
  it('is first screw loosening of single crowns, and cannot be changed by mistake', () => {
    expect(defaultDefinition).toEqual({
      endpoint: 'screw_loosening',
      restorationTypes: ['single_crown'],
      recallIntervalDays: 400,
      waitWindowMinutes: { from: 10, to: 15 },
    })
    expect(Object.isFrozen(defaultDefinition)).toBe(true)
    expect(Object.isFrozen(defaultDefinition.restorationTypes)).toBe(true)
    expect(Object.isFrozen(defaultDefinition.waitWindowMinutes)).toBe(true)
    expect(isScrewEndpoint('screw_loosening')).toBe(true)
    expect(isScrewEndpoint('veneer_chipping')).toBe(false)
  })
})

describe('a delivery of which only the year is known', () => {
  const byYear = buildCohort(
    recordsOf({
      restorations: [
        crown('a', { clinic_id: 'A', delivery_date: 18_000 }),
        crown('b', { clinic_id: 'A', delivery_date: 18_500 }),
        crown('c', { clinic_id: 'B', delivery_date: 17_000 }),
        undated('d', { clinic_id: 'A', delivery_year: 2015 }),
        undated('e', { clinic_id: 'A', delivery_year: 2017 }),
        undated('f', { clinic_id: 'A' }),
      ],
      visits: [
        check('a', 300),
        check('a', 1000, { visit_type: 'telephone' }),
        check('b', 200),
        check('c', 900),
        check('d', 900),
        check('e', 400),
        check('f', 700),
      ],
    }),
  )

  it('has no day, and the middle of its year for adjustment', () => {
    expect([...byYear.deliveryDay].slice(3)).toEqual([missingDay, missingDay, missingDay])
    expect([0, 3, 5].map((row) => knownDeliveryDay(byYear, row))).toEqual([18_000, undefined, undefined])
    expect(covariateValues(byYear, Int32Array.of(0, 3, 4, 5), 'delivery_day')).toEqual([
      18_000 / daysPerYear,
      45.5,
      47.5,
      undefined,
    ])
    expect(covariateValues(byYear, Int32Array.of(0, 3, 5), 'delivery_year')).toEqual([2019, 2015, undefined])
  })

  it('runs to a death that another restoration recorded, later than any contact of its own', () => {
    const days = possibleFollowUp(
      buildCohort(
        recordsOf({
          restorations: [
            crown('a', { patient_id: 'p', restoration_type: 'full_arch' }),
            crown('b', { patient_id: 'p' }),
            crown('c'),
          ],
          visits: [check('a', 500, { patient_status: 'deceased' }), check('b', 200), check('c', 300)],
        }),
      ),
    )
    expect([...days]).toEqual([500, 500])
  })

  it('was at the latest on the last day of its year', () => {
    expect(latestDeliveryDay(18_000, 2019)).toBe(18_000)
    expect(latestDeliveryDay(missingDay, 1970)).toBe(365.25)
    expect(latestDeliveryDay(missingDay, 2015)).toBe(46 * 365.25)
  })

  it('leaves the shortest possible follow-up that the year allows; others run to the last contact of their clinic', () => {
    const days = possibleFollowUp(byYear)
    // Clinic A was last in contact on day 18,000 + 1,000; clinic B on 17,000 + 900.
    expect([...days].slice(0, 3)).toEqual([1000, 500, 900])
    // By years alone the clinic was last in contact at the latest in 2017 + 400 days or 2015 + 900 days.
    const last = Math.max(2015 * 365.25 + 900, 2017 * 365.25 + 400)
    expect(days[3]).toBeCloseTo(last - 2016 * 365.25, 9)
    expect(days[4]).toBeCloseTo(last - 2018 * 365.25, 9)
    expect(days[5]).toBeNaN()
  })
})
