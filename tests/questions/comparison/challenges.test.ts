import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { CohortError } from '../../../src/core/errors.js'
import { outcomeOf } from '../../../src/questions/comparison/answer.js'
import {
  type ChallengeInput,
  completeCases,
  contextChallenges,
  estimateChallenges,
  judged,
  lossChallenge,
  missedAndFalse,
  negativeControl,
  redefinedOutcome,
  sideOf,
} from '../../../src/questions/comparison/challenges.js'
import { choiceDesigns, comparedRows, fitChoice } from '../../../src/questions/comparison/choice.js'
import { type OverlapEstimate, overlapEstimate } from '../../../src/questions/comparison/estimate.js'
import { tighteningGroups } from '../../../src/questions/comparison/groups.js'
import { practice, type TestRestoration } from '../practice.js'

const planned = { group: 'repeated in the window', against: 'single' } as const
const level = 0.95

/** What challenges need of a practice; nothing is allowed for but what is named. */
function inputOf(restorations: readonly TestRestoration[], keys: readonly string[] = []): ChallengeInput {
  const cohort = practice(restorations)
  const compared = comparedRows(cohort, tighteningGroups(cohort, planned))!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const designs = choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys, seed: 1, imputations: 2 },
  )
  const choice = fitChoice(designs)!
  const horizonDays = 3 * daysPerYear
  const lead = overlapEstimate(choice, outcome, horizonDays, { level })!
  return { cohort, compared, designs, choice, outcome, lead, horizonDays, smallest: 0.02, level, seed: 5 }
}

/** So many of a group, the first of them found loose on day 400 after a clean look on day 300; the rest tight for years. */
function group(
  repeated: boolean,
  size: number,
  loose: number,
  more: (i: number) => TestRestoration = () => ({}),
): TestRestoration[] {
  return Array.from({ length: size }, (_one, i) => ({
    repeated,
    ...(i < loose ? { checks: [300], loose: 400 } : { checks: [300, 1300] }),
    ...more(i),
  }))
}

const byCode = (input: ChallengeInput, code: string) =>
  estimateChallenges(input).find((one) => one.code === code)

