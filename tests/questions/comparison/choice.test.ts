import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { outcomeOf } from '../../../src/questions/comparison/answer.js'
import {
  type ChoiceDesigns,
  choiceAmong,
  choiceDesigns,
  comparedRows,
  fitChoice,
} from '../../../src/questions/comparison/choice.js'
import { operatorLabels, usableConfounders } from '../../../src/questions/comparison/confounders.js'
import { type ComparedGroups, tighteningGroups } from '../../../src/questions/comparison/groups.js'
import { columnOfCells } from '../../../src/statistics/numeric/filledCells.js'
import { practice, type TestRestoration } from '../practice.js'

const planned = { group: 'repeated in the window', against: 'single' } as const

function designsOf(
  restorations: readonly TestRestoration[],
  keys: readonly string[],
  more: { readonly imputations?: number; readonly groups?: Partial<ComparedGroups> } = {},
): ChoiceDesigns {
  const cohort = practice(restorations)
  const compared = comparedRows(cohort, { ...tighteningGroups(cohort, planned), ...more.groups })!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  return choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys, seed: 1, imputations: more.imputations ?? 3 },
  )
}

/** So many restorations with these fields, so many of them repeated. */
function cell(size: number, repeated: number, fields: object, more: TestRestoration = {}): TestRestoration[] {
  return Array.from({ length: size }, (_one, i) => ({
    repeated: i < repeated,
    fields: { ...fields } as never,
    checks: [300, 1300],
    ...more,
  }))
}

const columns = (designs: ChoiceDesigns, table = 0): readonly (readonly number[])[] =>
  Array.from({ length: designs.width }, (_one, at) => [...columnOfCells(designs.tables[table]!, at)])

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, one) => sum + one, 0) / values.length

describe('who is compared', () => {
  it('is who belongs to either group, with patients numbered anew', () => {
    const cohort = practice([
      { repeated: 'unknown', patient: 5, checks: [100] },
      { repeated: true, patient: 9, checks: [100] },
      { repeated: false, patient: 4, checks: [100] },
      { repeated: 30, patient: 4, checks: [100] },
      { repeated: true, patient: 4, checks: [100] },
      { repeated: false, patient: 9, checks: [100] },
    ])
    const compared = comparedRows(cohort, tighteningGroups(cohort, planned))!
    expect([...compared.row]).toEqual([1, 2, 4, 5])
    expect([...compared.inGroup]).toEqual([1, 0, 1, 0])
    expect([...compared.patient]).toEqual([0, 1, 1, 0])
    expect(compared.patients).toBe(2)
  })

  it('is nobody where one group is empty', () => {
    for (const repeated of [true, false]) {
      const cohort = practice([{ repeated, checks: [100] }])
      const groups = { ...planned, by: 'measured', side: Int8Array.of(repeated ? 1 : 0) }
      expect(comparedRows(cohort, groups)).toBe(undefined)
    }
  })
})

