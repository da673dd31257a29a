import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { inWords } from '../../src/messages/speaker.js'
import {
  innermostIntervals,
  orderIntervals,
} from '../../src/statistics/intervalCensored/innermostIntervals.js'
import {
  intervalCensoredSurvival,
  survivalBounds,
} from '../../src/statistics/intervalCensored/intervalCensored.js'
import { checkIntervals } from '../../src/statistics/intervalCensored/intervalTimes.js'

const never = Number.POSITIVE_INFINITY

describe('the interval-censored estimate by hand', () => {
  it('is the product-limit estimate where times are known or right censored', () => {
    // 6, 6, 6, 6+, 7 of Freireich's treated arm (1963): S(6) = 2/5, then 1 event of 1 at 7.
    const fit = intervalCensoredSurvival({ lower: [6, 6, 6, 6, 7], upper: [6, 6, 6, never, 7] })
    expect(fit.intervals.map((one) => [one.lower, one.upper])).toEqual([
      [6, 6],
      [7, 7],
    ])
    expect(fit.intervals[0]!.survivalAfter).toBeCloseTo(0.4, 12)
  })

  it('is the share where all are seen at one visit', () => {
    const fit = intervalCensoredSurvival({ lower: [0, 0, 0, 2], upper: [2, 2, 2, never] })
    expect(fit.intervals.map((one) => one.mass)).toEqual([0.75, 0.25])
    expect(fit.intervals[1]!.upper).toEqual({ state: 'unbounded', direction: 'above' })
    expect(fit.logLikelihood).toBeCloseTo(3 * Math.log(0.75) + Math.log(0.25), 12)
  })

  it('knows a time at the end of an interval as inside it, and at its open start as outside', () => {
    const ends = innermostIntervals(orderIntervals(checkIntervals({ lower: [1, 2], upper: [2, 2] })))
    expect([[...ends.left], [...ends.right]]).toEqual([[2], [2]])
    const starts = innermostIntervals(orderIntervals(checkIntervals({ lower: [2, 2], upper: [3, 2] })))
    expect([[...starts.left], [...starts.right]]).toEqual([
      [2, 2],
      [2, 3],
    ])
  })

  it('gives bounds inside an interval of mass', () => {
    const fit = intervalCensoredSurvival({ lower: [0, 0, 0, 2], upper: [2, 2, 2, never] })
    expect(survivalBounds(fit, 0)).toEqual({ time: 0, lower: 1, upper: 1 })
    expect(survivalBounds(fit, 1)).toEqual({ time: 1, lower: 0.25, upper: 1 })
    expect(survivalBounds(fit, 2)).toEqual({ time: 2, lower: 0.25, upper: 0.25 })
    expect(survivalBounds(fit, 3).upper).toBe(0.25)
  })

  it('says that nobody is known to have had the event', () => {
    const fit = intervalCensoredSurvival({ lower: [1, 2], upper: [never, never] })
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'No row is known to have had the event: nothing can be estimated.',
    ])
    expect(fit.intervals).toEqual([
      { lower: 2, upper: { state: 'unbounded', direction: 'above' }, mass: 1, survivalAfter: 0 },
    ])
  })

  it('refuses what it cannot read', () => {
    expect(() => intervalCensoredSurvival({ lower: [1, Number.NaN], upper: [2, 3] })).toThrow('column lower')
    expect(() => intervalCensoredSurvival({ lower: [1], upper: [Number.NaN] })).toThrow('column upper')
    expect(() => intervalCensoredSurvival({ lower: [], upper: [] })).toThrow('no row')
    expect(() => intervalCensoredSurvival({ lower: [2], upper: [1] })).toThrow(
      'upper lies before lower, first in row 1 of 1. Expected: lower ≤ upper in every row, Infinity where the event had not happened. Mend: correct the rows, or swap the columns.',
    )
  })
})

describe('the interval-censored estimate in general', () => {
  const interval = fc
    .tuple(
      fc.integer({ min: 0, max: 12 }),
      fc.constantFrom(0, 1, 2, 5, never),
      fc.integer({ min: 1, max: 4 }),
    )
    .map(([lower, width, weight]) => ({ lower, upper: lower + width, weight }))
  const samples = fc.array(interval, { minLength: 2, maxLength: 40 })
  const columns = (
    rows: readonly { lower: number; upper: number }[],
  ): { lower: number[]; upper: number[] } => ({
    lower: rows.map((one) => one.lower),
    upper: rows.map((one) => one.upper),
  })

  it('meets the conditions of the maximum, and adds up to 1', () => {
    fc.assert(
      fc.property(samples, (rows) => {
        const fit = intervalCensoredSurvival(columns(rows))
        expect(fit.converged).toBe(true)
        expect(fit.intervals.reduce((sum, one) => sum + one.mass, 0)).toBeCloseTo(1, 7)
        // No other distribution on the same intervals has a higher likelihood: the directional derivative towards a
        // point mass is Σ 1/P − n, at most 0.
        const covered = rows.map((row) =>
          fit.intervals.reduce((sum, one) => {
            const end = typeof one.upper === 'number' ? one.upper : never
            const inside =
              one.lower === end ? row.lower < end || row.lower === row.upper : row.lower <= one.lower
            return inside && end <= row.upper && one.lower >= row.lower ? sum + one.mass : sum
          }, 0),
        )
        expect(covered.reduce((sum, one) => sum + Math.log(one), 0)).toBeCloseTo(fit.logLikelihood, 6)
        expect(fit.excess).toBeLessThan(1e-8)
      }),
      { numRuns: 200, seed: 5 },
    )
  })

  it('takes a weight for so many rows, in any order', () => {
    fc.assert(
      fc.property(samples, (rows) => {
        const weighted = intervalCensoredSurvival(columns(rows), { weights: rows.map((one) => one.weight) })
        const written = intervalCensoredSurvival(
          columns(rows.flatMap((one) => Array.from({ length: one.weight }, () => one)).reverse()),
        )
        expect(weighted.logLikelihood).toBeCloseTo(written.logLikelihood, 7)
        expect(weighted.events).toBe(rows.filter((one) => one.upper < never).length)
      }),
      { numRuns: 60, seed: 6 },
    )
  })
})

describe('intervals that cannot be', () => {
  it('are named by their row, whatever rows without weight stand before them', () => {
    expect(() => checkIntervals({ lower: [1, 5, 2], upper: [2, 4, never] }, [0, 1, 1])).toThrow(
      'upper lies before lower, first in row 2 of 3.',
    )
    expect(() => checkIntervals({ lower: [1, 2], upper: [2, Number.NaN] })).toThrow(/upper/)
    expect(() => checkIntervals({ lower: [1, 2], upper: [2, 3] }, [0, 0])).toThrow(
      'there is no row with positive weight.',
    )
    expect(() => checkIntervals({ lower: [1, 2], upper: [2, 3] }, [1, -1])).toThrow(/weights/)
    expect(() => checkIntervals({ lower: [1, 2], upper: [2] })).toThrow()
    const counted = checkIntervals({ lower: [1, 2, 3], upper: [2, 3, never] }, [1, 0, 2])
    expect(counted).toMatchObject({ rows: 3, n: 2, events: 1 })
  })
})
