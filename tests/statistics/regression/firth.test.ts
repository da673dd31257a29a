import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { prepareCox } from '../../../src/statistics/hazardModels/coxDesign.js'
import { firthCoxRegression, firthLikelihood } from '../../../src/statistics/hazardModels/firth.js'

const times = {
  start: [0, 0, 1, 2, 0, 3, 0, 1, 0, 0],
  stop: [2, 4, 4, 5, 6, 6, 7, 8, 6, 9],
  event: [1, 1, 1, 0, 1, 1, 0, 1, 1, 0],
}
const covariates = { a: [1, 0, 2, 1, 0.5, -1, 0, 3, 1, 2], b: [0, 1, 1, 0, 1, 0, 1, 1, 0, 1] }
const strata = ['p', 'q', 'p', 'p', 'q', 'p', 'q', 'p', 'q', 'p']

describe('the penalised likelihood', () => {
  it.each(['efron', 'breslow'] as const)('with %s ties has the slope that its differences show', (ties) => {
    const evaluate = firthLikelihood(prepareCox(times, covariates, { strata }), { ties })
    const at = Float64Array.of(0.4, -0.3)
    const step = 1e-5
    for (let j = 0; j < 2; j++) {
      const up = at.slice()
      const down = at.slice()
      up[j]! += step
      down[j]! -= step
      expect(evaluate(at).gradient[j]).toBeCloseTo(
        (evaluate(up).value - evaluate(down).value) / (2 * step),
        7,
      )
    }
  })
})

describe('Firth-penalised Cox regression', () => {
  it('is finite where a group has no event, by hand', () => {
    // Two rows, the event in x = 1: ℓ = −ln(1 + e^−β), information p(1 − p); ℓ* = ln p + ½ ln p(1 − p) is largest
    // at p = 3/4, so β = ln 3.
    const fit = firthCoxRegression({ time: [1, 2], event: [1, 0] }, { x: [1, 0] })
    expect(fit.hazardRatios[0]!.logHazardRatio).toBeCloseTo(Math.log(3), 9)
    expect(fit.hazardRatios[0]!.estimate).toBeCloseTo(3, 9)
    expect(fit.penalisedLogLikelihood).toBeCloseTo(1.5 * Math.log(0.75) + 0.5 * Math.log(0.25), 9)
    // The same in other units of x.
    const scaled = firthCoxRegression({ time: [1, 2], event: [1, 0] }, { x: [10, 0] })
    expect(scaled.hazardRatios[0]!.logHazardRatio).toBeCloseTo(Math.log(3) / 10, 9)
  })

  it('has limits at which twice the fall of the penalised likelihood is the chi-square quantile', () => {
    const fit = firthCoxRegression(times, { a: covariates.a })
    const evaluate = firthLikelihood(prepareCox(times, { a: covariates.a }, {}), { ties: 'efron' })
    const scale = prepareCox(times, { a: covariates.a }, {}).scale[0]!
    const best = evaluate(Float64Array.of((fit.hazardRatios[0]!.logHazardRatio as number) * scale)).value
    for (const limit of [fit.hazardRatios[0]!.interval.lower, fit.hazardRatios[0]!.interval.upper]) {
      const value = evaluate(Float64Array.of(Math.log(limit as number) * scale)).value
      expect(2 * (best - value)).toBeCloseTo(3.841458820694124, 8)
    }
  })

  it('lies nearer to 1 than the unpenalised ratio', () => {
    const plain = coxRegression(times, covariates)
    const penalised = firthCoxRegression(times, covariates)
    for (let j = 0; j < 2; j++) {
      const log = penalised.hazardRatios[j]!.logHazardRatio as number
      expect(Math.abs(log)).toBeLessThan(Math.abs(plain.hazardRatios[j]!.logHazardRatio as number))
    }
    expect(penalised.largestScore).toBeLessThan(1e-8)
    expect(penalised.converged).toBe(true)
  })

  it('says that rows of one cluster count as independent', () => {
    const fit = firthCoxRegression(times, covariates, { cluster: [1, 1, 2, 2, 3, 3, 4, 4, 5, 5] })
    expect(fit.clusters).toBe(5)
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'The penalised interval takes rows of one cluster for independent.',
    ])
  })

  it('has nothing to compare without events', () => {
    const fit = firthCoxRegression({ time: [1, 2, 3], event: [0, 0, 0] }, { x: [1, 0, 1] })
    expect(fit.hazardRatios[0]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.warnings.map((one) => one.code)).toEqual(['no-event-to-compare'])
  })
})
