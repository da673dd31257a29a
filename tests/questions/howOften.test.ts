import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { isNumber } from '../../src/core/estimate.js'
import { howOften } from '../../src/questions/howOften/answer.js'
import { incidence } from '../../src/questions/incidence/answer.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { check, crown, recordsOf } from '../cohort/recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const no = { screw_checked: 'no' }

type Visit = ReturnType<typeof check>

/** A cohort of crowns, each with the visits that a rule gives it. */
function practice(count: number, visitsOf: (id: string, i: number) => readonly Visit[], more = {}) {
  const ids = Array.from({ length: count }, (_one, i) => `r${i}`)
  return buildCohort(
    recordsOf({ restorations: ids.map((id) => crown(id, more)), visits: ids.flatMap(visitsOf) }),
  )
}

const yearly = (id: string, years: number): Visit[] =>
  Array.from({ length: years }, (_one, k) => check(id, 365 * (k + 1) + 10))

describe('how often', () => {
  it('is the cumulative incidence with each loosening halfway between its last clean look and its finding', () => {
    // Of 40 crowns 4 are found loose on day 1105 after a clean look on day 1000: halfway, day 1052.5, is within 3 years
    // (1095.75 days), the finding is not. By hand: 4/40; by the day of finding 0 of 40, exact upper limit 1 - 0.025^(1/40).
    const cohort = practice(40, (id, i) => [check(id, 1000), check(id, 1105, i < 4 ? loose : {})])
    const { years, horizon, verdict } = howOften(cohort)
    expect([years, verdict]).toEqual([3, 'estimate'])
    expect(horizon!.risk.estimate).toBeCloseTo(0.1, 12)
    expect(horizon!.betweenLooks.found.estimate).toBe(0)
    expect(horizon!.betweenLooks.afterLastLook.estimate).toBeCloseTo(0.1, 12)
    const { lower, upper } = horizon!.betweenLooks.range
    expect(lower).toBe(0)
    expect(upper).toBe(horizon!.risk.interval.upper)
  })

  it('is one number in the answer and in the table', () => {
    const cohort = practice(30, (id, i) => [...yearly(id, 2), check(id, 1200, i % 6 === 0 ? loose : {})])
    const inTable = incidence(cohort).overall.horizons.find(({ years }) => years === howOften(cohort).years)
    expect(howOften(cohort).horizon).toEqual(inTable)
  })

  it('falls back to the longest of 2, 1 and half a year with ten at risk, and the table has that horizon', () => {
    const followed = (days: number) =>
      practice(30, (id, i) => [check(id, 90, i < 3 ? loose : {}), check(id, days)])
    expect(howOften(followed(1200)).years).toBe(3)
    expect(howOften(followed(800)).years).toBe(2)
    expect(howOften(followed(400)).years).toBe(1)
    expect(howOften(followed(200)).years).toBe(0.5)
    expect(incidence(followed(200)).overall.horizons.map(({ years }) => years)).toEqual([0.5, 1, 3, 5])
    expect(howOften(followed(120))).toMatchObject({ verdict: 'withheld', reason: 'few-at-risk' })
  })

  it('puts both ends together where a clean look stands the day before each finding', () => {
    const cohort = practice(30, (id, i) => [
      check(id, 399 + i),
      check(id, 400 + i, i % 5 === 0 ? loose : {}),
      check(id, 1200),
    ])
    const { found, afterLastLook } = howOften(cohort).horizon!.betweenLooks
    expect(found.estimate).toBe(afterLastLook.estimate)
    expect(found.interval).toEqual(afterLastLook.interval)
  })
})

