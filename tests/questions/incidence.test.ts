import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../src/core/calendar.js'
import { CohortError } from '../../src/core/errors.js'
import { howOften } from '../../src/questions/howOften/answer.js'
import { horizonRisks, incidence } from '../../src/questions/incidence/answer.js'
import { defaultPlan } from '../../src/questions/plan/planFile.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { cohortRows } from '../../src/questions/rows/cohortRows.js'
import { practice, type TestRestoration } from './practice.js'

/** So many found loose on a day after a clean look half as late, so many removed, so many tight until a day. */
function group(
  repeated: boolean,
  loose: readonly number[],
  removed: readonly number[],
  tight: number,
  more: TestRestoration = {},
): TestRestoration[] {
  return [
    ...loose.map((day) => ({ repeated, checks: [day / 2], loose: day, ...more })),
    ...removed.map((day) => ({ repeated, checks: [day - 10], removed: day, ...more })),
    ...Array.from({ length: tight }, () => ({ repeated, checks: [200, 2000], ...more })),
  ]
}

describe('incidence by hand', () => {
  // Repeated: 3 of 30 found on day 400, 3 removed on day 100. Single: 9 of 30 found on day 400.
  const cohort = practice([
    ...group(true, [400, 400, 400], [100, 100, 100], 24),
    ...group(false, Array(9).fill(400), [], 21, { patient: 500 }),
  ])
  const result = incidence(cohort)

  it('counts restorations, patients, events and competing events of all and of each group', () => {
    expect(result.kind).toBe('incidence')
    expect(result.level).toBe(0.95)
    expect(result.asked).toBe(undefined)
    const counts = [result.overall, ...result.byGroup].map((one) => [
      one.group,
      one.restorations,
      one.patients,
      one.events,
      one.competingEvents,
    ])
    expect(counts).toEqual([
      ['all', 60, 31, 12, 3],
      ['single', 30, 1, 9, 0],
      ['repeated in the window', 30, 30, 3, 3],
    ])
  })

  it('has share, rate for a hundred years, and risk at each horizon with competing events', () => {
    const repeated = result.byGroup.find((one) => one.group === 'repeated in the window')!
    const years = (3 * 400 + 3 * 100 + 24 * 2000) / daysPerYear
    expect(repeated.restorationYears).toBeCloseTo(years, 10)
    expect(repeated.proportion.estimate).toBeCloseTo(0.1, 12)
    expect(repeated.ratePer100Years.estimate).toBeCloseTo((100 * 3) / years, 10)
    expect(repeated.horizons.map(({ years: one, atRisk, thin }) => [one, atRisk, thin])).toEqual([
      [1, 24, false],
      [3, 24, false],
      [5, 24, false],
    ])
    // Nobody leaves before five years but by an event: the risk is the share, removals notwithstanding.
    for (const { risk } of repeated.horizons) expect(risk.estimate).toBeCloseTo(0.1, 10)
    expect(repeated.medianFollowUpYears.estimate).toBeCloseTo(2000 / daysPerYear, 10)
    const first = result.overall.horizons[0]!
    expect(first.risk.estimate).toBeCloseTo(12 / 60, 10)
    // Found on day 400, last clean on day 200, halfway on day 300: by one year (365.25 days) at two of three placements.
    expect(first.betweenLooks.found.estimate).toBe(0)
    expect(first.betweenLooks.afterLastLook.estimate).toBeCloseTo(12 / 60, 10)
  })

  it('has one range over the placements, from the lowest limit to the highest', () => {
    const [first] = result.overall.horizons
    const { found, afterLastLook, range } = first!.betweenLooks
    const limits = [found, afterLastLook, first!.risk].map(({ interval }) => interval)
    expect(range.lower).toBe(Math.min(...limits.map(({ lower }) => lower as number)))
    expect(range.upper).toBe(Math.max(...limits.map(({ upper }) => upper as number)))
    expect(range.lower).toBe(found.interval.lower)
    expect(range.upper).not.toBe(found.interval.upper)
    // All of one patient: no interval but that of the patient as one; what one of them lacks the range lacks.
    const single = result.byGroup.find((one) => one.group === 'single')!
    const lacking = [single.horizons[0]!.risk, single.horizons[0]!.betweenLooks.found].map(
      ({ interval }) => interval.upper,
    )
    expect(lacking.some((one) => typeof one !== 'number')).toBe(true)
    expect(single.horizons[0]!.betweenLooks.range.upper).toEqual(
      lacking.find((one) => typeof one !== 'number'),
    )
  })

  it('marks a horizon with fewer than ten at risk as thin', () => {
    const at = (tight: number) =>
      incidence(practice([...group(true, [400], [], tight), ...group(false, [400], [], 0)])).overall
        .horizons[1]!
    expect([at(10).thin, at(9).thin]).toEqual([false, true])
    expect(at(9).atRisk).toBe(9)
  })

  it('takes level and horizons that are asked for', () => {
    const narrow = incidence(cohort, { level: 0.8, horizonsYears: [2] })
    expect(narrow.level).toBe(0.8)
    expect(narrow.overall.horizons.map(({ years }) => years)).toEqual([2, 3])
    const width = (of: typeof result) => {
      const { lower, upper } = of.overall.proportion.interval
      return (upper as number) - (lower as number)
    }
    expect(width(narrow)).toBeLessThan(width(result))
    const rates = [narrow, result].map((of) => of.overall.ratePer100Years.interval.upper as number)
    expect(rates[0]!).toBeLessThan(rates[1]!)
  })

  it('gives the exact lower limit where all had it by then, and not before', () => {
    // Twelve found on day 400 or 800: by a year half of them, by three years all.
    const all = practice([...group(true, [...Array(6).fill(400), ...Array(6).fill(800)], [], 0)])
    const [one, three] = incidence(all).overall.horizons
    expect(one!.risk.estimate).toBeCloseTo(0.5, 10)
    expect(three!.risk).toMatchObject({ estimate: 1, method: ['exact-lower-limit-with-patients-as-n'] })
    expect(three!.risk.interval.upper).toBe(1)
    // Clopper and Pearson 1934: 12 of 12 has the lower limit 0.025^(1/12).
    expect(three!.risk.interval.lower).toBeCloseTo(0.025 ** (1 / 12), 12)
    const removed = practice([...group(true, Array(12).fill(400), [100], 0)])
    expect(incidence(removed).overall.horizons[1]!.risk.estimate).toBeCloseTo(12 / 13, 10)
  })

  it('counts in a limit of none those observed from delivery to the horizon', () => {
    const late = { fields: { observation_start_date: 100 } }
    const none = (fromDelivery: number, patient?: number) =>
      practice([
        ...group(true, [], [], fromDelivery, patient === undefined ? {} : { patient }),
        ...group(true, [], [], 5, late),
        ...Array.from({ length: 4 }, (): TestRestoration => ({ repeated: true, checks: [500] })),
      ])
    const upper = (of: ReturnType<typeof none>) =>
      incidence(of).overall.horizons.map(({ risk }) => risk.interval.upper)
    // Clopper and Pearson 1934: none of n has the upper limit 1 − 0.025^(1/n).
    const limit = (n: number) => expect.closeTo(1 - 0.025 ** (1 / n), 10)
    expect(upper(none(20))).toEqual([limit(24), limit(20), limit(20)])
    expect(upper(none(20, 7))[1]).toEqual(limit(1))
    expect(incidence(none(20)).overall.horizons[0]!.risk.interval.lower).toBe(0)
    const nobody = upper(none(0))
    expect(nobody[0]).toEqual(limit(4))
    expect(nobody[1]).toEqual(expect.objectContaining({ reason: 'nobody-observed-to-horizon' }))
    // With an event the curve of those at risk stands.
    const some = practice([...group(true, [400], [], 20), ...group(true, [], [], 5, late)])
    expect(incidence(some).overall.horizons[1]!.risk.estimate).toBeGreaterThan(0)
  })

  it('says what it was asked by, and of a part of the records', () => {
    const byConnection = incidence(cohort, { by: 'connection' })
    expect(byConnection.byGroup.map((one) => one.group)).toEqual(['internal_hex'])
    expect(byConnection.asked).not.toBe(undefined)
    expect(Object.isFrozen(byConnection)).toBe(true)
    expect('asked' in incidence(cohort)).toBe(false)
  })

  it('has the risks of some rows by the horizons asked for', () => {
    const rows = cohortRows(cohort, (row) => row < 30)
    const risks = horizonRisks(cohort, rows, { ...defaultSettings, horizonsYears: [3] })
    expect(risks).toHaveLength(1)
    expect(risks[0]!.risk.estimate).toBeCloseTo(0.1, 10)
  })
})

