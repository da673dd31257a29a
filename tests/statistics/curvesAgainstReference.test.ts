import { describe, expect, it } from 'vitest'
import { cumulativeIncidence } from '../../src/statistics/curves/competingRisks.js'
import { nelsonAalen } from '../../src/statistics/curves/cumulativeHazard.js'
import { medianFollowUp } from '../../src/statistics/curves/followUp.js'
import { restrictedMeanSurvivalTime } from '../../src/statistics/curves/restrictedMean.js'
import { kaplanMeier } from '../../src/statistics/curves/survival.js'
import { compareTimeLost } from '../../src/statistics/curves/timeLost.js'
import { logRank } from '../../src/statistics/groupTests/comparison.js'
import { grayTest } from '../../src/statistics/groupTests/grayTest.js'
import { fineGrayRegression } from '../../src/statistics/hazardModels/fineGray.js'

/*
 * Ninety invented rows with heavy ties, made by whole-number arithmetic so that R makes the same ones; expected values
 * from R 4.2.2 with survival 3.5-3 (survfit, survdiff, summary with rmean) and cmprsk 2.2-11 (cuminc, crr).
 */
const rows = Array.from({ length: 90 }, (_unused, at) => at + 1)
const time = rows.map((i) => ((i * 37) % 23) + 1)
const cause = rows.map((i) => (i * i + Math.floor(i / 7)) % 3)
const event = cause.map((one) => (one === 1 ? 1 : 0))
const group = rows.map((i) => i % 3)
const strata = rows.map((i) => Math.floor(i / 5) % 2)
const patient = rows.map((i) => Math.floor(i / 2))
const weights = rows.map((i) => 1 + (i % 4) / 2)
const entry = rows.map((i, at) => (i % 3 === 0 ? Math.floor(time[at]! / 3) : 0))

const near = (found: unknown, expected: number, relative = 1e-10): void => {
  expect(Math.abs((found as number) - expected)).toBeLessThanOrEqual(relative * Math.abs(expected))
}

describe('against R on invented rows', () => {
  it.each([
    [0, false, [0.37315345860655086, 0.89664939372968333], [0.82979488992485662, 0.63869726735967225]],
    [0, true, [0.33891297462496545, 1.546661430503597], [0.84412348376263679, 0.46147346902954267]],
    [1, false, [0.44969375566248054, 1.0180912937670179], [0.79863849865622583, 0.60106893718900389]],
    [1, true, [0.44867130414652312, 1.3959617468086907], [0.79904688760863385, 0.49758898532435436]],
  ] as const)('Gray, rho %s, stratified %s', (rho, stratified, statistic, pValue) => {
    for (const k of [1, 2]) {
      const test = grayTest(time, cause, group, { cause: k, rho, strata: stratified ? strata : undefined })
      near(test.statistic, statistic[k - 1]!)
      near(test.pValue, pValue[k - 1]!)
      expect(test.degreesOfFreedom).toBe(2)
    }
  })

  it('Fine–Gray, both causes', () => {
    const covariates = { a: rows.map((i) => (i % 7) / 3), b: rows.map((i) => (i % 2 === 0 ? 1 : 0)) }
    const first = fineGrayRegression(time, cause, covariates)
    // crr stops its own iteration at 1e-12 of the gradient
    near(first.coefficients[0]!.estimate, 0.12499311634016147, 1e-8)
    near(first.coefficients[1]!.estimate, -0.022792646243504001, 1e-8)
    near(first.covariance[0]![0], 0.05946237481602493, 1e-8)
    near(first.covariance[0]![1], -0.0078901433389951727, 1e-8)
    near(first.logLikelihood, -112.09042401092961)
    near(first.logLikelihoodAtZero, -112.18732001286958)
    const second = fineGrayRegression(time, cause, covariates, { cause: 2 })
    near(second.coefficients[0]!.estimate, -0.3547508369432713, 1e-8)
    near(second.coefficients[1]!.standardError, 0.36157349762152247, 1e-8)
    expect([second.events, second.competingEvents]).toEqual([first.competingEvents, first.events])
  })

  it('weighted curve with late entry and patients', () => {
    const curve = kaplanMeier(time, event, { entry, weights, cluster: patient })
    const read = [5, 10, 15, 23].map((at) => curve.rows[at]!)
    const expected = [
      [0.87609470205773432, 0.041780637831128717],
      [0.78269422106820186, 0.05338568384305326],
      [0.68657044119127564, 0.06716283167274785],
      [0.39415640942352054, 0.10291080583476538],
    ]
    read.forEach((row, at) => {
      near(row.survival, expected[at]![0]!)
      near(row.standardError, expected[at]![1]!)
    })
    const hazard = nelsonAalen(time, event, { entry, weights, cluster: patient }).rows[23]!
    near(hazard.cumulativeHazard, 0.89479453073612181)
    near(hazard.standardError, 0.23249601373288564)
    const tied = nelsonAalen(time, event, { weights, ties: 'one-by-one', variance: 'robust' }).rows[23]!
    near(tied.cumulativeHazard, 0.86332541146256836)
    near(tied.standardError, 0.23429643427064326)
    const counted = nelsonAalen(time, event, { weights, ties: 'one-by-one' }).rows[23]!
    near(counted.standardError, 0.19288624757869385)
  })

  it('weighted incidence with late entry, jackknife by row', () => {
    const { causes } = cumulativeIncidence(time, cause, { entry, weights, variance: 'robust' })
    near(causes[0]!.rows[23]!.incidence, 0.43619873525477282)
    near(causes[0]!.rows[23]!.standardError, 0.068077709737141986)
    near(causes[1]!.rows[12]!.incidence, 0.1949362347427043)
    near(causes[1]!.rows[12]!.standardError, 0.048494514909470779)
  })

  it('stratified log-rank of three groups, follow-up, areas', () => {
    near(logRank(time, event, group, { strata }).statistic, 0.32997810572826758)
    const followUp = medianFollowUp(time, cause)
    expect([followUp.quartiles[0], followUp.estimate, followUp.quartiles[1]]).toEqual([13, 20, 23])
    expect([followUp.interval.lower, followUp.interval.upper]).toEqual([17, 23])
    const whole = rows.map(() => 'all')
    near(compareTimeLost(time, cause, whole, 20).groups[0]!.estimate, 3.17417504605751, 1e-13)
    near(compareTimeLost(time, cause, whole, 20, { cause: 2 }).groups[0]!.estimate, 2.68413295437934, 1e-13)
    const any = cause.map((one) => (one > 0 ? 1 : 0))
    near(restrictedMeanSurvivalTime(time, any, { tau: 20 }).estimate, 14.14169199956315, 1e-13)
  })
})
