import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import { coxConcordance } from '../../../src/statistics/hazardModels/concordance.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { hazardRatioCurve, waldTest } from '../../../src/statistics/hazardModels/coxContrasts.js'
import { frailtyRegression } from '../../../src/statistics/hazardModels/frailty.js'
import { predictedHazard } from '../../../src/statistics/hazardModels/predictedHazard.js'
import { proportionalHazardsTest } from '../../../src/statistics/hazardModels/proportionalHazards.js'
import { splineCovariates } from '../../../src/statistics/numeric/splines.js'
import { predictedRisk } from '../../../src/statistics/regression/predictedRisk.js'

// Values beyond the reference cases, computed with R 4.2.2 and survival 3.5-3 (and splines::ns) on the data sets of
// tests/reference/data: coxph with eps 1e-13, survfit.coxph with conf.type log-log, cox.zph, concordance, and for the
// profile limits uniroot over coxph with the coefficient held in an offset.

const table = (name: string): Record<string, string>[] =>
  parse(readFileSync(new URL(`../../reference/data/${name}.csv`, import.meta.url)), { columns: true })
const numbers = (rows: Record<string, string>[], name: string): number[] =>
  rows.map((row) => Number(row[name]))
const close = (found: unknown, wanted: number, relative = 1e-8): void => {
  expect(typeof found).toBe('number')
  expect(Math.abs((found as number) - wanted)).toBeLessThanOrEqual(relative * Math.abs(wanted))
}

const kidney = table('kidney')
const times = { time: numbers(kidney, 'time'), event: numbers(kidney, 'status') }
const age = numbers(kidney, 'age')
const sex = numbers(kidney, 'sex')

describe('profile-likelihood limits', () => {
  it('agree with inversion of the likelihood-ratio test', () => {
    const fit = coxRegression(times, { age, sex }, { interval: 'profile' })
    const logs = fit.hazardRatios.map(({ interval }) => [
      Math.log(interval.lower as number),
      Math.log(interval.upper as number),
    ])
    close(logs[0]![0], -0.015661792092149036)
    close(logs[0]![1], 0.020684214682317258)
    close(logs[1]![0], -1.3981979816325125)
    close(logs[1]![1], -0.21859245453310394)
  })
})

describe('predictions', () => {
  const wanted = {
    efron: [
      0.35114154928428987, 0.575333193681002, 0.80007915317260736, 0.81333011755908335, 0.3057319530171777,
      0.57223193389856097,
    ],
    breslow: [
      0.34791846862143277, 0.57838480385670354, 0.80164895863594421, 0.81075884228824047, 0.30675550988228956,
      0.5733517614032414,
    ],
  }
  it.each(['efron', 'breslow'] as const)('of %s agree in hazard and interval', (ties) => {
    const [first, , , second] = wanted[ties]
    const risks = predictedRisk(times, { age, sex }, { age: 40, sex: 2 }, [30, 150], { ties })[0]!.risks
    const steps = predictedHazard(times, { age, sex }, { age: 40, sex: 2 }, { ties })[0]!.steps
    const at = (time: number): (typeof steps)[number] => steps.filter((step) => step.time <= time).at(-1)!
    close(at(30).cumulativeHazard, first!)
    close(at(150).cumulativeHazard, second!)
    close(at(30).interval.lower, wanted[ties][1]!)
    close(at(150).interval.upper, wanted[ties][5]!)
    close(risks[0]!.risk, 1 - Math.exp(-first!))
    close(risks[0]!.interval.upper, 1 - wanted[ties][1]!)
    close(risks[0]!.interval.lower, 1 - wanted[ties][2]!)
    close(risks[1]!.interval.upper, 1 - wanted[ties][4]!)
    close(risks[1]!.interval.lower, 1 - wanted[ties][5]!)
  })

  it('stop at the last time at risk', () => {
    const late = predictedRisk(times, { age }, { age: 40 }, [1e4])[0]!.risks[0]!
    expect(late.risk).toEqual({ state: 'not-estimable', reason: 'past-last-time-at-risk' })
  })
})

describe('weights, strata, late entry and clusters together', () => {
  const rows = table('jasa1')
  const start = numbers(rows, 'start')
  const stop = numbers(rows, 'stop')
  const event = numbers(rows, 'event')
  const weights = rows.map((_, i) => Math.round(100 * ((((i + 1) % 7) + 1) / 3)) / 100)
  const covariates = { age: numbers(rows, 'age'), transplant: numbers(rows, 'transplant') }
  const options = { weights, strata: numbers(rows, 'surgery'), cluster: numbers(rows, 'id') }
  const fit = coxRegression({ start, stop, event }, covariates, options)

  it('agree in coefficients, both variances and the robust score test', () => {
    close(fit.hazardRatios[0]!.logHazardRatio, 0.025761749101057239)
    close(fit.hazardRatios[1]!.logHazardRatio, -0.11052863324411602)
    close(fit.hazardRatios[0]!.modelStandardError, 0.011365328728050867)
    close(fit.hazardRatios[0]!.robustStandardError, 0.015353481591179007)
    close(fit.hazardRatios[1]!.robustStandardError, 0.31234607372710216)
    close(fit.logLikelihood, -398.18677548494321)
    close(fit.robustScoreTest!.statistic, 3.7311834433242019)
  })

  it('agree in concordance and its error', () => {
    const agreement = coxConcordance({ start, stop, event }, covariates, options)
    close(agreement.estimate, 0.55839870630015886)
    close(agreement.standardError, 0.044875591037318488)
  })

  it('agree in the test of proportional hazards', () => {
    const test = proportionalHazardsTest({ start, stop, event }, covariates, options)
    close(test.covariates[0]!.statistic, 0.816297096630127)
    close(test.covariates[1]!.statistic, 0.453201925384644)
    close(test.global.statistic, 1.697633295097243)
    expect(test.global.warnings.map((one) => one.code)).toEqual(['test-takes-rows-as-independent'])
  })
})

