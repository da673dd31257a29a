import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  casesBetweenChart,
  deviceAgreement,
  ewmaChart,
  exactRunLength,
  funnelLimits,
  riskAdjustedChart,
} from '../../src/statistics/monitoring/index.js'

describe('properties of monitoring', () => {
  it('orders limits by their tails, and narrows them with size', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 20, max: 3000 }),
        fc.double({ min: 0.02, max: 0.5, noNaN: true }),
        (n, target) => {
          const [small, large] = funnelLimits([n, 16 * n], target)
          const exact = small?.exact as readonly number[]
          for (let i = 1; i < exact.length; i++) expect(exact[i]).toBeGreaterThan(exact[i - 1] as number)
          expect((large?.exact[3] as number) - (large?.exact[0] as number)).toBeLessThan(
            (exact[3] as number) - (exact[0] as number),
          )
        },
      ),
      { seed: 31 },
    )
  })

  it('never lets a branch fall below zero, and ends at what happened less what was expected', () => {
    const cases = fc.array(
      fc.tuple(fc.integer({ min: 0, max: 1 }), fc.double({ min: 0.001, max: 0.9, noNaN: true })),
      { minLength: 1, maxLength: 80 },
    )
    fc.assert(
      fc.property(cases, (rows) => {
        const events = rows.map(([event]) => event)
        const risks = rows.map(([, risk]) => risk)
        const chart = riskAdjustedChart(events, risks, 2)
        for (const { up, down } of chart.rows) expect(Math.min(up, down)).toBeGreaterThanOrEqual(0)
        const last = chart.rows.at(-1)?.observedLessExpected as number
        expect(last).toBeCloseTo(chart.events - chart.expectedEvents, 9)
        const swapped = riskAdjustedChart(events, risks, 2, { toDetect: 0.5 })
        expect(swapped.rows.map(({ up }) => up)).toEqual(chart.rows.map(({ down }) => down))
      }),
      { seed: 32 },
    )
  })

  it('runs longer to a higher limit, and shorter at a higher risk', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 9 }),
        fc.integer({ min: 3, max: 25 }),
        fc.double({ min: 0.05, max: 0.5, noNaN: true }),
        (score, limit, risk) => {
          const length = (h: number, p: number): number =>
            exactRunLength(
              [
                { score, probability: p },
                { score: -1, probability: 1 - p },
              ],
              h,
            ) as number
          expect(length(limit + 1, risk)).toBeGreaterThanOrEqual(length(limit, risk) * (1 - 1e-12))
          expect(length(limit, risk * 1.5)).toBeLessThanOrEqual(length(limit, risk) * (1 + 1e-12))
          expect(length(limit, risk)).toBeGreaterThanOrEqual(Math.ceil(limit / score))
        },
      ),
      { seed: 33 },
    )
  })

  it('moves charts with their readings', () => {
    const readings = fc.array(fc.double({ min: 20, max: 40, noNaN: true }), { minLength: 3, maxLength: 30 })
    fc.assert(
      fc.property(readings, (values) => {
        const plain = ewmaChart(values, { centre: 30, standardDeviation: 2 })
        const moved = ewmaChart(
          values.map((value) => 3 * value + 5),
          { centre: 95, standardDeviation: 6 },
        )
        moved.rows.forEach(({ average, upper }, i) => {
          expect(average).toBeCloseTo(3 * (plain.rows[i]?.average as number) + 5, 9)
          expect(upper).toBeCloseTo(3 * (plain.rows[i]?.upper as number) + 5, 9)
        })
        expect(moved.signals).toEqual(plain.signals)
      }),
      { seed: 34 },
    )
  })

  it('does not depend on the order of gaps in its limits', () => {
    const gaps = fc.array(fc.integer({ min: 0, max: 200 }), { minLength: 2, maxLength: 30 })
    fc.assert(
      fc.property(gaps, (values) => {
        const forth = casesBetweenChart(values)
        const back = casesBetweenChart([...values].reverse())
        expect(back.upperLimit).toBeCloseTo(forth.upperLimit, 9)
        expect(back.above.length).toBe(forth.above.length)
      }),
      { seed: 35 },
    )
  })

  it('turns agreement round when the devices change places', () => {
    const pairs = fc.array(
      fc.tuple(fc.double({ min: 20, max: 40, noNaN: true }), fc.double({ min: 20, max: 40, noNaN: true })),
      { minLength: 3, maxLength: 25 },
    )
    fc.assert(
      fc.property(pairs, (rows) => {
        const one = rows.map(([a]) => a)
        const other = rows.map(([, b]) => b)
        const forth = deviceAgreement(one, other, { tolerance: 3 })
        const back = deviceAgreement(other, one, { tolerance: 3 })
        expect(back.bias.estimate).toBeCloseTo(-(forth.bias.estimate as number), 9)
        expect(back.lowerLimit.interval.lower).toBeCloseTo(-(forth.upperLimit.interval.upper as number), 8)
        expect(back.withinTolerance?.estimate).toBe(forth.withinTolerance?.estimate)
      }),
      { seed: 36 },
    )
  })
})
