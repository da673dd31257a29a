import { describe, expect, it } from 'vitest'
import { HoldfastError } from '../../../src/core/errors.js'
import { inWords } from '../../../src/messages/speaker.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { coxResiduals } from '../../../src/statistics/hazardModels/coxResiduals.js'
import { robustScoreTest } from '../../../src/statistics/hazardModels/coxTests.js'
import { frailtyRegression } from '../../../src/statistics/hazardModels/frailty.js'

const messageOf = (call: () => unknown): string => {
  try {
    call()
  } catch (thrown) {
    expect(thrown).toBeInstanceOf(HoldfastError)
    return (thrown as Error).message
  }
  throw new Error('no error was thrown')
}
const codes = (fit: { warnings: readonly { code: string }[] }): string[] =>
  fit.warnings.map((one) => one.code)

const times = { time: [1, 2, 3, 4, 5, 6], event: [1, 1, 0, 1, 1, 0] }
const x = [1, 0, 1, 1, 0, 0]

describe('Cox regression of awkward data', () => {
  it('says that nothing can be compared where no event was observed', () => {
    const fit = coxRegression({ time: [1, 2, 3], event: [0, 0, 0] }, { x: [1, 0, 1] })
    expect(fit.hazardRatios[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'covariate-does-not-vary-at-risk',
    })
    expect(fit.likelihoodRatioTest.pValue).toMatchObject({ state: 'not-estimable' })
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'No event was observed: nothing can be compared.',
    ])
    expect(fit.logLikelihood).toBe(0)
  })

  it('gives no ratio where one group has no event, and names the mend', () => {
    const fit = coxRegression({ time: [1, 2, 3, 4], event: [1, 1, 0, 0] }, { group: [1, 1, 0, 0] })
    expect(fit.hazardRatios[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'separated',
    })
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'The likelihood rises without end in group, as where one group has no event. Use the Firth-penalised fit.',
    ])
    expect(fit.converged).toBe(false)
    expect(fit.scoreTest.statistic).toBeTypeOf('number')
    expect(fit.waldTest.statistic).toMatchObject({ state: 'not-estimable' })
  })

  it('keeps the one limit that a separated covariate has by its profile', () => {
    const fit = coxRegression(
      { time: [1, 2, 3, 4, 5, 6, 7, 8], event: [1, 1, 1, 1, 0, 0, 0, 0] },
      { group: [1, 1, 1, 1, 0, 0, 0, 0] },
      { interval: 'profile' },
    )
    const { lower, upper } = fit.hazardRatios[0]!.interval
    // ℓ(β) = Σ log(r / (k r + 4)), k = 4 … 1; ℓ(∞) = −ln 24. The limit solves 2(ℓ(∞) − ℓ(β)) = 3.8415.
    const r = lower as number
    const logLikelihood = [4, 3, 2, 1].reduce((sum, k) => sum + Math.log(r / (k * r + 4)), 0)
    expect(2 * (-Math.log(24) - logLikelihood)).toBeCloseTo(3.841458820694124, 8)
    expect(upper).toEqual({ state: 'unbounded', direction: 'above' })
  })

  it('keeps the other ratios where one covariate separates', () => {
    const fit = coxRegression(times, { x, late: [0, 0, 0, 0, 0, 1] })
    expect(fit.hazardRatios[0]!.estimate).toBeTypeOf('number')
    expect(fit.hazardRatios[1]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.covariance[0]![1]).toMatchObject({ state: 'not-estimable' })
    expect(messageOf(() => coxResiduals(times, { x, late: [0, 0, 0, 0, 0, 1] }))).toBe(
      'late has no log hazard ratio in these data. Expected: covariates that vary among those at risk and do not separate the events from the rest. Mend: leave out late, merge sparse levels, or use the Firth-penalised fit.',
    )
  })

  it('refuses a constant covariate by name, one row alone among them', () => {
    const message =
      'covariate jaw has the same value in every row that counts. Expected: a covariate that differs between rows. Mend: leave jaw out of the model.'
    expect(messageOf(() => coxRegression(times, { jaw: [2, 2, 2, 2, 2, 2] }))).toBe(message)
    expect(messageOf(() => coxRegression({ time: [3], event: [1] }, { jaw: [2] }))).toBe(message)
  })

  it('refuses collinear covariates by name', () => {
    expect(messageOf(() => coxRegression(times, { x, y: [5, 1, 2, 0, 3, 1], z: [13, 3, 7, 3, 7, 3] }))).toBe(
      'covariate z is fixed by x, y: it adds nothing of its own. Expected: covariates of which none is a sum of multiples of the others. Mend: leave out z or one of x, y, or merge sparse levels.',
    )
  })

  it('sets apart a covariate that the strata fix', () => {
    const fit = coxRegression(
      times,
      { x: [1, 0, 1, 0, 1, 0], side: [1, 1, 1, 0, 0, 0] },
      { strata: ['a', 'a', 'a', 'b', 'b', 'b'] },
    )
    expect(fit.hazardRatios[0]!.estimate).toBeTypeOf('number')
    expect(fit.hazardRatios[1]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(codes(fit)).toEqual(['no-variation-at-risk'])
  })

  it('gives no robust interval for one cluster, and says so', () => {
    const fit = coxRegression(times, { x }, { cluster: [7, 7, 7, 7, 7, 7] })
    expect(fit.hazardRatios[0]!.estimate).toBeTypeOf('number')
    expect(fit.hazardRatios[0]!.interval.lower).toEqual({
      state: 'not-estimable',
      reason: 'one-cluster',
    })
    expect(codes(fit)).toEqual(['one-cluster'])
  })

  it('takes every time tied', () => {
    const fit = coxRegression({ time: [5, 5, 5, 5], event: [1, 1, 1, 0] }, { x: [1, 0, 1, 0] })
    expect(fit.hazardRatios[0]!.estimate).toBeTypeOf('number')
    const allEvents = coxRegression(
      { time: [5, 5, 5], event: [1, 1, 1] },
      { x: [1, 0, 1] },
      { ties: 'exact' },
    )
    expect(allEvents.hazardRatios[0]!.estimate).toMatchObject({ state: 'not-estimable' })
  })

  it('counts an event at time 0 with all at risk', () => {
    const fit = coxRegression({ time: [0, 2, 3], event: [1, 1, 0] }, {})
    expect(fit.events).toBe(2)
    expect(fit.logLikelihood).toBeCloseTo(-Math.log(3) - Math.log(2), 12)
  })

  it('refuses negative times, missing values, odd events and empty intervals in words', () => {
    expect(messageOf(() => coxRegression({ time: [1, -2], event: [1, 0] }, { x: [0, 1] }))).toBe(
      'column time holds a negative value, first in row 2 of 2. Expected: zero or more in every row. Mend: correct or leave out the rows with negative time.',
    )
    expect(messageOf(() => coxRegression(times, { age: [1, Number.NaN, 2, 3, 4, 5] }))).toBe(
      'column age holds a missing or infinite value, first in row 2 of 6. Expected: a finite number in every row. Mend: leave out rows without age, or impute them, before the call.',
    )
    expect(messageOf(() => coxRegression({ time: [1, 2], event: [1, 2] }, { x: [0, 1] }))).toContain('event')
    expect(
      messageOf(() => coxRegression({ start: [0, 2], stop: [1, 2], event: [1, 1] }, { x: [0, 1] })),
    ).toBe(
      'start is not before stop, first in row 2 of 2. Expected: an interval (start, stop] of some length in every row. Mend: leave out rows without time at risk; where an event at time 0 counts, give start −1 to rows at risk from the origin on.',
    )
    expect(messageOf(() => coxRegression(times, { x: [1, 0] }))).toContain('columns of one length')
    expect(messageOf(() => robustScoreTest(times, { x }, ['a', 'b', '', 'a', 'b', 'a']))).toBe(
      'column cluster has no usable entry, first in row 3 of 6. Expected: a text or a finite number in every row, all of one kind. Mend: leave out rows without cluster, or give them a label of their own.',
    )
  })

  it('refuses a covariate whose squares leave the range of numbers', () => {
    expect(
      messageOf(() => coxRegression({ time: [1, 2, 3], event: [1, 1, 1] }, { x: [1e-300, 0, 1e-300] })),
    ).toBe(
      'covariate x reaches 1e-300 at most. Expected: numbers between 1e-100 and 1e+100, so that their squares can be computed. Mend: give x in another unit.',
    )
  })

  it('has states instead of a frailty where nobody had the event', () => {
    const fit = frailtyRegression(
      { time: [1, 2, 3, 4], event: [0, 0, 0, 0] },
      { x: [1, 0, 1, 0] },
      [1, 1, 2, 2],
    )
    expect(fit.hazardRatios[0]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.frailtyVariance.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.frailtyVariance.test.pValue).toMatchObject({ state: 'not-estimable' })
    expect(fit.warnings.map((one) => one.code)).toEqual(['no-event-to-compare'])
  })

  it('refuses options that contradict each other', () => {
    expect(messageOf(() => coxRegression(times, { x }, { ties: 'exact', weights: [1, 1, 1, 1, 1, 2] }))).toBe(
      "ties: 'exact' goes with neither weights nor robust variance. Expected: options that go together. Mend: use ties: 'efron', or leave weights and clusters out.",
    )
    expect(
      messageOf(() => coxRegression(times, { x }, { interval: 'profile', cluster: [1, 1, 2, 2, 3, 3] })),
    ).toBe(
      "profile-likelihood limits take rows of one cluster for independent. Expected: options that go together. Mend: use interval: 'wald', or say variance: 'model'.",
    )
  })

  it('takes rows of weight 0 for absent and never writes to its input', () => {
    const frozen = {
      time: Float64Array.from([...times.time, 1]),
      event: Uint8Array.from([...times.event, 1]),
      x: Float64Array.from([...x, 9]),
      weights: Float64Array.from([1, 1, 1, 1, 1, 1, 0]),
    }
    const copies = structuredClone(frozen)
    const fit = coxRegression(
      { time: frozen.time, event: frozen.event },
      { x: frozen.x },
      { weights: frozen.weights, variance: 'model' },
    )
    const without = coxRegression(times, { x })
    expect(fit.hazardRatios[0]!.logHazardRatio).toBeCloseTo(
      without.hazardRatios[0]!.logHazardRatio as number,
      12,
    )
    expect(fit.n).toBe(6)
    expect(frozen).toEqual(copies)
    expect(Object.isFrozen(fit) && Object.isFrozen(fit.hazardRatios[0])).toBe(true)
  })

  it('fits no covariates at all', () => {
    const fit = coxRegression(times, {})
    expect(fit.hazardRatios).toEqual([])
    expect(fit.logLikelihood).toBe(fit.logLikelihoodAtZero)
  })

  it('compares a level with its baseline by name', () => {
    const fit = coxRegression(times, { site: ['b', 'a', 'b', 'a', 'b', 'a'] })
    expect(fit.hazardRatios[0]).toMatchObject({ name: 'site=b', comparator: { group: 'b', against: 'a' } })
  })

  it('stays finite for covariates of any unit', () => {
    const plain = coxRegression(times, { x: [3, 1, 4, 1, 5, 9] })
    const scaled = coxRegression(times, { x: [3, 1, 4, 1, 5, 9].map((one) => 1e9 + 1e-3 * one) })
    expect(scaled.hazardRatios[0]!.logHazardRatio as number).toBeCloseTo(
      1e3 * (plain.hazardRatios[0]!.logHazardRatio as number),
      1,
    )
  })
})
