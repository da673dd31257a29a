import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { cumulativeIncidence } from '../../src/statistics/curves/competingRisks.js'
import {
  intervalCensoredSurvival,
  survivalBounds,
} from '../../src/statistics/intervalCensored/intervalCensored.js'
import {
  incidenceBounds,
  intervalCensoredIncidence,
} from '../../src/statistics/intervalCensored/intervalCensoredIncidence.js'

const never = Number.POSITIVE_INFINITY

describe('interval-censored incidence of competing causes', () => {
  it('is the share of each cause where all are seen at one visit', () => {
    const lower = [0, 0, 0, 0, 3, 3, 3, 3]
    const upper = [3, 3, 3, 3, never, never, never, never]
    const estimate = intervalCensoredIncidence({ lower, upper }, [1, 1, 1, 2, 0, 0, 0, 0])
    expect(incidenceBounds(estimate, 1, 3).lower).toBeCloseTo(3 / 8, 7)
    expect(incidenceBounds(estimate, 2, 3).upper).toBeCloseTo(1 / 8, 7)
    expect(incidenceBounds(estimate, 1, 1)).toMatchObject({ lower: 0 })
    expect(estimate.massBeyond).toBeCloseTo(0.5, 7)
  })

  it('is the Aalen–Johansen estimate where times are known or right censored', () => {
    const time = [1, 2, 2, 3, 4, 5, 6, 7, 8, 9]
    const cause = [1, 2, 0, 1, 0, 2, 1, 0, 1, 0]
    const upper = time.map((one, row) => (cause[row] === 0 ? never : one))
    const estimate = intervalCensoredIncidence({ lower: time, upper }, cause)
    const curve = cumulativeIncidence(time, cause)
    for (const at of [1, 3, 6, 8]) {
      for (const k of [1, 2]) {
        const { lower, upper: most } = incidenceBounds(estimate, k, at)
        const wanted = curve.causes[k - 1]!.rows.filter((row) => row.time <= at).at(-1)!.incidence
        expect(lower).toBeCloseTo(wanted, 6)
        expect(most).toBeCloseTo(wanted, 6)
      }
    }
  })

  const intervals = fc.array(
    fc.record({
      lower: fc.integer({ min: 0, max: 8 }),
      width: fc.integer({ min: 0, max: 4 }),
      open: fc.boolean(),
    }),
    { minLength: 3, maxLength: 25 },
  )

  it('with one cause has the likelihood of the estimate without competition, and its bounds hold that estimate', () => {
    fc.assert(
      fc.property(intervals, (rows) => {
        fc.pre(rows.some((one) => !one.open))
        const lower = rows.map((one) => one.lower)
        const upper = rows.map((one) => (one.open ? never : one.lower + one.width))
        const estimate = intervalCensoredIncidence(
          { lower, upper },
          rows.map((one) => (one.open ? 0 : 1)),
        )
        const single = intervalCensoredSurvival({ lower, upper })
        expect(estimate.logLikelihood).toBeCloseTo(single.logLikelihood, 4)
        if (!estimate.converged) return
        const at = 4
        const free = survivalBounds(single, at)
        const found = incidenceBounds(estimate, 1, at)
        expect(found.lower).toBeLessThanOrEqual(1 - free.lower + 1e-3)
        expect(found.upper).toBeGreaterThanOrEqual(1 - free.upper - 1e-3)
      }),
      { numRuns: 40, seed: 3 },
    )
  })

  it('adds up to 1, whatever the order of the rows, and takes a weight for so many rows', () => {
    const lower = [0, 1, 2, 2, 3, 0, 1, 4, 2, 3]
    const upper = [2, 3, never, 4, 5, 1, 4, never, 3, never]
    const cause = [1, 2, 0, 1, 2, 1, 1, 0, 2, 0]
    const whole = intervalCensoredIncidence({ lower, upper }, cause)
    const mass = whole.causes.flatMap((one) => one.intervals.map(({ mass: own }) => own))
    expect(mass.reduce((sum, one) => sum + one, whole.massBeyond)).toBeCloseTo(1, 6)
    const turned = intervalCensoredIncidence(
      { lower: [...lower].reverse(), upper: [...upper].reverse() },
      [...cause].reverse(),
    )
    expect(turned.logLikelihood).toBeCloseTo(whole.logLikelihood, 9)
    const weights = [2, 1, 1, 1, 1, 1, 1, 1, 1, 0]
    const weighted = intervalCensoredIncidence({ lower, upper }, cause, { weights })
    const written = [0, 0, 1, 2, 3, 4, 5, 6, 7, 8]
    const repeated = intervalCensoredIncidence(
      { lower: written.map((row) => lower[row]!), upper: written.map((row) => upper[row]!) },
      written.map((row) => cause[row]!),
    )
    expect(weighted.logLikelihood).toBeCloseTo(repeated.logLikelihood, 9)
  })

  it('has the maximum that R finds on a fine grid of times (EM on the whole matrix, and optim)', () => {
    const lower = [0, 1, 2, 2, 3, 0, 1, 4, 2, 3]
    const upper = [2, 3, never, 4, 5, 1, 4, never, 3, never]
    const estimate = intervalCensoredIncidence({ lower, upper }, [1, 2, 0, 1, 2, 1, 1, 0, 2, 0])
    expect(estimate.logLikelihood).toBeCloseTo(-11.9645000777, 7)
    expect(incidenceBounds(estimate, 1, 2).lower).toBeCloseTo(0.2, 6)
    expect(incidenceBounds(estimate, 2, 3).upper).toBeCloseTo(0.2285714, 6)
    expect(incidenceBounds(estimate, 1, 4).upper).toBeCloseTo(0.4857143, 6)
    expect(incidenceBounds(estimate, 2, 5).lower).toBeCloseTo(0.5142857, 6)
  })

  it('refuses a cause without an end, and a cause that it does not know', () => {
    expect(() => intervalCensoredIncidence({ lower: [0, 1], upper: [1, never] }, [1, 2])).toThrow(
      'column cause says an event where upper is Infinity, first in row 2 of 2. Expected: a cause above 0 exactly where upper is a time. Mend: give rows without an event the upper limit Infinity and the cause 0.',
    )
    const estimate = intervalCensoredIncidence({ lower: [0, 1], upper: [1, never] }, [1, 0])
    expect(() => incidenceBounds(estimate, 3, 1)).toThrow('the estimate has no cause 3. Expected: one of 1.')
  })
})
