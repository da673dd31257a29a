import { describe, expect, it } from 'vitest'
import { coxRegression } from '../../../src/statistics/regression/cox.js'
import { fineGrayRegression } from '../../../src/statistics/regression/fineGray.js'

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
    expect(doubled.warnings.map((one) => one.code)).toEqual(['few-clusters'])
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
      reason: 'the covariate separates the events from the rest',
    })
    expect(fit.converged).toBe(false)
    expect(fit.warnings[0]!.text).toBe(
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
})