describe('what is allowed for', () => {
  it('is one coefficient for every five of the smaller group; what comes last is left out first', () => {
    // Fourteen repeated bear two coefficients, fifteen bear three: connection and opposing have two each, bruxism one.
    const all = (repeated: number) =>
      Array.from(
        { length: 60 },
        (_one, i): TestRestoration => ({
          repeated: i < repeated,
          checks: [300, 1300],
          fields: {
            connection: ['conical', 'internal_hex', 'external_hex'][i % 3],
            opposing: ['natural', 'removable', 'none'][(i >> 2) % 3],
            bruxism: i % 2 === 0 ? 'none' : 'definite',
          },
        }),
      )
    const keys = ['connection', 'opposing', 'bruxism']
    const few = designsOf(all(14), keys)
    expect(few.adjustedFor).toEqual(['connection'])
    expect(few.width).toBe(3)
    expect(few.leftOut).toEqual([
      { key: 'opposing', reason: 'too-few-restorations' },
      { key: 'bruxism', reason: 'too-few-restorations' },
    ])
    const more = designsOf(all(15), keys)
    expect(more.adjustedFor).toEqual(['connection', 'bruxism'])
    expect(more.leftOut).toEqual([{ key: 'opposing', reason: 'too-few-restorations' }])
    expect(more.width).toBe(4)
    expect(designsOf(all(25), keys).adjustedFor).toEqual(keys)
    // The smaller group counts, whichever it is.
    expect(designsOf(all(46), keys).adjustedFor).toEqual(['connection'])
    expect(designsOf(all(45), keys).adjustedFor).toEqual(['connection', 'bruxism'])
  })

  it('has a constant, a column for each level but the first, and numbers in standard deviations', () => {
    const designs = designsOf(
      [
        ...cell(20, 10, { connection: 'conical', age_at_delivery_years: 40 }),
        ...cell(20, 12, { connection: 'internal_hex', age_at_delivery_years: 60 }),
        ...cell(20, 8, { connection: 'external_hex', age_at_delivery_years: 65 }),
      ],
      ['connection', 'age_at_delivery_years'],
    )
    const [constant, external, internal, age] = columns(designs)
    expect(constant).toEqual(Array(60).fill(1))
    // Levels in the order of their names: conical has no column.
    expect(external).toEqual([...Array(40).fill(0), ...Array(20).fill(1)])
    expect(internal).toEqual([...Array(20).fill(0), ...Array(20).fill(1), ...Array(20).fill(0)])
    // Ages 40, 60, 65: mean 55, variance (225 + 25 + 100) / 3.
    const spread = Math.sqrt(350 / 3)
    expect(age![0]).toBeCloseTo(-15 / spread, 10)
    expect(age![20]).toBeCloseTo(5 / spread, 10)
    expect(age![40]).toBeCloseTo(10 / spread, 10)
    expect(designs.entered.map(({ key, from, columns: count }) => [key, from, count])).toEqual([
      ['connection', 1, 2],
      ['age_at_delivery_years', 3, 1],
    ])
    expect(designs.missing).toEqual([])
    expect([...designs.complete]).toEqual(Array(60).fill(1))
    expect(designs.tables).toHaveLength(1)
    expect(Math.max(...designs.tables[0]!.column)).toBe(designs.width - 1)
  })

  it('has the day of delivery as a curve of four knots, of three, or as a line, as the days allow', () => {
    const on = (dayOf: (i: number) => number) =>
      designsOf(
        Array.from(
          { length: 60 },
          (_one, i): TestRestoration => ({
            repeated: i % 2 === 0,
            delivery: 17_000 + dayOf(i),
            checks: [300, 1300],
          }),
        ),
        ['delivery_day'],
      )
    expect(on((i) => 10 * i).width).toBe(4)
    // Three days: the quantiles of four knots coincide, those of three do not.
    expect(on((i) => 100 * (i % 3)).width).toBe(3)
    // A third on one day, the rest on another: quantiles of three coincide, too.
    const twoDays = on((i) => (i % 3 === 0 ? 100 : 0))
    expect(twoDays.width).toBe(2)
    const [, first] = columns(twoDays)
    expect(first![0]).toBeCloseTo(Math.SQRT2, 10)
    expect(first![1]).toBeCloseTo(-Math.SQRT1_2, 10)
    // The curve's first column is the day itself, and all are in standard deviations.
    const curve = columns(on((i) => 10 * i))
    const spread = Math.sqrt((60 ** 2 - 1) / 12)
    expect(curve[1]![59]).toBeCloseTo(29.5 / spread, 8)
    for (const column of curve.slice(1)) {
      expect(mean(column)).toBeCloseTo(0, 10)
      expect(mean(column.map((one) => one ** 2))).toBeCloseTo(1, 10)
    }
    expect(on((i) => 10 * i).years[7]).toBeCloseTo(17_070 / daysPerYear, 10)
  })

  it('fills what is missing, table by table, and says the share', () => {
    const designs = designsOf(
      [...cell(40, 10, { bruxism: 'none' }), ...cell(40, 30, { bruxism: 'definite' }), ...cell(20, 10, {})],
      ['bruxism'],
      { imputations: 4 },
    )
    expect(designs.tables).toHaveLength(4)
    expect(designs.missing).toEqual([{ key: 'bruxism', share: 0.2 }])
    expect([...designs.complete]).toEqual([...Array(80).fill(1), ...Array(20).fill(0)])
    // Levels by name: definite first, so that the column is none. What is known stays, what is filled is 0 or 1.
    for (let table = 0; table < 4; table++) {
      const [, none] = columns(designs, table)
      expect(none!.slice(0, 80)).toEqual([...Array(40).fill(1), ...Array(40).fill(0)])
      expect(new Set(none!.slice(80)).size).toBeLessThanOrEqual(2)
    }
    const filled = [0, 1, 2, 3].map((table) => columns(designs, table)[1]!.slice(80).join())
    expect(new Set(filled).size).toBeGreaterThan(1)
    // The group is in the model: of the repeated a quarter is none, of the single three quarters.
    const shares = [0, 10].map((from) =>
      mean([0, 1, 2, 3].map((table) => mean(columns(designs, table)[1]!.slice(80 + from, 90 + from)))),
    )
    expect(shares[0]!).toBeLessThan(shares[1]!)
  })

  it('fills numbers and several levels with what there is', () => {
    const known = (i: number): object => ({
      connection: ['conical', 'internal_hex', 'external_hex'][i % 3],
      age_at_delivery_years: 40 + (i % 30),
    })
    const designs = designsOf(
      Array.from(
        { length: 120 },
        (_one, i): TestRestoration => ({
          repeated: i % 2 === 0,
          operator: `O${i % 5}`,
          checks: [300, 1300],
          fields: (i % 10 === 9
            ? { age_at_delivery_years: 50, connection: undefined }
            : i % 10 === 8
              ? { connection: 'conical' }
              : known(i)) as never,
        }),
      ),
      ['operator', 'connection', 'age_at_delivery_years'],
      { imputations: 2 },
    )
    expect(designs.missing).toEqual([
      { key: 'connection', share: 0.1 },
      { key: 'age_at_delivery_years', share: 0.1 },
    ])
    const [, external, internal, age] = columns(designs)
    for (let i = 0; i < 120; i++) {
      expect([0, 1]).toContain(external![i])
      expect(external![i]! + internal![i]!).toBeLessThanOrEqual(1)
    }
    expect(external![2]).toBe(1)
    expect(internal![1]).toBe(1)
    // Ages lie within what was recorded, give or take: standardised within four.
    expect(Math.max(...age!.map(Math.abs))).toBeLessThan(4)
    expect(mean(age!)).toBeCloseTo(0, 10)
    expect([...designs.complete].filter((one) => one === 0)).toHaveLength(24)
  })

  it('fills by the operator, where each has twenty restorations or more', () => {
    // Known of X is none, of Y definite, without exception; of ten of X and of nine or ten of Y it is not known.
    const made = (unknown: number) =>
      designsOf(
        [
          ...cell(10, 5, { bruxism: 'none' }, { operator: 'X' }),
          ...cell(10, 5, {}, { operator: 'X' }),
          ...cell(10, 5, { bruxism: 'definite' }, { operator: 'Y' }),
          ...cell(unknown, 5, {}, { operator: 'Y' }),
        ],
        ['operator', 'bruxism'],
        { imputations: 20 },
      )
    /** By how much more often none was filled in of X than of Y. */
    const apart = (designs: ChoiceDesigns): number => {
      const [ofX, ofY] = [10, 30].map((from) =>
        mean(designs.tables.map((_one, table) => mean(columns(designs, table)[1]!.slice(from, from + 9)))),
      )
      return ofX! - ofY!
    }
    expect(apart(made(10))).toBeGreaterThan(0.6)
    // Thirty-nine restorations are too few for an operator each: either is filled as all are.
    expect(Math.abs(apart(made(9)))).toBeLessThan(0.3)
  })

  it('fills by what came of it', () => {
    // Of those known, whoever loosened has bruxism and nobody else.
    const loose = { checks: [100], loose: 300 } as const
    const designs = designsOf(
      [
        ...cell(40, 20, { bruxism: 'definite' }, loose),
        ...cell(60, 30, { bruxism: 'none' }),
        ...cell(15, 7, {}, loose),
        ...cell(15, 8, {}),
      ],
      ['bruxism'],
      { imputations: 10 },
    )
    const none = [100, 115].map((from) =>
      mean(designs.tables.map((_one, table) => mean(columns(designs, table)[1]!.slice(from, from + 15)))),
    )
    expect(none[1]! - none[0]!).toBeGreaterThan(0.5)
  })

  it('keeps levels that look like numbers in the order of their texts', () => {
    // By text 1 comes before 10 and 2; a chain has 2 before 10.
    const designs = designsOf(
      [
        ...cell(30, 15, { component_system: '2' }),
        ...cell(30, 15, { component_system: '1' }),
        ...cell(30, 15, { component_system: '10' }),
        ...cell(10, 5, {}),
      ],
      ['component_system'],
      { imputations: 2 },
    )
    for (const table of [0, 1]) {
      const [, ten, two] = columns(designs, table)
      expect([two![0], ten![0]]).toEqual([1, 0])
      expect([two![30], ten![30]]).toEqual([0, 0])
      expect([two![60], ten![60]]).toEqual([0, 1])
    }
  })

  it('has the day of delivery of those of whom it is known, and fills the rest', () => {
    const unknown = { delivery_date: undefined, delivery_year: undefined }
    const all = Array.from(
      { length: 60 },
      (_one, i): TestRestoration => ({
        repeated: i % 2 === 0,
        delivery: 17_000 + 10 * i,
        checks: [300, 1300],
        ...(i >= 54 ? { fields: unknown } : {}),
      }),
    )
    const designs = designsOf(all, ['delivery_day'], { imputations: 2 })
    expect(designs.missing).toEqual([{ key: 'delivery_day', share: 0.1 }])
    expect(designs.width).toBe(4)
    expect(designs.years[55]).toBeNaN()
    for (const column of columns(designs)) expect(column.every(Number.isFinite)).toBe(true)
    // Fifty-four known days decide where the knots stand; with own trends an unknown day is the first of all, and no fault.
    const operators = { ...designs, operator: designs.operator.map((_one, i) => (i % 4 < 2 ? 'X' : 'Y')) }
    const [own] = [...choiceAmong(operators, Int32Array.from(all.keys()), true)!.scores]
    expect(own!.score.every((one) => one > 0 && one < 1)).toBe(true)
  })

  it('needs no different days for a trend', () => {
    const all = [...cell(20, 5, {}, { operator: 'X' }), ...cell(20, 15, {}, { operator: 'Y' })]
    const [own] = [...choiceAmong(designsOf(all, ['operator']), Int32Array.from(all.keys()), true)!.scores]
    expect([own!.score[0], own!.score[20]]).toEqual([expect.closeTo(0.25, 9), expect.closeTo(0.75, 9)])
  })

  it('has the operator within the clinic where it is asked for, unless it is what is compared', () => {
    const all = [
      ...cell(20, 10, {}, { clinic: 'A', operator: 'one' }),
      ...cell(20, 10, {}, { clinic: 'B', operator: 'one' }),
    ]
    const labels = designsOf(all, ['operator']).operator
    expect(new Set(labels)).toEqual(new Set(['A · one', 'B · one']))
    expect(designsOf(all, ['operator']).adjustedFor).toEqual(['operator'])
    expect(new Set(designsOf(all, []).operator)).toEqual(new Set(['all']))
    expect(designsOf(all, []).adjustedFor).toEqual([])
    const byOperator = designsOf(all, ['operator'], { groups: { by: 'operator_id' } })
    expect([new Set(byOperator.operator), byOperator.adjustedFor]).toEqual([new Set(['all']), []])
  })
})

