import { describe, expect, it } from 'vitest'
import type { Cohort } from '../../../src/cohort/cohort.js'
import { type ComparisonResult, compareTightenings } from '../../../src/questions/comparison/answer.js'
import type { Choice, ChoiceDesigns } from '../../../src/questions/comparison/choice.js'
import { overlapOf } from '../../../src/questions/comparison/overlap.js'
import { practice, type TestRestoration } from '../practice.js'

/*
 * Every threshold of the verdict from both sides: practices worked out by hand in which one count, and nothing else, passes it.
 * The thresholds are stated in docs/answer.md.
 */

const planned = { group: 'repeated in the window', against: 'single' } as const
const years = (count: number): number[] => Array.from({ length: count }, (_one, i) => 365 * (i + 1))

function verdict(restorations: readonly TestRestoration[]): ComparisonResult {
  const cohort: Cohort = practice(restorations)
  return compareTightenings(cohort, planned)!
}

/** A group of so many, of which some are found loose half a year after a clean look, the rest tight for five years. */
function group(
  repeated: boolean,
  size: number,
  loose: number,
  more: (i: number) => TestRestoration = () => ({}),
): TestRestoration[] {
  return Array.from({ length: size }, (_one, i) => ({
    repeated,
    delivery: 17_000 + i,
    ...(i % Math.max(1, Math.floor(size / Math.max(1, loose))) === 0 &&
    i < loose * Math.floor(size / Math.max(1, loose))
      ? { checks: [200, 399], loose: 400 }
      : { checks: years(5) }),
    ...more(i),
  }))
}

