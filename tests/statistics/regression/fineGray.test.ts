import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { type FineGrayFit, fineGrayRegression } from '../../../src/statistics/hazardModels/fineGray.js'

const time = [4, 7, 2, 9, 3, 6, 8, 5, 1, 10, 11, 6]
const cause = [1, 2, 0, 1, 1, 2, 0, 1, 2, 1, 0, 1]
const x = [0.5, 1.5, 2, 0, 1, 2.5, 1, 0.5, 3, 1, 0, 2]

describe('Fine–Gray regression', () => {
  it('without competing events is Cox regression', () => {
    const event = cause.map((one) => (one === 1 ? 1 : 0))
    const fit = fineGrayRegression(time, event, { x }, { variance: 'model' })
    const cox = coxRegression({ time, event }, { x }, { ties: 'breslow' })
    expect(fit.coefficients[0]!.estimate).toBeCloseTo(cox.hazardRatios[0]!.logHazardRatio as number, 10)
    expect(fit.coefficients[0]!.standardError).toBeCloseTo(
      cox.hazardRatios[0]!.modelStandardError as number,
      10,
    )
    expect(fit.logLikelihood).toBeCloseTo(cox.logLikelihood, 10)
  })

  it('without censoring is Cox regression with competing events kept at risk for good', () => {
    const whole = cause.map((one) => (one === 0 ? 2 : one))
    const fit = fineGrayRegression(time, whole, { x })
    const cox = coxRegression(
      {
        time: time.map((one, i) => (whole[i] === 2 ? 100 : one)),
        event: whole.map((one) => (one === 1 ? 1 : 0)),
      },
      { x },
      { ties: 'breslow', variance: 'robust' },
    )
    expect(fit.coefficients[0]!.estimate).toBeCloseTo(cox.hazardRatios[0]!.logHazardRatio as number, 10)
    expect(fit.coefficients[0]!.standardError).toBeCloseTo(
      cox.hazardRatios[0]!.robustStandardError as number,
      10,
    )
  })

  it('sums scores over patients: each row twice under one patient changes nothing but the counts', () => {
    const twice = <T>(column: readonly T[]): T[] => column.flatMap((one) => [one, one])
    const patient = twice(time.map((_t, i) => i))
    const single = fineGrayRegression(time, cause, { x })
    const doubled = fineGrayRegression(
      twice(time),
      twice(cause),
      { x: twice(x) },
      { cluster: patient, fewClusters: 'normal' },
    )
    expect(doubled.coefficients[0]!.estimate).toBeCloseTo(single.coefficients[0]!.estimate as number, 10)
    expect(doubled.coefficients[0]!.standardError).toBeCloseTo(
      single.coefficients[0]!.standardError as number,
      10,
    )
    expect([doubled.n, doubled.clusters, doubled.events]).toEqual([24, 12, 12])
    expect(doubled.warnings.map((one) => one.code)).toEqual(['few-patients-with-care'])
  })

  it('does not depend on the order of rows or the unit of time and covariate, and leaves its inputs alone', () => {
    const order = [5, 3, 11, 0, 8, 2, 10, 7, 1, 9, 4, 6]
    const moved = (column: readonly number[]): number[] => order.map((row) => column[row]!)
    const first = fineGrayRegression(time, cause, { x })
    const columns = {
      time: moved(time).map((one) => one / 365.25),
      cause: moved(cause),
      x: moved(x).map((one) => one * 1000),
    }
    const before = JSON.stringify(columns)
    const second = fineGrayRegression(columns.time, columns.cause, { x: columns.x })
    expect((second.coefficients[0]!.estimate as number) * 1000).toBeCloseTo(
      first.coefficients[0]!.estimate as number,
      9,
    )
    expect(second.coefficients[0]!.pValue).toBeCloseTo(first.coefficients[0]!.pValue as number, 9)
    expect(JSON.stringify(columns)).toBe(before)
  })

  it('takes categories, and says when one separates the events', () => {
    const kind = ['a', 'a', 'b', 'a', 'a', 'b', 'b', 'a', 'b', 'a', 'b', 'a']
    const fit = fineGrayRegression(time, cause, { kind })
    expect(fit.coefficients[0]!.name).toBe('kind=b')
    expect(fit.coefficients[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'covariate-separates-events',
    })
    expect(fit.converged).toBe(false)
    expect(inWords(fit.warnings[0]!)).toBe(
      'The likelihood rises without end in kind=b, as where one group has no event.',
    )
  })

  it('refuses what it cannot answer', () => {
    expect(() => fineGrayRegression(time, cause, { x }, { cause: 5 })).toThrow(
      'no row has an event of cause 5. Expected: at least one event of the cause of interest. Mend: check the number of the cause, or compare nothing.',
    )
    expect(() => fineGrayRegression(time, cause, {})).toThrow(
      'no covariate was given. Expected: at least one covariate. Mend: use the cumulative incidence where there is nothing to adjust for.',
    )
    expect(() => fineGrayRegression(time, cause, { x }, { ties: 'efron', variance: 'robust' })).toThrow(
      "the variance that allows for estimated censoring is known for Breslow's ties only. Expected: Breslow's ties, or a variance that takes the weights as known. Mend: leave ties out, or ask for the variance 'weights-known'.",
    )
  })

  describe('with delayed entry and weights', () => {
    const rows = readColumns('fine_gray_entry')
    const [days, causes, entry, weights, patients] = [rows.time!, rows.cause!, rows.e!, rows.w!, rows.cl!]
    const covariates = { x: rows.x!, z: rows.z! }
    const known = { variance: 'weights-known', censoringTies: 'events-first', cluster: patients } as const

    it('agrees with R (survival 3.5-3: finegray, then coxph with robust variance by patient)', () => {
      const plain = fineGrayRegression(days, causes, covariates, known)
      expectFit(plain, [0.133724301358925, 0.0228028439956769], [0.249308044466528, 0.142073379785289])
      const late = fineGrayRegression(days, causes, covariates, { ...known, entry })
      expectFit(late, [0.2436375488803273, 0.0456153392689539], [0.253038630509035, 0.136490292354639])
      expect(late.logLikelihood).toBeCloseTo(-215.2671398706, 9)
      const model = fineGrayRegression(days, causes, covariates, { entry, variance: 'model' })
      expect(model.coefficients[0]!.standardError).toBeCloseTo(0.275077694916279, 10)
    })

    it('takes a weight for so many rows, as R does for rows written out', () => {
      const twice = weights.map((one) => 2 * one)
      const weighted = fineGrayRegression(days, causes, covariates, { ...known, weights: twice })
      expectFit(weighted, [-0.0260501181935872, -0.0951291191090748], [0.317062596650816, 0.177464862385238])
      const late = fineGrayRegression(days, causes, covariates, { ...known, weights: twice, entry })
      expectFit(late, [0.1121882782803253, -0.0666547176483575], [0.307419002509338, 0.170217440412839])
    })

    it('allows for estimated censoring under weights as for rows written out', () => {
      const counts = weights.map((one) => 2 * one)
      const written = (column: readonly number[]): number[] =>
        column.flatMap((one, row) => Array<number>(counts[row]!).fill(one))
      const weighted = fineGrayRegression(days, causes, covariates, { weights: counts, cluster: patients })
      const rowsWritten = fineGrayRegression(
        written(days),
        written(causes),
        { x: written(covariates.x), z: written(covariates.z) },
        { cluster: written(patients) },
      )
      expect(weighted.coefficients[0]!.standardError).toBeCloseTo(
        rowsWritten.coefficients[0]!.standardError as number,
        9,
      )
    })

    it('refuses a variance that is not known, and weights beside tied events one by one', () => {
      expect(() => fineGrayRegression(days, causes, covariates, { entry, variance: 'robust' })).toThrow(
        'the variance that allows for estimated censoring is not known for delayed entry.',
      )
      expect(() => fineGrayRegression(days, causes, covariates, { weights, ties: 'efron' })).toThrow(
        "ties: 'efron' goes without case weights here.",
      )
    })
  })
})

function expectFit(fit: FineGrayFit, estimates: readonly number[], errors: readonly number[]): void {
  fit.coefficients.forEach((one, j) => {
    expect(one.estimate).toBeCloseTo(estimates[j]!, 9)
    expect(one.standardError).toBeCloseTo(errors[j]!, 9)
  })
}

/** Columns of a table of numbers. */
function readColumns(name: string): Record<string, number[]> {
  const text = readFileSync(new URL(`../../reference/data/${name}.csv`, import.meta.url), 'utf8')
  const [header, ...lines] = text
    .trim()
    .split('\n')
    .map((line) => line.split(','))
  return Object.fromEntries(header!.map((column, at) => [column, lines.map((line) => Number(line[at]))]))
}