describe('what is usable', () => {
  const of = (restorations: readonly TestRestoration[], keys: readonly string[], comparedBy = 'measured') => {
    const cohort = practice(restorations)
    return usableConfounders(
      cohort,
      Int32Array.from({ length: cohort.n }, (_one, i) => i),
      keys,
      comparedBy,
    )
  }
  const known = (count: number, of: number, field: string, values: readonly (string | number)[]) =>
    Array.from(
      { length: of },
      (_one, i): TestRestoration => ({
        checks: [300],
        fields: (i < count ? { [field]: values[i % values.length] } : {}) as never,
      }),
    )

  it('is unknown in at most six of ten', () => {
    for (const [field, values] of [
      ['bruxism', ['none', 'definite']],
      ['age_at_delivery_years', [40, 60]],
    ] as const) {
      expect(of(known(40, 100, field, values), [field])).toMatchObject({
        usable: [{ key: field, missingShare: 0.6 }],
        leftOut: [],
      })
      expect(of(known(39, 100, field, values), [field])).toEqual({
        usable: [],
        leftOut: [{ key: field, reason: 'not-recorded' }],
      })
    }
  })

  it('differs, is not what is compared, is taken once, and is no operator', () => {
    const two = known(60, 60, 'bruxism', ['none', 'definite'])
    expect(of(two, ['bruxism'], 'bruxism').leftOut).toEqual([{ key: 'bruxism', reason: 'what-is-compared' }])
    const alike = known(60, 60, 'bruxism', ['none'])
    expect(of(alike, ['bruxism']).leftOut).toEqual([{ key: 'bruxism', reason: 'all-alike' }])
    // Unknowns are no level of their own, of numbers neither.
    expect(of(known(50, 60, 'bruxism', ['none']), ['bruxism']).leftOut).toEqual([
      { key: 'bruxism', reason: 'all-alike' },
    ])
    expect(of(known(50, 60, 'age_at_delivery_years', [40]), ['age_at_delivery_years']).leftOut).toEqual([
      { key: 'age_at_delivery_years', reason: 'all-alike' },
    ])
    const once = of(
      two.map((one, i) => ({ ...one, delivery: 17_000 + i })),
      ['operator', 'bruxism', 'bruxism', 'delivery_year', 'delivery_day'],
    )
    expect(once.usable.map(({ key }) => key)).toEqual(['bruxism', 'delivery_day'])
    expect(once.leftOut).toEqual([])
    expect(() => of(two, ['bruxsm'])).toThrow('bruxism')
  })

  it('reads what says unknown as unknown', () => {
    const one = of(known(60, 60, 'bruxism', ['none', 'definite', 'unknown']), ['bruxism']).usable[0]!
    expect(one.missingShare).toBeCloseTo(1 / 3, 12)
    expect(one.texts.slice(0, 3)).toEqual(['none', 'definite', ''])
    expect(one.kind).toBe('category')
    const age = of(known(30, 60, 'age_at_delivery_years', [40, 60]), ['age_at_delivery_years']).usable[0]!
    expect([age.kind, age.numbers[0], age.numbers[1], age.missingShare]).toEqual(['number', 40, 60, 0.5])
    expect(age.numbers[59]).toBeNaN()
    expect(age.texts).toEqual([])
  })

  it('puts levels of fewer than ten together, or with the commonest where they are few even so', () => {
    const levels = (...counts: readonly number[]) =>
      counts.flatMap((count, level) =>
        Array.from(
          { length: count },
          (): TestRestoration => ({
            checks: [300],
            fields: { component_system: `S${level}` },
          }),
        ),
      )
    const of1 = (...counts: readonly number[]): readonly string[] => {
      const [one] = of(levels(...counts), ['component_system']).usable
      return [...new Set(one?.texts ?? [])]
    }
    expect(of1(20, 10, 30)).toEqual(['S0', 'S1', 'S2'])
    expect(of1(20, 9, 30)).toEqual(['S0', 'S2'])
    expect(of1(20, 5, 5, 30)).toEqual(['S0', 'rare-levels', 'S3'])
    expect(of1(20, 5, 4, 30)).toEqual(['S0', 'S3'])
    // All of them rare: nothing is joined.
    expect(of1(5, 6, 7)).toEqual(['S0', 'S1', 'S2'])
    // Of two commonest the first by name takes them.
    const tie = of(levels(20, 20, 5), ['component_system']).usable[0]!
    expect(tie.texts.filter((one) => one === 'S0')).toHaveLength(25)
    const last = of(levels(20, 30, 5), ['component_system']).usable[0]!
    expect(last.texts.filter((one) => one === 'S1')).toHaveLength(35)
    // One level with a few rare ones is all alike once these have joined it.
    expect(of(levels(30, 5), ['component_system']).leftOut).toEqual([
      { key: 'component_system', reason: 'all-alike' },
    ])
  })

  it('does not count unknowns among rare levels', () => {
    const restorations = [
      ...Array.from(
        { length: 20 },
        (): TestRestoration => ({ checks: [1], fields: { component_system: 'A' } }),
      ),
      ...Array.from(
        { length: 20 },
        (): TestRestoration => ({ checks: [1], fields: { component_system: 'B' } }),
      ),
      ...Array.from({ length: 5 }, (): TestRestoration => ({ checks: [1] })),
    ]
    const one = of(restorations, ['component_system']).usable[0]!
    expect(one.missingShare).toBeCloseTo(5 / 45, 12)
    expect(one.texts.slice(-5)).toEqual(['', '', '', '', ''])
  })

  it('names operators that nobody named', () => {
    const cohort = practice([
      { checks: [1] },
      { checks: [1], fields: { operator_id: undefined, clinic_id: undefined } },
    ])
    expect(operatorLabels(cohort, Int32Array.of(1, 0))).toEqual(['unknown · unknown', 'A · A1'])
  })
})

