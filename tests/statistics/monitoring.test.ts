import { describe, expect, it } from 'vitest'
import {
  casesBetweenChart,
  daysBetweenChart,
  ewmaChart,
  exactRunLength,
  funnelLimits,
  funnelPlot,
  limitForRunLength,
  riskAdjustedChart,
  simulatedRunLength,
} from '../../src/statistics/monitoring/index.js'

describe('funnelPlot', () => {
  const events = [5, 2, 30, 8, 4, 12, 1, 9, 20, 3, 6, 2]
  const sizes = [100, 80, 90, 120, 60, 200, 50, 70, 150, 90, 110, 95]

  it('finds over-dispersion as computed in R 4.2.2 by the formulas of Spiegelhalter (2005)', () => {
    const { target, overDispersion } = funnelPlot(events, sizes)
    expect(target).toBeCloseTo(102 / 1215, 14)
    expect(overDispersion.factor).toBeCloseTo(2.428327098420843, 12)
    expect(overDispersion.betweenVariance).toBeCloseTo(0.00126999914655392, 12)
    expect(overDispersion).toMatchObject({ beyondChance: true, applied: 'multiplicative' })
  })

  it('widens limits only as told', () => {
    const plain = funnelPlot(events, sizes, { overDispersion: 'none' })
    const wide = funnelPlot(events, sizes)
    const added = funnelPlot(events, sizes, { overDispersion: 'additive' })
    expect(plain.units[2]?.position).toBe('above-outer')
    const root = Math.sqrt(2.428327098420843)
    wide.units.forEach((unit, i) => {
      const limit = plain.units[i]?.limits[3] as number
      expect(unit.limits[3]).toBeCloseTo(wide.target + (limit - wide.target) * root, 12)
      expect(unit.z).toBeCloseTo(unit.zCorrected * root, 12)
      expect(added.units[i]?.limits[3]).toBeGreaterThan(limit)
    })
    expect(plain.warnings.map(({ code }) => code)).toEqual(['over-dispersed'])
    expect(wide.warnings.map(({ code }) => code)).toEqual(['limits-widened'])
  })

  it('leaves limits alone where units differ by chance', () => {
    const alike = Array.from({ length: 12 }, (_, i) => 3 + 2 * (i % 4))
    const { overDispersion } = funnelPlot(
      alike,
      alike.map(() => 100),
    )
    expect(overDispersion).toMatchObject({ beyondChance: false, applied: 'none' })
    expect(overDispersion.factor).toBeGreaterThan(0.5)
    expect(overDispersion.factor).toBeLessThan(1.5)
  })

  it('does not let one of few units hide itself', () => {
    const three = funnelPlot([5, 2, 30], [100, 80, 90], { target: 0.05 })
    expect(three.units.map(({ position }) => position)).toEqual(['within', 'within', 'above-outer'])
    expect(three.warnings.map(({ code }) => code)).toEqual(['few-units', 'over-dispersed'])
  })

  it('takes one clinic, and expected events', () => {
    const one = funnelPlot([4], [80])
    expect(one.units[0]).toMatchObject({ z: 0, position: 'within' })
    const expected = funnelPlot([12, 0], [5.5, 6], { family: 'poisson' })
    expect(expected.units.map(({ position }) => position)).toEqual(['above-inner', 'below-inner'])
  })

  it('names what it cannot use', () => {
    expect(() => funnelPlot([], [])).toThrow(
      'there are no units. Expected: at least one clinic or operator. Mend: pass one entry per unit.',
    )
    expect(() => funnelPlot([5], [4])).toThrow('unit 1 has more events than cases.')
    expect(() => funnelPlot([0, 0], [10, 10])).toThrow(
      'the target is 0. Expected: a proportion between 0 and 1. Mend: use the proportion over all units, or an agreed standard.',
    )
    expect(() => funnelPlot([1], [10], { tails: [0.025] })).toThrow('1 of 1 tails lie below one half.')
    expect(() => funnelLimits([0], 0.1)).toThrow('size 1 is 0.')
    expect(() => funnelLimits([10], 0.1, { tails: [1] })).toThrow('a tail is 1.')
    expect(() => funnelPlot([1], [10], { winsorised: 0.5 })).toThrow('the winsorised share is 0.5.')
    expect(() => funnelPlot([Number.NaN], [10])).toThrow('column events holds a missing')
  })
})

