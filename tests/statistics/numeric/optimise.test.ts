import { describe, expect, it } from 'vitest'
import { codesOf } from '../../../src/statistics/kernel/codes.js'
import {
  type LikelihoodPoint,
  newtonMaximum,
  quasiNewtonMaximum,
} from '../../../src/statistics/numeric/optimise.js'
import { profileLimit } from '../../../src/statistics/numeric/profileLimit.js'

/** Log-likelihood of a Poisson mean e^b with 7 events in one unit of time: largest at b = ln 7. */
const poisson = ([b]: Float64Array): LikelihoodPoint => ({
  value: 7 * b! - Math.exp(b!),
  gradient: Float64Array.of(7 - Math.exp(b!)),
  information: Float64Array.of(Math.exp(b!)),
})

describe('maximisation', () => {
  it('finds the maximum of a concave function to rounding', () => {
    const found = newtonMaximum(poisson, [0])
    expect(found.at[0]).toBeCloseTo(Math.log(7), 12)
    expect(found.converged).toBe(true)
  })

  it('halves steps that overshoot', () => {
    expect(newtonMaximum(poisson, [-6]).at[0]).toBeCloseTo(Math.log(7), 10)
  })

  it('says that a function which rises without end has no maximum, by its last step', () => {
    const rising = ([b]: Float64Array): LikelihoodPoint => {
      const p = 1 / (1 + Math.exp(b!))
      return {
        value: Math.log1p(-p),
        gradient: Float64Array.of(p),
        information: Float64Array.of(p * (1 - p)),
      }
    }
    expect(Math.abs(newtonMaximum(rising, [0]).step[0]!)).toBeGreaterThan(0.5)
  })

  it('leaves a parameter without information where it was', () => {
    const flat = ([b, c]: Float64Array): LikelihoodPoint => ({
      value: -((b! - 2) ** 2) / 2 + 0 * c!,
      gradient: Float64Array.of(2 - b!, 0),
      information: Float64Array.of(1, 0, 0, 0),
    })
    expect([...newtonMaximum(flat, [0, 5]).at]).toEqual([2, 5])
  })

  it('needs no exact curvature with the quasi-Newton method', () => {
    const rough = (at: Float64Array): LikelihoodPoint => ({ ...poisson(at), information: Float64Array.of(1) })
    const found = quasiNewtonMaximum(rough, [0])
    expect(found.at[0]).toBeCloseTo(Math.log(7), 10)
    expect(found.converged).toBe(true)
  })
})

describe('profile limits', () => {
  const search = {
    profile: (b: number) => ({ value: poisson(Float64Array.of(b)).value, slope: 7 - Math.exp(b) }),
    at: Math.log(7),
    maximum: 7 * Math.log(7) - 7,
    distance: 0.5,
    root: 1.959963984540054,
    farthest: 50,
  }

  it('solve the likelihood ratio on both sides', () => {
    for (const direction of ['above', 'below'] as const) {
      const limit = profileLimit({ ...search, direction }) as number
      expect(2 * (search.maximum - search.profile(limit).value)).toBeCloseTo(3.841458820694124, 10)
      expect(Math.sign(limit - search.at)).toBe(direction === 'above' ? 1 : -1)
    }
  })

  it('are unbounded where the likelihood never falls so far', () => {
    const flat = {
      ...search,
      profile: () => ({ value: search.maximum - 0.1, slope: 0 }),
      direction: 'above' as const,
    }
    expect(profileLimit(flat)).toEqual({ state: 'unbounded', direction: 'above' })
  })
})

describe('labels', () => {
  it('are numbered in ascending order, numbers by size and texts by code', () => {
    expect([...codesOf('labels', [10, 2, 10, -3]).codes]).toEqual([2, 1, 2, 0])
    expect(codesOf('labels', [1e9, 2.5, 1e9]).levels).toEqual([2.5, 1e9])
    expect(codesOf('labels', ['b', 'a', 'b'])).toEqual({
      codes: Int32Array.of(1, 0, 1),
      count: 2,
      levels: ['a', 'b'],
      labels: ['a', 'b'],
    })
  })

  it('are refused where one is missing', () => {
    expect(() => codesOf('operator', ['a', ''])).toThrow(
      'column operator has no usable entry, first in row 2 of 2. Expected: a text or a finite number in every row, all of one kind. Mend: leave out rows without operator, or give them a label of their own.',
    )
    expect(() => codesOf('labels', [1, Number.NaN])).toThrow('column labels has no usable entry')
  })
})
