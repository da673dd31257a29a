import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { speaker } from '../../../src/messages/speaker.js'
import { compareTightenings, outcomeOf } from '../../../src/questions/comparison/answer.js'
import { comparisonPart, objectionsOf } from '../../../src/questions/comparison/answerPart.js'
import { balanceOf } from '../../../src/questions/comparison/balance.js'
import { balanceChart, overlapChart } from '../../../src/questions/comparison/balanceChart.js'
import { choiceDesigns, comparedRows, fitChoice } from '../../../src/questions/comparison/choice.js'
import { unmeasuredConfounding, visitsByGroup } from '../../../src/questions/comparison/context.js'
import { tighteningGroups } from '../../../src/questions/comparison/groups.js'
import { challengesTable, restSentences } from '../../../src/questions/comparison/section.js'
import { pathsOf } from '../../../src/questions/words/place.js'
import { practice, type TestRestoration } from '../practice.js'

const planned = { group: 'repeated in the window', against: 'single' } as const

function preparedOf(restorations: readonly TestRestoration[], keys: readonly string[] = []) {
  const cohort = practice(restorations)
  const compared = comparedRows(cohort, tighteningGroups(cohort, planned))!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const designs = choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys, seed: 1, imputations: 1 },
  )
  return { cohort, compared, outcome, designs }
}

/** A leading estimate of two risks and an interval of their difference. */
function leadOf(group: number, against: number, lower: number, upper: number) {
  const ranged = (estimate: number) => ({ estimate, lower: estimate, upper: estimate })
  const difference = { estimate: group - against, lower, upper }
  return { group: ranged(group), against: ranged(against), difference } as never
}

