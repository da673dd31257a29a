import { describe, expect, it } from 'vitest'
import type { Quantity } from '../../src/core/estimate.js'
import {
  leaveOneOut,
  metaAnalysis,
  metaRegression,
  smallStudyTest,
  studyInfluence,
} from '../../src/statistics/meta/index.js'
import { referenceTable } from './referenceTable.js'

const bcg = referenceTable('bcg_log_rr')
const effects = bcg.numbers('yi')
const variances = bcg.numbers('vi')

describe('metaAnalysis', () => {
  it('agrees with a case worked by hand', () => {
    // Weights 1/1 and 1/3: mean (1·0 + 4/3) / (4/3) = 1; Q = 1·1 + 9/3 = 4; DerSimonian–Laird τ² = (4 − 1) / (4/3 − (10/9)/(4/3)) = 6.
    const { common, heterogeneity } = metaAnalysis([0, 4], [1, 3], { estimator: 'dersimonian-laird' })
    expect(common.estimate).toBeCloseTo(1, 14)
    expect(common.standardError?.value).toBeCloseTo(Math.sqrt(3) / 2, 14)
    expect(heterogeneity.q).toBeCloseTo(4, 13)
    expect(heterogeneity.tauSquared).toBeCloseTo(6, 12)
    expect(heterogeneity.iSquaredFromQ).toBeCloseTo(0.75, 13)
  })

  it('never gives a default interval narrower than the common-effect one', () => {
    const alike = [0.5, 0.51, 0.49, 0.5]
    const { common, random } = metaAnalysis(alike, [0.1, 0.2, 0.1, 0.3])
    expect(width(random.interval)).toBeCloseTo(width(common.interval), 12)
    expect(random.method).toContain('widened-to-the-common-effect-one')
    const plain = metaAnalysis(alike, [0.1, 0.2, 0.1, 0.3], { interval: 'hartung-knapp' })
    expect(width(plain.random.interval)).toBeLessThan(width(common.interval) / 5)
  })

  it('finds Hunter and Schmidt’s τ² (metafor 3.8.1 on the BCG trials)', () => {
    const { heterogeneity } = metaAnalysis(effects, variances, { estimator: 'hunter-schmidt' })
    expect(heterogeneity.tauSquared).toBeCloseTo(0.228362863677, 11)
  })

  it('answers for a single study without inventing heterogeneity', () => {
    const one = metaAnalysis([0.3], [0.04])
    expect(one.common.estimate).toBeCloseTo(0.3, 15)
    expect(one.random.interval).toEqual(one.common.interval)
    expect(one.heterogeneity.tauSquared).toEqual({ state: 'not-estimable', reason: 'one-study' })
    expect(one.predictionInterval.lower).toMatchObject({ state: 'not-estimable' })
    expect(one.warnings.map(({ code }) => code)).toEqual(['one-study'])
  })

  it('gives no prediction interval for two studies by the default method, and one by k − 1', () => {
    expect(metaAnalysis([0, 1], [1, 1]).predictionInterval.lower).toMatchObject({ state: 'not-estimable' })
    const { predictionInterval } = metaAnalysis([0, 1], [1, 1], { prediction: 'student-one-less' })
    expect(typeof predictionInterval.lower).toBe('number')
  })

  it('says so where effects lie closer than chance would leave them', () => {
    const { heterogeneity, warnings } = metaAnalysis([1, 1, 1, 1, 1], [1, 1, 1, 1, 1])
    expect(heterogeneity.tauSquaredInterval).toEqual({ lower: 0, upper: 0 })
    expect(warnings.map(({ code }) => code)).toContain('less-spread-than-chance')
  })

  it('tags what a zero spread makes meaningless under the plain Hartung–Knapp interval', () => {
    const { random } = metaAnalysis([1, 1, 1], [1, 1, 1], { interval: 'hartung-knapp' })
    expect(random.statistic).toEqual({ state: 'not-estimable', reason: 'standard-error-zero' })
  })

  it('takes the higher of two maxima of the likelihood', () => {
    // Very unequal variances with two clusters of effects give the restricted likelihood more than one maximum.
    const y = [0, 0, 0, 6, 6.1]
    const v = [0.0001, 0.0001, 0.0001, 30, 30]
    const { heterogeneity } = metaAnalysis(y, v)
    const grid = Array.from({ length: 4000 }, (_, i) => i * 0.01)
    const best = grid.reduce((a, b) => (restricted(y, v, b) > restricted(y, v, a) ? b : a))
    expect(restricted(y, v, heterogeneity.tauSquared as number)).toBeGreaterThanOrEqual(
      restricted(y, v, best) - 1e-10,
    )
  })

  it('sums the sizes that it is given and leaves its input alone', () => {
    const n = [10, 20]
    const answer = metaAnalysis([0, 1], [1, 1], { n, events: [1, 2], clusters: [5, 6] })
    expect(answer.random).toMatchObject({ n: 30, events: 3, clusters: 11, studies: 2 })
    expect(n).toEqual([10, 20])
    expect(Object.isFrozen(answer)).toBe(true)
  })

  it.each([
    [[], [], 'there are no studies. Expected: at least one study. Mend: pass one entry per study.'],
    [
      [1, Number.NaN],
      [1, 1],
      'column effects holds a missing or infinite value, first in row 2 of 2. Expected: a finite number in every row. Mend: leave out rows without effects, or impute them, before the call.',
    ],
    [
      [1, 2],
      [1, 0],
      'column variances holds a value that is not positive, first in study 2 of 2. Expected: the squared standard error of each effect, above 0. Mend: leave out studies without a variance, or pool counts by a method for rare events.',
    ],
  ])('refuses %j with %j', (y, v, message) => {
    expect(() => metaAnalysis(y, v)).toThrow(message)
  })
})