describe('categories', () => {
  const veteran = table('veteran')
  const data = [
    { time: numbers(veteran, 'time'), event: numbers(veteran, 'status') },
    { celltype: veteran.map((row) => row.celltype!), karno: numbers(veteran, 'karno') },
  ] as const

  it('are tested for proportional hazards with all their levels', () => {
    const test = proportionalHazardsTest(...data)
    expect(test.categories.map((one) => one.name)).toEqual(['celltype'])
    close(test.categories[0]!.statistic, 14.0662320569841)
    expect(test.categories[0]!.degreesOfFreedom).toBe(3)
    close(test.global.statistic, 23.6498655740876)
  })

  it('are tested together by Wald', () => {
    const fit = coxRegression(...data)
    const whole = waldTest(
      fit,
      fit.hazardRatios.map((one) => one.name),
    )
    close(whole.statistic, fit.waldTest.statistic as number, 1e-10)
  })
})

describe('restricted cubic splines', () => {
  const knots = [20, 40, 50, 60]
  const fit = coxRegression(times, { ...splineCovariates('age', age, knots), sex })

  it('span the natural splines of R: equal likelihood and curve', () => {
    close(fit.logLikelihood, -183.55794508850789)
    const curve = hazardRatioCurve(fit, 'age', knots, [10, 30, 45, 69], 40)
    const wanted = [0.45158017726880728, 0.069293779930367227, 0.038985036851572175, 0.66363305798298633]
    curve.forEach((point, i) => {
      close(Math.log(point.estimate as number), wanted[i]!, 1e-7)
    })
  })

  it('give 1 without spread at the value of reference', () => {
    expect(hazardRatioCurve(fit, 'age', knots, [40], 40)[0]).toEqual({
      value: 40,
      estimate: 1,
      interval: { lower: 1, upper: 1 },
    })
  })
})

describe('gamma frailty', () => {
  const fit = frailtyRegression(times, { age, sex }, numbers(kidney, 'id'))

  it('agrees with the penalised likelihood of R where its search stopped', () => {
    close(fit.frailtyVariance.estimate, 0.407769592757455, 1e-4)
    close(fit.hazardRatios[1]!.logHazardRatio, -1.5832338797280516, 1e-4)
    close(fit.logLikelihood, -181.63862652539214, 1e-9)
  })

  it('has standard errors near those of R, which leave out the spread of the variance', () => {
    close(fit.hazardRatios[0]!.modelStandardError, 0.011860852024354334, 0.03)
    close(fit.hazardRatios[1]!.modelStandardError, 0.4593805410207551, 0.1)
  })

  it('has limits of the variance that the likelihood-ratio test does not reject', () => {
    const { interval, test } = fit.frailtyVariance
    expect(test.statistic as number).toBeCloseTo(
      2 * (fit.logLikelihood - fit.logLikelihoodWithoutFrailty),
      10,
    )
    expect(interval.lower as number).toBeLessThan(0.4)
    expect(interval.upper as number).toBeGreaterThan(0.41)
  })

  it('has the profile limits of the variance at the level asked for', () => {
    // R 4.2.2, survival: coxph with frailty(id, theta held), uniroot over its integrated likelihood.
    const limits = (level: number) =>
      frailtyRegression(times, { age, sex }, numbers(kidney, 'id'), { level }).frailtyVariance.interval
    close(fit.frailtyVariance.interval.lower, 0.05215959959, 1e-5)
    close(fit.frailtyVariance.interval.upper, 1.0524947455, 1e-5)
    close(limits(0.9).lower, 0.09848665214, 1e-5)
    close(limits(0.9).upper, 0.92057468395, 1e-5)
  })

  it('has intervals of hazard ratios of so many standard errors as the level says', () => {
    for (const [level, quantile] of [
      [0.95, 1.959963984540054],
      [0.8, 1.2815515655446004],
    ] as const) {
      const [ratio] = frailtyRegression(times, { age, sex }, numbers(kidney, 'id'), { level }).hazardRatios
      const half = quantile * (ratio!.modelStandardError as number)
      close(ratio!.interval.lower, Math.exp((ratio!.logHazardRatio as number) - half), 1e-10)
      close(ratio!.interval.upper, Math.exp((ratio!.logHazardRatio as number) + half), 1e-10)
      const statistic = (ratio!.logHazardRatio as number) / (ratio!.modelStandardError as number)
      close(ratio!.statistic, statistic, 1e-10)
    }
  })

  it('gives the Cox regression where clusters are no more alike than chance', () => {
    const few = { time: [1, 2, 3, 4, 5, 6, 7, 8], event: [1, 1, 1, 1, 1, 1, 0, 1] }
    const x = [1, 0, 1, 0, 0, 1, 1, 0]
    const none = frailtyRegression(few, { x }, [1, 2, 3, 4, 4, 3, 2, 1])
    const cox = coxRegression(few, { x })
    expect(none.frailtyVariance.estimate).toBe(0)
    expect(none.frailtyVariance.interval.lower).toBe(0)
    expect(none.frailtyVariance.interval.upper as number).toBeGreaterThan(0)
    expect(none.frailtyVariance.test.pValue).toBe(1)
    close(none.hazardRatios[0]!.logHazardRatio, cox.hazardRatios[0]!.logHazardRatio as number, 1e-12)
  })
})
