import { describe, expect, it } from 'vitest'
import { inWords } from '../../src/messages/speaker.js'
import { contingencyTest } from '../../src/statistics/proportions/contingency.js'
import {
  pooledOddsRatio,
  pooledRateRatio,
  pooledRiskDifference,
  pooledRiskRatio,
} from '../../src/statistics/proportions/mantelHaenszel.js'
import { fisherTest, oddsRatio } from '../../src/statistics/proportions/oddsRatio.js'
import { pairedTest, trendTest } from '../../src/statistics/proportions/pairedAndTrend.js'
import type { ProportionMethod } from '../../src/statistics/proportions/proportionLimits.js'
import { proportion, zeroEventLimits } from '../../src/statistics/proportions/proportions.js'
import { homogeneityTest, stratifiedTest } from '../../src/statistics/proportions/stratifiedTests.js'
import { riskDifference, riskRatio } from '../../src/statistics/proportions/twoProportions.js'
import { rateDifference, rateRatio, rateTest } from '../../src/statistics/rates/rateComparison.js'
import { rate, rateInterval } from '../../src/statistics/rates/rates.js'

const methods: readonly ProportionMethod[] = [
  'wilson',
  'wilson-corrected',
  'exact',
  'mid-p',
  'jeffreys',
  'jeffreys-modified',
  'likelihood-ratio',
  'agresti-coull',
  'wald',
  'wald-corrected',
]

function limits(interval: { lower: unknown; upper: unknown }): readonly [number, number] {
  return [interval.lower as number, interval.upper as number]
}

describe('one proportion', () => {
  it('0 of 40 leaves up to 8.8%, in every sense that was asked for', () => {
    const { exactTwoSided, exactOneSided, ruleOfThree } = zeroEventLimits(40)
    expect(exactTwoSided).toBeCloseTo(1 - 0.025 ** (1 / 40), 14)
    expect((exactTwoSided * 100).toFixed(1)).toBe('8.8')
    expect(exactOneSided).toBeCloseTo(1 - 0.05 ** (1 / 40), 14)
    expect(ruleOfThree).toBe(0.075)
    expect(proportion(0, 40, { method: 'exact' }).interval.upper).toBeCloseTo(exactTwoSided, 14)
  })

  it('0 of 177 (Vanlıoğlu 2013, IJOMI 28:1300): exact upper limit 2.06%', () => {
    expect(((proportion(0, 177, { method: 'exact' }).interval.upper as number) * 100).toFixed(2)).toBe('2.06')
  })

  it('keeps ten digits at 10⁷ units and any level', () => {
    // mpmath 1.3, 40 digits: roots of the exact, mid-P and likelihood-ratio equations.
    const rare = { level: 0.99 }
    for (const [method, expected] of [
      ['exact', [3.3786341680649222e-8, 1.0977473116701645e-6]],
      ['mid-p', [4.2044225693318832e-8, 1.035857510179935e-6]],
      ['likelihood-ratio', [4.2014501072369382e-8, 9.898871266141611e-7]],
    ] as const) {
      const found = limits(proportion(3, 10_000_000, { ...rare, method }).interval)
      expect(Math.abs(found[0] / expected[0]! - 1)).toBeLessThan(1e-10)
      expect(Math.abs(found[1] / expected[1]! - 1)).toBeLessThan(1e-10)
    }
  })

  it.each(methods)('%s: no units are tagged; 0 of 1 and 1 of 1 stay within [0, 1]', (method) => {
    expect(proportion(0, 0, { method }).interval).toEqual({
      lower: { state: 'not-estimable', reason: 'no-units' },
      upper: { state: 'not-estimable', reason: 'no-units' },
    })
    for (const events of [0, 1]) {
      const [lower, upper] = limits(proportion(events, 1, { method, level: 0.999 }).interval)
      expect(lower).toBeGreaterThanOrEqual(0)
      expect(upper).toBeLessThanOrEqual(1)
      expect(lower).toBeLessThanOrEqual(upper)
    }
  })

  it('refuses what is no count', () => {
    expect(() => proportion(1.5, 3)).toThrow(
      'events is 1.5. Expected: a whole number, zero or more. Mend: pass events as a count.',
    )
    expect(() => proportion(-1, 3)).toThrow(/events is -1/)
    expect(() => proportion(Number.NaN, 3)).toThrow(/events of proportion is NaN/)
    expect(() => proportion(4, 3)).toThrow(
      'there are 4 events among 3. Expected: no more events than units. Mend: count at most one event per unit, or ask for a rate.',
    )
    expect(() => proportion(1, 3, { level: 95 })).toThrow(/confidence level is 95/)
    expect(() => zeroEventLimits(0)).toThrow(
      'n is 0. Expected: at least one unit. Mend: nothing can be said of no units; leave the group out.',
    )
  })
})