describe('who was left out', () => {
  const partly = (checked: number) =>
    practice(100, (id, i) =>
      i < checked ? [...yearly(id, 3), check(id, 1300, i % 10 === 0 ? loose : {})] : [],
    )

  it('is stated from one in twenty, and withholds the risk above one in five, with bounds', () => {
    expect(howOften(partly(96)).leftOut).toMatchObject({ restorations: 4, share: 0.04, stated: false })
    expect(howOften(partly(95)).leftOut.stated).toBe(true)
    expect(howOften(partly(80)).verdict).toBe('estimate')
    const withheld = howOften(partly(79))
    expect(withheld).toMatchObject({ verdict: 'withheld', reason: 'left-out' })
    const seen = withheld.horizon!.risk.estimate as number
    expect(withheld.bounds!.none).toBeCloseTo(seen * 0.79, 12)
    expect(withheld.bounds!.asSeen).toBe(seen)
    expect(withheld.bounds!.all).toBeCloseTo(seen * 0.79 + 0.21, 12)
  })

  it('counts those looked at on the day of delivery only', () => {
    const cohort = practice(40, (id, i) => (i < 30 ? yearly(id, 4) : [check(id, 0)]))
    expect(howOften(cohort)).toMatchObject({
      verdict: 'withheld',
      leftOut: { eligible: 40, restorations: 10, deliveryDayOnly: 10 },
    })
  })
})

describe('none seen', () => {
  it('says the exact limit of the rate and of each horizon with ten observed, and nothing beyond', () => {
    const cohort = practice(40, (id, i) => yearly(id, i < 12 ? 2 : 1))
    const { verdict, noneSeen, years } = howOften(cohort)
    expect(verdict).toBe('none-seen')
    expect(years).toBe(2)
    expect(noneSeen!.horizons.map((one) => [one.years, one.restorations])).toEqual([
      [0.5, 40],
      [1, 40],
      [2, 12],
    ])
    // Exact binomial limit (Clopper and Pearson 1934): 0 of 40 gives 8.81 %, 0 of 12 gives 26.46 %.
    expect(noneSeen!.horizons[1]!.upper).toBeCloseTo(0.0881, 4)
    expect(noneSeen!.horizons[2]!.upper).toBeCloseTo(0.2646, 4)
    // Garwood 1936: none seen, upper limit 3.6889 events.
    const upper = noneSeen!.ratePer100Years.interval.upper as number
    expect(upper).toBeCloseTo((100 * 3.688879) / noneSeen!.restorationYears, 5)
  })

  it('counts patients where they repeat', () => {
    const cohort = practice(40, (id) => yearly(id, 3), { patient_id: 'one' })
    expect(howOften(cohort).noneSeen!.horizons[0]).toMatchObject({ restorations: 40, patients: 1 })
    expect(howOften(cohort).noneSeen!.ratePer100Years.interval.upper).not.toBeTypeOf('number')
  })

  it('says nothing of the time before recording began', () => {
    const cohort = practice(40, (id) => yearly(id, 4), { observation_start_date: 200 })
    expect(howOften(cohort).noneSeen!.horizons).toEqual([])
    for (const { risk } of incidence(cohort).overall.horizons)
      expect(isNumber(risk.interval.upper)).toBe(false)
  })
})

describe('other readings of the looks', () => {
  const blank = (row: Visit): Visit => {
    const { screw_checked: _tick, ...rest } = row
    return rest as Visit
  }

  it('states ticks only where it differs by more than a point, with the findings that it does not count', () => {
    const ticked = practice(60, (id, i) => [...yearly(id, 3), check(id, 1300, i < 6 ? loose : {})])
    expect(howOften(ticked).ticksOnly).toMatchObject({ stated: false, findingsNotCounted: 0, events: 6 })
    const blanked = practice(60, (id, i) => [
      ...yearly(id, 2),
      ...(i < 6 ? [blank(check(id, 900, loose))] : []),
      ...(i < 3 ? [] : [check(id, 1300)]),
    ])
    const { ticksOnly, horizon } = howOften(blanked)
    expect(horizon!.risk.estimate).toBeCloseTo(0.1, 12)
    expect(ticksOnly).toMatchObject({ stated: true, events: 3, findingsNotCounted: 3 })
    expect(ticksOnly!.horizon!.risk.estimate as number).toBeLessThan(0.09)
  })

  it('states the version at the next look from one in twenty events found at a visit marked no', () => {
    const found = (marked: number) =>
      practice(80, (id, i) => [
        check(id, 500),
        ...(i < 40 ? [check(id, 900, { ...loose, ...(i < marked ? no : {}) })] : []),
        check(id, 1000),
        check(id, 1300),
      ])
    expect(howOften(found(0)).nextLook).toBeUndefined()
    expect(howOften(found(1))).toMatchObject({ foundOutsideShare: 1 / 40, nextLook: { stated: false } })
    expect(howOften(found(2)).nextLook).toMatchObject({ stated: true, events: 40, findingsNotCounted: 0 })
  })

  it('withstands records in which no visit is ticked', () => {
    const cohort = practice(20, (id) => yearly(id, 4).map(blank))
    expect(howOften(cohort)).toMatchObject({
      verdict: 'none-seen',
      ticksOnly: { restorations: 0, neverChecked: 20 },
    })
  })
})