describe('the chance of each way', () => {
  it('is the share in each cell where nothing else can be told', () => {
    // Odds of repeated: operator X 1/3 with conical, 1 with internal; operator Y three times as much: 1 and 3.
    const all = [
      ...cell(40, 10, { connection: 'conical' }, { operator: 'X' }),
      ...cell(20, 10, { connection: 'internal_hex' }, { operator: 'X' }),
      ...cell(30, 15, { connection: 'conical' }, { operator: 'Y' }),
      ...cell(40, 30, { connection: 'internal_hex' }, { operator: 'Y' }),
    ]
    const choice = fitChoice(designsOf(all, ['operator', 'connection']))!
    const { score, weight, width } = choice.scores[0]!
    expect(width).toBe(3)
    expect([0, 40, 60, 90].map((i) => score[i])).toEqual(
      [0.25, 0.5, 0.5, 0.75].map((one) => expect.closeTo(one, 9)),
    )
    expect(weight[0]).toBeCloseTo(0.75, 9)
    expect(weight[39]).toBeCloseTo(0.25, 9)
    expect(choice.kept).toHaveLength(130)
  })

  it('sets aside who has one way only, and all where nobody has both', () => {
    const all = [
      ...cell(20, 10, {}, { operator: 'X' }),
      ...cell(10, 10, {}, { operator: 'Y' }),
      ...cell(10, 0, {}, { operator: 'Z' }),
    ]
    const designs = designsOf(all, ['operator'])
    const choice = fitChoice(designs)!
    expect([...choice.kept]).toEqual(Array.from({ length: 20 }, (_one, i) => i))
    expect(choice.scores[0]!.width).toBe(1)
    const others = Int32Array.from({ length: 20 }, (_one, i) => 20 + i)
    expect(choiceAmong(designs, others)).toBe(undefined)
    // Among some of the rows an operator may have one way only who has both among all.
    const some = choiceAmong(designs, Int32Array.from([0, 1, 2, ...others]))
    expect(some).toBe(undefined)
    expect([...choiceAmong(designs, Int32Array.from([8, 9, 10, 25]))!.kept]).toEqual([8, 9, 10])
  })

  it('has a trend of each operator where it is asked for', () => {
    // Two days an operator, four cells with chances of their own: with own trends each is the share of its cell.
    const all = [
      ...cell(40, 10, {}, { operator: 'X', delivery: 17_000 }),
      ...cell(20, 14, {}, { operator: 'X', delivery: 17_400 }),
      ...cell(30, 18, {}, { operator: 'Y', delivery: 17_000 }),
      ...cell(50, 10, {}, { operator: 'Y', delivery: 17_400 }),
      ...cell(20, 15, {}, { operator: 'Z', delivery: 17_000 }),
      ...cell(10, 4, {}, { operator: 'Z', delivery: 17_400 }),
    ]
    const designs = designsOf(all, ['operator', 'delivery_day'])
    const rows = Int32Array.from(all.keys())
    const [own] = [...choiceAmong(designs, rows, true)!.scores]
    expect(own!.width).toBe(2 + 2 * 2)
    expect([0, 40, 60, 90, 140, 160].map((i) => own!.score[i])).toEqual(
      [0.25, 0.7, 0.6, 0.2, 0.75, 0.4].map((one) => expect.closeTo(one, 8)),
    )
    const [shared] = [...choiceAmong(designs, rows)!.scores]
    expect(shared!.width).toBe(4)
    expect(shared!.score[0]).not.toBeCloseTo(0.25, 2)
    // Among some of the rows, with their own mean of the day.
    const some = rows.filter((i) => i < 140)
    const [part] = [...choiceAmong(designs, some, true)!.scores]
    expect([0, 40, 60, 90].map((i) => part!.score[i])).toEqual(
      [0.25, 0.7, 0.6, 0.2].map((one) => expect.closeTo(one, 8)),
    )
  })

  it('has scores of each completed table, those that are kept and those that are not', () => {
    const designs = designsOf(
      [...cell(40, 10, { bruxism: 'none' }), ...cell(40, 30, { bruxism: 'definite' }), ...cell(20, 10, {})],
      ['bruxism'],
      { imputations: 3 },
    )
    const kept = fitChoice(designs)!.scores
    const walked = [
      ...choiceAmong(
        designs,
        Int32Array.from({ length: 100 }, (_one, i) => i),
      )!.scores,
    ]
    expect(kept).toHaveLength(3)
    kept.forEach(({ score }, table) => {
      const none = columns(designs, table)[1]!
      const inGroup = [...designs.compared.inGroup]
      // In each table the score is the share of its level.
      for (const level of [0, 1]) {
        const own = inGroup.filter((_one, i) => none[i] === level)
        expect(score[none.indexOf(level)]).toBeCloseTo(mean(own), 8)
      }
      expect([...walked[table]!.score]).toEqual([...score])
    })
  })
})
