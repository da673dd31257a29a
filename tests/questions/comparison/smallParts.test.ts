import { describe, expect, it } from 'vitest'
import type { Cohort } from '../../../src/cohort/cohort.js'
import { UsageError } from '../../../src/core/errors.js'
import { type ComparisonResult, defaultComparison } from '../../../src/questions/comparison/answer.js'
import { comparisonPart, objectionsOf } from '../../../src/questions/comparison/answerPart.js'
import { compare, compareTightening } from '../../../src/questions/comparison/asked.js'
import { balanceOf, scoreSteps } from '../../../src/questions/comparison/balance.js'
import type { Challenge } from '../../../src/questions/comparison/challenges.js'
import type { Choice, ChoiceDesigns } from '../../../src/questions/comparison/choice.js'
import {
  defaultConfounders,
  ownColumnValues,
  readConfounder,
} from '../../../src/questions/comparison/confounders.js'
import { overlapOf } from '../../../src/questions/comparison/overlap.js'
import { comparisonSettings } from '../../../src/questions/comparison/settings.js'
import { defaultPlan } from '../../../src/questions/plan/planFile.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { practice, type TestRestoration } from '../practice.js'

const ranged = (estimate: number, half = 0.05) => ({
  estimate,
  lower: estimate - half,
  upper: estimate + half,
})

describe('the part of the answer for machines', () => {
  const result = {
    kind: 'tightening',
    groups: { group: 'repeated in the window', against: 'single', by: 'measured' },
    verdict: 'open',
    reason: 'contradicted',
    horizonYears: 3,
    restorations: { group: 50, against: 60 },
    events: { group: 5, against: 9 },
    lead: { difference: ranged(-0.1), group: ranged(0.1), against: ranged(0.2) },
    ends: { found: ranged(-0.09), afterLastLook: ranged(-0.11) },
    exposure: { measuredShare: 0.9 },
    challenges: [],
  } as unknown as ComparisonResult
  const challenge = (code: Challenge['code'], effect: Challenge['effect'], estimate?: number): Challenge => ({
    code,
    effect,
    ...(estimate === undefined ? {} : ranged(estimate)),
  })

  it('has every figure under its name, and no more', () => {
    expect(comparisonPart(result)).toStrictEqual({
      verdict: 'open',
      reason: 'contradicted',
      group: 'repeated in the window',
      against: 'single',
      years: 3,
      difference: ranged(-0.1),
      risks: { group: ranged(0.1), against: ranged(0.2) },
      restorations: { group: 50, against: 60 },
      events: { group: 5, against: 9 },
      exposure: { measuredShare: 0.9 },
      betweenLooks: { found: ranged(-0.09), afterLastLook: ranged(-0.11) },
      objections: [],
    })
    const { horizonYears: _years, lead: _lead, ends: _ends, exposure: _exposure, ...rest } = result
    expect(comparisonPart(rest as ComparisonResult)).toStrictEqual({
      verdict: 'open',
      reason: 'contradicted',
      group: 'repeated in the window',
      against: 'single',
      restorations: { group: 50, against: 60 },
      events: { group: 5, against: 9 },
      objections: [],
    })
    const { ends: _both, ...withoutEnds } = result
    expect('betweenLooks' in comparisonPart(withoutEnds as ComparisonResult)).toBe(false)
    expect(Object.isFrozen(comparisonPart(result))).toBe(true)
  })

  it('shows no figure where nothing can be compared or known', () => {
    for (const verdict of ['cannot-be-compared', 'cannot-be-known'] as const) {
      const part = comparisonPart({ ...result, verdict })
      expect(['difference', 'risks', 'betweenLooks'].filter((name) => name in part)).toEqual([])
      expect(part.years).toBe(3)
    }
  })

  it('has at most three objections: contradictions first, and the farthest from the estimate first', () => {
    const challenges = [
      challenge('ticks-only', 'weakens', -0.05),
      challenge('complete-cases', 'context', 0.9),
      challenge('same-years', 'agrees', 0.8),
      challenge('last-contact', 'weakens', 0.1),
      challenge('loss', 'contradicts', -0.08),
      challenge('undocumented-as-single', 'weakens'),
    ]
    const codes = (all: readonly Challenge[]) =>
      objectionsOf({ ...result, challenges: all }).map(({ code }) => code)
    expect(codes(challenges)).toEqual(['loss', 'last-contact', 'ticks-only'])
    expect(codes(challenges.filter(({ code }) => code !== 'loss'))).toEqual([
      'last-contact',
      'ticks-only',
      'undocumented-as-single',
    ])
    // Without a figure it stands last, wherever it was found.
    expect(
      codes([challenge('undocumented-as-single', 'weakens'), challenge('ticks-only', 'weakens', 0.1)]),
    ).toEqual(['ticks-only', 'undocumented-as-single'])
    // Below the estimate is as far as above it.
    expect(codes([challenge('ticks-only', 'weakens', 0), challenge('same-years', 'weakens', -0.25)])).toEqual(
      ['same-years', 'ticks-only'],
    )
    const { lead: _lead, ...without } = result
    expect(objectionsOf({ ...without, challenges } as ComparisonResult).map(({ code }) => code)).toEqual([
      'loss',
      'ticks-only',
      'last-contact',
    ])
    const { objections } = comparisonPart({ ...result, challenges: challenges.slice(-2) })
    expect(objections).toEqual([
      { code: 'loss', effect: 'contradicts', ...ranged(-0.08) },
      { code: 'undocumented-as-single', effect: 'weakens' },
    ])
  })
})

