import { describe, expect, it } from 'vitest'
import type { Cohort } from '../../../src/cohort/cohort.js'
import type { RowsWithColumns } from '../../../src/cohort/subgroup.js'
import { randomStream } from '../../../src/core/random.js'
import { bundleOf } from '../../../src/notebook/valueDisplay.js'
import { compare, compareTightening } from '../../../src/questions/comparison/asked.js'
import { incidence } from '../../../src/questions/incidence/answer.js'
import { practice, type TestRestoration, times } from '../practice.js'

type Value = string | number | null

/** A cohort of two connections, and a column of the user's own by the rows of the records. */
interface Made {
  readonly cohort: Cohort
  readonly frame: (column: (row: number) => Value) => RowsWithColumns
  /** Whether each restoration has what raises both the choice of a conical connection and the risk. */
  readonly confounded: readonly boolean[]
}

/**
 * Six hundred crowns whose connection does nothing: what is known in the own column alone (half of the crowns) raises the
 * chance of a conical connection from 0.25 to 0.75 and the risk of loosening from 0.05 to 0.35.
 */
function made(seed: number): Made {
  const random = randomStream(seed, 1)
  const confounded: boolean[] = []
  const crowns = Array.from({ length: 600 }, (): TestRestoration => {
    const has = random.uniform() < 0.5
    confounded.push(has)
    const conical = random.uniform() < (has ? 0.75 : 0.25)
    const loosens = random.uniform() < (has ? 0.35 : 0.05)
    const day = 50 + Math.floor(900 * random.uniform())
    return {
      repeated: false,
      fields: { connection: conical ? 'conical' : 'internal_hex' },
      ...(loosens ? { checks: [day - 20], loose: day } : { checks: [400, 800, 1200] }),
    }
  })
  return {
    cohort: practice(crowns),
    confounded,
    frame: (column) => ({
      columns: ['row', 'habit'],
      values: crowns.map((_one, row) => [row, column(row)]),
    }),
  }
}

const groups = { by: 'connection', group: 'conical', against: 'internal_hex' } as const
const settings = { adjustFor: ['operator', 'delivery_day'], negativeControl: 'none', imputations: 5 } as const
const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length

describe('a column of the user\u2019s own that is adjusted for', () => {
  const practices = [1, 2, 3, 4, 5, 6].map(made)
  const differences = (column: (one: Made) => (row: number) => Value, also: boolean) =>
    practices.map((one) => {
      const own = one.cohort.withColumns(one.frame(column(one)), 'habit')
      return compare(own, groups, { ...settings, alsoAdjustFor: also ? ['habit'] : [] })!.lead!.difference
    })
  const text = (one: Made) => (row: number) => (one.confounded[row] ? 'yes' : 'no')

  it('takes away a bias that is known in it alone, as text and as number', () => {
    const crude = differences(text, false).map(({ estimate }) => estimate)
    const adjusted = differences(text, true)
    const asNumber = differences((one) => (row) => (one.confounded[row] ? 1 : 0), true)
    // The truth is nought; without the column 0.5 of the difference in risk of 0.30 stands as an effect.
    expect(mean(crude)).toBeGreaterThan(0.1)
    expect(Math.abs(mean(adjusted.map(({ estimate }) => estimate)))).toBeLessThan(0.03)
    expect(adjusted.filter(({ lower, upper }) => lower <= 0 && upper >= 0).length).toBeGreaterThanOrEqual(5)
    adjusted.forEach(({ estimate }, i) => {
      expect(asNumber[i]!.estimate).toBeCloseTo(estimate, 10)
    })
  })

  it('is filled in where it is missing, and the share is told', () => {
    const one = practices[0]!
    const frame = one.frame((row) => (row % 5 === 0 ? null : text(one)(row)))
    const result = compare(one.cohort.withColumns(frame, 'habit'), groups, {
      ...settings,
      alsoAdjustFor: ['habit'],
    })!
    expect(result.adjustedFor).toEqual(['operator', 'habit'])
    expect(result.missing).toEqual([{ key: 'habit', share: 0.2 }])
    expect(result.imputations).toBe(5)
    expect(Math.abs(result.lead!.difference.estimate)).toBeLessThan(0.09)
  })

  it('is named in what is shown, before what is left out first', async () => {
    const one = practices[1]!
    const own = one.cohort.withColumns(one.frame(text(one)), 'habit')
    const result = compare(own, groups, { negativeControl: 'none', alsoAdjustFor: ['habit'] })!
    expect(result.adjustedFor.indexOf('habit')).toBeLessThanOrEqual(2)
    const bundle = await bundleOf(result)
    expect(bundle?.['text/plain']).toMatch(/made alike in operator and habit by overlap weights/)
    expect(bundle?.['text/html']).toContain('habit')
  })

  it('can be the groups, and is not allowed for then', () => {
    const one = practices[2]!
    const own = one.cohort.withColumns(one.frame(text(one)), 'habit')
    const result = compare(
      own,
      { by: 'habit', group: 'yes', against: 'no' },
      { ...settings, alsoAdjustFor: ['habit'] },
    )!
    expect(result.verdict).toBe('higher')
    expect(result.leftOut).toContainEqual({ key: 'habit', reason: 'what-is-compared' })
  })

  it('is left out aloud where it is known in too few, or the same in all', () => {
    const one = practices[0]!
    const leftOut = (column: (row: number) => Value) =>
      compare(one.cohort.withColumns(one.frame(column), 'habit'), groups, {
        ...settings,
        alsoAdjustFor: ['habit'],
      })!.leftOut
    expect(leftOut((row) => (row % 4 === 0 ? 'yes' : null))).toContainEqual({
      key: 'habit',
      reason: 'not-recorded',
    })
    expect(leftOut(() => 'yes')).toContainEqual({ key: 'habit', reason: 'all-alike' })
  })

  it('is refused where it cannot be meant, with the mend', () => {
    const one = practices[0]!
    const asked = (column: (row: number) => Value) => () =>
      compare(one.cohort.withColumns(one.frame(column), 'habit'), groups, {
        ...settings,
        alsoAdjustFor: ['habit'],
      })
    const code = (of: string) => expect.objectContaining({ code: of }) as never
    expect(asked((row) => (row % 2 === 0 ? 'yes' : 1))).toThrow(code('mixed-column'))
    expect(asked((row) => (row === 3 ? Number.POSITIVE_INFINITY : row))).toThrow(code('not-finite-column'))
    const events = new Set(Array.from(one.cohort.recordRow).filter((_row, i) => one.cohort.status[i] === 1))
    expect(asked((row) => (events.has(row) ? 'a' : 'b'))).toThrow(code('tells-the-outcome'))
    expect(() => compare(one.cohort, groups, { alsoAdjustFor: ['habbit'] as never })).toThrow(
      code('unknown-name'),
    )
    // @ts-expect-error the compiler knows that there is no such column
    expect(() => compare(one.cohort, groups, { alsoAdjustFor: ['habit'] })).toThrow(
      /there is no covariate "habit"/,
    )
    expect(() => compare(one.cohort, groups, { alsoAdjust: [] } as never)).toThrow(
      /did you mean alsoAdjustFor/,
    )
    expect(asked((row) => (row % 3 === 0 ? 'yes' : 'no'))).not.toThrow()
  })
})

