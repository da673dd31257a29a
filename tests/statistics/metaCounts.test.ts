import { describe, expect, it } from 'vitest'
import {
  mantelHaenszelMetaAnalysis,
  metaAnalysisOfProportions,
  metaAnalysisOfRates,
  petoMetaAnalysis,
  proportionEffects,
  rateEffects,
} from '../../src/statistics/meta/index.js'

describe('pooling rare events', () => {
  const counts = { events1: [1, 0, 0], total1: [10, 20, 30], events2: [3, 2, 0], total2: [10, 20, 30] }

  it('agrees with a case worked by hand', () => {
    // One study, 1/10 against 3/10: log OR = log(7/27); RD = −0.2.
    const one = { events1: [1], total1: [10], events2: [3], total2: [10] }
    expect(mantelHaenszelMetaAnalysis(one).estimate).toBeCloseTo(Math.log(7 / 27), 14)
    expect(mantelHaenszelMetaAnalysis(one).standardError?.value).toBeCloseTo(
      Math.sqrt(1 + 1 / 9 + 1 / 3 + 1 / 7),
      14,
    )
    expect(mantelHaenszelMetaAnalysis(one, { measure: 'risk-difference' }).estimate).toBeCloseTo(-0.2, 14)
    // O − E = 1 − 2; V = 4·16·10·10 / (20²·19).
    expect(petoMetaAnalysis(one).pooled.estimate).toBeCloseTo(-1 / ((4 * 16 * 100) / (400 * 19)), 13)
  })

  it('passes over studies without events for ratios and counts them in a difference', () => {
    const ratio = mantelHaenszelMetaAnalysis(counts, { measure: 'log-risk-ratio' })
    expect(ratio.warnings.map(({ code }) => code)).toEqual(['silent-studies'])
    const two = { events1: [1, 0], total1: [10, 20], events2: [3, 2], total2: [10, 20] }
    expect(ratio.estimate).toBeCloseTo(
      mantelHaenszelMetaAnalysis(two, { measure: 'log-risk-ratio' }).estimate as number,
      14,
    )
    const difference = mantelHaenszelMetaAnalysis(counts, { measure: 'risk-difference' })
    expect(difference.warnings).toEqual([])
    // Σ (a·n2 − c·n1)/n over Σ n1·n2/n: (1 − 3)/2 + (0 − 2)/2 over 5 + 10 + 15.
    expect(difference.estimate).toBeCloseTo(-2 / 30, 14)
  })

  it('is not estimable where one group has no events at all, or nobody has', () => {
    const oneSided = { events1: [0, 0], total1: [10, 20], events2: [3, 2], total2: [10, 20] }
    expect(mantelHaenszelMetaAnalysis(oneSided).estimate).toMatchObject({ state: 'not-estimable' })
    expect(mantelHaenszelMetaAnalysis(oneSided, { measure: 'log-risk-ratio' }).interval.upper).toMatchObject({
      reason: 'group-without-event-in-studies',
    })
    expect(typeof petoMetaAnalysis(oneSided).pooled.estimate).toBe('number')
    const none = { events1: [0, 0], total1: [10, 20], events2: [0, 0], total2: [10, 20] }
    expect(petoMetaAnalysis(none).pooled.estimate).toMatchObject({ state: 'not-estimable' })
    expect(petoMetaAnalysis(none).q).toMatchObject({ state: 'not-estimable' })
    expect(mantelHaenszelMetaAnalysis(none, { measure: 'risk-difference' }).estimate).toMatchObject({
      reason: 'no-study-with-both-outcomes',
    })
  })

  it('refuses more events than units', () => {
    expect(() => mantelHaenszelMetaAnalysis({ ...counts, events1: [11, 0, 0] })).toThrow(
      'column events1 exceeds its total, first in study 1 of 3. Expected: events counted once per unit. Mend: count units with the event, or pool rates instead.',
    )
  })

  it('warns of Peto’s bias where groups are unequal', () => {
    const unequal = { events1: [1], total1: [10], events2: [3], total2: [90] }
    expect(petoMetaAnalysis(unequal).pooled.warnings.map(({ code }) => code)).toEqual(['unequal-groups'])
  })
})