describe('one rate', () => {
  it('without time or events says so', () => {
    expect(rate(0, 0).estimate).toHaveProperty('reason', 'no-time-at-risk')
    expect(rateInterval(0, 10, { method: 'byar' }).lower).toHaveProperty('reason', 'no-event-observed')
    expect(rate(0, 10).standardError).toBeUndefined()
    expect(() => rate(1, -2)).toThrow(
      'timeAtRisk is -2. Expected: a finite number, zero or more. Mend: correct timeAtRisk.',
    )
    expect(() => rate(1, 2, { per: 0 })).toThrow(
      'per is 0. Expected: a finite number above zero. Mend: correct per.',
    )
  })

  it('a million events: Garwood agrees with R qgamma', () => {
    const [lower, upper] = limits(rateInterval(1_000_000, 1))
    // R 4.2: qgamma(0.025, 1e6), qgamma(0.975, 1e6 + 1).
    expect(Math.abs(lower / 998040.98334029387 - 1)).toBeLessThan(1e-12)
    expect(Math.abs(upper / 1001961.9119454322 - 1)).toBeLessThan(1e-12)
  })
})

describe('two groups at their ends', () => {
  const none = { events: 0, n: 12 }
  const all = { events: 9, n: 9 }
  const some = { events: 4, n: 10 }
  const empty = { events: 0, n: 0 }

  it('ratios run to 0 or without bound, or have none', () => {
    expect(riskRatio(some, none).estimate).toEqual({ state: 'unbounded', direction: 'above' })
    expect(riskRatio(some, none).interval.upper).toEqual({ state: 'unbounded', direction: 'above' })
    expect(riskRatio(none, some).interval.lower).toBe(0)
    expect(riskRatio(none, { events: 0, n: 3 }).estimate).toHaveProperty('reason', 'no-event-in-either-group')
    expect(riskRatio(none, some, { method: 'log-wald' }).interval.lower).toHaveProperty(
      'state',
      'not-estimable',
    )
    expect(oddsRatio(all, none, { method: 'exact' }).estimate).toEqual({
      state: 'unbounded',
      direction: 'above',
    })
    expect(oddsRatio(all, all, { method: 'exact' }).estimate).toHaveProperty('state', 'not-estimable')
    expect(oddsRatio(none, some, { method: 'median-unbiased' }).estimate).toHaveProperty(
      'reason',
      'cell-empty',
    )
    expect(oddsRatio(none, some).interval.upper).toHaveProperty('reason', 'cell-empty')
    expect(oddsRatio(all, none, { method: 'half-added' }).estimate).toBeCloseTo(
      (9.5 / 0.5) * (12.5 / 0.5),
      10,
    )
    for (const answer of [riskDifference(empty, some), riskRatio(some, empty), oddsRatio(empty, some)]) {
      expect(answer.estimate).toHaveProperty('reason', 'group-without-units')
    }
  })

  it('score limits hold at both ends of the difference', () => {
    for (const method of ['newcombe', 'newcombe-corrected', 'score', 'miettinen-nurminen'] as const) {
      for (const [one, two] of [
        [all, none],
        [none, all],
        [all, all],
        [none, none],
        [some, none],
      ] as const) {
        const { estimate, interval } = riskDifference(one, two, { method, level: 0.5 })
        const [lower, upper] = limits(interval)
        expect(lower).toBeGreaterThanOrEqual(-1)
        expect(upper).toBeLessThanOrEqual(1)
        expect(lower).toBeLessThanOrEqual(estimate as number)
        expect(upper).toBeGreaterThanOrEqual(estimate as number)
      }
    }
  })

  it('Fisher’s test of a table without margin is 1', () => {
    expect(fisherTest(none, { events: 0, n: 3 })).toMatchObject({
      pValue: 1,
      pLess: 1,
      pGreater: 1,
      pDoubled: 1,
    })
  })

  it('rates: no time, no events, one group without', () => {
    const idle = { events: 0, timeAtRisk: 0 }
    const quiet = { events: 0, timeAtRisk: 10 }
    const busy = { events: 3, timeAtRisk: 5 }
    expect(rateRatio(busy, idle).estimate).toHaveProperty('reason', 'group-without-time-at-risk')
    expect(rateTest(busy, idle).scorePValue).toHaveProperty('reason', 'group-without-time-at-risk')
    expect(rateDifference(idle, busy).interval.lower).toHaveProperty('reason', 'group-without-time-at-risk')
    expect(rateRatio(quiet, quiet).interval).toEqual({
      lower: 0,
      upper: { state: 'unbounded', direction: 'above' },
    })
    expect(rateTest(quiet, quiet)).toMatchObject({ pValue: 1, midPDoubled: 1 })
    expect(rateTest(quiet, quiet).scoreStatistic).toHaveProperty('reason', 'no-event-in-either-group')
    expect(rateRatio(busy, quiet).interval.upper).toEqual({ state: 'unbounded', direction: 'above' })
    expect(rateRatio(busy, quiet, { method: 'log-wald' }).interval.lower).toHaveProperty(
      'state',
      'not-estimable',
    )
  })
})

