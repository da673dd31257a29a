import { describe, expect, it } from 'vitest'
import {
  type ComparisonResult,
  type ComparisonSettings,
  compareTightenings,
  defaultComparison,
  tablesFor,
} from '../../../src/questions/comparison/answer.js'
import { immortalTimeTest } from '../../../src/statistics/rates/immortalTime.js'
import { practice, type TestRestoration } from '../practice.js'

/*
 * Whole comparisons worked out by hand: nothing is allowed for, so that the weighted risk of a group is the plain risk, and
 * nobody leaves before the horizon but by what is said.
 */

const planned = { group: 'repeated in the window', against: 'single' } as const
const bare = { ...defaultComparison, adjustFor: [], negativeControl: 'none' } as const

function compared(
  restorations: readonly TestRestoration[],
  settings: Partial<ComparisonSettings> = {},
): ComparisonResult {
  return compareTightenings(practice(restorations), planned, { ...bare, ...settings })!
}

/** A group found loose on these days after a clean look half as late, the rest tight until some day. */
function group(repeated: boolean, loose: readonly number[], tight: number, until = 2000): TestRestoration[] {
  return [
    ...loose.map((day): TestRestoration => ({ repeated, checks: [day / 2], loose: day })),
    ...Array.from({ length: tight }, (): TestRestoration => ({ repeated, checks: [200, until] })),
  ]
}