describe('metaRegression', () => {
  const latitude = bcg.numbers('ablat')

  it('agrees with metafor 3.8.1 under Knapp and Hartung, and on the limits of residual τ²', () => {
    const fit = metaRegression(effects, variances, { latitude }, { interval: 'hartung-knapp' })
    expect(fit.coefficients[0]?.standardError?.value).toBeCloseTo(0.28392528374389, 8)
    expect(fit.coefficients[1]?.standardError?.value).toBeCloseTo(0.00820141741105, 9)
    expect(fit.coefficients[1]?.pValue).toBeCloseTo(0.00456505154159, 9)
    expect(fit.moderators.statistic).toBeCloseTo(12.5909828844, 6)
    expect(fit.moderators.pValue).toBeCloseTo(0.00456505154159, 9)
    expect(fit.tauSquaredInterval.lower).toBeCloseTo(0.0166800683206, 9)
    expect(fit.tauSquaredInterval.upper).toBeCloseTo(0.7848352545755, 9)
  })

  it('keeps its digits for a moderator far from zero', () => {
    const far = Float64Array.from(latitude, (x) => 1e6 + x)
    const near = metaRegression(effects, variances, { latitude })
    const fit = metaRegression(effects, variances, { far })
    expect(fit.coefficients[1]?.estimate).toBeCloseTo(near.coefficients[1]?.estimate as number, 10)
    expect(fit.tauSquared).toBeCloseTo(near.tauSquared, 10)
  })

  it('names a moderator that says nothing', () => {
    const constant = effects.map(() => 3)
    expect(() => metaRegression(effects, variances, { latitude, constant })).toThrow(
      'moderator constant is constant or follows from those before it.',
    )
    const twice = latitude.map((x) => 2 * x + 1)
    expect(() => metaRegression(effects, variances, { latitude, twice })).toThrow('moderator twice is')
    expect(() => metaRegression([1, 2], [1, 1], { x: [0, 1] })).toThrow('2 studies for 1 moderators')
    expect(() => metaRegression([1, 2], [1, 1], {})).toThrow('there are no moderators')
  })
})

describe('influence', () => {
  // metafor 3.8.1, influence() and leave1out() on the BCG trials, printed to four decimals.
  const rows = studyInfluence(effects, variances)

  it.each([
    [0, -0.2181, -0.0407, 0.0017, 1.1164, 0.3362, 151.5826, 0.050595],
    [6, -1.3037, -0.3362, 0.1087, 1.0077, 0.293, 145.8296, 0.060272],
    [12, 1.1879, 0.3549, 0.1228, 1.065, 0.3037, 149.7884, 0.084029],
  ])('agrees with metafor on study %i', (study, residual, shift, cook, ratio, tau, q, weight) => {
    const row = rows[study]
    expect(row?.deletedResidual).toBeCloseTo(residual, 3)
    expect(row?.shift).toBeCloseTo(shift, 3)
    expect(row?.cookDistance).toBeCloseTo(cook, 3)
    expect(row?.covarianceRatio).toBeCloseTo(ratio, 3)
    expect(row?.tauSquaredWithout).toBeCloseTo(tau, 3)
    expect(row?.qWithout).toBeCloseTo(q, 3)
    expect(row?.weight).toBeCloseTo(weight, 5)
  })

  it('leaves each study out in turn', () => {
    const leaveOneOutEffect = Number('-0.7071')
    const without = leaveOneOut(effects, variances, { interval: 'normal' })
    expect(without[0]?.analysis.random.estimate).toBeCloseTo(leaveOneOutEffect, 4)
    expect(without[6]?.analysis.random.standardError?.value).toBeCloseTo(0.1805, 4)
    expect(leaveOneOut([1], [1])).toEqual([])
    expect(studyInfluence([1], [1])[0]?.cookDistance).toMatchObject({ state: 'not-estimable' })
  })
})

describe('smallStudyTest', () => {
  it('is not estimable where it cannot be', () => {
    expect(smallStudyTest([1, 2], [1, 2]).statistic).toEqual({
      state: 'not-estimable',
      reason: 'fewer-than-three-studies',
    })
    expect(smallStudyTest([1, 2, 4], [1, 1, 1]).pValue).toMatchObject({
      reason: 'studies-of-one-precision',
    })
    expect(smallStudyTest([1, 2, 3], [1, 4, 9]).pValue).toMatchObject({ state: 'not-estimable' })
  })
})

function width(interval: { lower: Quantity; upper: Quantity }): number {
  return (interval.upper as number) - (interval.lower as number)
}

/** Restricted log-likelihood, written out anew. */
function restricted(y: readonly number[], v: readonly number[], tau: number): number {
  const w = v.map((one) => 1 / (one + tau))
  const total = w.reduce((a, b) => a + b, 0)
  const mean = y.reduce((a, b, i) => a + b * (w[i] as number), 0) / total
  const q = y.reduce((a, b, i) => a + (w[i] as number) * (b - mean) ** 2, 0)
  return 0.5 * (w.reduce((a, b) => a + Math.log(b), 0) - Math.log(total) - q)
}