describe('the settings of the comparison', () => {
  it('are those of the audit, and of the default plan', () => {
    expect(comparisonSettings({ ...defaultSettings, level: 0.9, seed: 7, leastAtRisk: 12 })).toStrictEqual({
      ...defaultComparison,
      level: 0.9,
      seed: 7,
      leastAtRisk: 12,
      horizonsYears: defaultSettings.horizonsYears,
      adjustFor: defaultConfounders,
      plan: { source: 'default', sha256: defaultPlan.sha256, smallestDifference: 0.02, horizonYears: 3 },
    })
  })

  it('are those of a plan from a file, operator and day of delivery always among what is allowed for', () => {
    const plan = {
      ...defaultPlan,
      source: 'file',
      sha256: 'b'.repeat(64),
      written: '2020-01-01',
      smallestDifference: 0.05,
      primary: { ...defaultPlan.primary, contrast: 'risk-difference', horizonYears: 2 },
      adjustFor: ['operator', 'delivery_year', 'bruxism'],
      negativeControl: 'none',
    } as unknown as typeof defaultPlan
    const settings = comparisonSettings({ ...defaultSettings, plan })
    expect(settings).toMatchObject({
      horizonYears: 2,
      smallestDifference: 0.05,
      negativeControl: 'none',
      adjustFor: ['operator', 'delivery_day', 'bruxism'],
      plan: {
        source: 'file',
        sha256: 'b'.repeat(64),
        written: '2020-01-01',
        smallestDifference: 0.05,
        horizonYears: 2,
      },
    })
    const ratio = {
      ...plan,
      primary: { ...plan.primary, contrast: 'hazard-ratio' },
    } as unknown as typeof plan
    // The smallest ratio that matters is no difference of risks: that of the toolkit stands.
    expect(comparisonSettings({ ...defaultSettings, plan: ratio }).smallestDifference).toBe(0.02)
  })
})