describe('a comparison by hand', () => {
  // Repeated: 5 of 50 by a year, 10 by three. Single: 15 of 50 by a year, 20 by three, 25 by five.
  const few = [...Array(5).fill(200), ...Array(5).fill(800)]
  const many = [...Array(15).fill(200), ...Array(5).fill(800), ...Array(5).fill(1600)]
  const result = compared([...group(true, few, 40), ...group(false, many, 25)])

  it('counts restorations, patients and events of both groups', () => {
    expect(result).toMatchObject({
      kind: 'tightening',
      groups: { ...planned, by: 'measured' },
      restorations: { group: 50, against: 50 },
      patients: 100,
      events: { group: 10, against: 25 },
      horizonYears: 3,
      smallestDifference: 0.02,
      level: 0.95,
      adjustedFor: [],
      leftOut: [],
      missing: [],
      imputations: 1,
    })
    expect(result.plan).toBe(undefined)
  })

  it('has the risks of both groups by one, three and five years, where ten are at risk', () => {
    const risks = result.arms.map(({ years, group: one, against, atRisk }) => [
      years,
      one.estimate,
      against.estimate,
      atRisk,
    ])
    expect(risks).toEqual([
      [1, expect.closeTo(0.1, 10), expect.closeTo(0.3, 10), { group: 45, against: 35 }],
      [3, expect.closeTo(0.2, 10), expect.closeTo(0.4, 10), { group: 40, against: 30 }],
      // The five on day 1,600 were last clean on day 800: halfway is 1,200, within five years.
      [5, expect.closeTo(0.2, 10), expect.closeTo(0.5, 10), { group: 40, against: 25 }],
    ])
    expect(result.arms[1]!.difference).toEqual(result.lead!.difference)
    expect(result.lead!.difference.estimate).toBeCloseTo(-0.2, 10)
    expect(result.lead!.events).toEqual({ group: 10, against: 20 })
    expect('tables' in result.lead!).toBe(false)
  })

  it('has the horizon of the plan among the years of the arms, once and in order', () => {
    const years = (horizonsYears: readonly number[], horizonYears: number) =>
      compared([...group(true, few, 40), ...group(false, many, 25)], {
        horizonsYears,
        horizonYears,
      }).arms.map((one) => one.years)
    expect(years([5, 1], 2)).toEqual([1, 2, 5])
    expect(years([3, 1], 3)).toEqual([1, 3])
    expect(years([1, 7], 3)).toEqual([1, 3])
  })

  it('has the curve of each group month by month while ten are at risk', () => {
    const [ofGroup, ofAgainst] = result.curves
    expect([ofGroup!.side, ofAgainst!.side]).toEqual(['group', 'against'])
    const at = (curve: typeof ofGroup, month: number) => curve!.points[month]!
    expect(at(ofGroup, 0)).toEqual({ years: 0, risk: 0, atRisk: 50 })
    // Events at 150 and 600 days: months 5 (152.2 days) and 20 (608.75).
    expect(at(ofGroup, 4).risk).toBe(0)
    expect(at(ofGroup, 5).risk).toBeCloseTo(0.1, 10)
    expect(at(ofGroup, 19).risk).toBeCloseTo(0.1, 10)
    expect(at(ofGroup, 20)).toEqual({ years: 20 / 12, risk: expect.closeTo(0.2, 10), atRisk: 40 })
    expect(at(ofAgainst, 40).risk).toBeCloseTo(0.5, 10)
    // The last look is on day 2,000: month 65 is day 1,978, month 66 day 2,009.
    expect(ofGroup!.points).toHaveLength(66)
    const until = (last: number, tight: number) =>
      compared([...group(true, few, tight, last), ...group(false, many, 25)]).curves[0]!.points.length
    expect(until(1300, 10)).toBe(43)
    expect(until(4000, 40)).toBe(97)
  })

  it('says how far both ends of each gap lie apart', () => {
    // Findings on day 1,600 are after three years, the last clean looks on day 800 before.
    expect(result.ends!.found.estimate).toBeCloseTo(-0.2, 10)
    expect(result.ends!.afterLastLook.estimate).toBeCloseTo(0.2 - 0.5, 10)
    expect(result.rangeLeads).toBe(true)
    expect(compared([...group(true, few, 40), ...group(false, many.slice(0, 20), 30)]).rangeLeads).toBe(false)
    // The ends lie 0.1 apart: no more than that matters.
    const alike = (smallestDifference: number) =>
      compared([...group(true, few, 40), ...group(false, many, 25)], { smallestDifference }).rangeLeads
    expect([alike(0.11), alike(0.09)]).toEqual([false, true])
  })

  it('has an account of the tightening and the test of immortal time, with what was early', () => {
    expect(result.exposure).toMatchObject({ measuredShare: 1, charted: 50, documented: 50, laterDated: 0 })
    // Everybody had a clean look before: nothing is early.
    expect(result.immortalTime!.earlyEvents).toEqual({ group: 0, against: 0 })
    expect(result.immortalTime!.fires).toBe(false)
  })

  it('has no contrast within patients where none has both ways, and no number needed without a direction', () => {
    expect(result.within).toBe(undefined)
    const open = compared([...group(true, few, 40), ...group(false, few, 40)])
    expect(open).toMatchObject({ verdict: 'open', reason: 'interval-holds-zero' })
    expect(open.numberNeeded).toBe(undefined)
  })

  it('has been tried by what could be tried, in this order', () => {
    expect(result.challenges.map(({ code }) => code)).toEqual([
      'doubly-robust',
      'loss',
      'misclassification',
      'visits-by-group',
      'unmeasured-confounding',
    ])
  })

  it('completes twenty tables, five of more than 20,000 restorations, and fewer where fewer are asked for', () => {
    const tables = [
      [20_000, 20],
      [20_001, 20],
      [20_001, 3],
      [100, 3],
    ] as const
    expect(tables.map(([restorations, imputations]) => tablesFor(restorations, { imputations }))).toEqual([
      20, 5, 3, 3,
    ])
  })

  it('repeats the plan that it was given', () => {
    const plan = {
      source: 'file',
      sha256: 'a'.repeat(64),
      smallestDifference: 0.03,
      horizonYears: 2,
    } as const
    expect(compared([...group(true, few, 40), ...group(false, many, 25)], { plan }).plan).toEqual(plan)
  })
})