describe('pooling proportions and rates', () => {
  it('reads a single double arcsine back to its own proportion', () => {
    const { pooled } = metaAnalysisOfProportions([7], [40], { method: 'double-arcsine' })
    expect(pooled.estimate).toBeCloseTo(7 / 40, 12)
    const rate = metaAnalysisOfRates([7], [40], { method: 'double-square-root' })
    expect(rate.pooled.estimate).toBeCloseTo(7 / 40, 12)
  })

  it('finds no spread between equal studies, and the binomial standard error', () => {
    const fit = metaAnalysisOfProportions([5, 5, 5, 5], [50, 50, 50, 50])
    expect(fit.tauSquared).toBe(0)
    expect(fit.pooled.estimate).toBeCloseTo(0.1, 9)
    expect(fit.onScale?.standardError?.value).toBeCloseTo(Math.sqrt(1 / (200 * 0.09)), 7)
    const rate = metaAnalysisOfRates([5, 5, 5], [50, 50, 50])
    expect(rate.tauSquared).toBe(0)
    expect(rate.onScale?.standardError?.value).toBeCloseTo(Math.sqrt(1 / 15), 7)
  })

  it("refers to Student's t with one degree of freedom fewer than studies, or to the normal distribution", () => {
    const [events, years] = [
      [9, 8, 3],
      [413, 263, 487],
    ]
    const reach = (interval: 'normal' | undefined): number => {
      const { onScale } = metaAnalysisOfRates(events!, years!, interval === undefined ? {} : { interval })
      const { estimate, interval: limits, standardError } = onScale!
      return ((limits.upper as number) - (estimate as number)) / standardError!.value
    }
    // Quantiles of t with 2 degrees of freedom and of the normal distribution, from any table.
    expect(reach(undefined)).toBeCloseTo(4.302653, 5)
    expect(reach('normal')).toBeCloseTo(1.959964, 5)
  })

  it('does not depend on the number of quadrature points once there are enough', () => {
    // lme4 1.1.31 with 15 points and a tight tolerance on the Pritz (1997) studies: 1.376594, 0.288380, 0.589310.
    const x = [16, 10, 4, 43, 10, 25, 13, 12, 22, 4, 5, 18, 58, 6]
    const n = [17, 12, 8, 58, 10, 42, 14, 12, 41, 5, 6, 23, 68, 10]
    const fine = metaAnalysisOfProportions(x, n, { quadraturePoints: 41 })
    const coarse = metaAnalysisOfProportions(x, n)
    expect(coarse.tauSquared).toBeCloseTo(fine.tauSquared as number, 7)
    expect(coarse.onScale?.estimate).toBeCloseTo(1.376594, 5)
    expect(coarse.onScale?.standardError?.value).toBeCloseTo(0.28838, 5)
    expect(coarse.tauSquared).toBeCloseTo(0.58931, 5)
    // Laplace's formula itself, from lme4 with tolPwrss = 1e-13, its deviance minimised by optim.
    const laplace = metaAnalysisOfProportions(x, n, { quadraturePoints: 1 })
    expect(laplace.tauSquared).toBeCloseTo(0.573804, 5)
    expect(laplace.onScale?.standardError?.value).toBeCloseTo(0.286243, 5)
  })

  it('gives exact limits where nobody or everybody had the event', () => {
    const none = metaAnalysisOfProportions([0, 0], [30, 10])
    expect(none.pooled.estimate).toBe(0)
    expect(none.pooled.interval.upper).toBeCloseTo(1 - 0.025 ** (1 / 40), 12)
    expect(none.pooled.warnings[0]?.code).toBe('no-study-with-event')
    expect(none.tauSquared).toMatchObject({ state: 'not-estimable' })
    const all = metaAnalysisOfProportions([30, 10], [30, 10])
    expect(all.pooled.interval).toEqual({ lower: expect.closeTo(0.025 ** (1 / 40), 12), upper: 1 })
    const rate = metaAnalysisOfRates([0, 0], [300, 100])
    expect(rate.pooled.interval.upper).toBeCloseTo(-Math.log(0.025) / 400, 12)
  })

  it('does not pool studies that are all or nothing', () => {
    const fit = metaAnalysisOfProportions([1, 0], [1, 4])
    expect(fit.pooled.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.pooled.warnings[0]?.code).toBe('all-or-nothing')
    expect(fit.converged).toBe(false)
  })

  it('adds a half only to studies without events or with nothing else', () => {
    expect(proportionEffects([0, 5], [10, 10]).effects).toEqual([
      expect.closeTo(Math.log(0.5 / 10.5), 14),
      expect.closeTo(0, 14),
    ])
    expect(rateEffects([0, 5], [10, 10]).variances).toEqual([2, 0.2])
  })

  it('refuses an empty study', () => {
    expect(() => metaAnalysisOfProportions([0], [0])).toThrow(
      'column totals is 0, first in study 1 of 1. Expected: something at risk in every study. Mend: leave out studies with nothing at risk.',
    )
  })
})