describe('tables, pairs and trends', () => {
  it('rows and columns without counts take their degrees of freedom along', () => {
    const whole = contingencyTest([
      [3, 0, 5],
      [0, 0, 0],
      [2, 0, 9],
    ])
    const reduced = contingencyTest([
      [3, 5],
      [2, 9],
    ])
    expect(whole.statistic).toBe(reduced.statistic)
    expect(whole.degreesOfFreedom).toBe(1)
    expect(whole.warnings[0]?.code).toBe('empty-margin')
    expect(contingencyTest([[0, 0]]).pValue).toHaveProperty('state', 'not-estimable')
    expect(contingencyTest([]).pValue).toHaveProperty('state', 'not-estimable')
    expect(() => contingencyTest([[1, 2], [3]])).toThrow(
      'a row of the table has 1 counts where the first has 2. Expected: rows of one length. Mend: write 0 where nothing was counted.',
    )
    expect(() => contingencyTest([[1, 2, 3]], { statistic: 'yates' })).toThrow(
      'the table has 1 rows and 3 columns. Expected: two by two for Yates’s correction. Mend: ask for the statistic without correction.',
    )
  })

  it('a table of 3 × 10⁷ keeps its digits', () => {
    const table = [
      [1_000_100, 8_999_900],
      [1_000_000, 9_000_000],
    ]
    const difference = 1_000_100 / 1e7 - 0.1
    const p = 2_000_100 / 2e7
    const expected = difference ** 2 / (p * (1 - p) * (2 / 1e7))
    expect(Math.abs((contingencyTest(table).statistic as number) / expected - 1)).toBeLessThan(1e-9)
    const g = contingencyTest(table, { statistic: 'likelihood-ratio' }).statistic as number
    expect(Math.abs(g / expected - 1)).toBeLessThan(1e-3)
  })

  it('no pair disagrees: tagged; equal splits: P is 1', () => {
    expect(pairedTest(0, 0).pValue).toHaveProperty('reason', 'no-pair-differs')
    expect(pairedTest(0, 0).oddsRatio.estimate).toHaveProperty('reason', 'no-pair-differs')
    expect(pairedTest(4, 4)).toMatchObject({ exactPValue: 1, midPValue: 1, correctedStatistic: 0 })
    expect(pairedTest(3, 0).oddsRatio.estimate).toEqual({ state: 'unbounded', direction: 'above' })
  })

  it('a trend needs outcomes and scores that vary', () => {
    expect(trendTest([0, 0], [5, 5], [1, 2]).statistic).toHaveProperty('state', 'not-estimable')
    expect(trendTest([1, 2], [5, 5], [1, 1]).pValue).toHaveProperty('state', 'not-estimable')
    const padded = trendTest([1, 0, 3], [5, 0, 5], [1, 7, 2])
    expect(padded.statistic).toBeCloseTo(trendTest([1, 3], [5, 5], [1, 2]).statistic as number, 12)
    expect(padded.departureDegreesOfFreedom).toBe(0)
  })
})

