import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  correctedForMisclassification,
  eValue,
  lostScenarios,
} from '../../src/statistics/sensitivity/index.js'
import {
  censoringWeights,
  covariateBalance,
  propensityWeights,
} from '../../src/statistics/weighting/index.js'

const rows = fc
  .array(
    fc.record({
      treated: fc.integer({ min: 0, max: 1 }),
      score: fc.double({ min: 0.02, max: 0.98, noNaN: true }),
      age: fc.integer({ min: 18_000, max: 90_000 }).map((days) => days / 365.25),
      weight: fc.double({ min: 0.1, max: 5, noNaN: true }),
    }),
    { minLength: 4, maxLength: 40 },
  )
  .filter((all) => new Set(all.map(({ treated }) => treated)).size === 2)

describe('properties of weighting', () => {
  it('mirrors weights when groups change names', () => {
    fc.assert(
      fc.property(rows, fc.constantFrom('average' as const, 'overlap' as const), (all, target) => {
        const forth = propensityWeights(
          all.map(({ treated }) => treated),
          all.map(({ score }) => score),
          { target },
        )
        const back = propensityWeights(
          all.map(({ treated }) => 1 - treated),
          all.map(({ score }) => 1 - score),
          { target },
        )
        forth.weights.forEach((weight, i) => {
          expect(back.weights[i]).toBeCloseTo(weight, 9)
        })
        const { effectiveSize, rows: counted } = forth.treated
        expect(effectiveSize).toBeLessThanOrEqual(counted + 1e-9)
        expect(effectiveSize).toBeGreaterThan(0)
      }),
      { seed: 41 },
    )
  })

  it('measures balance whatever the unit, and turns with the groups', () => {
    fc.assert(
      fc.property(rows, (all) => {
        const treated = all.map((row) => row.treated)
        const age = all.map((row) => row.age)
        fc.pre(new Set(age).size > 2)
        const weights = all.map((row) => row.weight)
        const plain = covariateBalance(treated, { age }, weights).rows[0]
        const other = covariateBalance(treated, { age: age.map((one) => 12 * one + 100) }, weights).rows[0]
        const turned = covariateBalance(
          treated.map((one) => 1 - one),
          { age },
          weights,
        ).rows[0]
        const difference = plain?.after.standardisedDifference
        fc.pre(typeof difference === 'number')
        const value = difference as number
        expect(Math.abs((other?.after.standardisedDifference as number) - value)).toBeLessThan(
          1e-7 * (1 + Math.abs(value)),
        )
        expect(Math.abs((turned?.after.standardisedDifference as number) + value)).toBeLessThan(
          1e-9 * (1 + Math.abs(value)),
        )
      }),
      { seed: 42 },
    )
  })

  it('lets known rows stand in for all', () => {
    const followUp = fc.array(fc.tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 0, max: 2 })), {
      minLength: 3,
      maxLength: 50,
    })
    fc.assert(
      fc.property(followUp, (all) => {
        const time = all.map(([one]) => one)
        const event = all.map(([, one]) => one)
        const horizon = Math.max(...time)
        const { weights } = censoringWeights(time, event, horizon)
        expect(weights.reduce((a, b) => a + b, 0)).toBeCloseTo(all.length, 8)
      }),
      { seed: 43 },
    )
  })
})

describe('properties of sensitivity', () => {
  it('explains a ratio by a confounder at least as strong', () => {
    fc.assert(
      fc.property(fc.double({ min: 1.001, max: 50, noNaN: true }), (ratio) => {
        const e = eValue(ratio).eValue
        // The bias factor of a confounder with both ratios e is e² / (2e − 1).
        expect((e * e) / (2 * e - 1)).toBeCloseTo(ratio, 8)
      }),
      { seed: 44 },
    )
  })

  it('undoes the misclassification that it is told of', () => {
    const counts = fc.tuple(
      fc.integer({ min: 5, max: 60 }),
      fc.integer({ min: 80, max: 200 }),
      fc.integer({ min: 5, max: 60 }),
      fc.integer({ min: 80, max: 200 }),
    )
    const accuracy = fc.record({
      sensitivity: fc.double({ min: 0.7, max: 1, noNaN: true }),
      specificity: fc.double({ min: 0.7, max: 1, noNaN: true }),
    })
    fc.assert(
      fc.property(counts, accuracy, accuracy, ([events1, total1, events0, total0], first, second) => {
        const recorded = (x: number, n: number, { sensitivity, specificity }: typeof first): number =>
          sensitivity * x + (1 - specificity) * (n - x)
        const seen = {
          events1: recorded(events1, total1, first),
          total1,
          events0: recorded(events0, total0, second),
          total0,
        }
        const { corrected } = correctedForMisclassification(seen, first, second)
        expect(corrected?.events1).toBeCloseTo(events1, 8)
        expect(corrected?.events0).toBeCloseTo(events0, 8)
      }),
      { seed: 45 },
    )
  })

  it('holds every scenario between its bounds', () => {
    const group = fc
      .tuple(fc.nat(50), fc.integer({ min: 1, max: 80 }), fc.nat(40))
      .map(([events, more, lost]) => ({ events, observed: events + more, lost }))
    fc.assert(
      fc.property(group, group, (one, other) => {
        const { scenarios, bounds } = lostScenarios(one, other)
        for (const { difference } of scenarios.slice(1)) {
          expect(difference).toBeGreaterThanOrEqual((bounds.lower as number) - 1e-12)
          expect(difference).toBeLessThanOrEqual((bounds.upper as number) + 1e-12)
        }
      }),
      { seed: 46 },
    )
  })
})
