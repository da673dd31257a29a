import { describe, expect, it } from 'vitest'
import {
  correctedForMisclassification,
  eValue,
  eValueOfMeanDifference,
  eValueOfRiskDifference,
  lostScenarios,
  probabilisticMisclassification,
  tippingPoints,
} from '../../src/statistics/sensitivity/index.js'

describe('E-values', () => {
  it('agree with VanderWeele and Ding (2017): 3.9 (1.8 to 8.7) gives 7.26 and 3.0; 0.80 (0.71 to 0.91) 1.81 and 1.43', () => {
    const breast = eValue(3.9, { lower: 1.8, upper: 8.7 })
    expect(breast.eValue).toBeCloseTo(7.26, 2)
    expect(breast.eValueOfLimit).toBeCloseTo(3, 12)
    const below = eValue(0.8, { lower: 0.71, upper: 0.91 })
    expect(below.eValue).toBeCloseTo(1.81, 2)
    expect(below.eValueOfLimit).toBeCloseTo(1.43, 2)
  })

  it('are the same for a ratio and its reciprocal', () => {
    for (const scale of ['risk-ratio', 'odds-ratio-common', 'hazard-ratio-common'] as const) {
      const up = eValue(2.5, { scale, lower: 1.4, upper: 5 })
      const down = eValue(1 / 2.5, { scale, lower: 1 / 5, upper: 1 / 1.4 })
      expect(down.eValue).toBeCloseTo(up.eValue, 12)
      expect(down.eValueOfLimit).toBeCloseTo(up.eValueOfLimit as number, 12)
    }
  })

  it('are 1 where there is nothing to explain', () => {
    expect(eValue(1).eValue).toBe(1)
    expect(eValue(1.2, { lower: 0.9, upper: 1.6 }).eValueOfLimit).toBe(1)
    expect(eValue(2, { towards: 2 }).eValue).toBe(1)
    expect(eValue(2).eValueOfLimit).toMatchObject({ state: 'not-estimable' })
  })

  it('of a risk difference are those of the ratio, and of its limit smaller', () => {
    const small = eValueOfRiskDifference({ events1: 30, total1: 100, events0: 10, total0: 100 })
    expect(small.eValue).toBeCloseTo(3 + Math.sqrt(6), 12)
    expect(small.eValueOfLimit).toBeGreaterThan(1)
    expect(small.eValueOfLimit).toBeLessThan(small.eValue)
    const large = eValueOfRiskDifference({ events1: 3e7, total1: 1e8, events0: 1e7, total0: 1e8 })
    expect(large.eValueOfLimit).toBeCloseTo(large.eValue, 2)
    const flipped = eValueOfRiskDifference({ events1: 10, total1: 100, events0: 30, total0: 100 })
    expect(flipped.eValueOfLimit).toBeCloseTo(small.eValueOfLimit as number, 12)
    expect(flipped.riskRatio).toBeCloseTo(1 / 3, 12)
    expect(eValueOfRiskDifference({ events1: 11, total1: 100, events0: 10, total0: 100 }).eValueOfLimit).toBe(
      1,
    )
  })

  it('of a mean difference go by exp(0.91 d)', () => {
    const answer = eValueOfMeanDifference(-0.42, 0.14)
    expect(answer.riskRatio).toBeCloseTo(Math.exp(-0.91 * 0.42), 14)
    const limit = Math.exp(0.91 * 0.42 - 1.78 * 0.14)
    expect(answer.eValueOfLimit).toBeCloseTo(limit + Math.sqrt(limit * (limit - 1)), 12)
  })

  it.each([
    [
      () => eValue(0),
      'a ratio or standard error is 0. Expected: a finite number above 0. Mend: give ratios as such, not as logarithms.',
    ],
    [
      () => eValue(2, { lower: 3, upper: 4 }),
      'the estimate 2 does not lie within its interval. Expected: lower limit, estimate and upper limit in rising order. Mend: check which limit is which.',
    ],
    [
      () => eValueOfRiskDifference({ events1: 0, total1: 5, events0: 1, total0: 5 }),
      'a group has no events, or more events than units. Expected: at least one event in each group. Mend: a group without events has no ratio; state the exact limits instead.',
    ],
  ])('refuse what has none (%#)', (call, message) => {
    expect(call).toThrow(message)
  })
})