describe('what another estimate does to the lead', () => {
  /** An estimate with its interval; its influences lie so far from those of others that the pair has this error. */
  const estimate = (at: number, half: number, influence = 0, patientsWithEvent = 40) =>
    ({
      difference: { estimate: at, lower: at - half, upper: at + half },
      patientsWithEvent,
      tables: [
        { difference: at, known: new Float64Array([influence]), estimated: new Float64Array([influence]) },
      ],
    }) as unknown as OverlapEstimate
  const effect = (lead: OverlapEstimate, other: OverlapEstimate, smallest = 0.0625): string =>
    judged('same-years', other, { lead, level, smallest }).effect

  it('contradicts where it lies towards zero by more than matters, and the interval of the pair excludes zero', () => {
    const lead = estimate(-0.5, 0.25)
    expect(effect(lead, estimate(-0.25, 0.125, 0.01))).toBe('contradicts')
    expect(effect(lead, estimate(0.25, 0.125, 0.01))).toBe('contradicts')
    // As far as matters, and no farther.
    expect(effect(lead, estimate(-0.25, 0.125, 0.01), 0.25)).toBe('agrees')
    expect(effect(lead, estimate(-0.25, 0.125, 0.01), 0.2499)).toBe('contradicts')
    // Away from zero.
    expect(effect(lead, estimate(-0.75, 0.125, 0.01))).toBe('agrees')
    // The interval of the pair holds zero: t of 38 degrees of freedom is 2.0244, so that 0.125 times it is above 0.25.
    expect(effect(lead, estimate(-0.25, 0.125, 0.125))).toBe('agrees')
    expect(effect(lead, estimate(-0.25, 0.125, 0.123))).toBe('contradicts')
  })

  it('does so on either side of zero', () => {
    const lead = estimate(0.5, 0.25)
    expect(effect(lead, estimate(0.25, 0.125, 0.01))).toBe('contradicts')
    expect(effect(lead, estimate(0.75, 0.125, 0.01))).toBe('agrees')
    expect(effect(lead, estimate(0.25, 0.125, 0.125))).toBe('agrees')
    expect(effect(lead, estimate(0.25, 0.125, 0.01), 0.25)).toBe('agrees')
    // From an estimate of nought nothing lies towards zero but what is below it.
    expect(effect(estimate(0, 0.25), estimate(0.25, 0.125, 0.01))).toBe('agrees')
    expect(effect(estimate(0, 0.25), estimate(-0.25, 0.125, 0.01))).toBe('contradicts')
  })

  it('weakens where its own interval holds zero and that of the lead does not', () => {
    const far = 0.3
    expect(effect(estimate(-0.5, 0.25), estimate(-0.25, 0.3, far))).toBe('weakens')
    expect(effect(estimate(-0.5, 0.25), estimate(-0.5, 0.4, far))).toBe('agrees')
    expect(effect(estimate(-0.5, 0.25), estimate(0.5, 0.25, 3))).toBe('weakens')
    expect(effect(estimate(-0.5, 0.75), estimate(-0.25, 0.3, far))).toBe('agrees')
    expect(effect(estimate(-0.5, 0.75), estimate(-0.25, 0.1, far))).toBe('agrees')
  })

  it('has no say below ten patients with an event, and shows its figures all the same', () => {
    const lead = estimate(-0.5, 0.25)
    const challenge = (patients: number) =>
      judged('ticks-only', estimate(-0.25, 0.125, 0.01, patients), { lead, level, smallest: 0.02 })
    const few = challenge(9)
    expect(few).toMatchObject({ code: 'ticks-only', effect: 'context', silent: 'too-few', estimate: -0.25 })
    expect(few.shift!.estimate).toBe(0.25)
    const enough = challenge(10)
    expect(enough).toMatchObject({ code: 'ticks-only', effect: 'contradicts', lower: -0.375, upper: -0.125 })
    expect(enough.silent).toBe(undefined)
    expect(enough.shift!.estimate).toBe(0.25)
    const agreed = judged('ticks-only', estimate(-0.5, 0.25), { lead, level, smallest: 0.02 })
    expect(agreed).toMatchObject({ effect: 'agrees', estimate: -0.5, shift: { estimate: 0 } })
  })

  it('knows the side of an interval, which one that touches zero has not', () => {
    const sides = [
      [-0.2, -0.1],
      [0.1, 0.2],
      [-0.1, 0],
      [0, 0.1],
    ].map(([lower, upper]) => sideOf({ lower: lower!, upper: upper! }))
    expect(sides).toEqual([-1, 1, 0, 0])
  })
})

