import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { negativeBinomialRegression } from '../../../src/statistics/regression/negativeBinomial.js'
import { poissonRegression } from '../../../src/statistics/regression/poisson.js'
import { referenceTable } from '../referenceTable.js'
import { expectClose, refusal } from './closeTo.js'

describe('Poisson regression', () => {
  it('gives the ratio of two rates with its log standard error', () => {
    // Hand-worked: 41 in 28,010 against 15 in 19,017 person-years (Rothman and Greenland, Modern Epidemiology).
    const fit = poissonRegression([41, 15], { exposed: [1, 0] }, { exposure: [28010, 19017] })
    expect(fit.coefficients[1]!.ratio).toBeCloseTo(41 / 28010 / (15 / 19017), 12)
    expect(fit.coefficients[1]!.standardError).toBeCloseTo(Math.sqrt(1 / 41 + 1 / 15), 10)
  })

  it('scales the variance by the dispersion and uses Student t for it', () => {
    const counts = [2, 3, 9, 1, 0, 14, 6, 3]
    const group = [0, 0, 0, 0, 1, 1, 1, 1]
    const plain = poissonRegression(counts, { group })
    const wide = poissonRegression(counts, { group }, { variance: 'over-dispersed' })
    const factor = Math.sqrt(plain.dispersion as number)
    expectClose(
      wide.coefficients.map((one) => one.standardError),
      plain.coefficients.map((one) => factor * (one.standardError as number)),
      1e-12,
    )
    const { estimate, standardError, interval } = wide.coefficients[1]!
    // Student's t with 6 degrees of freedom: 2.446911851144969 (standard table).
    expect(interval.upper).toBeCloseTo(
      (estimate as number) + 2.446911851144969 * (standardError as number),
      9,
    )
  })

  it('marks a group without events, and a table without any', () => {
    const fit = poissonRegression([0, 3, 2, 0, 0, 0, 1], {
      group: ['a', 'a', 'a', 'b', 'b', 'b', 'a'],
      z: [1, 2, 4, 1, 2, 3, 3],
    })
    expect(fit.coefficients[1]!.estimate).toEqual({ state: 'unbounded', direction: 'below' })
    expect(fit.coefficients[2]!.estimate).toBeCloseTo(0.27222524741515, 9)
    const none = poissonRegression([0, 0, 0], { z: [1, 2, 4] })
    expect(inWords(none.warnings[0]!)).toBe(
      'No event was observed: no ratio can be estimated; give the exact upper limit of the rate instead.',
    )
    expect(none.coefficients.every((one) => typeof one.estimate === 'object')).toBe(true)
  })

  it('refuses what is no count and no time at risk', () => {
    expect(refusal(() => poissonRegression([1, 0.5], {})).message).toBe(
      'column counts holds a number that is not whole, first in row 2 of 2. Expected: the number of events in every row. Mend: give counts, with the time at risk as exposure instead of a rate.',
    )
    expect(refusal(() => poissonRegression([1, 2], {}, { exposure: [3, 0] })).message).toBe(
      'column exposure holds no time at risk, first in row 2 of 2. Expected: a time above 0 in every row. Mend: leave out rows without time at risk; an event on the day of origin needs a time above 0, such as half a day.',
    )
    expect(refusal(() => poissonRegression([1, -2], {})).code).toBe('negative')
  })

  it('gives a perfect fit without residual spread as a fit, and says what it cannot give', () => {
    const fit = poissonRegression([2, 4], { late: [0, 1] })
    expect(fit.deviance).toBeCloseTo(0, 10)
    expect(fit.dispersion).toEqual({
      state: 'not-estimable',
      reason: 'no-more-rows-than-coefficients',
    })
  })
})

describe('negative binomial regression', () => {
  const quine = referenceTable('quine_negbin')
  const days = quine.numbers('Days')

  it('agrees with a reference library with an exposure', () => {
    // R 4.2.2, MASS 7.3-58.2 glm.nb (tolerance 1e-14): Days ~ Sex + Age + offset(log(10 + row mod 7)), data quine.
    const exposure = Float64Array.from(days, (_, row) => 10 + ((row + 1) % 7))
    const fit = negativeBinomialRegression(
      days,
      { Sex: quine.texts('Sex'), Age: quine.texts('Age') },
      { exposure },
    )
    expectClose(
      fit.coefficients.map((one) => one.estimate),
      [0.229344097768116, 0.000664633546300153, -0.345070672615979, 0.285968249729138, 0.133971595345815],
      1e-6,
    )
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [0.217677454239535, 0.168923412898729, 0.24647553884852, 0.245546660285047, 0.257785595206834],
      1e-7,
    )
    expectClose(
      [fit.theta, fit.logLikelihood, fit.nullDeviance],
      [1.09975164697652, -556.963507008587, 177.671712941821],
      1e-8,
    )
  })

  it('takes the standard error of theta at the estimate', () => {
    // R 4.2.2: 1 / sqrt of MASS's own information function at the converged theta; glm.nb prints the value one step
    // earlier (0.161035179).
    const fit = negativeBinomialRegression(days, {
      Eth: quine.texts('Eth'),
      Sex: quine.texts('Sex'),
      Age: quine.texts('Age'),
      Lrn: quine.texts('Lrn'),
    })
    expectClose([fit.thetaStandardError], [0.16103566171498], 1e-9)
  })

  it('falls back on the Poisson fit where counts vary no more than chance', () => {
    const counts = [3, 3, 4, 3, 4, 4, 3, 4]
    const group = [0, 0, 0, 0, 1, 1, 1, 1]
    const fit = negativeBinomialRegression(counts, { group })
    const poisson = poissonRegression(counts, { group })
    expect(fit.theta).toEqual({ state: 'unbounded', direction: 'above' })
    expect(fit.alpha).toBe(0)
    expect(fit.coefficients).toEqual(poisson.coefficients)
    expect(fit.warnings.map((one) => one.code)).toContain('no-over-dispersion')
  })

  it('converges where the counts spread without measure', () => {
    const counts = Array.from({ length: 60 }, (_, row) => (row % 13 === 0 ? 40 + row : 0))
    const x = counts.map((_, row) => (row % 7) - 3)
    const fit = negativeBinomialRegression(counts, { x })
    expect(fit.converged).toBe(true)
    expect(fit.theta).toBeLessThan(0.05)
    // The score of the intercept, Σ (y − μ)θ/(θ + μ), is 0 at the maximum.
    const theta = fit.theta as number
    const score = counts.reduce(
      (sum, count, row) => sum + ((count - fit.fittedMeans[row]!) * theta) / (theta + fit.fittedMeans[row]!),
      0,
    )
    expect(Math.abs(score)).toBeLessThan(1e-9)
  })

  it('keeps what a group without events leaves estimable', () => {
    const counts = [0, 7, 1, 12, 0, 0, 3, 0]
    const group = ['a', 'a', 'a', 'a', 'b', 'b', 'a', 'b']
    const fit = negativeBinomialRegression(counts, { group })
    const alone = negativeBinomialRegression([0, 7, 1, 12, 3], {})
    expect(fit.coefficients[1]!.estimate).toEqual({ state: 'unbounded', direction: 'below' })
    expectClose(
      [fit.coefficients[0]!.estimate, fit.theta],
      [alone.coefficients[0]!.estimate as number, alone.theta as number],
      1e-8,
    )
  })
})
