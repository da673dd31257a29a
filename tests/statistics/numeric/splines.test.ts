import { describe, expect, it } from 'vitest'
import {
  restrictedCubicSpline,
  splineCovariates,
  splineKnots,
} from '../../../src/statistics/numeric/splines.js'

describe('restricted cubic splines', () => {
  const knots = [1, 3, 4, 8]

  it('agree with the formula by hand', () => {
    // Column 1 at x = 6: (5³ − 2³ · (8 − 1)/(8 − 4) + 0) / 7² = (125 − 14) / 49.
    expect(restrictedCubicSpline([6], knots)[1]![0]).toBeCloseTo((125 - 14) / 49, 12)
    // Column 2 at x = 6: (3³ − 2³ · (8 − 3)/(8 − 4)) / 49 = (27 − 10) / 49.
    expect(restrictedCubicSpline([6], knots)[2]![0]).toBeCloseTo((27 - 10) / 49, 12)
  })

  it('are straight beyond the outer knots and smooth at every knot', () => {
    for (const column of [1, 2]) {
      const at = (x: number): number => restrictedCubicSpline([x], knots)[column]![0]!
      expect(at(12) - at(11)).toBeCloseTo(at(10) - at(9), 10)
      expect(at(0)).toBe(0)
      const h = 1e-3
      for (const knot of knots) {
        const second = (x: number): number => (at(x + h) - 2 * at(x) + at(x - h)) / h ** 2
        expect(Math.abs(second(knot + 2 * h) - second(knot - 2 * h))).toBeLessThan(0.05)
      }
    }
  })

  it('stand at quantiles, and refuse what is too little', () => {
    expect(splineKnots([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 5)).toEqual([0.5, 2.75, 5, 7.25, 9.5])
    expect(() => splineKnots([1, 1, 1, 1, 2], 4)).toThrow(
      'the values are too few, or too often the same, for 4 knots. Expected: values that differ at the quantiles where knots stand. Mend: use fewer knots, or a straight line.',
    )
    expect(() => restrictedCubicSpline([1], [1, 2])).toThrow(
      'a spline cannot be made of these knots. Expected: at least 3 knots in ascending order. Mend: let splineKnots choose them, or give them in ascending order.',
    )
    expect(() => restrictedCubicSpline([Number.NaN], [1, 2, 3])).toThrow('missing')
  })

  it('name their columns for a regression', () => {
    expect(Object.keys(splineCovariates('wait', [1, 2], knots))).toEqual([
      'wait',
      'wait curve 1',
      'wait curve 2',
    ])
  })
})
