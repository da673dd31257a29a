import { describe, expect, it } from 'vitest'
import {
  exposureAccount,
  fieldGroups,
  measuredGroups,
  measuredRows,
  tighteningGroups,
  undocumentedAsSingle,
} from '../../../src/questions/comparison/groups.js'
import { practice, type TestRestoration } from '../practice.js'

const planned = { group: 'repeated in the window', against: 'single' } as const
const charted = (way: string | undefined, more: TestRestoration = {}): TestRestoration => ({
  repeated: 'unknown',
  checks: [300],
  fields: { tightening_group: way },
  ...more,
})

describe('the groups of the tightening', () => {
  const mixed = [
    { repeated: true, checks: [300] },
    { repeated: false, checks: [300] },
    { repeated: 30, checks: [300] },
    charted('repeated'),
    charted('single'),
    charted('other'),
    charted(undefined),
  ] as const

  it('are measured where at least half of what is known is', () => {
    // Three measured of six known.
    const cohort = practice(mixed)
    const groups = tighteningGroups(cohort, planned)
    expect([groups.by, groups.group, groups.against]).toEqual([
      'measured',
      'repeated in the window',
      'single',
    ])
    expect([...groups.side]).toEqual([1, 0, -1, -1, -1, -1, -1])
    expect([...measuredRows(cohort)]).toEqual([1, 1, 1, 0, 0, 0, 0])
  })

  it('are those of the chart below half, under its own names, tightenings where the chart is blank', () => {
    const groups = tighteningGroups(practice([...mixed, charted('repeated')]), planned)
    expect([groups.by, groups.group, groups.against]).toEqual([
      'chart',
      'repeated, wait not recorded',
      'single, by the chart',
    ])
    // Blank charts: a repeat in the window or outside it is a repeat, one tightening is single, nothing is nothing.
    expect([...groups.side]).toEqual([1, 0, 1, 1, 0, -1, -1, 1])
  })

  it('are those of the chart where one way was never measured, unless the chart has one way only, too', () => {
    const single = { repeated: false, checks: [300] } as const
    const never = tighteningGroups(practice([single, single, charted('repeated')]), planned)
    expect([never.by, ...never.side]).toEqual(['chart', 0, 0, 1])
    const nobody = tighteningGroups(practice([single, single, charted('other')]), planned)
    expect([nobody.by, ...nobody.side]).toEqual(['measured', 0, 0, -1])
  })

  it('are those asked for by the names of the chart, whatever was measured', () => {
    const cohort = practice([...mixed.slice(0, 3), charted('repeated'), charted('single')])
    const byChart = { group: 'repeated, wait not recorded', against: 'single, by the chart' } as const
    expect([...tighteningGroups(cohort, byChart).side]).toEqual([-1, -1, -1, 1, 0])
    expect(tighteningGroups(cohort, byChart).by).toBe('chart')
    expect(tighteningGroups(cohort, { ...byChart, against: 'single' }).by).toBe('chart')
    expect(tighteningGroups(cohort, { ...byChart, group: 'repeated in the window' }).by).toBe('chart')
    expect([
      ...measuredGroups(cohort, { group: 'repeated outside the window', against: 'single' }).side,
    ]).toEqual([-1, 0, 1, -1, -1])
  })

  it('count as single what is charted as repeated and not documented', () => {
    const cohort = practice([
      { repeated: true, checks: [300], fields: { tightening_group: 'repeated' } },
      { repeated: false, checks: [300], fields: { tightening_group: 'repeated' } },
      { repeated: false, checks: [300], fields: { tightening_group: 'single' } },
      charted('repeated'),
      charted(undefined),
    ])
    const groups = tighteningGroups(cohort, planned)
    const moved = undocumentedAsSingle(cohort, groups)
    expect([...groups.side]).toEqual([1, 0, 0, -1, -1])
    expect([...moved.side]).toEqual([1, 0, 0, 0, -1])
    expect([moved.by, moved.group]).toEqual([groups.by, groups.group])
  })
})

