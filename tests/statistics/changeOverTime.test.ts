import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { compareAtEqualFollowUp, segmentedChange } from '../../src/statistics/rates/changeOverTime.js'
import { cutExposure } from '../../src/statistics/rates/exposureBands.js'
import { expectClose, refusal } from './regression/closeTo.js'

describe('time at risk in bands', () => {
  it('cuts each row where it passes an edge, and joins bands without events', () => {
    const cut = cutExposure([10, 4, 7], [1, 0, 1], [3, 5])
    // No event up to 3 or from 3 to 5: one band.
    expect(cut.bands).toEqual([{ fromDays: 0, toDays: 10, events: 2, exposureDays: 21 }])
    const two = cutExposure([10, 2, 7, 0, 0], [1, 1, 0, 1, 0], [3])
    expect(two.bands).toEqual([
      { fromDays: 0, toDays: 3, events: 2, exposureDays: 8.5 },
      { fromDays: 3, toDays: 10, events: 1, exposureDays: 11 },
    ])
    expect(Array.from(two.row)).toEqual([0, 0, 1, 2, 2, 3])
    expect(two.rowsWithoutTime).toBe(1)
  })

  it('keeps events and time whatever the edges', () => {
    const random = randomStream(4)
    const times = Array.from({ length: 200 }, () => Math.ceil(900 * random.uniform()))
    const events = times.map(() => (random.uniform() < 0.3 ? 1 : 0))
    const cut = cutExposure(times, events, [100, 365.25, 700])
    const sum = (values: ArrayLike<number>): number => Array.from(values).reduce((a, b) => a + b, 0)
    expect(sum(cut.event)).toBe(sum(events))
    expect(sum(cut.exposureDays)).toBeCloseTo(sum(times), 6)
  })
})

describe('segmented Poisson regression', () => {
  it('gives the ratio of the rates where there is neither trend nor band', () => {
    const fit = segmentedChange([1, 1, 9, 9], [4, 2, 4, 2], [1, 1, 1, 0], {
      changeDay: 5,
      trends: 'none',
      bandEdgesDays: [],
    })
    expectClose([fit.levelChange.ratio], [1 / 6 / (2 / 6)], 1e-12)
    expect(fit.before).toEqual({ n: 2, events: 2 })
    expect(fit.after).toEqual({ n: 2, events: 1 })
    expect(fit).not.toHaveProperty('trendBefore')
  })

  it('finds the change that the data were made with', () => {
    // Rate 0.3 a year, falling 10% for each year of delivery, halved at day 0 of the count; 6,000 rows, 2 a patient.
    const random = randomStream(31)
    const delivery = Array.from({ length: 6000 }, () => Math.floor(-1460 + 2920 * random.uniform()))
    const effect = 0.5
    const rows = delivery.map((day) => {
      const rate = 0.3 * Math.exp(-0.1 * (day / 365.25)) * (day >= 0 ? effect : 1)
      const time = (365.25 * random.exponential()) / rate
      const end = 200 + 1500 * random.uniform()
      return { time: Math.max(1, Math.ceil(Math.min(time, end))), event: time <= end ? 1 : 0 }
    })
    const fit = segmentedChange(
      delivery,
      rows.map((one) => one.time),
      rows.map((one) => one.event),
      { changeDay: 0, cluster: delivery.map((_, row) => row >> 1) },
    )
    expect(fit.clusters).toBe(3000)
    for (const [found, truth] of [
      [fit.levelChange, Math.log(effect)],
      [fit.trendBefore!, -0.1],
      [fit.trendAfter!, -0.1],
      [fit.trendChange!, 0],
    ] as const) {
      expect(Math.abs((found.estimate as number) - truth)).toBeLessThan(4 * (found.standardError as number))
    }
    const sum = (fit.trendBefore!.estimate as number) + (fit.trendChange!.estimate as number)
    expect(fit.trendAfter!.estimate).toBeCloseTo(sum, 12)
    expect(fit.trendAfter!.name).toBe('trend-after')
  })

  it('adjusts for covariates by row', () => {
    const fit = segmentedChange(
      [0, 1, 2, 3, 10, 11, 12, 13],
      [5, 4, 6, 2, 4, 5, 3, 6],
      [1, 0, 1, 1, 0, 1, 1, 0],
      {
        changeDay: 5,
        trends: 'none',
        covariates: { jaw: ['u', 'l', 'u', 'l', 'u', 'l', 'u', 'l'] },
      },
    )
    expect(fit.fit.coefficients.map((one) => one.name)).toContain('jaw=u')
  })

  it('refuses a change that lies outside the deliveries, and trends without days to see them', () => {
    expect(refusal(() => segmentedChange([1, 2], [3, 4], [1, 0], { changeDay: 9 })).message).toBe(
      '2 rows were delivered before the change and 0 from then on. Expected: deliveries on both sides of the change. Mend: check the day of the change, or widen the period.',
    )
    expect(
      refusal(() => segmentedChange([1, 1, 9, 9], [4, 2, 4, 2], [1, 1, 1, 0], { changeDay: 5 })).code,
    ).toBe('collinear-covariate')
  })
})

describe('comparison at equal follow-up', () => {
  it('forgets what happened beyond the shorter follow-up', () => {
    // Old deliveries: events at 4 and 2 years of 6; new ones watched for 3. Only the event at 2 counts before.
    const compared = compareAtEqualFollowUp([1, 1, 1, 9, 9, 9], [4, 2, 6, 3, 1, 3], [1, 1, 0, 0, 1, 0], {
      changeDay: 5,
    })
    expect(compared.horizonDays).toBe(3)
    expect(compared.groups.map((one) => [one.group, one.events])).toEqual([
      ['after', 1],
      ['before', 1],
    ])
    expectClose([(compared.differences[0]!.estimate as number) + 1], [1], 1e-12)
    expectClose([compared.rateRatio.ratio], [1 / 7 / (1 / 8)], 1e-12)
  })

  it('refuses one side', () => {
    expect(refusal(() => compareAtEqualFollowUp([1], [3], [1], { changeDay: 0 })).code).toBe(
      'one-sided-change',
    )
  })
})