describe('how strong something unmeasured would have to be', () => {
  const { designs, outcome } = preparedOf([
    { repeated: true, checks: [400] },
    { repeated: false, checks: [400] },
  ])
  const of = (lead: never) => unmeasuredConfounding(designs, outcome, lead, 3 * daysPerYear)

  it('gives the E-values of the worked example of VanderWeele and Ding (2017): 7.26 and, for the limit, 3.0', () => {
    // Their risk ratio is 3.9 with a lower limit of 1.8: here 3.9 % against 1 %, and a limit 0.8 points above zero.
    const { riskRatio, eValue, eValueOfLimit } = of(leadOf(0.039, 0.01, 0.008, 0.05))!
    expect(riskRatio).toBeCloseTo(3.9, 12)
    expect(eValue).toBeCloseTo(7.26, 2)
    expect(eValueOfLimit).toBeCloseTo(3, 10)
  })

  it('gives 1.81 and 1.43 for their ratio of 0.80 with an upper limit of 0.91, below 1', () => {
    const { eValue, eValueOfLimit } = of(leadOf(0.08, 0.1, -0.03, -0.009))!
    expect(eValue).toBeCloseTo(1.81, 2)
    expect(eValueOfLimit).toBeCloseTo(1.43, 2)
  })

  it('needs nothing to bring zero into an interval that holds it, and says nothing of a risk of none', () => {
    expect(of(leadOf(0.08, 0.1, -0.05, 0.01))!.eValueOfLimit).toBe(1)
    expect(of(leadOf(0, 0.1, -0.15, -0.05))).toBe(undefined)
  })

  it('names the strongest that was measured, by its prevalences, its risks and the bound of Ding and VanderWeele (2016)', () => {
    // Of 100 repeated 60 are molars, of 100 single 30: ratios 2 and (70/40) 1.75. Loosened: 18 of 90 molars, 11 of 110
    // others, nobody lost before: risks 0.2 and 0.1, ratio 2. The bound is 2 · 2 / (2 + 2 − 1).
    const group = (repeated: boolean, molars: number, looseMolars: number, looseOthers: number) =>
      Array.from({ length: 100 }, (_one, i): TestRestoration => {
        const molar = i < molars
        const loose = molar ? i < looseMolars : i - molars < looseOthers
        const fields = { tooth_position: molar ? '36' : '34' }
        return { repeated, fields, checks: [100, 1300], ...(loose ? { loose: 200, checks: [100] } : {}) }
      })
    const made = preparedOf([...group(true, 60, 12, 4), ...group(false, 30, 6, 7)], ['region'])
    const { strongest } = unmeasuredConfounding(
      made.designs,
      made.outcome,
      leadOf(0.16, 0.13, -0.1, 0.1),
      3 * daysPerYear,
    )!
    expect(strongest!.key).toBe('region')
    expect(strongest!.withChoice).toBeCloseTo(2, 12)
    expect(strongest!.withOutcome).toBeCloseTo(2, 12)
    expect(strongest!.bound).toBeCloseTo(4 / 3, 12)
  })

  describe('the strongest that was measured', () => {
    /** Rows of a design by hand: group, event by the horizon, and what is recorded of them. */
    const designed = (
      rows: readonly {
        readonly arm: 0 | 1
        readonly event?: number
        readonly age?: number
        readonly tooth?: string
      }[],
      operator: readonly string[] = rows.map(() => 'one'),
    ) => {
      const entered = [
        {
          key: 'age',
          kind: 'number',
          numbers: Float64Array.from(rows, ({ age = Number.NaN }) => age),
          texts: [],
        },
        {
          key: 'tooth',
          kind: 'category',
          numbers: new Float64Array(0),
          texts: rows.map(({ tooth = '' }) => tooth),
        },
      ]
      const made = { compared: { inGroup: Uint8Array.from(rows, ({ arm }) => arm) }, operator, entered }
      const course = {
        timeDays: Float64Array.from(rows, ({ event = 2000 }) => event),
        status: Uint8Array.from(rows, ({ event }) => (event === undefined ? 0 : 1)),
        entryDays: new Float64Array(rows.length),
      }
      return unmeasuredConfounding(made as never, course, leadOf(0.2, 0.1, -0.1, 0.3), 3 * daysPerYear)!
        .strongest
    }
    const cell = (size: number, loose: number, row: object) =>
      Array.from({ length: size }, (_one, i) => ({
        ...(row as { arm: 0 | 1 }),
        ...(i < loose ? { event: 100 } : {}),
      }))

    it('has numbers from their median on against the rest, and leaves out who is not known', () => {
      // Ages 60 and 40: 30 of 40 repeated are 60, 10 of 40 single; the median of the known is 60. Loosened: 16 of 40, 8 of 40.
      const strongest = designed([
        ...cell(30, 12, { arm: 1, age: 60 }),
        ...cell(10, 2, { arm: 1, age: 40 }),
        ...cell(11, 4, { arm: 0, age: 60 }),
        ...cell(29, 6, { arm: 0, age: 40 }),
        ...cell(50, 50, { arm: 1 }),
      ])!
      expect(strongest.key).toBe('age')
      // Shares 0.75 and 11/40, and of the rest 0.25 and 29/40: the larger ratio is 2.9. Risks 16/41 and 8/39.
      expect(strongest.withChoice).toBeCloseTo(2.9, 12)
      expect(strongest.withOutcome).toBeCloseTo(16 / 41 / (8 / 39), 12)
      const product = strongest.withChoice * strongest.withOutcome
      expect(strongest.bound).toBeCloseTo(product / (strongest.withChoice + strongest.withOutcome - 1), 12)
      // Half of them 50, the others 40 or 60: those of the median itself are with the upper ones.
      const middle = designed([
        ...cell(30, 12, { arm: 1, age: 50 }),
        ...cell(10, 2, { arm: 1, age: 40 }),
        ...cell(11, 4, { arm: 0, age: 60 }),
        ...cell(29, 6, { arm: 0, age: 40 }),
      ])!
      expect(middle.withChoice).toBeCloseTo(2.9, 12)
    })

    it('takes each level against the rest, the one that could move most', () => {
      const strongest = designed([
        ...cell(30, 6, { arm: 1, tooth: 'a' }),
        ...cell(10, 1, { arm: 1, tooth: 'b' }),
        ...cell(10, 6, { arm: 1, tooth: 'c' }),
        ...cell(10, 2, { arm: 0, tooth: 'a' }),
        ...cell(10, 1, { arm: 0, tooth: 'b' }),
        ...cell(30, 18, { arm: 0, tooth: 'c' }),
        ...cell(50, 50, { arm: 1 }),
      ])!
      // c against the rest: 10 of 50 and 30 of 50, the ratio 3; risks 24/40 and 10/60, the ratio 3.6.
      expect(strongest).toMatchObject({ key: 'tooth' })
      expect(strongest.withChoice).toBeCloseTo(3, 12)
      expect(strongest.withOutcome).toBeCloseTo(3.6, 12)
      expect(strongest.bound).toBeCloseTo((3 * 3.6) / 5.6, 12)
    })

    it('is the operator, too', () => {
      const rows = [
        ...cell(30, 9, { arm: 1 }),
        ...cell(10, 1, { arm: 1 }),
        ...cell(10, 3, { arm: 0 }),
        ...cell(30, 4, { arm: 0 }),
      ]
      const operator = rows.map((_one, i) => (i < 30 || (i >= 40 && i < 50) ? 'X' : 'Y'))
      expect(designed(rows, operator)).toMatchObject({ key: 'operator', withChoice: expect.closeTo(3, 12) })
      expect(designed(rows)).toBe(undefined)
    })

    it('needs ten restorations of either group and five events, with and without', () => {
      const of = (rare: number, looseWith: number, looseWithout = 8, after = 0) =>
        designed([
          ...cell(30, 6, { arm: 1, tooth: 'a' }),
          ...cell(rare, looseWith, { arm: 1, tooth: 'b' }),
          ...cell(20, looseWithout - 6, { arm: 0, tooth: 'a' }),
          ...cell(40, 0, { arm: 0, tooth: 'b' }),
          ...Array.from({ length: after }, () => ({ arm: 0 as const, tooth: 'b', event: 1200 })),
        ])
      expect(of(10, 5)).not.toBe(undefined)
      expect(of(9, 5)).toBe(undefined)
      expect(of(10, 4)).toBe(undefined)
      // Events after the horizon do not count.
      expect(of(10, 4, 8, 3)).toBe(undefined)
      const onTheDay = designed([
        ...cell(30, 6, { arm: 1, tooth: 'a' }),
        ...cell(10, 4, { arm: 1, tooth: 'b' }),
        ...cell(20, 2, { arm: 0, tooth: 'a' }),
        ...cell(40, 0, { arm: 0, tooth: 'b' }),
        { arm: 0, tooth: 'b', event: 3 * daysPerYear },
      ])
      expect(onTheDay).not.toBe(undefined)
    })

    it('says nothing where the comparator has no risk', () => {
      expect(of(leadOf(0.1, 0, 0.05, 0.15))).toBe(undefined)
    })
  })
})