describe('what the records say of the tightening', () => {
  const account = (restorations: readonly TestRestoration[]) => {
    const cohort = practice(restorations)
    return exposureAccount(cohort, tighteningGroups(cohort, planned))
  }

  it('counts what is charted or recorded as repeated, and what of it is documented', () => {
    const found = account([
      { repeated: true, checks: [300] },
      { repeated: 30, checks: [300], fields: { tightening_group: 'repeated' } },
      { repeated: true, checks: [300], fields: { tightening_group: 'single' } },
      { repeated: false, checks: [300] },
      { repeated: false, checks: [300], fields: { tightening_group: 'repeated' } },
      charted('repeated'),
      charted('single'),
      charted(undefined),
    ])
    // Repeated by a blank chart and two rows, by chart and two rows, by chart and one row, by chart alone.
    expect(found).toEqual({
      measuredShare: 5 / 7,
      charted: 4,
      documented: 2,
      documentedShare: 0.5,
      laterDated: 0,
    })
  })

  it('has nothing undocumented where nothing is repeated, and nothing measured where nothing is known', () => {
    expect(account([{ repeated: false, checks: [300] }])).toMatchObject({
      charted: 0,
      documented: 0,
      documentedShare: 1,
      measuredShare: 1,
    })
    expect(account([charted(undefined)]).measuredShare).toBe(0)
  })

  it('counts repeats that rest on tightenings of later visits alone', () => {
    const later = (way: string | undefined, more: TestRestoration) => charted(way, { later: 200, ...more })
    const found = account([
      // In the group by the chart, with one tightening at delivery and one later: the later one may be why.
      later('repeated', { repeated: false }),
      later('repeated', { repeated: false }),
      // Documented on the day of delivery: a later one does no harm.
      later('repeated', { repeated: true }),
      // Single: not in the group.
      later('single', { repeated: false }),
      ...Array.from({ length: 9 }, () => charted('single')),
    ])
    expect(found.laterDated).toBe(2)
  })
})

describe('the groups of a field', () => {
  const cohort = practice(
    ['internal_hex', 'external_hex', 'internal_hex', undefined, 'conical'].map((connection, i) => ({
      checks: [300],
      operator: `Op_${i % 2}`,
      fields: { connection },
    })),
  )
  const of = (group?: string, against?: string, by = 'connection') =>
    fieldGroups(cohort, { by, group, against } as never)
  const refused = (run: () => unknown): { readonly code: string; readonly message: string } => {
    try {
      run()
    } catch (thrown) {
      return thrown as never
    }
    throw new Error('not refused')
  }

  it('are told apart by its values, as the records have them', () => {
    const groups = of('internal_hex', 'external_hex')
    expect([groups.group, groups.against, groups.by]).toEqual(['internal_hex', 'external_hex', 'connection'])
    expect([...groups.side]).toEqual([1, 0, 1, -1, -1])
    // What is a pseudonym stands as it is.
    expect(of('Op_0', 'Op_1', 'operator_id')).toMatchObject({ group: 'Op_0', against: 'Op_1' })
  })

  it('are refused where there is none of the name, with what there is and the nearest', () => {
    const error = refused(() => of('internl_hex', 'conical'))
    expect(error.code).toBe('no-such-group')
    expect(error.message).toContain('no restoration has connection = internl_hex.')
    expect(error.message).toContain('two of conical, external_hex, internal_hex')
    expect(error.message).toContain('did you mean internal_hex?')
    expect(refused(() => of('internal_hex', 'external hex')).message).toContain('did you mean external_hex?')
    expect(refused(() => of('internal_hex', 'zzzzzzzzzz')).message).toContain(
      'name groups as the records do.',
    )
    expect(refused(() => of('internal_hex')).message).toContain('two groups of connection are to be named.')
    const none = practice([
      { checks: [300], fields: { bruxism: undefined, connection: 'conical' } },
      { checks: [300], fields: { bruxism: 'none' } },
    ])
    expect(
      refused(() => fieldGroups(none, { by: 'bruxism', group: 'definite', against: 'none' } as never))
        .message,
    ).toContain('two of none')
  })

  it('are refused where both are one', () => {
    const error = refused(() => of('conical', 'conical'))
    expect(error.code).toBe('no-such-group')
    expect(error.message).toContain('both groups are conical.')
    expect(error.message).toContain('two different of conical, external_hex, internal_hex')
  })
})
