import { describe, expect, it } from 'vitest'
import {
  cumulativeIncidence,
  cumulativeIncidenceByGroup,
} from '../../src/statistics/curves/competingRisks.js'

describe('cumulative incidence', () => {
  it('is that of a hand-worked example', () => {
    // at risk 4, 3, 2, 1; free of all before: 1, 3/4, 1/2, 1/2
    const result = cumulativeIncidence([1, 2, 3, 4], [1, 2, 0, 1])
    expect(result.causes.map((curve) => curve.rows.map((row) => row.incidence))).toEqual([
      [0, 0.25, 0.25, 0.25, 0.75],
      [0, 0, 0.25, 0.25, 0.25],
    ])
    expect(result.causes.map((curve) => curve.events)).toEqual([2, 1])
    expect(result.causes[0]!.rows[1]!.standardError).toBeCloseTo(Math.sqrt(3 / 64), 14)
  })

  it('sums to one less the curve free of every cause', () => {
    const result = cumulativeIncidence([1, 2, 2, 5, 6], [3, 1, 2, 0, 1])
    const last = result.causes.map((curve) => curve.rows.at(-1)!.incidence)
    expect(last.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 14)
  })

  it('gives a cause that never occurs zero, without an interval', () => {
    const result = cumulativeIncidenceByGroup([1, 2, 3], [1, 1, 0], ['a', 'a', 'b'], { causes: 2 })
    expect(result[0]!.causes[1]!.rows.map((row) => row.incidence)).toEqual([0, 0, 0])
    expect(result[1]!.causes[0]!.rows.at(-1)).toMatchObject({
      incidence: 0,
      standardError: 0,
      upper: { state: 'not-estimable', reason: 'no-event-of-cause-by-then' },
    })
  })

  it('counts events at time 0 at time 0', () => {
    const result = cumulativeIncidence([0, 3, 4, 5], [2, 1, 0, 0])
    expect(result.causes[1]!.rows[0]).toMatchObject({ time: 0, atRisk: 4, events: 1, incidence: 0.25 })
    expect(result.causes[0]!.rows[1]!.incidence).toBe(0.25)
  })

  it('refuses a cause beyond the number stated', () => {
    expect(() => cumulativeIncidence([1, 2], [1, 3], { causes: 2 })).toThrow(
      'column event holds something other than whole numbers from 0 to 2, first in row 2 of 2. Expected: 0 where the row was censored, otherwise the number of the cause: 1, 2, … Mend: code censoring as 0 and events as 1, 2, …; leave out rows without an outcome.',
    )
  })
})