describe('the horizon', () => {
  it('is the longest of three, two, one and half a year at which enough are at risk in both groups', () => {
    const loose = Array(8).fill(100)
    const until = (ofGroup: number, ofAgainst: number, settings: Partial<ComparisonSettings> = {}) =>
      compared([...group(true, loose, 10, ofGroup), ...group(false, loose, 10, ofAgainst)], settings)
    expect(until(1096, 1200).horizonYears).toBe(3)
    expect(until(1095, 1200).horizonYears).toBe(2)
    expect(until(1200, 700).horizonYears).toBe(1)
    expect(until(300, 1200).horizonYears).toBe(0.5)
    expect(until(1200, 1200, { horizonYears: 1.5 }).horizonYears).toBe(1.5)
    expect(until(500, 1200, { horizonYears: 1.5 }).horizonYears).toBe(1)
    expect(until(1200, 1200, { leastAtRisk: 11 }).horizonYears).toBe(undefined)
    // What matters by three years is a third of it by one.
    expect(until(1200, 700).smallestDifference).toBeCloseTo(0.02 / 3, 12)
    expect(until(1200, 700, { horizonYears: 2 }).smallestDifference).toBeCloseTo(0.01, 12)
  })

  it('is none where too few are at risk at half a year: then nothing is known, and nothing is shown', () => {
    const short = compared([...group(true, [100], 9, 1200), ...group(false, [100], 30, 1200)])
    expect(short).toMatchObject({
      verdict: 'cannot-be-known',
      reason: 'few-at-risk',
      smallestDifference: 0.02,
      rangeLeads: false,
      arms: [],
      curves: [],
      challenges: [],
      adjustedFor: [],
      leftOut: [],
      missing: [],
      imputations: 0,
      restorations: { group: 10, against: 31 },
      events: { group: 1, against: 1 },
    })
    expect(short.lead).toBe(undefined)
    expect(short.horizonYears).toBe(undefined)
    expect(short.exposure).not.toBe(undefined)
  })

  it('does not count who came under observation later', () => {
    const late = (entry: number): TestRestoration[] =>
      group(true, Array(8).fill(900), 10, 1200).map((one) => ({
        ...one,
        fields: { observation_start_date: entry },
      }))
    const with1 = compared([...late(100), ...group(false, Array(8).fill(900), 10, 1200)])
    expect(with1.horizonYears).toBe(3)
    expect(compared([...late(1100), ...group(false, Array(8).fill(900), 10, 1200)]).horizonYears).toBe(
      undefined,
    )
  })
})

describe('a comparison that cannot be', () => {
  const byOperator = (loose: number): TestRestoration[] => [
    ...group(true, Array(loose).fill(400), 40).map((one) => ({ ...one, operator: 'X' })),
    ...group(false, Array(loose).fill(400), 40).map((one) => ({ ...one, operator: 'Y' })),
  ]

  it('is one in which no operator had both ways: no figure, but overlap and counts', () => {
    const result = compared(byOperator(6), { adjustFor: ['operator'] })
    expect(result).toMatchObject({
      verdict: 'cannot-be-compared',
      reason: 'overlap',
      overlap: { withinAYear: 0, openChoice: 0, oneWayOnly: 1, enough: false },
      horizonYears: 3,
      challenges: [],
      arms: [],
      adjustedFor: ['operator'],
      imputations: 1,
      events: { group: 6, against: 6 },
    })
    expect(result.lead).toBe(undefined)
    expect(result.balance).toBe(undefined)
  })

  it('cannot be known either where fewer than ten had it by the horizon', () => {
    const few = compared(byOperator(4), { adjustFor: ['operator'] })
    expect([few.verdict, few.reason]).toEqual(['cannot-be-known', 'few-events'])
    // Ten events, but one of them after three years.
    const late = byOperator(5)
    late[0] = { ...late[0]!, checks: [1200], loose: 1300 }
    expect(compared(late, { adjustFor: ['operator'] }).reason).toBe('few-events')
    const ten = compared(byOperator(5), { adjustFor: ['operator'] })
    expect([ten.verdict, ten.reason]).toEqual(['cannot-be-compared', 'overlap'])
  })

  it('is absent where one way was not used', () => {
    expect(compareTightenings(practice(group(true, [100], 5)), planned, bare)).toBe(undefined)
  })
})

