import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { linearRegression } from '../../../src/statistics/regression/linear.js'
import { referenceTable } from '../referenceTable.js'
import { expectClose, refusal } from './closeTo.js'

const birthwt = referenceTable('birthwt_logistic')
const covariates = {
  age: birthwt.numbers('age'),
  smoke: birthwt.numbers('smoke'),
  race: birthwt.texts('race'),
}

describe('linear regression', () => {
  it('gives slope and error of a hand-worked line', () => {
    // x 1..5, y 2 4 5 4 5: slope 0.6, intercept 2.2, residual squares 2.4, slope error sqrt(0.8 / 10).
    const fit = linearRegression([2, 4, 5, 4, 5], { x: [1, 2, 3, 4, 5] })
    expectClose(
      fit.coefficients.map((one) => one.estimate),
      [2.2, 0.6],
      1e-13,
    )
    expectClose([fit.coefficients[1]!.standardError, fit.residualSumOfSquares], [Math.sqrt(0.08), 2.4], 1e-13)
  })

  it('agrees with a reference library on weights and robust errors', () => {
    // R 4.2.2 lm, lwt ~ age + smoke + race, weights 1, 2, 3 in turn, data birthwt; sandwich 3.0-2.
    const weights = Float64Array.from(covariates.age, (_, row) => ((row + 1) % 3) + 1)
    const fit = linearRegression(birthwt.numbers('lwt'), covariates, { weights })
    expectClose(
      fit.coefficients.map((one) => one.estimate),
      [100.156010812058, 1.38908851491879, -5.5218325982369, 19.3674019299404, -10.2946202215123],
      1e-12,
    )
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [10.9974222224069, 0.411379836015762, 4.52471446270519, 6.50420718717938, 4.86488476266574],
      1e-12,
    )
    expectClose(
      [fit.residualStandardDeviation, fit.rSquared, fit.fStatistic, fit.fPValue],
      [40.3506727773689, 0.143312518900672, 7.69519342219332, 9.36449643529021e-6],
      1e-11,
    )
    const robust = linearRegression(birthwt.numbers('lwt'), covariates, { weights, variance: 'robust' })
    expectClose(
      robust.coefficients.map((one) => one.standardError),
      [13.4229820161046, 0.486659927126845, 5.97065833801696, 8.2954505541317, 6.11002780451016],
      1e-11,
    )
  })

  it('agrees with a reference library on cluster-robust errors', () => {
    // R 4.2.2, sandwich 3.0-2 vcovCL type HC1 by age (24 clusters), unweighted.
    const fit = linearRegression(birthwt.numbers('lwt'), covariates, {
      cluster: birthwt.texts('age'),
      smallSample: 'clusters-and-coefficients',
    })
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [12.7434658153341, 0.448589232984955, 5.50555643894943, 8.46723227839357, 5.71237121157433],
      1e-11,
    )
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      "Only 24 clusters: intervals use Student's t with 23 degrees of freedom.",
    ])
  })

  it('marks a perfect fit, and a saturated one', () => {
    const perfect = linearRegression([1, 3, 5, 7], { x: [0, 1, 2, 3] })
    expect(perfect.warnings.map((one) => one.code)).toEqual(['perfect-fit'])
    const saturated = linearRegression([1, 3], { x: [0, 1] })
    expect(saturated.coefficients[1]!.standardError).toEqual({
      state: 'not-estimable',
      reason: 'no-more-rows-than-coefficients',
    })
    const flat = linearRegression([4, 4, 4], { x: [1, 2, 4] })
    expect(flat.rSquared).toEqual({ state: 'not-estimable', reason: 'response-does-not-vary' })
  })

  it('refuses by name what carries no information', () => {
    expect(refusal(() => linearRegression([1, 2, 4], { a: [1, 2, 3], b: [3, 5, 7] })).code).toBe(
      'collinear-covariate',
    )
    expect(refusal(() => linearRegression([1, 2], { a: [1, 2], b: [5, 3] })).message).toBe(
      'covariate b is fixed by a: it adds nothing of its own. Expected: covariates of which none is a sum of multiples of the others. Mend: leave out b or one of a, or merge sparse levels.',
    )
    expect(refusal(() => linearRegression([1, 2], { a: [1, 1] })).code).toBe('constant-covariate')
    expect(refusal(() => linearRegression([1, Number.NaN], {})).code).toBe('not-finite')
    expect(refusal(() => linearRegression([], {})).message).toBe(
      'there is no row to fit. Expected: at least one row. Mend: check the selection that led to these columns.',
    )
  })
})