describe('the other readings', () => {
  const plain = [...group(true, 60, 6), ...group(false, 60, 18)]

  it('are absent where they are the lead over again; the doubly robust one never is', () => {
    const codes = estimateChallenges(inputOf(plain)).map(({ code }) => code)
    expect(codes).toEqual(['doubly-robust'])
  })

  it('reads ticked visits alone where some are not ticked: what was found there waits for the next', () => {
    // Six of the eighteen of the single were found at a visit that is not ticked, and are looked at again on day 1,300.
    const blank = (i: number): TestRestoration =>
      i < 6 ? { checks: [300, 1300], fields: {}, loose: 400, unticked: [400] } : {}
    const input = inputOf([...group(true, 60, 6), ...group(false, 60, 18, blank)])
    const ticks = byCode(input, 'ticks-only')!
    expect(input.lead.difference.estimate).toBeCloseTo(0.1 - 0.3, 10)
    // Midpoint of 300 and 1,300 is day 800, within three years: the same risks, at other times.
    expect(ticks.estimate).toBeCloseTo(0.1 - 0.3, 10)
    // 24 patients with an event: 22 degrees of freedom, t 2.073873 (tables).
    const error = Math.sqrt((0.1 * 0.9 + 0.3 * 0.7) / 60)
    expect(ticks.upper! - ticks.estimate!).toBeCloseTo(2.073873 * error, 5)
    const outcome = redefinedOutcome(input.cohort, input.compared, { looks: 'ticks' })!
    expect([...outcome.timeDays.slice(60, 67)]).toEqual([800, 800, 800, 800, 800, 800, 350])
    expect([...outcome.present!]).toEqual(Array(120).fill(1))
  })

  it('leaves out who has no ticked visit at all', () => {
    const blank = (i: number): TestRestoration =>
      i >= 50 ? { checks: [300, 1300], unticked: [300, 1300] } : {}
    const input = inputOf([...group(true, 60, 6, blank), ...group(false, 60, 18)])
    const outcome = redefinedOutcome(input.cohort, input.compared, { looks: 'ticks' })!
    expect([...outcome.present!].filter((one) => one === 0)).toHaveLength(10)
    expect(outcome.present![50]).toBe(0)
    expect(outcome.present![49]).toBe(1)
    expect(byCode(input, 'ticks-only')!.estimate).toBeCloseTo(6 / 50 - 18 / 60, 10)
  })

  it('follows to the last contact where that came after the last look', () => {
    const told = (i: number): TestRestoration => (i === 59 ? { checks: [300], told: [1200] } : {})
    const input = inputOf([...group(true, 60, 6, told), ...group(false, 60, 18)])
    const other = byCode(input, 'last-contact')!
    // One of sixty leaves on day 300, before any event: 6 of 59 by the last look, of 60 by the last contact.
    expect(input.lead.group.estimate).toBeCloseTo(6 / 59, 10)
    expect(other.estimate).toBeCloseTo(0.1 - 0.3, 10)
    expect(byCode(inputOf(plain), 'last-contact')).toBe(undefined)
  })

  it('takes the deliveries between the first and the last twentieth of both groups', () => {
    // Repeated on days 0 to 100, single on days 40 to 140: twentieths at the fifth of 101 are 5 and 95, 45 and 135. Shared
    // are days 45 to 95. Loosened: repeated from day 91 on and before day 5, single below day 50.
    const day = (from: number, loosens: (day: number) => boolean) => (i: number) => ({
      delivery: 17_000 + from + i,
      ...(loosens(from + i) ? { checks: [300], loose: 400 } : { checks: [300, 1300] }),
    })
    const input = inputOf([
      ...group(
        true,
        101,
        0,
        day(0, (at) => at < 5 || at > 90),
      ),
      ...group(
        false,
        101,
        0,
        day(40, (at) => at < 50 || at > 95),
      ),
    ])
    const same = byCode(input, 'same-years')!
    expect(same.estimate).toBeCloseTo(5 / 51 - 5 / 51, 10)
    const [own, other] = [Math.sqrt((5 / 51) * (46 / 51) * (2 / 51)), 10]
    // Ten patients with an event: 8 degrees of freedom, 2.306004; five events each, so that neither is raised.
    expect(same.upper).toBeCloseTo(2.306004 * own, 5)
    expect(same.silent).toBe(undefined)
    expect(other).toBe(10)
  })

  it('takes those that could be followed to the horizon, whether they were or not', () => {
    // The clinic saw somebody 3,000 days after the first delivery. Deliveries on day 2,000 could be followed for 1,000 days
    // only, three years are 1,095.75; of the earlier half 6 of 60 and 18 of 60 loosen, of the later all of the single.
    const later = (i: number): TestRestoration => ({
      delivery: 17_000 + (i < 60 ? 0 : 2000),
      ...(i < 60 ? {} : { checks: [300, 1000] }),
    })
    const last = { repeated: true, checks: [300, 3000] } as const
    const input = inputOf([
      ...group(true, 120, 6, later),
      ...group(false, 120, 18, later),
      last,
      { repeated: false, checks: [300, 3000] },
    ])
    const equal = byCode(input, 'equal-follow-up')!
    expect(equal.estimate).toBeCloseTo(6 / 61 - 18 / 61, 10)
    expect(input.lead.difference.estimate).not.toBeCloseTo(equal.estimate!, 4)
  })

  it('needs ten of each group at risk in the part', () => {
    const early =
      (of: number) =>
      (i: number): TestRestoration => ({
        delivery: 17_000 + (i < of ? 0 : 2000),
        checks: i < of ? (i < 12 ? [300] : [300, 1300]) : [300, 1000],
        ...(i < 12 ? { loose: 400 } : {}),
      })
    const last = [true, false].map((repeated) => ({ repeated, checks: [300, 3000] }))
    const equal = (of: number) =>
      byCode(
        inputOf([...group(true, 80, 0, early(of)), ...group(false, 80, 0, early(40)), ...last]),
        'equal-follow-up',
      )
    expect(equal(21)).not.toBe(undefined)
    expect(equal(20)).toBe(undefined)
  })

  it('has no estimate of a part in which one way was not used', () => {
    // All single restorations were delivered too late to be followed for three years.
    const late = (): TestRestoration => ({ delivery: 19_000, checks: [300, 1000] })
    const input = inputOf([
      ...group(true, 60, 6),
      ...group(false, 60, 0, late),
      { repeated: true, delivery: 17_000, checks: [300, 3000] },
    ])
    expect(estimateChallenges(input).map(({ code }) => code)).toEqual(['doubly-robust'])
  })

  it('gives each operator a trend of its own from forty restorations an operator on', () => {
    // Two operators, each with both ways on two days: with own trends every day of an operator is compared by itself.
    const all = (count: number): TestRestoration[] =>
      Array.from({ length: count }, (_one, i) => {
        const early = i % 2 === 0
        const operator = (i >> 1) % 2 === 0 ? 'X' : 'Y'
        // X repeats early and Y repeats late in three of four.
        const repeated = (i >> 2) % 4 < ((operator === 'X') === early ? 3 : 1)
        return {
          repeated,
          operator,
          delivery: 17_000 + (early ? 0 : 700),
          ...((i * i + 3 * i) % 11 < 3 ? { checks: [300], loose: 400 } : { checks: [300, 1300] }),
        }
      })
    expect(byCode(inputOf(all(79), ['operator', 'delivery_day']), 'operator-trends')).toBe(undefined)
    const input = inputOf(all(80), ['operator', 'delivery_day'])
    const trends = byCode(input, 'operator-trends')!
    // Cells of operator and day: risks by way, weighed by n₁n₀/(n₁ + n₀).
    const cells = new Map<string, [number, number, number, number]>()
    for (const { operator, delivery, repeated, loose } of all(80)) {
      const cell = cells.get(`${operator} ${delivery}`) ?? [0, 0, 0, 0]
      cell[repeated ? 1 : 0] += 1
      if (loose !== undefined) cell[repeated ? 3 : 2] += 1
      cells.set(`${operator} ${delivery}`, cell)
    }
    let [sum, weighted] = [0, 0]
    for (const [against, of, looseAgainst, looseOf] of cells.values()) {
      const weight = (against * of) / (against + of)
      sum += weight
      weighted += weight * (looseOf / of - looseAgainst / against)
    }
    expect(trends.estimate).toBeCloseTo(weighted / sum, 8)
    expect(input.lead.difference.estimate).not.toBeCloseTo(weighted / sum, 3)
    // One operator has no trend of its own.
    expect(byCode(inputOf(all(80), ['delivery_day']), 'operator-trends')).toBe(undefined)
  })

  it('are absent where the records hold nothing under another reading, and stop at any other fault', () => {
    const unticked = (): TestRestoration => ({ unticked: [300, 400, 1300] })
    const input = inputOf([...group(true, 60, 6, unticked), ...group(false, 60, 18, unticked)])
    expect(byCode(input, 'ticks-only')).toBe(undefined)
    const { cohort, compared } = input
    expect(redefinedOutcome(cohort, compared, { looks: 'ticks' })).toBe(undefined)
    const broken = {
      ...cohort,
      redefined: () => {
        throw new RangeError('other')
      },
    } as unknown as typeof cohort
    expect(() => redefinedOutcome(broken, compared, { looks: 'ticks' })).toThrow(RangeError)
  })

  it('take those measured, of a comparison by the chart', () => {
    // By the chart 100 of each; 30 of each measured: 3 and 9 of these loosened, of the rest 7 and 20.
    const way = (repeated: boolean, measured: boolean) => (): TestRestoration => ({
      fields: { tightening_group: repeated ? 'repeated' : 'single' },
      repeated: measured ? repeated : 'unknown',
    })
    const input = inputOf([
      ...group(true, 30, 3, way(true, true)),
      ...group(true, 70, 7, way(true, false)),
      ...group(false, 30, 9, way(false, true)),
      ...group(false, 70, 20, way(false, false)),
    ])
    expect(input.compared.groups.by).toBe('chart')
    expect(byCode(input, 'measured-only')!.estimate).toBeCloseTo(3 / 30 - 9 / 30, 10)
    expect(input.lead.difference.estimate).toBeCloseTo(0.1 - 0.29, 10)
  })

  it('keep in the same years whose day is not known', () => {
    const day =
      (from: number) =>
      (i: number): TestRestoration =>
        i < 10
          ? {
              fields: { delivery_date: undefined },
              ...(i < 4 ? { checks: [300], loose: 400 } : { checks: [300, 1300] }),
            }
          : { delivery: 17_000 + from + i, checks: [300, 1300] }
    const input = inputOf([...group(true, 110, 0, day(0)), ...group(false, 110, 0, day(40))])
    // Of days 10 to 109 and 50 to 149 the twentieths of 100 (positions 4 and 95) are 14 and 105, 54 and 145: shared 54 to 105.
    const same = byCode(input, 'same-years')!
    expect(same.estimate).toBeCloseTo(0, 10)
    expect(same.silent).toBe('too-few')
    const rows = 10 + 52
    const half = (same.upper! - same.lower!) / 2
    // Four of 62 in either group, neither above five: 6 degrees of freedom, t 2.446912 (tables).
    expect(half).toBeCloseTo(2.446912 * Math.sqrt((2 * (4 / rows) * (1 - 4 / rows)) / rows), 4)
  })
})