describe('misclassification', () => {
  const table = { events1: 20, total1: 100, events0: 10, total0: 120 }
  const perfect = { sensitivity: 1, specificity: 1 }

  it('leaves the table alone where nothing is misclassified', () => {
    const fit = correctedForMisclassification(table, perfect, perfect)
    expect(fit.riskRatio.estimate).toBeCloseTo(2.4, 12)
    const error = Math.sqrt(1 / 20 - 1 / 100 + 1 / 10 - 1 / 120)
    expect(fit.riskRatio.interval.upper).toBeCloseTo(2.4 * Math.exp(1.959963984540054 * error), 10)
    const exposure = correctedForMisclassification(table, perfect, perfect, { item: 'exposure' })
    const woolf = Math.sqrt(1 / 20 + 1 / 80 + 1 / 10 + 1 / 110)
    const odds = (20 * 110) / (80 * 10)
    expect(exposure.oddsRatio.estimate).toBeCloseTo(odds, 12)
    expect(exposure.oddsRatio.interval.lower).toBeCloseTo(odds * Math.exp(-1.959963984540054 * woolf), 10)
  })

  it('corrects an exposure as worked out in Greenland and Lash (2008): resins and lung cancer, 0.9 each, odds ratio 2.34', () => {
    // 45 of 139 cases and 257 of 1202 controls exposed; typed from memory, arithmetic by hand:
    // (45 − 13.9)/0.8 = 38.875, (257 − 120.2)/0.8 = 171.
    const resins = { events1: 45, total1: 302, events0: 94, total0: 1039 }
    const accuracy = { sensitivity: 0.9, specificity: 0.9 }
    const fit = correctedForMisclassification(resins, accuracy, accuracy, { item: 'exposure' })
    expect(fit.corrected?.events1).toBeCloseTo(38.875, 10)
    expect(fit.corrected?.total1).toBeCloseTo(209.875, 10)
    expect(fit.oddsRatio.estimate).toBeCloseTo(2.34, 2)
  })

  it('says where the accuracies cannot have given the table', () => {
    const fit = correctedForMisclassification(table, { sensitivity: 1, specificity: 0.7 }, perfect)
    expect(fit.corrected).toBeUndefined()
    expect(fit.riskRatio.estimate).toEqual({
      state: 'not-estimable',
      reason: 'accuracies-impossible',
    })
    const useless = { sensitivity: 0.5, specificity: 0.5 }
    expect(correctedForMisclassification(table, useless, useless).corrected).toBeUndefined()
    const none = correctedForMisclassification({ ...table, events0: 0 }, perfect, perfect)
    expect(none.riskRatio.estimate).toMatchObject({ state: 'not-estimable' })
    expect(none.riskDifference.estimate).toBeCloseTo(0.2, 14)
  })

  it('draws accuracies with a seed, and adds sampling error to their spread', () => {
    const belief = {
      sensitivity: { kind: 'trapezoidal', lower: 0.75, lowerMode: 0.85, upperMode: 0.95, upper: 1 },
      specificity: { kind: 'beta', a: 990, b: 10 },
    } as const
    const fit = probabilisticMisclassification(table, belief, { draws: 4000, seed: 3 })
    expect(probabilisticMisclassification(table, belief, { draws: 4000, seed: 3 })).toEqual(fit)
    expect(fit.total.upper - fit.total.lower).toBeGreaterThan(fit.systematic.upper - fit.systematic.lower)
    expect(fit.systematic.median).toBeGreaterThan(2.4)
    expect(fit.impossibleShare).toBe(0)
  })

  it('gives the fixed correction where nothing is uncertain, and the sampling interval around it', () => {
    const exact = (share: number) => ({ kind: 'uniform', lower: share, upper: share }) as const
    const fixed = correctedForMisclassification(
      table,
      { sensitivity: 0.8, specificity: 0.98 },
      { sensitivity: 0.8, specificity: 0.98 },
      { item: 'exposure' },
    )
    const drawn = probabilisticMisclassification(
      table,
      { sensitivity: exact(0.8), specificity: exact(0.98) },
      { item: 'exposure', measure: 'odds-ratio', draws: 20_000 },
    )
    expect(drawn.systematic.median).toBeCloseTo(fixed.oddsRatio.estimate as number, 10)
    expect(Math.log(drawn.total.upper)).toBeCloseTo(Math.log(fixed.oddsRatio.interval.upper as number), 1)
    expect(Math.log(drawn.total.lower)).toBeCloseTo(Math.log(fixed.oddsRatio.interval.lower as number), 1)
  })

  it('draws triangles with the mean that they have', () => {
    const belief = { kind: 'triangular', lower: 0.6, mode: 0.9, upper: 1 } as const
    const fit = probabilisticMisclassification(
      table,
      { sensitivity: belief, specificity: { kind: 'uniform', lower: 1, upper: 1 } },
      { measure: 'risk-difference', draws: 20_000 },
    )
    // Median of the triangle: lower + √(0.5 · 0.4 · 0.3).
    const median = 0.6 + Math.sqrt(0.5 * 0.4 * 0.3)
    expect(fit.systematic.median).toBeCloseTo((0.2 - 10 / 120) / median, 2)
  })

  it('refuses beliefs that are none, and says where all draws fail', () => {
    const sure = { kind: 'uniform', lower: 1, upper: 1 } as const
    const bad = { kind: 'uniform', lower: 0.9, upper: 0.2 } as const
    expect(() => probabilisticMisclassification(table, { sensitivity: bad, specificity: sure })).toThrow(
      'a uniform belief has parameters out of order or range. Expected: limits and modes from 0 to 1 in rising order, or beta parameters above 0. Mend: check the beliefs of sensitivity and specificity.',
    )
    const low = { kind: 'uniform', lower: 0.5, upper: 0.6 } as const
    expect(() =>
      probabilisticMisclassification(table, { sensitivity: sure, specificity: low }, { draws: 50 }),
    ).toThrow('no draw of the accuracies could have given the recorded table.')
    const half = { kind: 'uniform', lower: 0.7, upper: 1 } as const
    expect(
      probabilisticMisclassification(table, { sensitivity: sure, specificity: half }).warnings[0]?.code,
    ).toBe('impossible-draws')
    expect(() => correctedForMisclassification(table, { sensitivity: 2, specificity: 1 }, perfect)).toThrow(
      'sensitivity is 2 and specificity 1. Expected: shares from 0 to 1. Mend: write 90% as 0.9.',
    )
    expect(() => correctedForMisclassification({ ...table, events1: 200 }, perfect, perfect)).toThrow(
      'a group is empty or has more events than units.',
    )
  })
})

