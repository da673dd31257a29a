import { describe, expect, it } from 'vitest'
import { adjustmentOf, commonLevels } from '../../src/analysis/adjustment.js'
import { columnSpace } from '../../src/analysis/columnSpace.js'
import { comparedRows } from '../../src/analysis/compared.js'
import { fairComparison } from '../../src/analysis/fairComparison.js'
import { overlapCells, sharedShare } from '../../src/analysis/overlap.js'
import { dayNumber } from '../../src/core/calendar.js'
import { practice, type TestRestoration, times } from './practice.js'

const names = { group: 'repeated in the window', against: 'single' } as const
const year = (number: number): number => dayNumber(number, 6, 1)!

describe('overlap', () => {
  const cohort = practice([
    ...times(2, { operator: 'A1', delivery: year(2016), checks: [400] }),
    ...times(1, { operator: 'A1', delivery: year(2016), repeated: true, checks: [400] }),
    ...times(3, { operator: 'A1', delivery: year(2017), repeated: true, checks: [400] }),
    ...times(4, { operator: 'A2', delivery: year(2016), checks: [400] }),
  ])
  const cells = overlapCells(cohort, cohort.recordRow, (row) => cohort.exposure[row] === 1)

  it('counts both groups in each cell of clinic, operator and year', () => {
    expect(cells).toEqual([
      { clinic: 'A', operator: 'A1', year: 2016, group: 1, against: 2 },
      { clinic: 'A', operator: 'A1', year: 2017, group: 3, against: 0 },
      { clinic: 'A', operator: 'A2', year: 2016, group: 0, against: 4 },
    ])
  })

  it('is the share of restorations in cells that hold both', () => {
    expect(sharedShare(cells)).toBe(0.3)
    expect(sharedShare([])).toBe(0)
  })
})

describe('the account of who was compared', () => {
  const cohort = practice([
    ...times(6, { patient: 1, checks: [400], fields: { tightening_reason: 'operator_choice' } }),
    ...times(4, { patient: 1, repeated: true, loose: 300, fields: { tightening_reason: 'period_policy' } }),
    ...times(2, { repeated: 'unknown', checks: [400] }),
    ...times(3, { repeated: true }),
  ])
  const { who, wrong } = fairComparison(cohort)!

  it('names sizes, events, patients of both kinds and how the groups came about', () => {
    expect(who.restorations).toEqual({ group: 4, against: 6 })
    expect(who.events).toEqual({ group: 4, against: 0 })
    expect(who.patientsWithBoth).toBe(1)
    expect(who.reasons).toEqual([
      { reason: 'operator_choice', group: 0, against: 6 },
      { reason: 'period_policy', group: 4, against: 0 },
    ])
  })

  it('keeps restorations of unknown exposure and those never checked in the account', () => {
    expect(who.attrition.find(({ group }) => group === 'unknown')).toMatchObject({
      restorations: 2,
      included: 2,
    })
    expect(who.attrition.find(({ group }) => group === 'repeated in the window')).toMatchObject({
      restorations: 7,
      leftOut: [{ code: 'never-checked', restorations: 3 }],
      included: 4,
    })
    expect(wrong.unknownExposure).toBe(2)
  })
})

describe('adjustment', () => {
  const mixed: TestRestoration[] = Array.from({ length: 60 }, (_one, i) => ({
    repeated: i % 2 === 0,
    checks: [500],
    clinic: i % 3 === 0 ? 'A' : 'B',
    fields: {
      tooth_position: [11, 15, 36][i % 3]!,
      bruxism: i % 5 === 0 ? 'definite' : 'none',
      opposing: i < 30 ? 'natural' : undefined,
      implant_diameter_mm: i % 3 === 0 ? 3.5 : 4.1,
      component_system: i === 7 ? 'S9' : 'S1',
    },
  }))
  const cohort = practice(mixed)
  const compared = comparedRows(cohort, names)!
  const asked = (mostCoefficients: number) =>
    adjustmentOf(cohort, compared, {
      keys: ['region', 'bruxism', 'opposing', 'implant_diameter_mm', 'component_system', 'connection', 'sex'],
      strata: ['clinic'],
      strataAs: 'covariates',
      mostCoefficients: () => mostCoefficients,
    })!

  it('takes what is known and varies, and says why the rest is left out', () => {
    const { covariates, coefficients, leftOut, words } = asked(99)
    expect(Object.keys(covariates)).toEqual(['clinic', 'region=molar', 'bruxism'])
    expect(words).toEqual(['clinic', 'region of the mouth', 'bruxism'])
    // Clinic A holds the anterior crowns and no others: only molar against premolar tells anything more.
    expect(coefficients).toBe(3)
    expect(leftOut.map(({ key, reason }) => [key, reason])).toEqual([
      ['opposing', 'too-incomplete'],
      ['sex', 'not-recorded'],
      ['implant_diameter_mm', 'told-by-the-others'],
      ['component_system', 'all-alike'],
      ['connection', 'all-alike'],
    ])
  })

  it('leaves out what the data do not bear, from the end of the list', () => {
    expect(Object.keys(asked(2).covariates)).toEqual(['clinic', 'region=molar'])
    expect(asked(2).leftOut.find(({ key }) => key === 'bruxism')?.reason).toBe('too-few-events')
    expect(asked(0).coefficients).toBe(0)
  })

  it('leaves out restorations without a value, and counts them', () => {
    const some = practice(
      mixed.map((one, i) => (i < 6 ? { ...one, fields: { ...one.fields, bruxism: undefined } } : one)),
    )
    const adjustment = adjustmentOf(some, comparedRows(some, names)!, {
      keys: ['bruxism'],
      strata: [],
      strataAs: 'strata',
      mostCoefficients: () => 9,
    })!
    expect(adjustment.incomplete).toBe(6)
    expect(adjustment.compared.rows.n).toBe(54)
    expect(adjustment.warnings[0]!.text).toBe(
      '6 of 60 restorations lack a value that the adjusted estimate needs and are left out of it.',
    )
  })

  it('puts rare levels together, with the commonest where they are few even so', () => {
    const column = (counts: Readonly<Record<string, number>>): string[] =>
      Object.entries(counts).flatMap(([level, count]) => Array.from({ length: count }, () => level))
    const levels = (counts: Readonly<Record<string, number>>): string[] => [
      ...new Set(commonLevels(column(counts))),
    ]
    expect(levels({ a: 20, b: 12 })).toEqual(['a', 'b'])
    expect(levels({ a: 20, b: 12, c: 6, d: 5 })).toEqual(['a', 'b', 'rare levels together'])
    expect(levels({ a: 20, b: 12, c: 6 })).toEqual(['a', 'b'])
    expect(levels({ a: 5, b: 4 })).toEqual(['a', 'b'])
  })
})

describe('a space of columns', () => {
  it('finds nothing new in a column that follows from those before, whatever its units', () => {
    const space = columnSpace(6)
    const added = (name: string, column: readonly number[] | readonly string[]): number => {
      const fresh = space.fresh(name, column)
      space.take(fresh)
      return fresh.length
    }
    expect(added('year', [2015, 2016, 2017, 2018, 2019, 2020])).toBe(1)
    expect(added('clinic', ['a', 'a', 'b', 'b', 'b', 'a'])).toBe(1)
    expect(added('months', [0, 12, 24, 36, 48, 60])).toBe(0)
    expect(added('constant', [7, 7, 7, 7, 7, 7])).toBe(0)
    expect(added('system', ['x', 'x', 'y', 'y', 'z', 'x'])).toBe(1)
  })
})
