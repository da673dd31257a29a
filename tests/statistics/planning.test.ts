import { describe, expect, it } from 'vitest'
import {
  detectableHazardRatio,
  detectableProportion,
  eventsForHazardRatioPrecision,
  eventsForLogRank,
  eventsForRatePrecision,
  inflatedSize,
  plannedDesignEffect,
  simulatedPower,
  sizeForDifferenceWidth,
  sizeForLogRank,
  sizeForProportionWidth,
  sizeForZeroEvents,
  sizesForTwoProportions,
  timeForTwoRates,
  unitsForDifference,
} from '../../src/statistics/planning/index.js'
import { robustLogRank } from '../../src/statistics/planning/simulatedPower.js'
import { proportion } from '../../src/statistics/proportions/proportions.js'
import { referenceTable } from './referenceTable.js'

describe('planning by formula', () => {
  it('detects the ratio that the events were planned for', () => {
    const { events } = eventsForLogRank(1.7, { power: 0.9, allocation: 0.3 })
    expect(detectableHazardRatio(events, { power: 0.9, allocation: 0.3 }).above).toBeCloseTo(1.7, 12)
  })

  it('turns events into units by the share that has one', () => {
    // Risks 0.1 and 1 − √0.9 = 0.0513: share 0.07566; 65.3457 events (Schoenfeld) over that share.
    const planned = sizeForLogRank(0.5, 0.1)
    expect(planned.eventShare).toBeCloseTo((0.1 + 1 - Math.sqrt(0.9)) / 2, 14)
    expect(planned.size).toBeCloseTo(65.3456592588709 / ((1.1 - Math.sqrt(0.9)) / 2), 8)
  })

  it('finds the proportion that a size can tell (R 4.2.2, power.prop.test(n = 199, p1 = .1, power = .8): 0.19999)', () => {
    expect(detectableProportion(0.1, 199).above).toBeCloseTo(0.1999884, 4)
    expect(detectableProportion(0.1, 5).below).toBeUndefined()
  })

  it('plans Wilson’s interval to the width asked for', () => {
    const { size } = sizeForProportionWidth(0.2, 0.1)
    const n = Math.round(size)
    const { lower, upper } = proportion(Math.round(0.2 * n), n, { method: 'wilson' }).interval
    expect((upper as number) - (lower as number)).toBeCloseTo(0.1, 2)
    // No events expected: the width is z² / (n + z²), here 0.05.
    expect(sizeForProportionWidth(0, 0.05).size).toBeCloseTo(3.841458820694124 * 19, 6)
  })

  it('plans a difference of risks whose interval is as narrow as asked for, with what likeness and loss make of it', () => {
    // Half width z √(p(1 − p)(1/n₁ + 1/n₂)) of two independent proportions of one risk.
    const quantiles = { 0.95: 1.959963984540054, 0.8: 1.2815515655446004 }
    for (const [level, z] of Object.entries(quantiles)) {
      for (const [shareOfGroup, inflation] of [
        [0.5, 1],
        [0.2, 1],
        [0.3, 1.7],
      ] as const) {
        const asked = { risk: 0.12, shareOfGroup, halfWidth: 0.04, inflation, level: Number(level) }
        const { units } = unitsForDifference(asked)
        const halfWidth = (n: number): number =>
          z * Math.sqrt(0.12 * 0.88 * inflation * (1 / (n * shareOfGroup) + 1 / (n * (1 - shareOfGroup))))
        expect(halfWidth(units)).toBeLessThanOrEqual(0.04)
        expect(halfWidth(units - 1)).toBeGreaterThan(0.04)
      }
    }
    const right = { risk: 0.1, shareOfGroup: 0.5, halfWidth: 0.02, inflation: 1 }
    for (const wrong of [{ risk: 0 }, { risk: 1 }, { shareOfGroup: 1 }, { halfWidth: 0 }, { inflation: 0 }]) {
      expect(() => unitsForDifference({ ...right, ...wrong })).toThrow('lies outside its range')
    }
  })

  it('plans rates and ratios to the spread asked for', () => {
    // Garwood (1936) limits: 35 events 24.38 to 48.68 (ratio 1.997), 34 events 23.55 to 47.51 (ratio 2.018).
    expect(eventsForRatePrecision(2).size).toBe(35)
    expect(eventsForRatePrecision(500).size).toBe(1)
    const z = 1.959963984540054
    const { size } = eventsForHazardRatioPrecision(3)
    expect(Math.exp(2 * z * Math.sqrt(4 / size))).toBeCloseTo(3, 10)
    expect(sizeForDifferenceWidth(0.5, 0.5, 0.2).size).toBeCloseTo(z ** 2 * 50, 8)
  })

  it('keeps whole sizes whole', () => {
    expect(inflatedSize(200, { designEffect: 1.07 }).sizeRoundedUp).toBe(214)
    expect(plannedDesignEffect(1, 0.3)).toMatchObject({ equal: 1, unequal: 1 })
  })

  it('rules out a risk by the exact limit', () => {
    const { exact } = sizeForZeroEvents(0.02, { level: 0.9 })
    expect((1 - 0.02) ** exact).toBeCloseTo(0.1, 12)
  })

  it.each([
    [
      () => eventsForLogRank(1),
      'both hazards are 1: there is no effect to plan for. Expected: the smallest difference that would matter. Mend: give two values that differ.',
    ],
    [
      () => eventsForLogRank(-1),
      'hazardRatio is -1. Expected: a finite number above 0. Mend: check hazardRatio.',
    ],
    [
      () => sizesForTwoProportions(0, 0.1),
      'first is 0. Expected: a share between 0 and 1, both excluded. Mend: write 5% as 0.05, and check first.',
    ],
    [() => timeForTwoRates(0.1, 0.1), 'both rates are 0.1'],
    [
      () => eventsForLogRank(2, { power: 0.02 }),
      'a power of 0.02 is no more than chance gives at alpha 0.05. Expected: a power above half of alpha, such as 0.8. Mend: ask for more power.',
    ],
    [
      () => plannedDesignEffect(2, 1.1),
      'intraclassCorrelation is 1.1. Expected: a number from 0 to 1. Mend: check intraclassCorrelation.',
    ],
    [
      () => sizeForProportionWidth(1.2, 0.1),
      'the expected proportion is 1.2. Expected: a share from 0 to 1. Mend: write 5% as 0.05.',
    ],
    [
      () => simulatedPower({ patients: 10, hazardRatio: 1, risk: 0.1, unitsPerPatient: [0.5, 0.2] }),
      'unitsPerPatient sums to 0.7. Expected: probabilities of 1, 2, 3, … units that sum to 1. Mend: divide the counts of patients by their total.',
    ],
    [
      () => simulatedPower({ patients: 10, hazardRatio: 1, risk: 0.1, followUpYears: [3, 1] }),
      'follow-up runs from 3 to 1 years. Expected: the shortest follow-up first, then the longest. Mend: change the two round.',
    ],
  ])('refuses what cannot be planned (%#)', (call, message) => {
    expect(call).toThrow(message)
  })
})