describe('strata', () => {
  const stratum = (a: number, n1: number, c: number, n2: number) => ({
    group: { events: a, n: n1 },
    against: { events: c, n: n2 },
  })

  it('one stratum gives its own measures', () => {
    const one = [stratum(5, 20, 2, 30)]
    expect(pooledOddsRatio(one).estimate).toBeCloseTo((5 * 28) / (15 * 2), 12)
    expect(pooledRiskRatio(one).estimate).toBeCloseTo(5 / 20 / (2 / 30), 12)
    expect(pooledRiskDifference(one).estimate).toBeCloseTo(5 / 20 - 2 / 30, 12)
    const rates = [{ group: { events: 5, timeAtRisk: 20 }, against: { events: 2, timeAtRisk: 30 } }]
    const pooled = pooledRateRatio(rates)
    expect(pooled.estimate).toBeCloseTo(5 / 20 / (2 / 30), 12)
    expect(pooled.standardError?.value).toBeCloseTo(Math.sqrt(1 / 5 + 1 / 2), 12)
    expect(pooledRiskDifference(one, { variance: 'greenland-robins' }).standardError?.value).toBeCloseTo(
      Math.sqrt((0.25 * 0.75) / 20 + ((2 / 30) * (28 / 30)) / 30),
      12,
    )
  })

  it('strata without both groups or both outcomes add nothing to the tests, and are counted', () => {
    const informative = [stratum(3, 10, 1, 12), stratum(4, 15, 5, 14)]
    const padded = [...informative, stratum(0, 8, 0, 9), stratum(4, 4, 6, 6), stratum(2, 5, 0, 0)]
    expect(stratifiedTest(padded).statistic).toBe(stratifiedTest(informative).statistic)
    const test = homogeneityTest(padded)
    expect(test.statistic).toBeCloseTo(homogeneityTest(informative).statistic as number, 12)
    expect(test.degreesOfFreedom).toBe(1)
    expect(inWords(test.warnings[0]!)).toBe('3 strata without both groups and both outcomes were left out.')
  })

  it('no events in one group: the ratio is 0 or unbounded, without interval', () => {
    const zero = [stratum(0, 10, 3, 12), stratum(0, 8, 1, 9)]
    expect(pooledOddsRatio(zero).estimate).toBe(0)
    expect(pooledOddsRatio(zero).interval.lower).toHaveProperty('reason', 'group-without-event-or-all')
    expect(homogeneityTest(zero).statistic).toHaveProperty('reason', 'common-odds-ratio-extreme')
    expect(pooledRiskRatio([stratum(2, 5, 0, 6)]).estimate).toEqual({
      state: 'unbounded',
      direction: 'above',
    })
    expect(pooledRiskRatio([]).estimate).toHaveProperty('state', 'not-estimable')
    expect(pooledRiskDifference([stratum(1, 2, 0, 0)]).estimate).toHaveProperty('state', 'not-estimable')
    expect(stratifiedTest([]).pValue).toHaveProperty('state', 'not-estimable')
    expect(homogeneityTest([stratum(1, 2, 1, 2)]).pValue).toHaveProperty('state', 'not-estimable')
  })
})

describe('a rate', () => {
  it('has the error of its logarithm, one over the root of the events, and none without events', () => {
    expect(rate(16, 200, { per: 100 })).toMatchObject({
      estimate: 8,
      standardError: { value: 0.25, scale: 'log rate' },
      n: 16,
      clusters: 16,
      warnings: [],
    })
    expect(rate(0, 200)).not.toHaveProperty('standardError')
    expect(rate(16, 200, { n: 40 }).n).toBe(40)
  })
})