describe('overlap', () => {
  const of = (operator: readonly string[], inGroup: readonly number[], years: readonly number[]) =>
    overlapOf(
      { compared: { row: years, inGroup }, operator, years } as unknown as ChoiceDesigns,
      { kept: years, scores: [{ score: years.map(() => 0.5) }] } as unknown as Choice,
    )

  it('is the share whose operator used the other way within a year before or after', () => {
    // X repeats in years 1 and 5 and is single in 2, 3.5 and 4: year 1 has 2, year 5 has 4, year 3.5 has nobody.
    const x = of(['X', 'X', 'X', 'X', 'X'], [1, 1, 0, 0, 0], [1, 5, 2, 3.5, 4])
    expect(x.withinAYear).toBe(4 / 5)
    // What another operator did is no overlap; a year is within, more is not.
    expect(of(['X', 'Y'], [1, 0], [1, 1]).withinAYear).toBe(0)
    expect(of(['X', 'X'], [1, 0], [2, 1]).withinAYear).toBe(1)
    expect(of(['X', 'X'], [1, 0], [2.001, 1]).withinAYear).toBe(0)
    // Where the year is not known, that the operator used the other way at all.
    expect(of(['X', 'X', 'X', 'Y'], [1, 1, 0, 1], [Number.NaN, Number.NaN, 9, Number.NaN]).withinAYear).toBe(
      2 / 4,
    )
    // Unsorted days, the nearest on either side.
    expect(of(Array(6).fill('X'), [1, 0, 0, 0, 0, 0], [5, 9, 1, 5.5, 8, 2]).withinAYear).toBe(2 / 6)
  })

  it('needs half of that, and averages openness over the completed tables', () => {
    expect(of(['X', 'X', 'Y', 'Z'], [1, 0, 1, 0], [1, 1, 1, 1])).toMatchObject({
      withinAYear: 0.5,
      enough: true,
    })
    expect(of(['X', 'X', 'Y', 'Z', 'Z'], [1, 0, 1, 0, 0], [1, 1, 1, 1, 1]).enough).toBe(false)
    const designs = {
      compared: { row: [0, 1, 2, 3], inGroup: [0, 1, 0, 1] },
      operator: ['X', 'X', 'X', 'Y'],
      years: [1, 1, 1, 1],
    } as unknown as ChoiceDesigns
    const two = { kept: [0, 1, 2], scores: [{ score: [0.5, 0.5, 0.5] }, { score: [0.25, 0.25, 0.25] }] }
    // Openness 1 and 0.75 of three of four.
    expect(overlapOf(designs, two as unknown as Choice)).toEqual({
      withinAYear: 0.75,
      openChoice: (3 * (1 + 0.75)) / 2 / 4,
      oneWayOnly: 0.25,
      enough: true,
    })
    expect(overlapOf(designs, undefined)).toMatchObject({ openChoice: 0, oneWayOnly: 1, enough: false })
  })
})

