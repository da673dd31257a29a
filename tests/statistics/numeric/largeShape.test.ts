import { describe, expect, it } from 'vitest'
import * as d from '../../../src/statistics/numeric/distributions.js'

// Reference: R 4.2 (pgamma, pbeta, ppois, pbinom, pt, pf), printed to 17 digits.
const cases: readonly (readonly [name: string, computed: () => number, expected: number])[] = [
  [
    'gamma upper tail, shape 1000',
    () => d.gammaUpperTail(1000 + Math.sqrt(1000) / 2, 1000),
    0.30575606718155218,
  ],
  ['gamma upper tail, shape 1e6', () => d.gammaUpperTail(1e6 + 2e3, 1e6), 0.022804095898769867],
  ['gamma lower tail, shape 1e7', () => d.gammaCdf(1e7 - 3e3, 1e7), 0.17139353340097205],
  ['log gamma upper tail, shape 1000', () => d.gammaLogUpperTail(2000, 1000), -311.22771100999904],
  ['beta upper tail, 3 and 1e7', () => d.betaUpperTail(9.928e-7, 3, 9999998), 0.0029376217971601387],
  ['beta lower tail, 5e6 and 5e6', () => d.betaCdf(0.4995, 5e6, 5e6), 0.00078269921641982128],
  ['beta upper tail, 1 and 1e7', () => d.betaUpperTail(1.1e-6, 1, 1e7), 1.6701599745187427e-5],
  ['log beta upper tail', () => d.betaLogUpperTail(0.6, 500, 5000), -3167.1649365693356],
  ['Poisson upper tail, mean 5000', () => d.poissonUpperTail(5050, 5000), 0.23720140129099962],
  ['binomial upper tail, n 1e6', () => d.binomialUpperTail(100100, 1e6, 0.1), 0.3686637600866976],
  ['Student tail, 5e6 degrees of freedom', () => d.studentTCdf(-3, 5e6), 0.0013499046794114204],
  ['F tail, 30 and 1e6', () => d.fUpperTail(1.5, 30, 1e6), 0.038604921449823387],
]

describe('tails at large shapes agree with R', () => {
  it.each(cases)('%s', (_name, computed, expected) => {
    expect(Math.abs(computed() / expected - 1)).toBeLessThan(1e-11)
  })
})

describe('the two tails sum to one', () => {
  it.each([201, 999, 1e4, 1e6])('gamma of shape %d', (shape) => {
    for (const z of [-4, -1, -0.01, 0, 0.01, 1, 4]) {
      const x = shape + z * Math.sqrt(shape)
      expect(d.gammaCdf(x, shape) + d.gammaUpperTail(x, shape)).toBeCloseTo(1, 13)
    }
  })

  it('and the change of method leaves no step', () => {
    const below = d.gammaUpperTail(205, 200)
    const above = d.gammaUpperTail(205, 200 + 1e-9)
    expect(Math.abs(above / below - 1)).toBeLessThan(1e-9)
  })
})