describe('robustLogRank', () => {
  it('agrees with R survival 3.5-3 on the kidney catheters (score residuals summed by patient)', () => {
    const kidney = referenceTable('kidney_cluster')
    const id = kidney.numbers('id').map((x) => x - 1)
    const group = kidney.numbers('sex').map((x) => x - 1)
    const test = robustLogRank(kidney.numbers('time'), kidney.numbers('status'), group, id, 38)
    expect(test.score).toBeCloseTo(-7.81343835992604, 10)
    expect(test.variance).toBeCloseTo(19.0799225333821, 10)
    expect(test).toMatchObject({ events: 58, clusters: 38 })
  })
})

describe('simulatedPower', () => {
  it('agrees with Schoenfeld where units are independent and checks frequent', () => {
    // 66 events for a hazard ratio of 0.5 and a power of 0.8 (Schoenfeld 1983).
    const { sizeRoundedUp } = sizeForLogRank(0.5, 0.4)
    const { power, meanEvents, monteCarloStandardError } = simulatedPower(
      {
        patients: sizeRoundedUp,
        hazardRatio: 0.5,
        risk: 0.4,
        horizonYears: 5,
        recallYears: 0.1,
        recallSpreadDays: 3,
      },
      { replicates: 1500, seed: 4 },
    )
    expect(meanEvents).toBeCloseTo(65, -1)
    expect(Math.abs(power - 0.8)).toBeLessThan(4 * monteCarloStandardError + 0.015)
  })

  it('keeps its level where patients share units, frailty and allocation', () => {
    const { power } = simulatedPower(
      {
        patients: 150,
        hazardRatio: 1,
        risk: 0.3,
        frailtyVariance: 1,
        unitsPerPatient: [0.4, 0.3, 0.2, 0.1],
        lostPerYear: 0.05,
      },
      { replicates: 1500, seed: 5 },
    )
    expect(power).toBeGreaterThan(0.03)
    expect(power).toBeLessThan(0.07)
  })

  it('gives the same answer for the same seed, and another for another', () => {
    const design = { patients: 60, hazardRatio: 2, risk: 0.3, reportedAtOnce: 0.5, shape: 0.8 }
    const first = simulatedPower(design, { replicates: 200, seed: 8 })
    expect(simulatedPower(design, { replicates: 200, seed: 8 })).toEqual(first)
    expect(simulatedPower(design, { replicates: 200, seed: 9 }).meanEvents).not.toBe(first.meanEvents)
    expect(Object.isFrozen(first)).toBe(true)
  })

  it('counts studies that cannot be tested', () => {
    const { untestable, warnings } = simulatedPower(
      { patients: 3, hazardRatio: 1, risk: 0.001 },
      { replicates: 50 },
    )
    expect(untestable).toBeGreaterThan(40)
    expect(warnings[0]?.code).toBe('untestable-replicates')
  })
})