describe('the negative control', () => {
  const chipped =
    (of: number, late = 0) =>
    (i: number): TestRestoration => ({
      checks: [300, 1200, 1300],
      ...(i < of ? { chipped: 500 } : i < of + late ? { chipped: 1250 } : {}),
    })
  const control = (ofGroup: number, ofAgainst: number, lead = -0.1, late = 0) => {
    const input = inputOf([
      ...group(true, 80, 0, chipped(ofGroup, late)),
      ...group(false, 80, 0, chipped(ofAgainst)),
    ])
    const leading = { ...input.lead, difference: { estimate: lead, lower: lead, upper: lead } }
    return negativeControl({ ...input, lead: leading }, 'veneer_chipping')!
  }

  it('contradicts where the groups differ in it as they do in the lead, and agrees else', () => {
    const lower = control(2, 30)
    expect(lower).toMatchObject({ code: 'negative-control', effect: 'contradicts', events: 32 })
    expect(lower.estimate).toBeCloseTo(2 / 80 - 30 / 80, 10)
    expect(control(2, 30, 0.1).effect).toBe('agrees')
    expect(control(30, 2, 0.1).effect).toBe('contradicts')
    expect(control(30, 2).effect).toBe('agrees')
    expect(control(15, 16).effect).toBe('agrees')
    // No difference in the lead: an interval of the control that holds zero says nothing either.
    expect(control(15, 16, 0).effect).toBe('agrees')
  })

  it('is silent below twenty events by the horizon', () => {
    expect(control(4, 15)).toMatchObject({ effect: 'context', silent: 'too-few', events: 19 })
    expect(control(4, 15).estimate).toBeCloseTo(4 / 80 - 15 / 80, 10)
    expect(control(4, 16)).toMatchObject({ effect: 'contradicts', events: 20 })
    expect(control(4, 16).silent).toBe(undefined)
    expect(control(4, 15, -0.1, 3)).toMatchObject({ silent: 'too-few', events: 19 })
  })

  it('is none where the records do not hold it, for all or for one group', () => {
    const input = inputOf([
      ...group(true, 40, 5, () => ({ operator: 'X' })),
      ...group(false, 40, 9, () => ({ operator: 'Y' })),
    ])
    const { cohort } = input
    const of = (redefined: () => unknown) =>
      negativeControl(
        { ...input, cohort: { ...cohort, redefined } as unknown as typeof cohort },
        'veneer_chipping',
      )
    const words = { code: 'empty-cohort', problem: 'p.', expected: 'e.', mend: 'm.' } as const
    expect(
      of(() => {
        throw new CohortError(words)
      }),
    ).toBe(undefined)
    expect(of(() => cohort.where({ operator_id: 'X' }))).toBe(undefined)
    expect(of(() => cohort)).not.toBe(undefined)
  })

  it('is none where it is the endpoint itself', () => {
    const input = inputOf([...group(true, 40, 5), ...group(false, 40, 9)])
    expect(negativeControl(input, 'screw_loosening')).toBe(undefined)
  })
})

