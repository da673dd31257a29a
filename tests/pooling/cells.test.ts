import { describe, expect, it } from 'vitest'
import {
  cellNames,
  cellsOf,
  mayPrint,
  objectionable,
  patientsOfBoth,
  printedGrid,
  printedYears,
  type TimeCell,
} from '../../src/pooling/coordinator/cells.js'
import { layoutOf, type Sums } from '../../src/pooling/protocol/layout.js'
import { agreedOn } from './syntheticGroup.js'

const { protocol } = agreedOn({ gridDays: [100, 365, 731, 800], horizonsYears: [1], threshold: 5 })
const endpoint = 'screw_loosening'

function cell(fromDay: number, toDay: number, patients: number, more: Partial<TimeCell> = {}): TimeCell {
  return {
    id: `to ${toDay}`,
    fromDay,
    toDay,
    atRisk: patients + 1,
    endpoint: 0,
    competing: 0,
    patients,
    sites: 3,
    days: 10 * patients,
    ...more,
  }
}

const may = (one: { readonly patients: number; readonly sites: number; readonly id: string }): boolean =>
  mayPrint(one, 5, new Set())

/** Sums of the protocol, zero but for those given. */
function sumsWith(given: Readonly<Record<string, readonly number[]>>): Sums {
  return Object.fromEntries(
    layoutOf(protocol).map(({ name, size }) => {
      const values = new Float64Array(size)
      values.set(given[name.split('/').at(-1)!] ?? [])
      return [name, values]
    }),
  )
}

describe('cells', () => {
  it('are read from the sums in the order of the layout', () => {
    const grid = Array.from({ length: 2 * 4 * 5 }, (_one, i) => i)
    const years = Array.from({ length: 2 * 3 * 5 }, (_one, i) => 100 + i)
    const sums = sumsWith({
      grid,
      years,
      gridDays: [0, 10, 20, 30, 40, 50, 60, 70],
      yearDays: [1, 2, 3, 4, 5, 6],
      patients: [8, 9],
      contributing: [3, 4],
    })
    const [against, group] = cellsOf(sums, protocol, endpoint)
    expect(against.whole).toEqual({ id: `${endpoint}|0|whole`, patients: 8, sites: 3 })
    expect(group.whole).toEqual({ id: `${endpoint}|1|whole`, patients: 9, sites: 4 })
    expect(against.grid[1]).toEqual({
      id: `${endpoint}|0|grid 2`,
      fromDay: 100,
      toDay: 365,
      atRisk: 5,
      endpoint: 6,
      competing: 7,
      patients: 8,
      sites: 9,
      days: 10,
    })
    expect(group.grid[0]).toMatchObject({
      id: `${endpoint}|1|grid 1`,
      fromDay: 0,
      toDay: 100,
      atRisk: 20,
      days: 40,
    })
    expect(group.years[2]).toEqual({
      id: `${endpoint}|1|years 3`,
      fromDay: 731,
      toDay: 800,
      atRisk: 125,
      endpoint: 126,
      competing: 127,
      patients: 128,
      sites: 129,
      days: 6,
    })
    const ids = [against, group].flatMap(({ whole, years: all, grid: of }) =>
      [whole, ...all, ...of].map(({ id }) => id),
    )
    expect(cellNames(protocol)).toEqual(ids)
  })

  it('may be printed from the threshold of patients and three practices on, where nobody objects', () => {
    expect(mayPrint(cell(0, 1, 5), 5, new Set())).toBe(true)
    expect(mayPrint(cell(0, 1, 4), 5, new Set())).toBe(false)
    expect(mayPrint(cell(0, 1, 9, { sites: 2 }), 5, new Set())).toBe(false)
    expect(mayPrint(cell(0, 1, 9), 5, new Set(['to 1']))).toBe(false)
  })
})

describe('patients of both groups', () => {
  const both = (against: number, group: number, all: number) =>
    patientsOfBoth(sumsWith({ patients: [against, group], patientsAll: [all] }), endpoint, 5)

  it('are shown where nobody can tell few of one group or of both from them', () => {
    expect(both(20, 30, 50)).toEqual({ shown: 50, atLeast: 50 })
    expect(both(20, 30, 45)).toEqual({ shown: 45, atLeast: 45 })
    expect(both(30, 30, 30)).toEqual({ shown: 30, atLeast: 30 })
  })

  it('are withheld where some but fewer than five had restorations of both, or of one alone', () => {
    const withheld = (atLeast: number) => ({
      shown: { state: 'not-estimable', reason: 'too-few-patients-or-practices' },
      atLeast,
    })
    expect(both(20, 30, 49)).toEqual(withheld(30))
    expect(both(20, 30, 46)).toEqual(withheld(30))
    expect(both(20, 30, 34)).toEqual(withheld(30))
    expect(both(30, 20, 34)).toEqual(withheld(30))
    expect(both(20, 30, 35)).toMatchObject({ shown: 35 })
  })
})