describe('looks by group', () => {
  it('are one over the mean gap, without the look that found something, and patients are kept together', () => {
    // Repeated: 2 looks in 2 years and 1 in 2; the finding at day 900 is no look of these. Single: 4 looks in 2 years.
    const year = daysPerYear
    const { cohort, compared } = preparedOf([
      { repeated: true, patient: 1, checks: [year, 2 * year].map(Math.round) },
      { repeated: true, patient: 2, checks: [Math.round(2 * year)], loose: 900 },
      { repeated: false, patient: 3, checks: [0.5, 1, 1.5, 2].map((at) => Math.round(at * year)) },
    ])
    const { group, against, difference } = visitsByGroup(cohort, compared, 0.95)!
    const years = Math.round(2 * year) / year
    expect(group).toBeCloseTo(3 / (2 * years), 12)
    expect(against).toBeCloseTo(4 / years, 12)
    expect(difference.estimate).toBeCloseTo(group - against, 12)
    // Influences by hand: (2 − rate · years) and (1 − rate · years) over the years of the group; nothing in the other,
    // whose only restoration is its own mean. Student's t with one degree of freedom: 12.706 (tables).
    const error = Math.hypot(2 - group * years, 1 - group * years) / (2 * years)
    expect((difference.upper - difference.lower) / 2).toBeCloseTo(12.7062047 * error, 5)
  })

  it('are counted from entry to the last clean one, and only where they are looks', () => {
    // Ticked "no" by telephone: no look. Before recording began: not counted. A year and two years after, two looks.
    const year = Math.round(daysPerYear)
    const entered = { observation_start_date: 100 }
    const { cohort, compared } = preparedOf([
      {
        repeated: true,
        patient: 1,
        checks: [50, 100, 100 + year, 100 + 2 * year],
        told: [300],
        fields: entered,
      },
      { repeated: true, patient: 2, checks: [year], removed: 3 * year },
      { repeated: false, patient: 3, checks: [year, 2 * year], loose: 3 * year },
      { repeated: false, patient: 4, checks: [2 * year] },
    ])
    const { group, against, difference } = visitsByGroup(cohort, compared, 0.95)!
    const unit = year / daysPerYear
    expect(group).toBeCloseTo(3 / (3 * unit), 12)
    expect(against).toBeCloseTo(3 / (4 * unit), 12)
    // Influences of the comparator by hand, over four years; of the group both are its own mean. Two degrees: t 4.302653.
    const error = Math.hypot((2 - 1.5) / (4 * unit), (1 - 1.5) / (4 * unit))
    expect((difference.upper - difference.lower) / 2).toBeCloseTo(4.3026527 * error, 5)
    expect(difference.estimate).toBeCloseTo(group - against, 12)
  })

  it('keep those of one patient together, and are unknown where a group has no time between looks', () => {
    const shared = preparedOf([
      { repeated: true, patient: 1, checks: [365, 730] },
      { repeated: false, patient: 1, checks: [365, 730] },
      { repeated: true, patient: 2, checks: [730] },
      { repeated: false, patient: 2, checks: [730] },
    ])
    const { difference } = visitsByGroup(shared.cohort, shared.compared, 0.95)!
    expect(difference.upper - difference.lower).toBeCloseTo(0, 12)
    const none = preparedOf([
      { repeated: true, checks: [], loose: 300 },
      { repeated: false, checks: [365, 730] },
    ])
    expect(visitsByGroup(none.cohort, none.compared, 0.95)).toBe(undefined)
  })
})