describe('complete cases', () => {
  it('are those with every value known, and context', () => {
    // The region is unknown of the last twenty of each group; loosened are the first six and eighteen.
    const fields = (i: number): TestRestoration => ({
      fields: i < 40 ? { tooth_position: i % 2 === 0 ? '36' : '34' } : {},
    })
    const input = inputOf([...group(true, 60, 6, fields), ...group(false, 60, 18, fields)], ['region'])
    const complete = completeCases(input)!
    expect(complete).toMatchObject({ code: 'complete-cases', effect: 'context' })
    // Molars are half of either group, so that nothing is left to weigh: 6 of 40 against 18 of 40.
    expect(complete.estimate).toBeCloseTo(6 / 40 - 18 / 40, 8)
    // 24 patients with an event: 22 degrees of freedom, t 2.073873 (tables); one table, so that nothing lies between tables.
    const error = Math.sqrt((0.15 * 0.85) / 40 + (0.45 * 0.55) / 40)
    expect(complete.upper! - complete.estimate!).toBeCloseTo(2.073873 * error, 5)
    const all = (i: number): TestRestoration => ({ fields: { tooth_position: i % 2 === 0 ? '36' : '34' } })
    expect(
      completeCases(inputOf([...group(true, 30, 6, all), ...group(false, 30, 9, all)], ['region'])),
    ).toBe(undefined)
  })

  it('are none where no operator has both ways among them', () => {
    // The region is known of the repeated of one operator and of the single of the other.
    const of =
      (operator: string, known: boolean) =>
      (i: number): TestRestoration => ({
        operator,
        fields: known || i < 4 ? { tooth_position: i % 2 === 0 ? '36' : '34' } : {},
      })
    const input = inputOf(
      [
        ...group(true, 40, 6, of('X', true)),
        ...group(false, 6, 1, of('X', false)),
        ...group(true, 6, 1, of('Y', false)),
        ...group(false, 40, 12, of('Y', true)),
      ],
      ['operator', 'region'],
    )
    expect(completeCases(input)).not.toBe(undefined)
    const nobody = {
      ...input.designs,
      complete: input.designs.complete.map((one, i) => (i < 40 || i >= 52 ? one : 0)),
    }
    expect(completeCases({ ...input, designs: nobody })).toBe(undefined)
  })
})