describe('printed years', () => {
  it('are each year that may be printed, empty ones left out', () => {
    const years = [cell(0, 365, 9), cell(365, 731, 0), cell(731, 1096, 6)]
    expect(printedYears(years, may)).toEqual([years[0], years[2]])
  })

  it('put one that may not be printed to the year before, sums added and patients those of the larger', () => {
    const [printed, ...more] = printedYears(
      [
        cell(0, 365, 9, { endpoint: 2, competing: 1 }),
        cell(365, 731, 3, { endpoint: 1, competing: 4, sites: 4 }),
      ],
      may,
    )
    expect(more).toEqual([])
    expect(printed).toEqual({
      id: 'to 365 and to 731',
      fromDay: 0,
      toDay: 731,
      atRisk: 10,
      endpoint: 3,
      competing: 5,
      patients: 9,
      sites: 4,
      days: 120,
    })
  })

  it('put the first that may not be printed to the year after, and print none where none may', () => {
    const printed = printedYears(
      [cell(0, 365, 2), cell(365, 731, 3), cell(731, 1096, 6), cell(1096, 1461, 7)],
      may,
    )
    expect(printed.map(({ fromDay, toDay, patients, days }) => [fromDay, toDay, patients, days])).toEqual([
      [0, 1096, 6, 110],
      [1096, 1461, 7, 70],
    ])
    expect(printedYears([cell(0, 365, 2), cell(365, 731, 3)], may)).toEqual([])
    // Events without a patient at risk are somebody, too.
    for (const more of [{ endpoint: 1 }, { competing: 1 }]) {
      expect(printedYears([cell(0, 365, 9), cell(365, 731, 0, more)], may)).toHaveLength(1)
      expect(printedYears([cell(0, 365, 9), cell(365, 731, 0, more)], may)[0]!.toDay).toBe(731)
    }
  })
})

describe('the printed curve', () => {
  const quarters = (...patients: readonly number[]) =>
    patients.map((one, i) => cell(i * 100, (i + 1) * 100, one))
  const shown = (patients: readonly number[], years: readonly TimeCell[]) =>
    printedGrid(quarters(...patients), years, may).length

  it('runs to its end where all of it may be printed', () => {
    expect(shown([9, 9, 8, 8], [cell(0, 400, 9)])).toBe(4)
  })

  it('ends before the first interval that may not be printed, and earlier where that one alone would be left', () => {
    // The year ends with the interval that may not: with three shown, the year less its intervals is that one.
    expect(shown([9, 9, 8, 4], [cell(0, 400, 9)])).toBe(2)
    // With two left of the year of which one may be printed, nothing more can be had.
    expect(shown([9, 9, 4, 8], [cell(0, 400, 9)])).toBe(2)
    expect(shown([9, 4, 4, 4], [cell(0, 400, 9)])).toBe(0)
    // What is left is nobody.
    expect(shown([9, 9, 8, 0], [cell(0, 400, 9)])).toBe(3)
  })

  it('ends at a printed year, of which nothing is left to subtract', () => {
    const years = [cell(0, 200, 9), cell(200, 400, 6)]
    expect(shown([9, 9, 4, 4], years)).toBe(2)
    expect(shown([9, 9, 4, 8], years)).toBe(2)
  })

  it('without printed years is set against the group as a whole', () => {
    expect(shown([9, 9, 8, 4], [])).toBe(2)
    expect(shown([9, 9, 8, 8], [])).toBe(4)
    expect(shown([4, 9, 9, 9], [])).toBe(0)
  })
})

describe('objections', () => {
  const cells = (patients: readonly number[]) => ({
    grid: patients.flatMap((one) => [one, 0, 0, one, 3]),
    years: [],
    patients: [30, 0],
    contributing: [3, 0],
  })

  it('are made against cells in which the others are some, but fewer than the threshold', () => {
    const totals = sumsWith(cells([20, 20, 20, 4]))
    const own = sumsWith({ ...cells([15, 16, 20, 2]), patients: [26, 0] })
    // Five others, four others, none, and a cell that is not printed at all; of the whole four others.
    expect(objectionable(totals, own, protocol)).toEqual([`${endpoint}|0|whole`, `${endpoint}|0|grid 2`])
    expect(objectionable(totals, sumsWith({}), protocol)).toEqual([])
  })
})