describe('data at the edge', () => {
  it('has no cohort where nobody was checked, and says who was left out why', () => {
    expect(() => practice(30, () => [])).toThrow('left out: 30 never-checked')
  })

  it('says nothing where every restoration was looked at on the day of delivery only', () => {
    const cohort = practice(12, (id) => [check(id, 0)])
    expect(howOften(cohort)).toMatchObject({
      verdict: 'withheld',
      reason: 'no-time-at-risk',
      restorationYears: 0,
    })
    expect(howOften(cohort).noneSeen).toBeUndefined()
  })

  it('withholds a risk from one crown, loosened or not beyond what was observed', () => {
    expect(howOften(practice(1, (id) => [check(id, 400, loose)]))).toMatchObject({
      verdict: 'withheld',
      reason: 'few-at-risk',
    })
    expect(howOften(practice(1, (id) => yearly(id, 3)))).toMatchObject({
      verdict: 'none-seen',
      noneSeen: { horizons: [] },
    })
  })

  it('gives the risk where every crown loosened: nobody was left unseen', () => {
    const cohort = practice(15, (id, i) => [check(id, 30 + i, loose)])
    expect(howOften(cohort)).toMatchObject({
      verdict: 'estimate',
      years: 3,
      horizon: { risk: { estimate: 1 } },
    })
    // Exact binomial limit (Clopper and Pearson 1934): 15 of 15 has the lower limit 0.025^(1/15).
    expect(howOften(cohort).horizon!.risk.interval.lower).toBeCloseTo(0.025 ** (1 / 15), 12)
  })

  it('takes deliveries of the year 2099 as any others', () => {
    const cohort = practice(20, (id) => yearly(id, 4), { delivery_date: 47_482 })
    expect(howOften(cohort).noneSeen!.horizons.at(-1)).toMatchObject({ years: 3, restorations: 20 })
  })
})

describe('records that hold no visits', () => {
  const ids = Array.from({ length: 30 }, (_one, i) => `r${i}`)
  const records = recordsOf({
    restorations: ids.map((id) => crown(id)),
    visits: ids.map((id, i) => check(id, 1300 - 30 * (i % 3), i % 3 === 0 ? loose : {})),
  })

  it('say so, and are as firm as three tables with the same looks', () => {
    const sheet = { ...records, source: { ...records.source, form: 'one-sheet' as const } }
    const [tables, one] = [howOften(buildCohort(records)), howOften(buildCohort(sheet))]
    expect([tables.visitTimesRecorded, one.visitTimesRecorded]).toEqual([true, false])
    expect(one.horizon).toEqual(tables.horizon)
    expect(one.horizon!.betweenLooks.found.estimate).toBe(0)
    expect(one.horizon!.risk.estimate).toBeCloseTo(1 / 3, 12)
  })
})

describe('few events', () => {
  it('tell how precise the rate would be after further years, and who is still followed', () => {
    const cohort = practice(30, (id, i) => yearly(id, i < 5 ? 1 : 4))
    const { few } = howOften(cohort)
    expect(few).toMatchObject({ events: 0, followed: 25, unseen: 5, deliveriesPerYear: 30 })
    const [first, second] = few!.precision
    expect(first!.restorationYears).toBeCloseTo(howOften(cohort).restorationYears + 25 + 15, 9)
    expect(first!.upper).toBeCloseTo((100 * 3.688879) / first!.restorationYears, 5)
    expect(second!.upper).toBeLessThan(first!.upper)
  })

  it('are absent from ten events on', () => {
    const cohort = practice(40, (id, i) => [...yearly(id, 3), check(id, 1300, i < 10 ? loose : {})])
    expect(howOften(cohort, defaultSettings).few).toBeUndefined()
  })
})
