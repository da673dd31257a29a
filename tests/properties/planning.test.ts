import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  detectableHazardRatio,
  detectableProportion,
  eventsForLogRank,
  inflatedSize,
  plannedDesignEffect,
  sizeForZeroEvents,
  sizesForTwoProportions,
  timeForTwoRates,
} from '../../src/statistics/planning/index.js'

const share = (min = 0.02, max = 0.98) => fc.double({ min, max, noNaN: true })

describe('properties of planning', () => {
  it('needs as many events for a ratio as for its reciprocal, and detects what it plans for', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1.05, max: 8, noNaN: true }),
        share(0.1, 0.9),
        share(0.5, 0.99),
        (ratio, w, power) => {
          const options = { allocation: w, power }
          const { events } = eventsForLogRank(ratio, options)
          expect(eventsForLogRank(1 / ratio, options).events / events).toBeCloseTo(1, 10)
          const back = detectableHazardRatio(events, options)
          expect(back.above).toBeCloseTo(ratio, 9)
          expect(back.below * back.above).toBeCloseTo(1, 12)
        },
      ),
      { seed: 21 },
    )
  })

  it('needs more for more power, for a smaller effect, and with the continuity correction', () => {
    fc.assert(
      fc.property(
        share(0.05, 0.4),
        share(0.05, 0.3),
        fc.double({ min: 0.3, max: 3, noNaN: true }),
        (p, step, ratio) => {
          const plan = (second: number, power: number) => sizesForTwoProportions(p, second, { power, ratio })
          const near = plan(p + step, 0.8)
          expect(plan(p + step, 0.9).first).toBeGreaterThan(near.first)
          expect(plan(p + step / 2, 0.8).first).toBeGreaterThan(near.first)
          expect(near.firstWithContinuity).toBeGreaterThan(near.first)
          expect(near.firstRoundedUp).toBeGreaterThanOrEqual(near.first - 1e-9)
        },
      ),
      { seed: 22 },
    )
  })

  it('does not care which group is called first, nor which outcome is called the event', () => {
    fc.assert(
      fc.property(share(), share(), (p, q) => {
        fc.pre(Math.abs(p - q) > 0.01)
        const one = sizesForTwoProportions(p, q).first
        expect(sizesForTwoProportions(q, p).first / one).toBeCloseTo(1, 9)
        expect(sizesForTwoProportions(1 - p, 1 - q).first / one).toBeCloseTo(1, 9)
      }),
      { seed: 23 },
    )
  })

  it('finds again the proportion that it planned for', () => {
    fc.assert(
      fc.property(share(0.05, 0.5), share(0.05, 0.4), (p, step) => {
        const { first } = sizesForTwoProportions(p, p + step)
        expect(detectableProportion(p, first).above).toBeCloseTo(p + step, 7)
      }),
      { seed: 24 },
    )
  })

  it('scales time at risk with the unit of time', () => {
    fc.assert(
      fc.property(share(0.01, 2), fc.double({ min: 1.1, max: 5, noNaN: true }), (rate, times) => {
        const years = timeForTwoRates(rate, rate * times)
        const days = timeForTwoRates(rate / 365.25, (rate * times) / 365.25)
        expect(days.timeForLogRatio / years.timeForLogRatio).toBeCloseTo(365.25, 7)
        expect(days.eventsForLogRatio / years.eventsForLogRatio).toBeCloseTo(1, 9)
      }),
      { seed: 25 },
    )
  })

  it('inflates by no less than one', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 2, noNaN: true }),
        share(0.001, 0.9),
        (size, correlation, coefficientOfVariation, lostShare) => {
          const effect = plannedDesignEffect(size, correlation, { coefficientOfVariation })
          expect(effect.equal).toBeGreaterThanOrEqual(1)
          expect(effect.unequal).toBeGreaterThanOrEqual(effect.equal - 1e-12)
          expect(inflatedSize(100, { designEffect: effect.equal, lostShare }).size).toBeGreaterThanOrEqual(
            100,
          )
        },
      ),
      { seed: 26 },
    )
  })

  it('rules out a risk with as many as the exact limit says', () => {
    fc.assert(
      fc.property(share(0.0001, 0.5), (risk) => {
        const { exactRoundedUp } = sizeForZeroEvents(risk)
        expect((1 - risk) ** exactRoundedUp).toBeLessThanOrEqual(0.05 + 1e-12)
        expect((1 - risk) ** (exactRoundedUp - 1)).toBeGreaterThan(0.05 - 1e-12)
      }),
      { seed: 27 },
    )
  })
})