describe('the verdict', () => {
  it('needs ten events', () => {
    expect(verdict([...group(true, 120, 1), ...group(false, 120, 8)])).toMatchObject({
      verdict: 'cannot-be-known',
      reason: 'few-events',
    })
    expect(verdict([...group(true, 120, 1), ...group(false, 120, 9)]).reason).not.toBe('few-events')
  })

  it('gives a direction where the interval and both ends exclude zero', () => {
    const lower = verdict([...group(true, 150, 5), ...group(false, 150, 50)])
    expect(lower).toMatchObject({ verdict: 'lower', reason: 'interval-excludes-zero', horizonYears: 3 })
    expect(lower.numberNeeded!.estimate).toBeCloseTo(1 / Math.abs(lower.lead!.difference.estimate), 12)
    expect(lower.numberNeeded!.lower).toBeCloseTo(1 / Math.abs(lower.lead!.difference.lower), 12)
    expect(lower.numberNeeded!.upper).toBeCloseTo(1 / Math.abs(lower.lead!.difference.upper), 12)
    expect(verdict([...group(true, 150, 50), ...group(false, 150, 5)]).verdict).toBe('higher')
  })

  it('needs nine in ten of what is charted as repeated to be documented', () => {
    // Charted as repeated without any tightening: they belong to no measured group.
    const charted = (count: number): TestRestoration[] =>
      Array.from({ length: count }, (_one, i) => ({
        repeated: 'unknown',
        delivery: 17_000 + i,
        checks: years(5),
        fields: { tightening_group: 'repeated' },
      }))
    const compared = [...group(true, 180, 6), ...group(false, 180, 60)]
    const enough = verdict([...compared, ...charted(20)])
    expect(enough.exposure).toMatchObject({ charted: 200, documented: 180, documentedShare: 0.9 })
    expect(enough.verdict).toBe('lower')
    expect(verdict([...compared, ...charted(21)])).toMatchObject({
      verdict: 'open',
      reason: 'not-documented',
    })
  })

  it('compares what was measured where half of the restorations are, else what the chart says', () => {
    const byChart = (repeated: boolean, count: number): TestRestoration[] =>
      Array.from({ length: count }, (_one, i) => ({
        repeated: 'unknown',
        delivery: 17_000 + i,
        ...(i % 4 === 0 ? { checks: [200, 399], loose: 400 } : { checks: years(5) }),
        fields: { tightening_group: repeated ? 'repeated' : 'single' },
      }))
    const measured = [...group(true, 60, 8), ...group(false, 60, 20)]
    expect(verdict([...measured, ...byChart(true, 60), ...byChart(false, 60)]).groups.by).toBe('measured')
    expect(verdict([...measured, ...byChart(true, 61), ...byChart(false, 60)]).groups.by).toBe('chart')
  })

  it('is withheld where more than a fifth were never looked at', () => {
    const seen = [...group(true, 160, 5), ...group(false, 160, 50)]
    const unseen = (count: number): TestRestoration[] =>
      Array.from({ length: count }, (_one, i) => ({ repeated: i % 2 === 0, delivery: 17_000 + i }))
    expect(verdict([...seen, ...unseen(80)]).verdict).toBe('lower')
    expect(verdict([...seen, ...unseen(81)])).toMatchObject({
      verdict: 'cannot-be-known',
      reason: 'risk-withheld',
    })
  })

  it('is of the longest horizon at which ten of each group are at risk', () => {
    const short = (repeated: boolean, loose: number, long: number): TestRestoration[] =>
      group(repeated, 100, loose, (i) =>
        i % 2 === 1 && i >= 2 * long
          ? { checks: [365, 800] }
          : i % 2 === 0
            ? { checks: [200, 399], ...(i < 2 * loose ? { loose: 400 } : {}) }
            : {},
      )
    const at = (long: number): number | undefined =>
      verdict([...short(true, 5, long), ...short(false, 20, 40)]).horizonYears
    expect(at(10)).toBe(3)
    expect(at(9)).toBe(2)
  })

  it('cannot be compared where under half had both ways of one operator within a year', () => {
    // One operator repeats from day 0 to 100 and tightens once two years later; a second one has both ways all along.
    const mixed = (
      count: number,
      from: number,
      operator: string,
      repeated: boolean,
      loose: number,
    ): TestRestoration[] =>
      group(repeated, count, loose, (i) => ({ operator, delivery: 17_000 + from + (i % 100) }))
    const apart = (both: number): ComparisonResult =>
      verdict([
        ...mixed(100, 0, 'X', true, 5),
        ...mixed(100, 900, 'X', false, 30),
        ...mixed(both / 2, 0, 'Y', true, 5),
        ...mixed(both / 2, 0, 'Y', false, 15),
      ])
    const under = apart(198)
    expect(under.overlap!.withinAYear).toBeLessThan(0.5)
    expect(under).toMatchObject({ verdict: 'cannot-be-compared', reason: 'overlap' })
    const enough = apart(202)
    expect(enough.overlap!.withinAYear).toBeGreaterThan(0.5)
  })

  it('is open where a direction holds at one end only', () => {
    // Found at three years and a day in one group, and in the first year in the other: only the day of finding tells them apart.
    const late = (repeated: boolean): TestRestoration[] =>
      group(repeated, 200, 40, (i) =>
        i % 5 === 0 ? { checks: [30], loose: repeated ? 1101 : 1090 } : { checks: years(5) },
      )
    const result = verdict([...late(true), ...late(false)])
    expect(['lower', 'higher']).not.toContain(result.verdict)
    expect(result.rangeLeads).toBe(true)
  })

  it('has a contrast within patients from ten of them on with the event in one way only', () => {
    const pairs = (discordant: number): TestRestoration[] =>
      Array.from({ length: 120 }, (_one, patient): TestRestoration[] => {
        const loose = patient < discordant
        const shared = { patient, delivery: 17_000 + patient }
        return [
          { ...shared, repeated: true, checks: years(5) },
          {
            ...shared,
            repeated: false,
            ...(loose ? { checks: [200, 399], loose: 400 } : { checks: years(5) }),
          },
        ]
      }).flat()
    // Events in patients of one restoration keep the comparison alive where few pairs have one.
    const others = [
      ...group(true, 60, 6, (i) => ({ patient: 1000 + i })),
      ...group(false, 60, 6, (i) => ({ patient: 2000 + i })),
    ]
    const nine = verdict([...pairs(9), ...others]).within!
    expect(nine).toEqual({ patients: 120, discordant: 9 })
    const ten = verdict([...pairs(10), ...others]).within!
    expect(ten.discordant).toBe(10)
    expect(ten.difference!.estimate).toBeCloseTo(-10 / 120, 2)
    expect(ten.difference!.upper).toBeLessThan(0)
  })

  it('needs a choice that was open enough: 0.15 of what a coin would give', () => {
    // 4e(1 − e) = 0.15 where e = (1 − √0.85) / 2 = 0.0390.
    const overlap = (score: number) =>
      overlapOf(
        {
          compared: { row: [0, 1, 2, 3], inGroup: [0, 1, 0, 1] },
          operator: ['X', 'X', 'X', 'X'],
          years: [1, 1, 1, 1],
        } as unknown as ChoiceDesigns,
        {
          kept: [0, 1, 2, 3],
          scores: [{ score: [score, 1 - score, score, 1 - score] }],
        } as unknown as Choice,
      )
    expect(overlap(0.5)).toMatchObject({ withinAYear: 1, openChoice: 1, oneWayOnly: 0, enough: true })
    expect(overlap(0.0391)).toMatchObject({ enough: true })
    expect(overlap(0.0389)).toMatchObject({ enough: false })
    expect(overlap(0.0389).openChoice).toBeCloseTo(4 * 0.0389 * 0.9611, 12)
  })

  it('does not take few events of a group for certainty', () => {
    // None or four among 100: no narrower than at the risk of both groups together; from five on each group speaks for itself.
    const halfWidth = (loose: number) => {
      const { lower, upper } = verdict([...group(true, 100, loose), ...group(false, 100, 25)]).lead!
        .difference
      return (upper - lower) / 2
    }
    const pooled = (events: number): number => {
      const p = (events + 25) / 200
      return 1.96 * Math.sqrt((p * (1 - p)) / 100 + (0.25 * 0.75) / 100)
    }
    expect(halfWidth(0)).toBeGreaterThan(pooled(0))
    expect(halfWidth(4)).toBeGreaterThan(pooled(4))
    expect(halfWidth(5)).toBeLessThan(pooled(5))
  })
})