describe('balance', () => {
  const made = (operator: readonly string[], scores: readonly (readonly number[])[]) => {
    const inGroup = Uint8Array.of(1, 1, 1, 0, 0, 0, 0, 0)
    const number = [1, 2, 3, 2, 3, 4, 5, 6]
    const first = Int32Array.from({ length: 9 }, (_one, i) => 2 * i)
    const cells = {
      first,
      column: Int32Array.from({ length: 16 }, (_one, at) => at % 2),
      value: Float64Array.from({ length: 16 }, (_one, at) => (at % 2 === 0 ? 1 : number[at >> 1]!)),
    }
    const designs = {
      compared: { inGroup },
      entered: [{ key: 'age', kind: 'number', from: 1, columns: 1 }],
      tables: [cells],
      operator,
    }
    const kept = Int32Array.of(1, 2, 3, 4, 5, 6, 7)
    const choice = {
      designs,
      kept,
      scores: scores.map((score) => ({ score, weight: [1, 1, 1, 1, 0, 0, 0] })),
    }
    return balanceOf(designs as unknown as ChoiceDesigns, choice as unknown as Choice)
  }

  it('is the standardised difference before and with weights, which the set aside do not have', () => {
    const { rows } = made(Array(8).fill('all'), [[0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]])
    expect(rows.map(({ key }) => key)).toEqual(['age'])
    // Means 2 and 4, variances 1 and 2.5; with weights 2.5 and 2.5.
    expect(rows[0]!.before).toBeCloseTo(2 / Math.sqrt((1 + 2.5) / 2), 10)
    expect(rows[0]!.after).toBeCloseTo(0, 10)
  })

  it('names operators where there are several', () => {
    const { rows } = made(['X', 'X', 'Y', 'X', 'Y', 'Y', 'Y', 'Y'], [Array(7).fill(0.5)])
    expect(rows.map(({ key }) => key)).toEqual(['operator', 'age'])
    // X: two of three and one of five; Austin 2009 for shares.
    const spread = Math.sqrt(((2 / 3) * (1 / 3) + 0.2 * 0.8) / 2)
    expect(rows[0]!.before).toBeCloseTo((2 / 3 - 0.2) / spread, 10)
  })

  it('counts scores in twentieths, averaged over the tables, the last holding 1', () => {
    const { scores } = made(Array(8).fill('all'), [
      [0.04, 1, 0.5, 0.5, 0.5, 0.9, 0.96],
      [0.06, 1, 0.5, 0.5, 0.5, 0.9, 0.98],
    ])
    const counted = (own: readonly number[]) =>
      own.flatMap((count, step) => (count > 0 ? [[step, count]] : []))
    expect(scoreSteps).toBe(20)
    expect(scores.group).toHaveLength(20)
    // Means 0.05 and 1 in the group; 0.5 three times, 0.9 and 0.97 in the other.
    expect(counted(scores.group)).toEqual([
      [1, 1],
      [19, 1],
    ])
    expect(counted(scores.against)).toEqual([
      [10, 3],
      [18, 1],
      [19, 1],
    ])
  })

  it('of a category is the largest of its levels, the one without a column of its own among them', () => {
    // Ten of each group, levels a, b, c by columns of b and c: 5, 4, 1 of the group and 1, 4, 5 of the other.
    const levels = [...'aaaaabbbbc', ...'abbbbccccc']
    const inGroup = Uint8Array.from(levels, (_one, i) => (i < 10 ? 1 : 0))
    const first = new Int32Array(21)
    const column: number[] = []
    levels.forEach((level, i) => {
      column.push(0, ...(level === 'a' ? [] : [level === 'b' ? 1 : 2]))
      first[i + 1] = column.length
    })
    const cells = { first, column: Int32Array.from(column), value: new Float64Array(column.length).fill(1) }
    const designs = {
      compared: { inGroup },
      entered: [{ key: 'kind', kind: 'category', from: 1, columns: 2 }],
      tables: [cells],
      operator: levels.map(() => 'all'),
    }
    const kept = Int32Array.from(levels.keys())
    const choice = {
      designs,
      kept,
      scores: [{ score: levels.map(() => 0.5), weight: levels.map((one) => (one === 'b' ? 1 : 0)) }],
    }
    const [row] = balanceOf(designs as unknown as ChoiceDesigns, choice as unknown as Choice).rows
    // Austin 2009 for shares: 0.5 against 0.1 of a, and 0.1 against 0.5 of c.
    expect(row!.before).toBeCloseTo(0.4 / Math.sqrt((0.25 + 0.09) / 2), 10)
    expect(row!.after).toBeCloseTo(0, 10)
    // a alone, without the other level that differs as much: c becomes b.
    const two = { ...cells, column: cells.column.map((at) => (at === 2 ? 1 : at)) }
    const merged = { ...designs, tables: [two] }
    const [other] = balanceOf(
      merged as unknown as ChoiceDesigns,
      { ...choice, designs: merged } as unknown as Choice,
    ).rows
    expect(other!.before).toBeCloseTo(0.4 / Math.sqrt((0.25 + 0.09) / 2), 10)
  })

  it('is absent where it cannot be had', () => {
    const { rows } = made(['X', 'X', 'X', 'Y', 'Y', 'Y', 'Y', 'Y'], [Array(7).fill(0.5)])
    // The operator settles the way: no spread in either group, and no standardised difference.
    expect(rows[0]).toEqual({ key: 'operator' })
  })
})

