import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import { intervalPerformance } from '../../../src/verification/simulation/intervalPerformance.js'

const interval = (estimate: number, half: number) => ({
  estimate,
  standardError: half / 2,
  lower: estimate - half,
  upper: estimate + half,
})

describe('performance of intervals', () => {
  it('adds up replicates (worked by hand)', () => {
    const found = intervalPerformance(1, [
      interval(1, 0.5),
      interval(2, 0.5),
      interval(0, 0.5),
      interval(1.4, 0.5),
    ])
    expect(found.replicates).toBe(4)
    expect(found.meanEstimate).toBeCloseTo(1.1, 12)
    expect(found.bias).toBeCloseTo(0.1, 12)
    // Deviations −0.1, 0.9, −1.1, 0.3: squares add up to 2.12; divided by 3.
    expect(found.empiricalError).toBeCloseTo(Math.sqrt(2.12 / 3), 12)
    expect(found.biasError).toBeCloseTo(Math.sqrt(2.12 / 3) / 2, 12)
    expect(found.reportedError).toBeCloseTo(0.25, 12)
    expect(found.coverage.estimate).toBe(0.5)
    expect(found.coverageError).toBeCloseTo(0.25, 12)
    expect([found.above, found.below]).toEqual([0.25, 0.25])
  })

  it('counts an interval that ends at the truth as holding it', () => {
    const found = intervalPerformance(1, [{ estimate: 0.5, standardError: 0.25, lower: 0, upper: 1 }])
    expect(found.coverage.estimate).toBe(1)
  })

  it('finds the coverage of normal intervals that are right and of intervals that are half as wide', () => {
    const random = randomStream(31)
    const draws = Array.from({ length: 4000 }, () => random.normal())
    const right = intervalPerformance(
      0,
      draws.map((one) => interval(one, 1.959964)),
    )
    const narrow = intervalPerformance(
      0,
      draws.map((one) => interval(one, 1.959964 / 2)),
    )
    // Normal distribution: 95% and 67.3% (2Φ(0.98) − 1).
    expect(Math.abs(Number(right.coverage.estimate) - 0.95)).toBeLessThan(4 * right.coverageError)
    expect(Math.abs(Number(narrow.coverage.estimate) - 0.6729)).toBeLessThan(4 * narrow.coverageError)
  })
})
