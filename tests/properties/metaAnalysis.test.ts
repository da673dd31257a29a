import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { metaAnalysis, metaAnalysisOfProportions } from '../../src/statistics/meta/index.js'

const study = fc.record({
  effect: fc.double({ min: -3, max: 3, noNaN: true }),
  variance: fc.double({ min: 0.001, max: 5, noNaN: true }),
})
const studies = fc.array(study, { minLength: 2, maxLength: 15 })
const estimators = [
  'restricted-likelihood',
  'likelihood',
  'dersimonian-laird',
  'paule-mandel',
  'hedges',
  'sidik-jonkman',
  'hunter-schmidt',
] as const

function pool(rows: readonly { effect: number; variance: number }[], estimator: (typeof estimators)[number]) {
  return metaAnalysis(
    rows.map((row) => row.effect),
    rows.map((row) => row.variance),
    { estimator },
  )
}

describe('properties of meta-analysis', () => {
  it('does not depend on the order of the studies', () => {
    fc.assert(
      fc.property(studies, fc.constantFrom(...estimators), (rows, estimator) => {
        const forth = pool(rows, estimator)
        const back = pool([...rows].reverse(), estimator)
        expect(back.random.estimate).toBeCloseTo(forth.random.estimate as number, 7)
        expect(back.common.estimate).toBeCloseTo(forth.common.estimate as number, 10)
      }),
      { seed: 11, numRuns: 60 },
    )
  })

  it('moves and stretches with the effects', () => {
    fc.assert(
      fc.property(studies, fc.constantFrom(...estimators), (rows, estimator) => {
        const plain = pool(rows, estimator)
        const moved = pool(
          rows.map(({ effect, variance }) => ({ effect: 2 * effect + 1, variance: 4 * variance })),
          estimator,
        )
        expect(moved.random.estimate).toBeCloseTo(2 * (plain.random.estimate as number) + 1, 7)
        const tau = plain.heterogeneity.tauSquared as number
        expect(Math.abs((moved.heterogeneity.tauSquared as number) - 4 * tau)).toBeLessThan(1e-6 * (1 + tau))
      }),
      { seed: 12, numRuns: 60 },
    )
  })

  it('keeps the common effect inside the range of the studies, and the default interval no narrower than its own', () => {
    fc.assert(
      fc.property(studies, (rows) => {
        const { common, random } = pool(rows, 'restricted-likelihood')
        const effects = rows.map((row) => row.effect)
        expect(common.estimate).toBeGreaterThanOrEqual(Math.min(...effects) - 1e-9)
        expect(common.estimate).toBeLessThanOrEqual(Math.max(...effects) + 1e-9)
        const width = (of: typeof common): number =>
          (of.interval.upper as number) - (of.interval.lower as number)
        expect(width(random)).toBeGreaterThanOrEqual(width(common) * (1 - 1e-12))
      }),
      { seed: 13, numRuns: 60 },
    )
  })

  it('mirrors proportions: events and non-events change places', () => {
    const counts = fc.array(
      fc.tuple(fc.integer({ min: 1, max: 60 }), fc.double({ min: 0, max: 1, noNaN: true })),
      { minLength: 2, maxLength: 8 },
    )
    fc.assert(
      fc.property(counts, (rows) => {
        const totals = rows.map(([n]) => n)
        const events = rows.map(([n, share]) => Math.round(n * share))
        fc.pre(events.some((x, i) => x > 0 && x < (totals[i] ?? 0)))
        const forth = metaAnalysisOfProportions(events, totals)
        const back = metaAnalysisOfProportions(
          events.map((x, i) => (totals[i] ?? 0) - x),
          totals,
        )
        expect(back.pooled.estimate).toBeCloseTo(1 - (forth.pooled.estimate as number), 5)
      }),
      { seed: 14, numRuns: 40 },
    )
  })
})
