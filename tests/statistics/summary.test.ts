import { describe, expect, it } from 'vitest'
import { oneWayAnalysisOfVariance } from '../../src/statistics/means/analysisOfVariance.js'
import { summariseColumn } from '../../src/statistics/means/summary.js'
import { refusal } from './regression/closeTo.js'

describe('summary of a column', () => {
  it('gives the quartiles of the continuous definition', () => {
    // Hyndman and Fan (1996), definition 7, by hand: 1 + 0.25 · 3 steps of 1, 2, 4, 8.
    const summary = summariseColumn([8, 1, 4, 2])
    expect([summary.minimum, summary.lowerQuartile, summary.median]).toEqual([1, 1.75, 3])
    expect([summary.upperQuartile, summary.maximum, summary.mean]).toEqual([5, 8, 3.75])
  })

  it('keeps a small spread about a large mean', () => {
    // A third and two thirds of a seventh about a thousand million: exact value from the thirds themselves.
    const values = Array.from({ length: 99_999 }, (_, row) => 1e9 + (row % 3) / 8)
    expect(summariseColumn(values).standardDeviation).toBeCloseTo(
      Math.sqrt((2 / 3 / 64) * (99_999 / 99_998)),
      14,
    )
  })

  it('says what too few values cannot give', () => {
    const none = summariseColumn([])
    expect(none.mean).toEqual({ state: 'not-estimable', reason: 'no-values' })
    const one = summariseColumn([3])
    expect([one.mean, one.median]).toEqual([3, 3])
    expect(one.standardDeviation).toMatchObject({ reason: 'spread-needs-two' })
    expect(summariseColumn([2, 2]).autocorrelation).toMatchObject({ reason: 'values-do-not-vary' })
    expect(refusal(() => summariseColumn([1, Number.NaN])).code).toBe('not-finite')
  })

  it('leaves its input as it was', () => {
    const values = [3, 1, 2]
    summariseColumn(values)
    expect(values).toEqual([3, 1, 2])
  })
})

describe('one-way analysis of variance', () => {
  it('splits the squares of a hand-worked table', () => {
    // Groups 1 2 3, 3 4 5, 8 9 10: means 2, 4, 9; between 3(9 + 1 + 16) = 78, within 6; F = 39 / 1.
    const split = oneWayAnalysisOfVariance([1, 2, 3, 3, 4, 5, 8, 9, 10], [...'aaabbbccc'])
    expect([split.betweenSumOfSquares, split.withinSumOfSquares, split.fStatistic]).toEqual([78, 6, 39])
  })

  it('says what cannot be had, and refuses one group', () => {
    expect(oneWayAnalysisOfVariance([1, 2], ['a', 'b']).fStatistic).toMatchObject({
      reason: 'no-group-repeats',
    })
    expect(oneWayAnalysisOfVariance([1, 1, 2, 2], ['a', 'a', 'b', 'b']).fStatistic).toEqual({
      state: 'unbounded',
      direction: 'above',
    })
    expect(refusal(() => oneWayAnalysisOfVariance([1, 2], ['a', 'a'])).message).toBe(
      'all rows belong to one group. Expected: at least two groups to compare. Mend: check the column of groups.',
    )
  })
})