describe('a column of the user’s own', () => {
  const cohort = practice(
    Array.from(
      { length: 20 },
      (_one, i): TestRestoration => ({
        repeated: true,
        ...(i < 6 ? { checks: [100], loose: 200 } : { checks: [300] }),
      }),
    ),
  )
  const rows = Int32Array.from({ length: 20 }, (_one, i) => i)
  const of = (name: string, column: (row: number) => string | number | null, among = rows) => {
    const values = Array.from({ length: 20 }, (_one, row) => [row, column(row)])
    const own = cohort.withColumns({ columns: ['row', name], values } as never, name as never)
    return ownColumnValues(own as unknown as Cohort, among, name)
  }
  const code = (run: () => unknown): string => {
    try {
      run()
    } catch (thrown) {
      return (thrown as UsageError).code
    }
    return 'taken'
  }

  it('is what it says of the rows asked for, and nothing where there is none', () => {
    expect(of('habit', (row) => row, Int32Array.of(7, 3))).toEqual([7, 3])
    expect(of('habit', (row) => (row % 2 === 0 ? 'a' : null), Int32Array.of(0, 1))).toEqual(['a', undefined])
    expect(ownColumnValues(cohort, rows, 'habit')).toBe(undefined)
  })

  it('is allowed for as a number or as levels, and named where a name is not known', () => {
    const read = (column: (row: number) => string | number | null, name = 'habit') => {
      const values = Array.from({ length: 20 }, (_one, row) => [row, column(row)])
      const own = cohort.withColumns({ columns: ['row', 'habit'], values }, 'habit')
      return readConfounder(own as unknown as Cohort, rows, name)
    }
    const number = read((row) => (row < 5 ? null : row))
    expect([number.key, number.kind, number.missingShare, number.numbers[7]]).toEqual([
      'habit',
      'number',
      0.25,
      7,
    ])
    expect(number.numbers[0]).toBeNaN()
    const text = read((row) => (row < 5 ? null : row % 2 === 0 ? 'a' : 'b'))
    expect([text.key, text.kind, text.missingShare]).toEqual(['habit', 'category', 0.25])
    expect(text.texts.slice(4, 8)).toEqual(['', 'b', 'a', 'b'])
    expect(code(() => read(() => 'a', 'habbit'))).toBe('unknown-name')
    expect(() => read(() => 'a', 'habbit')).toThrow('did you mean habit?')
  })

  it('is refused where it is of two kinds or without end', () => {
    expect(code(() => of('habit', (row) => (row === 0 ? 'a' : 1)))).toBe('mixed-column')
    expect(code(() => of('habit', (row) => (row === 0 ? 1 : 'a')))).toBe('mixed-column')
    expect(code(() => of('habit', (row) => (row === 0 ? null : 1)))).toBe('taken')
    expect(code(() => of('habit', (row) => (row === 9 ? Number.NEGATIVE_INFINITY : 1)))).toBe(
      'not-finite-column',
    )
  })

  it('is refused under the names of the outcome, and where it settles it', () => {
    for (const name of ['event', 'ended_by', 'years_followed']) {
      expect(code(() => of(name, (row) => row % 2))).toBe('tells-the-outcome')
    }
    const loose = (row: number): boolean => row < 6
    expect(code(() => of('habit', (row) => (loose(row) ? 'a' : 'b')))).toBe('tells-the-outcome')
    expect(code(() => of('habit', (row) => (loose(row) ? 'a' : `b${row % 3}`)))).toBe('tells-the-outcome')
    // Blanks tell nothing by themselves; one value that goes with both tells nothing.
    expect(code(() => of('habit', (row) => (loose(row) ? 'a' : row < 10 ? 'b' : null)))).toBe(
      'tells-the-outcome',
    )
    expect(code(() => of('habit', (row) => (row < 5 ? 'a' : 'b')))).toBe('taken')
    expect(code(() => of('habit', (row) => (row < 7 ? 'a' : 'b')))).toBe('taken')
    // Four events that share a value may be chance, five are not.
    const some = rows.filter((row) => row !== 5)
    const upTo = (count: number) => rows.filter((row) => row < count || row >= 6)
    expect(code(() => of('habit', (row) => (loose(row) ? 'a' : 'b'), some))).toBe('tells-the-outcome')
    expect(code(() => of('habit', (row) => (loose(row) ? 'a' : 'b'), upTo(4)))).toBe('taken')
    // Blanks go with both, and are no value: a with five events, b with none.
    expect(code(() => of('habit', (row) => (row < 5 ? 'a' : row < 10 ? null : 'b')))).toBe(
      'tells-the-outcome',
    )
    // One value with both tells that the others are chance, too: a with five events, b with one of five, c with none.
    expect(code(() => of('habit', (row) => (row < 5 ? 'a' : row < 10 ? 'b' : 'c')))).toBe('taken')
    // A number of its own for every row settles the outcome by being its own.
    expect(code(() => of('habit', (row) => row))).toBe('taken')
    // Where all had it there is nothing to settle.
    expect(code(() => of('habit', () => 'a', Int32Array.of(0, 1, 2, 3, 4, 5)))).toBe('taken')
  })
})