describe('a comparison of a part of the records', () => {
  const crown = (i: number, region: 'molar' | 'front'): TestRestoration => ({
    repeated: i % 2 === 0,
    fields: { tooth_position: region === 'molar' ? '36' : '11' },
    ...(i % 5 === 0 ? { loose: 200 + i } : { checks: [400, 1200] }),
  })
  const cohort = practice([
    ...Array.from({ length: 60 }, (_one, i) => crown(i, 'molar')),
    ...Array.from({ length: 14 }, (_one, i) => crown(i, 'front')),
    ...times(3, { repeated: true, fields: { tooth_position: '21' }, checks: [1200] }),
  ])

  it('says how many parts were looked at, which groups are small, and where nobody had the event', () => {
    const whole = compareTightening(cohort)!
    expect(whole.asked.warnings).toEqual([])
    const molars = compareTightening(cohort.where({ region: 'molar' }))!
    expect(molars.asked.warnings).toEqual([{ code: 'asked-looks', parameters: { looks: 1 } }])
    const front = compareTightening(cohort.where({ region: 'anterior' }))!
    expect(front.asked.warnings.map(({ code }) => code)).toEqual(['asked-looks', 'asked-small-groups'])
    expect(front.asked.warnings[0]!.parameters).toEqual({ looks: 2 })
    expect(front.verdict).toBe('cannot-be-known')
    incidence(cohort, { by: 'region' })
    const central = compareTightening(cohort.where({ tooth_position: [11, 21] as never }))
    expect(central!.asked.warnings[0]!.parameters).toEqual({ looks: 4 })
  })

  it('shows them, and no interval where too few events came', async () => {
    const front = compareTightening(cohort.where({ region: 'anterior' }))!
    const shown = await bundleOf(front)
    expect(shown?.['text/plain']).toMatch(/parts or groupings of these records were looked at/)
    expect(shown?.['text/plain']).toMatch(/fewer than 10 restorations/)
    expect(shown?.['text/plain']).toMatch(/cannot be known/)
    expect(String(shown?.['text/html'])).not.toMatch(/95% interval|<table/)
  })

  it('refuses settings that there are not', () => {
    expect(() => compareTightening(cohort, { levl: 0.9 } as never)).toThrow(/did you mean level/)
    expect(() => compareTightening(cohort, { by: 'region' } as never)).toThrow(/no setting "by"/)
    expect(compareTightening(cohort, { level: 0.9 })!.level).toBe(0.9)
  })
})