describe('the lost', () => {
  const group = { events: 5, observed: 90, lost: 10 }
  const against = { events: 9, observed: 95, lost: 5 }

  it('has the scenarios of hand counting', () => {
    const { scenarios, bounds } = lostScenarios(group, against)
    const difference = Object.fromEntries(scenarios.map((one) => [one.name, one.difference]))
    expect(difference['complete-cases']).toBeCloseTo(5 / 90 - 9 / 95, 14)
    expect(difference['as-observed']).toBeCloseTo(5 / 90 - 9 / 95, 14)
    expect(difference['best-case']).toBeCloseTo(0.05 - 0.14, 14)
    expect(difference['worst-case']).toBeCloseTo(0.15 - 0.09, 14)
    expect(bounds).toEqual({ lower: expect.closeTo(-0.09, 12), upper: expect.closeTo(0.06, 12) })
  })

  it('uses Newcombe’s interval (1998, table II a: 56/70 against 48/80, 0.0524 to 0.3339)', () => {
    const [complete] = lostScenarios(
      { events: 56, observed: 70, lost: 0 },
      { events: 48, observed: 80, lost: 0 },
    ).scenarios
    expect(complete?.interval.lower).toBeCloseTo(0.0524, 4)
    expect(complete?.interval.upper).toBeCloseTo(0.3339, 4)
    const wide = lostScenarios(
      { events: 56, observed: 70, lost: 0 },
      { events: 48, observed: 80, lost: 0 },
      { designEffect: 2 },
    ).scenarios[0]
    expect(wide?.interval.lower).toBeLessThan(0.0524)
  })

  it('tips where one event fewer would not', () => {
    const one = { events: 5, observed: 100, lost: 50 }
    const other = { events: 20, observed: 100, lost: 0 }
    const { conclusion, frontier, tippingRatio } = tippingPoints(one, other)
    expect(conclusion).toBe('lower')
    const tip = frontier[0]?.eventsOfLost as number
    const decided = (own: number): boolean => {
      const filled = { events: one.events + own, observed: 150, lost: 0 }
      return ((lostScenarios(filled, other).scenarios[0]?.interval.upper as number) ?? 1) < 0
    }
    expect(decided(tip - 1)).toBe(true)
    expect(decided(tip)).toBe(false)
    expect(tippingRatio).toBeGreaterThan(1)
  })

  it('tips from above as from below, and not where nothing is lost or decided', () => {
    const higher = tippingPoints(
      { events: 18, observed: 100, lost: 60 },
      { events: 5, observed: 100, lost: 20 },
    )
    expect(higher.conclusion).toBe('higher')
    expect(higher.frontier).toHaveLength(21)
    const stillHigher = (own: number): boolean => {
      const one = { events: 18 + own, observed: 160, lost: 0 }
      const other = { events: 5 + 10, observed: 120, lost: 0 }
      return (lostScenarios(one, other).scenarios[0]?.interval.lower as number) > 0
    }
    const tip = higher.frontier[10]?.eventsOfLost as number
    expect(stillHigher(tip)).toBe(false)
    expect(stillHigher(tip + 1)).toBe(true)
    const open = tippingPoints({ events: 5, observed: 50, lost: 5 }, { events: 6, observed: 50, lost: 5 })
    expect(open).toMatchObject({ conclusion: 'undecided', frontier: [] })
    const sure = tippingPoints({ events: 5, observed: 500, lost: 1 }, { events: 90, observed: 500, lost: 0 })
    expect(sure.frontier[0]?.eventsOfLost).toEqual({ state: 'not-reached', lastTime: 1 })
    expect(sure.tippingRatio).toMatchObject({ state: 'not-reached' })
    const none = tippingPoints({ events: 0, observed: 100, lost: 9 }, { events: 20, observed: 100, lost: 0 })
    expect(none.tippingRatio).toMatchObject({ state: 'not-estimable' })
  })

  it('refuses counts that are none', () => {
    expect(() => lostScenarios({ events: 3, observed: 2, lost: 0 }, against)).toThrow(
      'a group has 3 events among 2 observed and 0 lost. Expected: whole counts, at least one unit observed, and no more events than those. Mend: check the counts.',
    )
    expect(() => lostScenarios(group, against, { designEffect: 0.5 })).toThrow('the design effect is 0.5.')
  })
})