describe('missed and false findings', () => {
  const lead = (ofGroup: number, ofAgainst: number, half: number, interval: readonly [number, number]) => {
    const ranged = (estimate: number) => ({ estimate, lower: estimate - half, upper: estimate + half })
    const difference = { estimate: ofGroup - ofAgainst, lower: interval[0], upper: interval[1] }
    return { group: ranged(ofGroup), against: ranged(ofAgainst), difference } as unknown as OverlapEstimate
  }
  const of = (one: OverlapEstimate) => missedAndFalse({ lead: one, level, seed: 7 } as ChallengeInput)
  /** Mean and spread of (p − f) / (s − f) over s from 0.85 to 1 and f from 0 to 0.01, by a fine grid of both. */
  const corrected = (risk: number): { readonly mean: number; readonly variance: number } => {
    let [sum, squares] = [0, 0]
    for (let i = 0; i < 200; i++)
      for (let j = 0; j < 200; j++) {
        const [found, falsely] = [0.85 + (0.15 * (i + 0.5)) / 200, (0.01 * (j + 0.5)) / 200]
        const value = (risk - falsely) / (found - falsely)
        sum += value / 40_000
        squares += value ** 2 / 40_000
      }
    return { mean: sum, variance: squares - sum ** 2 }
  }

  it('centre on the risks corrected for the mean of both, and spread as they do', () => {
    const found = of(lead(0.1, 0.5, 0, [-0.5, -0.3]))
    const [group, against] = [corrected(0.1), corrected(0.5)]
    const spread = Math.sqrt(group.variance + against.variance)
    expect(found.code).toBe('misclassification')
    expect(found.estimate).toBeCloseTo(group.mean - against.mean, 2)
    // Uniform draws have no long tails: 95 % of them lie within 1.7 to 2 spreads of the middle.
    expect((found.upper! - found.lower!) / 2 / spread).toBeGreaterThan(1.6)
    expect((found.upper! - found.lower!) / 2 / spread).toBeLessThan(2.05)
    expect(found.effect).toBe('agrees')
  })

  it('add the sampling error of the lead', () => {
    // Half an interval of 0.098 is an error of 0.05; two of them, scaled by 1/0.92 or so, and the spread of the correction.
    const found = of(lead(0.3, 0.5, 0.098, [-0.35, -0.05]))
    const [group, against] = [corrected(0.3), corrected(0.5)]
    const error = Math.sqrt(2 * (0.05 / 0.92) ** 2 + group.variance + against.variance)
    expect((found.upper! - found.lower!) / 2 / (1.96 * error)).toBeGreaterThan(0.93)
    expect((found.upper! - found.lower!) / 2 / (1.96 * error)).toBeLessThan(1.07)
    expect(found.estimate).toBeCloseTo(group.mean - against.mean, 1)
  })

  it('weaken where they bring zero into the interval, and where they turn it', () => {
    expect(of(lead(0.3, 0.34, 0.05, [-0.06, -0.02])).effect).toBe('weakens')
    expect(of(lead(0.3, 0.34, 0.05, [-0.06, 0.02])).effect).toBe('agrees')
    expect(of(lead(0.3, 0.34, 0.05, [0.02, 0.06])).effect).toBe('weakens')
  })

  it('keep risks between none and all', () => {
    const none = of(lead(0.0001, 0.99, 0, [-1, -0.9]))
    expect(none.lower).toBeGreaterThanOrEqual(-1)
    expect(none.estimate).toBeCloseTo(-1, 3)
  })

  it('are the same again, and others with another seed', () => {
    const one = lead(0.3, 0.34, 0.05, [-0.06, -0.02])
    expect(of(one)).toEqual(of(one))
    expect(missedAndFalse({ lead: one, level, seed: 8 } as ChallengeInput)).not.toEqual(of(one))
    const narrow = missedAndFalse({ lead: one, level: 0.5, seed: 7 } as ChallengeInput)
    expect(narrow.upper! - narrow.lower!).toBeGreaterThan(0)
  })
})