describe('balance and overlap', () => {
  // Molars: 60 of 100 repeated, 30 of 100 single. (0.6 − 0.3) / √((0.24 + 0.21) / 2), Austin 2009, equation for shares.
  const restorations = Array.from({ length: 200 }, (_one, i): TestRestoration => {
    const repeated = i < 100
    const molar = repeated ? i < 60 : i < 130
    const loose = i % 7 === 0
    return {
      repeated,
      fields: { tooth_position: molar ? '36' : '34' },
      checks: loose ? [100] : [100, 1300],
      ...(loose ? { loose: 200 } : {}),
    }
  })
  const { designs } = preparedOf(restorations, ['region'])
  const balance = balanceOf(designs, fitChoice(designs)!)

  it('are those of the levels, and nothing but rounding is left with weights', () => {
    const [region] = balance.rows
    expect(region!.before).toBeCloseTo(0.3 / Math.sqrt(0.225), 12)
    expect(region!.after).toBeLessThan(1e-9)
    // Scores: 60 of 90 molars and 40 of 110 others are repeated.
    expect(balance.scores.group[Math.floor((60 / 90) * 20)]).toBe(60)
    expect(balance.scores.against[Math.floor((40 / 110) * 20)]).toBe(70)
  })

  it('stand in both figures, the limit of 0.1 with them', () => {
    const groups = { ...planned, by: 'measured' }
    const marks = balanceChart({ groups, balance }, { size: 'column' })
    const points = marks.layer.filter(({ mark }) => mark.type === 'point' && mark.shape === 'circle')
    expect(points.flatMap(({ data }) => data.values.flatMap(({ value }) => value ?? []))).toEqual([
      balance.rows[0]!.before,
    ])
    expect(marks.layer.find(({ name }) => name?.startsWith('threshold'))!.data.values[0]!.value).toBe(0.1)
    expect(marks.description).toContain('0.63 as they came, 0.00 with weights')
    const definition = practice(restorations).definition
    const bars = overlapChart({ groups, balance }, { definition }, { size: 'column' })
    const ends = bars.layer.flatMap(({ data }) => data.values.flatMap(({ end }) => end ?? []))
    expect([...ends].sort()).toEqual([-30, -70, 40, 60].sort())
  })
})

describe('context', () => {
  const cohort = practice(
    Array.from({ length: 400 }, (_one, i): TestRestoration => {
      const repeated = i % 2 === 0
      const loose = i % (repeated ? 16 : 9) < 2
      return {
        repeated,
        fields: { tooth_position: i % 3 === 0 ? '36' : '34' },
        checks: loose ? [200] : [400, 1300],
        ...(loose ? { loose: 500 } : {}),
      }
    }),
  )
  const result = compareTightenings(cohort, planned)!
  const at = pathsOf(result)
  const setting = { definition: cohort.definition, settings: {} } as never

  it('never speaks against the estimate, and is no objection of the answer', () => {
    const context = result.challenges.filter(({ code }) =>
      ['visits-by-group', 'unmeasured-confounding'].includes(code),
    )
    expect(context.map(({ effect }) => effect)).toEqual(['context', 'context'])
    expect(objectionsOf(result).some(({ effect }) => effect === 'context')).toBe(false)
    expect(JSON.stringify(comparisonPart(result))).not.toContain('visits-by-group')
  })

  it('has sentences of its own and no row among differences', () => {
    const said = restSentences(result, at, setting).map((one) => speaker().text(one))
    expect(said.at(-2)).toMatch(/were looked at \d\.\d\d times a year and the others/)
    expect(said.at(-1)).toMatch(/by a risk ratio of \d+\.\d\d each \(E-value\)/)
    const rows = challengesTable(result, at).rows
    expect(rows.length).toBe(result.challenges.length - 2)
  })
})
