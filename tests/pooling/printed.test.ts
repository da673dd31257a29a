import { describe, expect, it } from 'vitest'
import {
  patientsOfBoth,
  printedGrid,
  printedYears,
  type TimeCell,
} from '../../src/pooling/coordinator/cells.js'
import { pooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { added } from '../../src/pooling/coordinator/poolRows.js'
import { yearEnds } from '../../src/pooling/protocol/protocol.js'
import { agreedOn, groupRows, numbersOfRows, syntheticPractice } from './syntheticGroup.js'

function cells(ends: readonly number[], patients: readonly number[]): readonly TimeCell[] {
  return ends.map((toDay, j) => ({
    id: `grid ${j + 1}`,
    fromDay: j === 0 ? 0 : ends[j - 1]!,
    toDay,
    atRisk: patients[j]!,
    endpoint: 1,
    competing: 0,
    days: 100 * patients[j]!,
    patients: patients[j]!,
    sites: patients[j]! > 0 ? 3 : 0,
  }))
}
const may = ({ patients }: { readonly patients: number }): boolean => patients >= 5
const quarters = [91, 183, 274, 365, 457, 548, 639, 731]

describe('what a curve may show beside a printed year', () => {
  // Worked by hand: a year is printed of four quarters, so that year less three quarters is the fourth.
  it('ends one interval earlier where one that may not be printed is all that is left of the year', () => {
    const grid = cells(quarters, [40, 30, 20, 12, 9, 8, 7, 3])
    const years = printedYears(cells([365, 731], [40, 9]), may)
    expect(printedGrid(grid, years, may).at(-1)!.toDay).toBe(548)
  })

  it('ends at the year where the next one begins with what may not be printed', () => {
    const grid = cells(quarters, [40, 30, 20, 12, 3, 2, 1, 1])
    expect(printedGrid(grid, cells([365, 731], [40, 6]), may).at(-1)!.toDay).toBe(365)
  })

  it('goes to its end where nobody is left', () => {
    const grid = cells(quarters, [40, 30, 20, 12, 9, 8, 7, 0]).map((cell) =>
      cell.patients === 0 ? { ...cell, endpoint: 0 } : cell,
    )
    expect(printedGrid(grid, cells([365, 731], [40, 9]), may).at(-1)!.toDay).toBe(639)
  })
})

describe('patients of both groups together', () => {
  const shown = (against: number, group: number, both: number) =>
    patientsOfBoth(
      { 'e/patients': Float64Array.of(against, group), 'e/patientsAll': Float64Array.of(both) },
      'e',
      5,
    )
  it.each([
    { against: 30, group: 20, both: 47, left: 'three with restorations of both' },
    { against: 30, group: 28, both: 31, left: 'one with restorations of the first only' },
    { against: 4, group: 28, both: 31, left: 'three with restorations of the first only' },
  ])('are left out where they would tell of $left', ({ against, group, both }) => {
    expect(shown(against, group, both)).toMatchObject({
      shown: { state: 'not-estimable', reason: 'too-few-patients-or-practices' },
      atLeast: Math.max(against, group),
    })
  })
  it('are shown where nobody, or enough, are in either', () => {
    expect(shown(30, 20, 50)).toEqual({ shown: 50, atLeast: 50 })
    expect(shown(30, 20, 42)).toEqual({ shown: 42, atLeast: 42 })
  })
})

describe('a result from sums', () => {
  const agreed = agreedOn()
  const { protocol } = agreed
  const endpoint = protocol.endpoints[0]!
  const result = (groupShare: number) => {
    const rows = Array.from({ length: 6 }, (_one, i) =>
      syntheticPractice(
        protocol,
        { name: `Practice ${i}`, restorations: 60, eventShare: 0.2, groupShare: i === 0 ? groupShare : 0 },
        70 + i,
      ),
    )
    const sums = added(rows.map((one) => numbersOfRows(one, protocol).sums))
    return pooledResult(sums, agreed, {
      route: 'sums',
      sites: rows.map((_one, i) => ({ name: `Practice ${i}`, open: false })),
      generated: true,
    }).endpoints[0]!
  }

  it('tells nothing of a group that is withheld by what both groups hold together', () => {
    const one = result(0.05)
    expect(one.groups[1]).toEqual({
      group: 'repeated in the window',
      withheld: 'too-few-patients-or-practices',
    })
    expect(one.groups[0]).toMatchObject({ group: 'single' })
    expect(one.all).toMatchObject({ withheld: 'too-few-patients-or-practices' })
    for (const contrast of [one.comparison.hazardRatio, one.comparison.rateRatio, one.comparison.logRank])
      expect(contrast).toMatchObject({ n: 0, events: 0, clusters: 0 })
  })

  it('has five digits of all that is no whole number, and shares to the twentieth', () => {
    const whole = added(groupRows(protocol).map((rows) => numbersOfRows(rows, protocol).sums))
    const measured = whole[`${endpoint}/measured`]!.map((one) => one - 3)
    const sums = { ...whole, [`${endpoint}/measured`]: measured }
    const sites = Array.from({ length: 15 }, (_one, i) => ({ name: `Practice ${i}`, open: false }))
    const one = pooledResult(sums, agreed, { route: 'sums', sites, generated: true }).endpoints[0]!
    const found: number[] = []
    const walk = (value: unknown): void => {
      if (typeof value === 'number') found.push(value)
      else if (typeof value === 'object' && value !== null) Object.values(value).forEach(walk)
    }
    walk(one)
    expect(found.length).toBeGreaterThan(300)
    for (const value of found)
      expect(Number.isInteger(value) || Number(value.toPrecision(5)) === value).toBe(true)
    expect(one.measuredShare).toBe(1)
  })
})

describe('a grid', () => {
  it('is refused where an interval is shorter than a week', () => {
    const gridDays = [...Array.from({ length: 30 }, (_one, i) => 335 + i), 365]
    expect(() => agreedOn({ gridDays, horizonsYears: [1] })).toThrow(
      /gridDays do not rise by at least 7 days/,
    )
  })
  it('gives years that end on its days only, so that no interval lies across one', () => {
    expect(yearEnds({ gridDays: [183, 365, 1000, 1096, 1200] })).toEqual([365, 1096, 1200])
  })
})