describe('riskAdjustedChart', () => {
  it('starts again after a signal where told, and says so where none came', () => {
    const events = [1, 1, 1, 1]
    const risks = [0.1, 0.1, 0.1, 0.1]
    const chart = riskAdjustedChart(events, risks, 1, { restart: true })
    expect(chart.signals).toEqual([2, 4])
    expect(riskAdjustedChart(events, risks, 1).signals).toEqual([2, 3, 4])
    expect(riskAdjustedChart(events, risks, 9).firstSignal).toEqual({ state: 'not-reached', lastTime: 4 })
    expect(chart).toMatchObject({ n: 4, events: 4 })
  })

  it('refuses what makes no chart', () => {
    expect(() => riskAdjustedChart([1], [1.2], 1)).toThrow(
      'column risks leaves the range from 0 to 1, first in case 1 of 1. Expected: the expected risk of each case as a share. Mend: write 5% as 0.05.',
    )
    expect(() => riskAdjustedChart([1], [0.2], 0)).toThrow('the limit is 0.')
    expect(() => riskAdjustedChart([1], [0.2], 1, { toDetect: 1 })).toThrow(
      'the odds ratios are 1 (in order) and 1 (to be found).',
    )
    expect(() => riskAdjustedChart([2], [0.2], 1)).toThrow('column events holds something other than 0 and 1')
  })
})

describe('run length', () => {
  it('agrees with the gambler’s walk', () => {
    // A fair walk reflected at 0 takes h(h + 1) steps to h.
    const fair = [
      { score: 1, probability: 0.5 },
      { score: -1, probability: 0.5 },
    ]
    for (const h of [1, 2, 5, 40]) expect(exactRunLength(fair, h)).toBeCloseTo(h * (h + 1), 8)
  })

  it('keeps its digits where runs are of astronomic length', () => {
    // Runs of h events in a row at risk p: (p^−h − 1) / (1 − p), since a single non-event throws the sum back to 0.
    const rare = [
      { score: 1, probability: 0.01 },
      { score: -12, probability: 0.99 },
    ]
    const exact = (1e24 - 1) / 0.99
    expect((exactRunLength(rare, 12) as number) / exact).toBeCloseTo(1, 12)
  })

  it('agrees with a direct solution, from any start', () => {
    const steps = [
      { score: 3, probability: 0.2 },
      { score: 0, probability: 0.1 },
      { score: -2, probability: 0.7 },
    ]
    const direct = iterated(steps, 8)
    direct.forEach((length, start) => {
      expect(exactRunLength(steps, 8, { start })).toBeCloseTo(length, 6)
    })
  })

  it('scales scores that are no whole numbers, and refuses those without a common step', () => {
    const halves = [
      { score: 4.5, probability: 0.1 },
      { score: -0.5, probability: 0.9 },
    ]
    const whole = halves.map(({ score, probability }) => ({ score: 2 * score, probability }))
    expect(exactRunLength(halves, 9)).toBeCloseTo(exactRunLength(whole, 18) as number, 9)
    const odd = [
      { score: Math.SQRT2, probability: 0.1 },
      { score: -1, probability: 0.9 },
    ]
    expect(() => exactRunLength(odd, 5)).toThrow('the scores are not whole multiples of any step')
    expect(typeof exactRunLength(odd, 5, { unit: 0.01 })).toBe('number')
  })

  it('is unbounded where no score rises', () => {
    expect(exactRunLength([{ score: -1, probability: 1 }], 3)).toEqual({
      state: 'unbounded',
      direction: 'above',
    })
    expect(() => exactRunLength([{ score: 1, probability: 0.4 }], 3)).toThrow(
      'the probabilities of the scores sum to 0.4.',
    )
  })

  it('simulates what the chain gives', () => {
    const risk = 0.1
    const up = Math.log(2) - Math.log1p(risk)
    const down = -Math.log1p(risk)
    const steps = [
      { score: up, probability: risk },
      { score: down, probability: 1 - risk },
    ]
    const chain = exactRunLength(steps, 2, { unit: 0.0005 }) as number
    const { mean, monteCarloStandardError } = simulatedRunLength([risk], 2, { replicates: 2000, seed: 6 })
    expect(Math.abs(mean - chain)).toBeLessThan(4 * monteCarloStandardError + 0.02 * chain)
  })

  it('finds the limit for a run length, the same for the same seed', () => {
    const risks = [0.02, 0.05, 0.1, 0.2]
    const found = limitForRunLength(risks, 150, { replicates: 400, seed: 2 })
    expect(found.mean).toBeCloseTo(150, 0)
    expect(limitForRunLength(risks, 150, { replicates: 400, seed: 2 })).toEqual(found)
    const again = simulatedRunLength(risks, found.limit, { replicates: 400, seed: 77 })
    expect(Math.abs(again.mean - 150)).toBeLessThan(5 * again.monteCarloStandardError)
    const worse = simulatedRunLength(risks, found.limit, { replicates: 400, seed: 77, truth: 2 })
    expect(worse.mean).toBeLessThan(again.mean)
  })

  it('says which runs were stopped, and refuses nothing to draw from', () => {
    expect(simulatedRunLength([0.1], 50, { replicates: 3, longest: 20 }).warnings[0]?.code).toBe(
      'stopped-runs',
    )
    expect(() => simulatedRunLength([], 1)).toThrow('there are no risks to draw cases from.')
    expect(() => limitForRunLength([0.1], 1)).toThrow('the wanted run length is 1.')
  })
})

