import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { prepareCox } from '../../../src/statistics/hazardModels/coxDesign.js'
import { likelihoodOf } from '../../../src/statistics/hazardModels/coxFit.js'
import { robustScoreTest } from '../../../src/statistics/hazardModels/coxTests.js'

const close = (found: unknown, wanted: number, relative = 1e-10): void => {
  expect(typeof found).toBe('number')
  expect(Math.abs((found as number) - wanted)).toBeLessThanOrEqual(
    relative * Math.max(1e-12, Math.abs(wanted)),
  )
}

const kidney = parse(readFileSync(new URL('../../reference/data/kidney.csv', import.meta.url)), {
  columns: true,
}) as Record<string, string>[]
const column = (name: string): number[] => kidney.map((row) => Number(row[name]))
const kidneyTimes = { time: column('time'), event: column('status') }
const kidneyCovariates = { age: column('age'), sex: column('sex') }

describe('Cox regression by hand', () => {
  // Three rows, x = 1, 0, 1 with events at 1, 2, 3. With r = e^β the partial likelihood is
  // r/(2r + 1) · 1/(1 + r), largest where 2r² = 1: β = −ln(2)/2; ℓ(0) = −ln 3 − ln 2.
  const times = { time: [1, 2, 3], event: [1, 1, 1] }
  const fit = coxRegression(times, { x: [1, 0, 1] })

  it('finds the root of the score', () => {
    close(fit.hazardRatios[0]!.logHazardRatio, -Math.log(2) / 2)
    close(fit.logLikelihoodAtZero, -Math.log(6))
  })

  it('has the information of the risk sets as its variance', () => {
    const r = Math.SQRT1_2
    const information = (2 * r) / (2 * r + 1) ** 2 + r / (1 + r) ** 2
    close(fit.hazardRatios[0]!.modelStandardError, 1 / Math.sqrt(information))
  })

  it('takes the score test from zero', () => {
    // U(0) = (1 − 2/3) + (0 − 1/2), I(0) = 2/9 + 1/4.
    close(fit.scoreTest.statistic, (1 / 3 - 1 / 2) ** 2 / (2 / 9 + 1 / 4))
  })
})

describe('ties by hand', () => {
  // Two events tied at time 1 (x = 1 and 0) with a third row (x = 1) at risk, r = e^β.
  const times = { time: [1, 1, 2], event: [1, 1, 0] }
  const covariates = { x: [1, 0, 1] }
  const logLikelihood = (ties: 'efron' | 'breslow' | 'exact', logRatio: number): number => {
    const design = prepareCox(times, covariates, {})
    const scaled = logRatio * design.scale[0]!
    return likelihoodOf(design, ties)(Float64Array.of(scaled)).value
  }
  const r = 2.5

  it('breslow keeps the whole risk set for both', () => {
    close(logLikelihood('breslow', Math.log(r)), Math.log(r / (2 * r + 1) ** 2))
  })

  it('efron takes half of the tied events out for the second', () => {
    close(logLikelihood('efron', Math.log(r)), Math.log(r / ((2 * r + 1) * (2 * r + 1 - (r + 1) / 2))))
  })

  it('exact sums over the pairs that might have had the event', () => {
    close(logLikelihood('exact', Math.log(r)), Math.log(r / (2 * r + r * r)))
  })
})

describe('the gradient and information', () => {
  const times = {
    start: [0, 0, 1, 2, 0, 3, 0, 1],
    stop: [2, 4, 4, 5, 6, 6, 7, 8],
    event: [1, 1, 1, 0, 1, 1, 0, 1],
  }
  const covariates = { a: [1, 0, 2, 1, 0.5, -1, 0, 3], b: [0, 1, 1, 0, 1, 0, 1, 1] }
  const options = {
    strata: ['p', 'q', 'p', 'p', 'q', 'p', 'q', 'p'],
    weights: [1, 2, 0.5, 1, 1.5, 1, 1, 0.7],
    offset: [0, 0.1, -0.2, 0, 0.3, 0, 0, 0.1],
  }

  it.each(['efron', 'breslow', 'exact'] as const)(
    'of %s agree with differences of the likelihood',
    (ties) => {
      const design = prepareCox(
        times,
        covariates,
        ties === 'exact' ? { ...options, weights: new Array(8).fill(1) } : options,
      )
      const evaluate = likelihoodOf(design, ties)
      const at = Float64Array.of(0.3, -0.4)
      const point = evaluate(at)
      const step = 1e-5
      for (let j = 0; j < 2; j++) {
        const up = at.slice()
        const down = at.slice()
        up[j]! += step
        down[j]! -= step
        const [above, below] = [evaluate(up), evaluate(down)]
        expect(point.gradient[j]).toBeCloseTo((above.value - below.value) / (2 * step), 8)
        for (let i = 0; i < 2; i++) {
          expect(point.information[i * 2 + j]).toBeCloseTo(
            (below.gradient[i]! - above.gradient[i]!) / (2 * step),
            7,
          )
        }
      }
    },
  )
})

describe('the cluster-robust score test', () => {
  it('agrees with the robust score of R survival 3.5-3 for the kidney data', () => {
    // summary(coxph(Surv(time, status) ~ age + sex, kidney, cluster = id))$robscore, from the reference case.
    const test = robustScoreTest(kidneyTimes, kidneyCovariates, column('id'))
    close(test.statistic, 3.393776720892538, 1e-8)
    expect(test.clusters).toBe(38)
    expect(test.warnings).toEqual([])
  })

  it('refers to F below 30 clusters and says so', () => {
    const few = robustScoreTest(
      kidneyTimes,
      { sex: column('sex') },
      column('id').map((id) => id % 10),
    )
    const normal = robustScoreTest(
      kidneyTimes,
      { sex: column('sex') },
      column('id').map((id) => id % 10),
      {
        fewClusters: 'normal',
      },
    )
    expect(few.statistic).toBe(normal.statistic)
    expect(few.pValue as number).toBeGreaterThan(normal.pValue as number)
    expect(few.warnings.map((one) => inWords(one))).toEqual([
      "Only 10 clusters: robust intervals and tests refer to Student's t with 9 degrees of freedom.",
    ])
    expect(normal.warnings).toEqual([])
  })

  it('is not estimable with one cluster', () => {
    const test = robustScoreTest({ time: [1, 2, 3], event: [1, 1, 0] }, { x: [1, 0, 1] }, ['a', 'a', 'a'])
    expect(test.statistic).toEqual({ state: 'not-estimable', reason: 'one-cluster' })
  })
})
