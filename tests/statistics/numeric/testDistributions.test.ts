import { describe, expect, it } from 'vitest'
import { studentTUpperTail } from '../../../src/statistics/numeric/distributions.js'
import {
  logTails,
  meanEvents,
  minimumLikelihoodP,
} from '../../../src/statistics/numeric/noncentralHypergeometric.js'
import { noncentralTCdf, noncentralTUpperTail } from '../../../src/statistics/numeric/noncentralT.js'
import { drawnSumP, signedSumP } from '../../../src/statistics/numeric/permutationTails.js'
import {
  studentisedRangeUpperQuantile,
  studentisedRangeUpperTail,
} from '../../../src/statistics/numeric/studentisedRange.js'

function relative(found: number, expected: number): number {
  return Math.abs(found / expected - 1)
}

describe('studentised range', () => {
  // scipy 1.17.1 studentized_range.sf; the second and third again by mpmath quadrature with 25 digits. R 4.2 ptukey agrees
  // with these to 8 digits at moderate q, but is off in the second digit at (20, 3, 3) and (15, 50, 8).
  it.each([
    [20, 3, 3, 0.0015753096230057828],
    [10, 4, 36, 1.559392378701614e-7],
    [8, 4, 36, 0.00001157251706150846],
    [15, 50, 8, 0.0008379130757923958],
    [4, 3, 2.5, 0.15232170657771626],
    [5, 10, 5, 0.16665150236142667],
    [4.5, 4, 17.3, 0.025048450630237418],
    [3.5, 3, 20, 0.055891849081749934],
  ])('P(Q > %d), %d means, %d degrees of freedom', (q, groups, degreesOfFreedom, expected) => {
    expect(relative(studentisedRangeUpperTail(q, groups, degreesOfFreedom), expected)).toBeLessThan(2e-11)
  })

  it('agrees with R ptukey at 1e-8 where R is accurate, and with R qtukey', () => {
    expect(relative(studentisedRangeUpperTail(3.5, 4, 36), 0.0812158690962119)).toBeLessThan(1e-8)
    expect(relative(studentisedRangeUpperTail(0.5, 3, 10), 0.93386417215044)).toBeLessThan(1e-8)
    expect(relative(studentisedRangeUpperQuantile(0.05, 4, 36), 3.80879838143466)).toBeLessThan(1e-8)
  })

  it('prints the table of Pearson and Hartley (1966): 5% points for 20 degrees of freedom (memory)', () => {
    const points = [2, 3, 4, 5, 6].map((groups) => studentisedRangeUpperQuantile(0.05, groups, 20).toFixed(2))
    expect(points).toEqual(['2.95', '3.58', '3.96', '4.23', '4.45'])
  })

  it('of two means is Student’s t times √2', () => {
    for (const [q, df] of [
      [2.8, 1],
      [3.3, 1e5],
      [12, 7.5],
      [0.01, 4],
    ] as const) {
      const expected = 2 * studentTUpperTail(q / Math.SQRT2, df)
      expect(relative(studentisedRangeUpperTail(q, 2, df), expected)).toBeLessThan(1e-11)
    }
  })

  it('keeps its digits far out, and is 1 at 0', () => {
    const tail = studentisedRangeUpperTail(60, 3, 200)
    expect(tail).toBeGreaterThan(0)
    expect(tail).toBeLessThan(1e-90)
    expect(studentisedRangeUpperTail(0, 3, 20)).toBe(1)
    expect(studentisedRangeUpperTail(5, 20, Number.POSITIVE_INFINITY)).toBeCloseTo(0.0513646634542545, 8)
  })
})

describe('noncentral t', () => {
  // R 4.2 pt(t, df, ncp).
  it.each([
    [2, 10, 1, 0.807611562530311],
    [30, 20, 28, 0.623171423829504],
    [-1, 5, 2, 0.00231637565416343],
    [3, 3, 1, 0.877401025523547],
  ])('P(T ≤ %d), %d degrees of freedom, noncentrality %d', (t, df, noncentrality, expected) => {
    const lower = noncentralTCdf(t, df, noncentrality)
    expect(relative(lower, expected)).toBeLessThan(1e-9)
    expect(lower + noncentralTUpperTail(t, df, noncentrality)).toBeCloseTo(1, 12)
  })
})

describe('noncentral hypergeometric distribution', () => {
  const table = { n1: 12, n2: 9, total: 8 }

  function weights(logOddsRatio: number): number[] {
    const choose = (n: number, k: number): number => (k === 0 ? 1 : (choose(n - 1, k - 1) * n) / k)
    return Array.from({ length: 9 }, (_, k) => choose(12, k) * choose(9, 8 - k) * Math.exp(k * logOddsRatio))
  }

  it('agrees with the sums of its definition', () => {
    for (const log of [-6, -1, 0, 0.7, 8]) {
      const all = weights(log)
      const sum = all.reduce((a, b) => a + b)
      const mean = all.reduce((a, b, k) => a + (k * b) / sum, 0)
      expect(relative(meanEvents(table, log), mean)).toBeLessThan(1e-12)
      for (let x = 0; x <= 8; x++) {
        const tails = logTails(table, x, log)
        const fewer = all.slice(0, x).reduce((a, b) => a + b, 0) / sum
        const more = all.slice(x + 1).reduce((a, b) => a + b, 0) / sum
        expect(Math.exp(tails.fewer)).toBeCloseTo(fewer, 12)
        expect(Math.exp(tails.more)).toBeCloseTo(more, 12)
        expect(Math.exp(tails.exactly)).toBeCloseTo(all[x]! / sum, 12)
      }
    }
  })

  it('gives the log of a tail that no double holds', () => {
    // R 4.2: phyper(4999, 10000, 10000, 6000, lower = FALSE, log = TRUE)
    const { exactly, more } = logTails({ n1: 10000, n2: 10000, total: 6000 }, 5000, 0)
    const upper = exactly + Math.log1p(Math.exp(more - exactly))
    expect(relative(upper, -2038.927613600764)).toBeLessThan(1e-10)
  })

  it('two-sided P agrees with R fisher.test', () => {
    // R 4.2: fisher.test(matrix(c(3, 9, 5, 4), 2))$p.value and of the mode.
    expect(relative(minimumLikelihoodP(table, 3), 0.2030959752321982)).toBeLessThan(1e-10)
    expect(minimumLikelihoodP(table, 5)).toBe(1)
  })
})

describe('exact permutation tails', () => {
  it('lists what can be listed by hand', () => {
    // Ranks 1 to 4 drawn two at a time: sums 3, 4, 5, 5, 6, 7; those at least 2 from 5: 3 and 7.
    expect(drawnSumP([2, 4, 6, 8], 2, 6)).toBeCloseTo(2 / 6, 14)
    // Signs of 1, 2, 3: 0 and 6 lie farthest from 3.
    expect(signedSumP([2, 4, 6], 12)).toBeCloseTo(2 / 8, 14)
    // With midranks 1.5, 1.5, 3: sums 1.5, 1.5, 3.
    expect(drawnSumP([3, 3, 6], 1, 6)).toBeCloseTo(1 / 3, 14)
  })

  it('declines work without end', () => {
    const scores = Array.from({ length: 5000 }, (_, i) => 2 * i + 1)
    expect(drawnSumP(scores, 2500, 5)).toBeUndefined()
    expect(signedSumP(scores, 5)).toBeUndefined()
  })
})