describe('charts of what lies between events', () => {
  it('has quantiles that the geometric distribution gives', () => {
    const chart = casesBetweenChart([18, 18, 18])
    // P(gap ≤ k) = 1 − (18/19)^(k + 1); smallest k with at least 0.99865.
    const k = chart.upperProbabilityLimit as number
    expect(1 - (18 / 19) ** (k + 1)).toBeGreaterThanOrEqual(0.99865)
    expect(1 - (18 / 19) ** k).toBeLessThan(0.99865)
    expect(chart.warnings.map(({ code }) => code)).toEqual(['few-gaps'])
    expect(chart).toMatchObject({ n: 57, events: 3 })
  })

  it('flags a long gap against an earlier baseline', () => {
    const gaps = [5, 7, 3, 6, 4, 90]
    expect(casesBetweenChart(gaps, { baseline: 5 })).toMatchObject({ mean: 5, above: [6] })
    expect(casesBetweenChart([0, 0]).upperProbabilityLimit).toBe(0)
  })

  it('reads days by the exponential distribution', () => {
    const chart = daysBetweenChart([10, 30, 20, 400], { baseline: 3, latestDays: 60 })
    expect(chart.upperLimitDays).toBeCloseTo(-20 * Math.log(0.00135), 12)
    expect(chart.above).toEqual([4])
    expect(chart.chanceOfLatest).toBeCloseTo(Math.exp(-3), 12)
    expect(daysBetweenChart([0, 0], { latestDays: 3 }).chanceOfLatest).toMatchObject({
      state: 'not-estimable',
    })
  })

  it('refuses what has no gaps', () => {
    expect(() => casesBetweenChart([])).toThrow('there are no gaps between events.')
    expect(() => casesBetweenChart([1], { baseline: 2 })).toThrow('the baseline holds 2 of 1 gaps.')
    expect(() => daysBetweenChart([1], { tail: 0.6 })).toThrow('the tail is 0.6.')
  })
})

describe('ewmaChart', () => {
  it('agrees with the worked example of the NIST/SEMATECH e-Handbook, section 6.3.2.4 (printed to two decimals)', () => {
    const readings = [
      52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6,
      52.1,
    ]
    const printed = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
      49.92, 50.73, 51.23, 51.94, 51.99,
    ]
    const chart = ewmaChart(readings, { centre: 50, standardDeviation: 2.0539, weight: 0.3 })
    chart.rows.forEach(({ average }, i) => {
      expect(Math.abs(average - (printed[i] as number))).toBeLessThan(0.0051)
    })
    expect(chart.rows[19]?.upper).toBeCloseTo(52.5884, 3)
    expect(chart.rows[19]?.lower).toBeCloseTo(47.4115, 3)
    expect(chart.firstSignal).toEqual({ state: 'not-reached', lastTime: 20 })
  })

  it('has the limits of an average that has only begun (Lucas and Saccucci 1990), from the weights of the readings', () => {
    const chart = ewmaChart([50, 50, 50, 50], { centre: 50, standardDeviation: 2, weight: 0.3, width: 2.7 })
    chart.rows.forEach(({ lower, upper }, i) => {
      const weights = Array.from({ length: i + 1 }, (_, back) => 0.3 * 0.7 ** back)
      const deviation = 2 * Math.sqrt(weights.reduce((sum, one) => sum + one * one, 0))
      expect(upper).toBeCloseTo(50 + 2.7 * deviation, 10)
      expect(lower).toBeCloseTo(50 - 2.7 * deviation, 10)
    })
  })

  it('finds a drift', () => {
    const readings = Array.from({ length: 30 }, (_, i) => 35 + (i % 2 === 0 ? 0.5 : -0.5) + (i > 15 ? 1 : 0))
    expect(ewmaChart(readings, { baseline: 15 }).firstSignal).toBeGreaterThan(16)
  })

  it('refuses what gives no limits', () => {
    expect(() => ewmaChart([])).toThrow('there are no readings.')
    expect(() => ewmaChart([1, 1, 1])).toThrow('the standard deviation of a reading is 0.')
    expect(() => ewmaChart([1])).toThrow('the baseline holds 1 of 1 readings.')
    expect(() => ewmaChart([1, 2], { weight: 0 })).toThrow('the weight is 0 and the width 3.')
  })
})

/** Mean times to the limit by iterating the equations until they stand. */
function iterated(steps: readonly { score: number; probability: number }[], limit: number): number[] {
  let times = Array.from({ length: limit }, () => 0)
  for (let round = 0; round < 20_000; round++) {
    times = times.map(
      (_, state) =>
        1 +
        steps.reduce((sum, { score, probability }) => {
          const next = Math.max(0, state + score)
          return sum + (next >= limit ? 0 : probability * (times[next] as number))
        }, 0),
    )
  }
  return times
}