describe('how often by hand', () => {
  it('is of the horizon of the plan', () => {
    const plan = { ...defaultPlan, primary: { ...defaultPlan.primary, horizonYears: 4 } }
    const cohort = practice(group(true, [400, 400], [], 20))
    expect(howOften(cohort, { ...defaultSettings, plan })).toMatchObject({ years: 4, wishedYears: 4 })
    expect(howOften(cohort)).toMatchObject({ years: 3, wishedYears: 3, kind: 'how-often', level: 0.95 })
    expect(howOften(cohort, { ...defaultSettings, level: 0.9 }).level).toBe(0.9)
  })

  it('counts restorations, patients, events and years', () => {
    const cohort = practice([
      ...group(true, [400, 600], [], 20, { patient: 3 }),
      ...group(false, [400], [100], 5),
    ])
    const found = howOften(cohort)
    expect(found).toMatchObject({ restorations: 29, patients: 8, events: 3, eventsWithCleanLook: 3 })
    expect(found.restorationYears).toBeCloseTo((400 + 600 + 400 + 100 + 25 * 2000) / daysPerYear, 10)
    expect(found.bounds).toBe(undefined)
    expect(found.reason).toBe(undefined)
    expect(found.noneSeen).toBe(undefined)
    expect(found.foundOutsideShare).toBe(0)
    expect(found.few!.events).toBe(3)
  })

  it('has few events below ten', () => {
    const of = (loose: number) => howOften(practice(group(true, Array(loose).fill(400), [], 40))).few
    expect(of(9)).not.toBe(undefined)
    expect(of(10)).toBe(undefined)
  })

  it('states ticks only where they differ by more than a point, or where a finding waits', () => {
    // Of 200 so many are found at a visit that nobody ticked, and looked at for the last time then or later.
    const stated = (unticked: number, seenLater: boolean) => {
      const cohort = practice([
        ...group(true, Array(20).fill(800), [], 180 - unticked),
        ...Array.from(
          { length: unticked },
          (): TestRestoration => ({
            repeated: true,
            checks: seenLater ? [400, 2000] : [400],
            loose: 800,
            unticked: [800],
          }),
        ),
      ])
      return howOften(cohort).ticksOnly!
    }
    // Found at the next look on day 2,000: halfway is day 1,200, after three years. One of 200 is half a point, three are more.
    expect(stated(1, true)).toMatchObject({ stated: false, findingsNotCounted: 0, events: 21 })
    expect(stated(3, true)).toMatchObject({ stated: true, findingsNotCounted: 0, events: 23 })
    expect(stated(1, false)).toMatchObject({ stated: true, findingsNotCounted: 1, events: 20 })
    expect(stated(0, true).stated).toBe(false)
  })

  it('stops at a fault that is not an empty cohort', () => {
    const cohort = practice(group(true, [400], [], 20))
    const faulty = (fault: Error) =>
      ({
        ...cohort,
        redefined: () => {
          throw fault
        },
      }) as unknown as typeof cohort
    const words = { problem: 'p.', expected: 'e.', mend: 'm.' }
    expect(() => howOften(faulty(new RangeError('other')))).toThrow(RangeError)
    expect(() => howOften(faulty(new CohortError({ code: 'bad-definition', ...words } as never)))).toThrow(
      CohortError,
    )
    const empty = howOften(faulty(new CohortError({ code: 'empty-cohort', ...words })))
    expect(empty.ticksOnly).toMatchObject({ restorations: 0, neverChecked: 21, findingsNotCounted: 1 })
  })

  it('has no ticks of an endpoint that needs no check of the screw', () => {
    const cohort = practice(group(true, [400], [], 20)).redefined({ endpoint: 'veneer_chipping' })
    expect(howOften(cohort).ticksOnly).toBe(undefined)
  })

  it('knows that one sheet holds no visits before findings, unless it has one', () => {
    const of = (
      checks: readonly number[],
      form: 'one-sheet' | 'three-tables',
      loose: number | undefined = 400,
    ) => {
      const cohort = practice(
        Array.from(
          { length: 20 },
          (): TestRestoration => ({
            repeated: true,
            checks,
            ...(loose === undefined ? {} : { loose }),
          }),
        ),
      )
      const summary = { ...cohort.summary, source: { ...cohort.summary.source, form } }
      return howOften({ ...cohort, summary } as typeof cohort).visitTimesRecorded
    }
    expect(of([], 'one-sheet')).toBe(false)
    expect(of([], 'three-tables')).toBe(true)
    expect(of([200], 'one-sheet')).toBe(true)
    expect(
      howOften(
        (() => {
          const cohort = practice(group(true, [], [], 20))
          return {
            ...cohort,
            summary: { ...cohort.summary, source: { ...cohort.summary.source, form: 'one-sheet' } },
          }
        })() as never,
      ).visitTimesRecorded,
    ).toBe(true)
  })

  it('has bounds where somebody was left out and a risk is known', () => {
    const never = (count: number) =>
      Array.from({ length: count }, (): TestRestoration => ({ repeated: true }))
    const found = howOften(practice([...group(true, Array(10).fill(400), [], 80), ...never(10)]))
    expect(found.leftOut).toEqual({
      eligible: 100,
      neverChecked: 10,
      outcomeUnreadable: 0,
      deliveryDayOnly: 0,
      restorations: 10,
      share: 0.1,
      stated: true,
    })
    expect(found.bounds!.none).toBeCloseTo(0.1, 10)
    expect(found.bounds!.asSeen).toBeCloseTo(1 / 9, 10)
    expect(found.bounds!.all).toBeCloseTo(0.2, 10)
    // No horizon is reached: nothing to bound.
    const short = howOften(
      practice([...Array.from({ length: 20 }, (): TestRestoration => ({ checks: [100] })), ...never(2)]),
    )
    expect(short.years).toBe(undefined)
    expect(short.horizon).toBe(undefined)
    expect(short.bounds).toBe(undefined)
    expect(short.ticksOnly!.horizon).toBe(undefined)
    expect(short).toMatchObject({ verdict: 'none-seen' })
  })
})
