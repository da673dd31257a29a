import { describe, expect, it } from 'vitest'
import { driftOfReadings } from '../../src/statistics/monitoring/driftOfReadings.js'
import {
  cumulativeScores,
  limitOfChart,
  observedOverExpected,
  stepsToSee,
} from '../../src/statistics/monitoring/nowAgainstBefore.js'

const steady = {
  expected: Array.from({ length: 156 }, () => 0.2),
  observed: Array.from({ length: 156 }, () => 0),
  baselineEvents: 1e9,
  dispersion: 1,
}

describe('now against before', () => {
  it('adds log 2 for every event less what was expected, and never falls below nought: by hand', () => {
    const found = cumulativeScores({
      expected: [0.2, 0.2, 0.5],
      observed: [0, 2, 0],
      baselineEvents: 1,
      dispersion: 1,
    })
    expect(found[0]).toBe(0)
    expect(found[1]).toBeCloseTo(2 * Math.log(2) - 0.2, 12)
    expect(found[2]).toBeCloseTo(2 * Math.log(2) - 0.7, 12)
  })

  it('has the limits that R simulates', () => {
    // R 4.2, 40,000 courses of 156 steps of mean 0.2 (rpois, cumulative sum by hand): 90 % quantile of the highest 4.0246.
    expect(Math.abs(limitOfChart(steady, { steps: 156, seed: 3 }) - 4.0246)).toBeLessThan(0.2)
    // The same with the rate drawn from a baseline of 20 events (rgamma(1, 20.5) / 20), 20,000 courses: 5.1178.
    const few = limitOfChart({ ...steady, baselineEvents: 20 }, { steps: 156, seed: 3 })
    expect(Math.abs(few - 5.1178)).toBeLessThan(0.3)
    expect(limitOfChart({ ...steady, dispersion: 2 }, { steps: 156, seed: 3 })).toBeGreaterThan(few)
  })

  it('sees a doubled stream when R does', () => {
    // R 4.2, 20,000 courses of mean 0.4 where 0.2 is expected, limit 3: median 26 steps.
    const { median } = stepsToSee(steady, 3, 0.2, () => 1, { most: 600, seed: 5, courses: 4000 })
    expect(Math.abs(median! - 26)).toBeLessThanOrEqual(1)
  })

  it('gives the exact limits of a count where the baseline is known: poisson.test of R', () => {
    // R 4.2: poisson.test(5, 10): 0.162348639 to 1.166833208; poisson.test(0, 10): up to 0.368887945.
    const known = { baselineEvents: 1e12, dispersion: 1 }
    const five = observedOverExpected(5, 10, known, 0.95)
    expect(five.estimate).toBe(0.5)
    expect(five.lower).toBeCloseTo(0.162348639, 6)
    expect(five.upper).toBeCloseTo(1.166833208, 6)
    const none = observedOverExpected(0, 10, known, 0.95)
    expect(none.lower).toBe(0)
    expect(none.upper).toBeCloseTo(0.368887945, 6)
    const unsure = observedOverExpected(5, 10, { baselineEvents: 10, dispersion: 1 }, 0.95)
    expect(unsure.lower).toBeLessThan(five.lower)
    expect(unsure.upper).toBeGreaterThan(five.upper)
  })
})

describe('drift of readings', () => {
  it('is the slope of the means of quarters within periods: lm of R', () => {
    // R 4.2: lm(mean ~ factor(period) + day, weights = n) of these eight means: slope 0.0000559825067935, P 0.00230166098193.
    const quarters = [
      [40, 0.001, 10, 1],
      [132, 0.004, 12, 1],
      [224, 0.013, 9, 1],
      [316, 0.012, 11, 1],
      [408, 0.002, 10, 2],
      [500, 0.006, 8, 2],
      [592, 0.017, 12, 2],
      [684, 0.019, 10, 2],
    ] as const
    const rows = quarters.flatMap(([day, mean, n, period]) =>
      Array.from({ length: n }, () => ({ day, mean, period })),
    )
    const found = driftOfReadings(
      {
        day: rows.map((one) => one.day),
        deviation: rows.map((one) => one.mean),
        calibration: rows.map((one) => (one.period === 1 ? 0 : 360)),
      },
      { significance: 0.05 },
    )
    expect(found.quarters).toHaveLength(8)
    expect(found.slopePerYear! / 365.25).toBeCloseTo(0.0000559825067935, 13)
    expect(found.pValue).toBeCloseTo(0.00230166098193, 9)
    expect(found.degreesOfFreedom).toBe(5)
    expect(found.change).toBeCloseTo(0.0000559825067935 * 644, 10)
    expect(found.verdict).toBe('drifting')
  })

  it('says too few of two quarters, and drifting of a line without scatter', () => {
    const line = (days: readonly number[]) => ({
      day: days.flatMap((day) => [day, day, day]),
      deviation: days.flatMap((day) => [day, day, day].map((one) => (0.02 * one) / 365.25)),
      calibration: days.flatMap(() => [Number.NaN, Number.NaN, Number.NaN]),
    })
    expect(driftOfReadings(line([0, 100])).verdict).toBe('too-few')
    const found = driftOfReadings(line(Array.from({ length: 24 }, (_one, i) => 91.3125 * i + 1)))
    expect(found.verdict).toBe('drifting')
    // 6 % of a line of 2 % a year: three years.
    expect(Math.abs(found.beyondDay! - 3 * 365.25)).toBeLessThan(40)
    expect(driftOfReadings({ day: [], deviation: [], calibration: [] }).verdict).toBe('too-few')
  })
})