describe('early events', () => {
  /** Found at their first visit, or after a clean look; the rest first seen on a day. */
  const made = (repeated: boolean, early: number, late: number, first: number): TestRestoration[] => [
    ...Array.from({ length: early }, (): TestRestoration => ({ repeated, loose: 100 })),
    ...Array.from(
      { length: late },
      (): TestRestoration => ({ repeated, checks: [first], loose: first + 100 }),
    ),
    ...Array.from({ length: 40 }, (): TestRestoration => ({ repeated, checks: [first, 1200] })),
  ]

  it('are those found with no clean look before, set against the time before and after the first look', () => {
    const { immortalTime } = compared([...made(true, 1, 5, 200), ...made(false, 9, 6, 100)])
    expect(immortalTime!.earlyEvents).toEqual({ group: 1, against: 9 })
    // Repeated: one with 100 days before, five with 200 before and 100 after, forty with 200 and 1,000. Single alike with 100.
    const [before, after] = [100 + 5 * 200 + 40 * 200, 5 * 100 + 40 * 1000]
    const [beforeOther, afterOther] = [9 * 100 + 6 * 100 + 40 * 100, 6 * 100 + 40 * 1100]
    expect(immortalTime!.expectedOdds).toBeCloseTo(before / after / (beforeOther / afterOther), 10)
    expect(immortalTime!.fires).toBe(false)
    const counted = immortalTimeTest(
      { earlyEvents: 1, lateEvents: 5, timeBefore: before, timeAfter: after },
      { earlyEvents: 9, lateEvents: 6, timeBefore: beforeOther, timeAfter: afterOther },
    )
    expect(immortalTime!.pValue).toBeCloseTo(counted.pValue as number, 10)
  })

  it('that one group has none of make it another group', () => {
    const result = compared([...made(true, 0, 20, 300), ...made(false, 30, 10, 300)])
    expect(result.immortalTime!.fires).toBe(true)
    expect([result.verdict, result.reason]).toEqual(['cannot-be-compared', 'immortal-time'])
  })

  it('leave out the time before recording began', () => {
    const later = made(true, 1, 5, 200).map((one) => ({
      ...one,
      fields: { observation_start_date: 50 },
    }))
    const { immortalTime } = compared([...later, ...made(false, 9, 6, 100)])
    const [before, after] = [50 + 5 * 150 + 40 * 150, 5 * 100 + 40 * 1000]
    const [beforeOther, afterOther] = [9 * 100 + 6 * 100 + 40 * 100, 6 * 100 + 40 * 1100]
    expect(immortalTime!.expectedOdds).toBeCloseTo(before / after / (beforeOther / afterOther), 10)
  })
})

describe('what is charted as repeated and not documented', () => {
  // All repeats in the window, half of them with a chart that says so; some single ones are charted as repeated.
  const made = (undocumented: number, looseOfThem: number): TestRestoration[] => [
    ...group(true, Array(6).fill(400), 54),
    ...group(false, Array(25).fill(400), 35),
    ...Array.from(
      { length: undocumented },
      (_one, i): TestRestoration => ({
        repeated: 'unknown',
        fields: { tightening_group: 'repeated' },
        ...(i < looseOfThem ? { checks: [200], loose: 400 } : { checks: [200, 2000] }),
      }),
    ),
  ]
  const of = (undocumented: number, looseOfThem: number) => {
    const result = compared(made(undocumented, looseOfThem))
    return { result, challenge: result.challenges.find(({ code }) => code === 'undocumented-as-single') }
  }

  it('is counted as single beside the estimate, and weakens where the direction goes', () => {
    const { result, challenge } = of(6, 0)
    expect(result.restorations).toEqual({ group: 60, against: 60 })
    expect(challenge!.effect).toBe('agrees')
    expect(challenge!.estimate).toBeCloseTo(6 / 60 - 25 / 66, 10)
    expect([result.verdict, result.reason]).toEqual(['lower', 'interval-excludes-zero'])
    expect(result.challenges[0]).toBe(challenge)
    // Ninety clean ones more among the single: 25 of 150 against 6 of 60.
    const many = of(90, 0)
    expect(many.challenge!.estimate).toBeCloseTo(6 / 60 - 25 / 150, 10)
    expect(many.challenge!.effect).toBe('weakens')
    expect(many.result.reason).toBe('not-documented')
  })

  it('is no challenge where everything is documented', () => {
    expect(of(0, 0).challenge).toBe(undefined)
  })

  it('is none either where nobody who is compared would be counted otherwise', () => {
    // In the group by its rows of another screw only; the chart says repeated, the rows say single: it is single already.
    const single: TestRestoration = {
      repeated: false,
      checks: [200, 2000],
      fields: { tightening_group: 'repeated' },
    }
    const result = compared([...made(0, 0), single])
    expect(result.exposure).toMatchObject({ charted: 61, documented: 60 })
    expect(result.challenges.some(({ code }) => code === 'undocumented-as-single')).toBe(false)
  })
})