describe('context', () => {
  it('is looks by group and what something unmeasured would take, each where it can be had', () => {
    const input = inputOf([...group(true, 40, 5), ...group(false, 40, 9)])
    const codes = (one: ChallengeInput) => contextChallenges(one).map(({ code, effect }) => [code, effect])
    expect(codes(input)).toEqual([
      ['visits-by-group', 'context'],
      ['unmeasured-confounding', 'context'],
    ])
    const none = { ...input.lead, group: { estimate: 0, lower: 0, upper: 0.1 } }
    expect(codes({ ...input, lead: none })).toEqual([['visits-by-group', 'context']])
    const unseen = inputOf([
      ...Array.from({ length: 20 }, (): TestRestoration => ({ repeated: true, loose: 100 })),
      ...group(false, 40, 9),
    ])
    expect(codes(unseen)).toEqual([['unmeasured-confounding', 'context']])
  })
})

describe('loss', () => {
  const ranged = (lower: number, upper: number) => ({ estimate: (lower + upper) / 2, lower, upper })
  const of = (
    lead: readonly [number, number],
    counted: readonly [number, number] | undefined,
    pValue?: number,
  ) =>
    lossChallenge(
      {
        ...(counted === undefined ? {} : { estimate: { difference: ranged(...counted) } }),
        ...(pValue === undefined ? {} : { pValue }),
      } as never,
      { difference: ranged(...lead) } as never,
    )

  it('has no say where it cannot be had', () => {
    const silent = { code: 'loss', effect: 'context', silent: 'too-few' }
    expect(of([-0.2, -0.1], undefined, 0.01)).toEqual(silent)
    expect(of([-0.2, -0.1], [-0.1, 0.1])).toEqual(silent)
  })

  it('shows the estimate with losses counted, and weakens what has no side to lose', () => {
    const one = of([-0.2, -0.1], [-0.1, 0.125], 0.01)
    expect(one).toMatchObject({ code: 'loss', effect: 'contradicts', lower: -0.1, upper: 0.125 })
    expect(one.estimate).toBeCloseTo(0.0125, 12)
    expect(of([-0.2, 0.1], [0.1, 0.2], 0.01).effect).toBe('weakens')
    expect(of([0.1, 0.2], [-0.1, 0.1], 0.01).effect).toBe('contradicts')
  })
})