describe('a comparison that was asked for', () => {
  const crowns = (count: number, loose: number, connection: string, operator: (i: number) => string) =>
    Array.from(
      { length: count },
      (_one, i): TestRestoration => ({
        repeated: i % 2 === 0,
        operator: operator(i),
        fields: { connection, bruxism: i % 3 === 0 ? 'none' : 'definite' },
        ...(i < loose ? { checks: [100], loose: 300 } : { checks: [200, 1200] }),
      }),
    )
  const cohort = practice([
    ...crowns(40, 8, 'conical', (i) => `O${i % 2}`),
    ...crowns(40, 12, 'internal_hex', (i) => `O${i % 2}`),
    ...crowns(9, 0, 'external_hex', () => 'O1'),
    ...crowns(10, 1, 'external_other', () => 'O1'),
  ])
  const plain = { adjustFor: [], negativeControl: 'none' } as const

  it('says what it rests on', () => {
    const one = compare(
      cohort,
      { by: 'connection', group: 'conical', against: 'internal_hex' },
      { ...plain, level: 0.9 },
    )!
    expect(one.asked.generated).toBe(true)
    expect(one.asked.definition).toBe(cohort.definition)
    expect(one.asked.settings).toMatchObject({
      level: 0.9,
      leastAtRisk: 10,
      horizonsYears: [1, 3, 5],
      seed: defaultComparison.seed,
      plan: { negativeControl: 'none' },
    })
    expect(one.lead!.difference.estimate).toBeCloseTo(8 / 40 - 12 / 40, 10)
    expect(one.level).toBe(0.9)
    expect(Object.isFrozen(one.asked)).toBe(true)
  })

  it('warns of small groups, of groups without an event, and of how often one has looked', () => {
    const warnings = (group: string, against: string) =>
      compare(cohort, { by: 'connection', group, against }, plain)!.asked.warnings
    const [looks, small, none] = warnings('external_hex', 'conical')
    expect(looks!.code).toBe('asked-looks')
    expect(small).toEqual({ code: 'asked-small-groups', parameters: { groups: 1, least: 10 } })
    expect(none).toEqual({ code: 'asked-no-events', parameters: { groups: 1 } })
    expect(warnings('external_other', 'conical').map(({ code: one }) => one)).toEqual(['asked-looks'])
    const again = warnings('external_other', 'internal_hex')[0]!.parameters!.looks as number
    expect(again).toBe((looks!.parameters!.looks as number) + 2)
  })

  it('allows for what was asked for right after operator and day, once', () => {
    const one = compareTightening(cohort, { alsoAdjustFor: ['bruxism'] })!
    expect(one.adjustedFor).toEqual(['operator', 'bruxism', 'connection'])
    expect(
      compare(
        cohort,
        { by: 'connection', group: 'conical', against: 'internal_hex' },
        { adjustFor: ['bruxism', 'operator'], alsoAdjustFor: ['bruxism'], negativeControl: 'none' },
      )!.adjustedFor,
    ).toEqual(['operator', 'bruxism'])
    expect(one.asked.settings).toEqual(defaultSettings)
  })

  it('says of a part of the records how many parts were looked at, and of the whole nothing', () => {
    const two = practice([
      ...crowns(40, 8, 'conical', () => 'O1'),
      ...crowns(40, 8, 'internal_hex', () => 'O2'),
    ])
    expect(compareTightening(two)!.asked.warnings).toEqual([])
    expect(compareTightening(two.where({ connection: 'conical' }))!.asked.warnings).toEqual([
      { code: 'asked-looks', parameters: { looks: 1 } },
    ])
  })

  it('is absent where a group is empty, and refuses settings that there are not', () => {
    expect(compareTightening(cohort.where({ connection: 'conical', operator_id: 'O0' }))).toBe(undefined)
    const groups = { by: 'connection', group: 'conical', against: 'internal_hex' } as const
    expect(() => compare(cohort, groups, { planned: true } as never)).toThrow(UsageError)
    expect(() => compare(cohort, groups, { ...plain, plan: undefined } as never)).not.toThrow()
    expect(() => compareTightening(cohort, { horizon: 3 } as never)).toThrow(UsageError)
    expect(compareTightening(cohort, { detail: 'short' } as never)).not.toBe(undefined)
  })
})
