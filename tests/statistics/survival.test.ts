import { describe, expect, it } from 'vitest'
import { nelsonAalen } from '../../src/statistics/curves/cumulativeHazard.js'
import { lifeTable } from '../../src/statistics/curves/lifeTable.js'
import {
  compareRestrictedMeans,
  restrictedMeanSurvivalTime,
} from '../../src/statistics/curves/restrictedMean.js'
import { kaplanMeier, kaplanMeierByGroup } from '../../src/statistics/curves/survival.js'
import { curveCutTime, survivalAt } from '../../src/statistics/curves/survivalAt.js'
import { survivalQuantiles } from '../../src/statistics/curves/survivalQuantiles.js'

const codes = (warnings: readonly { readonly code: string }[]): string[] => warnings.map((one) => one.code)

describe('product-limit curve', () => {
  it('is that of a hand-worked example', () => {
    // 1 event of 5, 1 censored, 1 event of 3, 2 censored: S = 4/5, then 4/5 · 2/3 (worked by hand)
    const curve = kaplanMeier([1, 2, 3, 4, 4], [1, 0, 1, 0, 0])
    expect(curve.rows.map((row) => row.time)).toEqual([0, 1, 2, 3, 4])
    expect(curve.rows.map((row) => row.atRisk)).toEqual([5, 5, 4, 3, 2])
    expect(curve.rows.map((row) => row.survival)).toEqual([1, 0.8, 0.8, 0.8 * (2 / 3), 0.8 * (2 / 3)])
    const greenwood = 0.8 * (2 / 3) * Math.sqrt(1 / 20 + 1 / 6)
    expect(curve.rows[4]!.standardError).toBeCloseTo(greenwood, 14)
    expect([curve.n, curve.events, curve.clusters, curve.lastTime]).toEqual([5, 2, 5, 4])
  })

  it('counts an event at time 0 at time 0', () => {
    const curve = kaplanMeier([0, 0, 3, 4], [1, 0, 1, 0])
    expect(curve.rows[0]).toMatchObject({ time: 0, atRisk: 4, events: 1, censored: 1, survival: 0.75 })
    const entered = kaplanMeier([0, 0, 3, 4], [1, 0, 1, 0], { entry: [0, 0, 0, 0] })
    expect(entered.rows).toEqual(curve.rows)
  })

  it('says what cannot be had: nothing but censoring, one subject, all at once', () => {
    const censored = kaplanMeier([2, 3], [0, 0])
    expect(censored.rows.map((row) => row.survival)).toEqual([1, 1, 1])
    expect(censored.rows[2]!.lower).toEqual({
      state: 'not-estimable',
      reason: 'scale-at-one',
    })
    expect(kaplanMeier([2, 3], [0, 0], { interval: 'log' }).rows[2]).toMatchObject({ lower: 1, upper: 1 })
    const one = kaplanMeier([5], [1])
    expect(one.rows[1]).toMatchObject({
      survival: 0,
      standardError: { state: 'not-estimable', reason: 'curve-at-zero' },
      upper: { state: 'not-estimable', reason: 'curve-at-zero' },
    })
    const tied = kaplanMeier([5, 5, 5, 5], [1, 0, 1, 0])
    expect(tied.rows.map((row) => row.survival)).toEqual([1, 0.5])
  })

  it('sums over patients by default where one repeats, and says so', () => {
    const time = [1, 2, 3, 4, 5, 6]
    const event = [1, 1, 0, 1, 0, 0]
    const single = kaplanMeier(time, event, { cluster: [1, 2, 3, 4, 5, 6] })
    expect(single.method).toEqual(['product-limit', 'greenwood-variance', 'log-log-interval'])
    expect(single.warnings).toEqual([])
    const paired = kaplanMeier(time, event, { cluster: ['a', 'a', 'b', 'b', 'c', 'c'] })
    expect(paired.method).toEqual([
      'product-limit',
      'infinitesimal-jackknife-over-patients',
      'log-log-interval',
    ])
    expect(codes(paired.warnings)).toEqual(['few-patients'])
    expect(paired.clusters).toBe(3)
    const normal = kaplanMeier(time, event, {
      cluster: ['a', 'a', 'b', 'b', 'c', 'c'],
      fewClusters: 'normal',
    })
    expect(normal.rows[2]!.lower as number).toBeGreaterThan(paired.rows[2]!.lower as number)
    const alone = kaplanMeier(time, event, { cluster: [7, 7, 7, 7, 7, 7] })
    expect(codes(alone.warnings)).toEqual(['one-patient'])
    expect(alone.rows[2]!.lower).toEqual({ state: 'not-estimable', reason: 'one-patient' })
  })

  it('says when the risk set emptied before others entered, and when weights are not counts', () => {
    const emptied = kaplanMeier([2, 5, 6], [1, 1, 0], { entry: [0, 3, 3] })
    expect(codes(emptied.warnings)).toEqual(['risk-set-emptied'])
    expect(emptied.rows.map((row) => row.survival)).toEqual([1, 0, 0, 0])
    expect(codes(kaplanMeier([1, 2], [1, 0], { weights: [1.5, 1] }).warnings)).toEqual(['weighted-greenwood'])
  })

  it('leaves its inputs as they were', () => {
    const time = Float64Array.from([3, 1, 2])
    const event = Uint8Array.from([1, 0, 1])
    const options = {
      entry: Float64Array.from([1, 0, 0]),
      weights: Float64Array.from([1, 2, 0]),
      cluster: Int32Array.from([5, 5, 6]),
    }
    const before = JSON.stringify([time, event, options])
    kaplanMeier(time, event, options)
    nelsonAalen(time, event, options)
    compareRestrictedMeans(time, event, [1, 2, 1], options)
    expect(JSON.stringify([time, event, options])).toBe(before)
  })

  it('gives frozen answers', () => {
    const curve = kaplanMeier([1, 2], [1, 0])
    expect(Object.isFrozen(curve) && Object.isFrozen(curve.rows) && Object.isFrozen(curve.rows[0])).toBe(true)
  })

  it('refuses events that are not 0 or 1, and a group without weight', () => {
    expect(() => kaplanMeier([1, 2], [1, 2])).toThrow(
      'column event holds something other than 0 and 1, first in row 2 of 2. Expected: 1 where the event was observed and 0 where it was not. Mend: code censoring as 0 and events as 1, 2, …; leave out rows without an outcome.',
    )
    expect(() => kaplanMeierByGroup([1, 2], [1, 0], ['a', 'b'], { weights: [1, 0] })).toThrow(
      'group b has no row with a weight above zero. Expected: at least one row of positive weight in every group. Mend: leave the group out, or correct the weights.',
    )
  })
})

describe('curve at chosen times', () => {
  const curve = kaplanMeier([2, 4, 4, 7, 9], [1, 0, 1, 0, 0])

  it('reads the last step, the number at risk just before, and what happened until then', () => {
    expect(survivalAt(curve, [0, 2, 3, 9])).toMatchObject([
      { atRisk: 5, events: 0, survival: 1 },
      { atRisk: 5, events: 1, survival: 0.8 },
      { atRisk: 4, events: 1, survival: 0.8 },
      { atRisk: 1, events: 2, censored: 3 },
    ])
  })

  it('gives nothing past the last follow-up unless the curve has reached zero', () => {
    expect(survivalAt(curve, [10])[0]!.survival).toEqual({
      state: 'not-estimable',
      reason: 'follow-up-ends-at',
      parameters: { time: 9 },
    })
    expect(survivalAt(curve, [10], { beyondFollowUp: 'carried-forward' })[0]!.survival).toBeCloseTo(0.6, 14)
    expect(survivalAt(kaplanMeier([2], [1]), [10])[0]!.survival).toBe(0)
  })

  it('takes off those who have not entered yet', () => {
    const late = kaplanMeier([5, 6, 8], [1, 0, 0], { entry: [0, 3, 4] })
    expect(survivalAt(late, [0, 3, 4, 4.5, 5]).map((point) => point.atRisk)).toEqual([1, 1, 2, 3, 3])
  })

  it('is cut where too few are at risk', () => {
    expect(curveCutTime(curve, 2)).toBe(7)
    expect(curveCutTime(curve, 10)).toBe(0)
  })
})

describe('quantiles', () => {
  it('take the middle of a stretch at exactly the level, and the last follow-up as its end', () => {
    // S = 3/4 after 1, 1/2 from 2 to 5
    expect(survivalQuantiles(kaplanMeier([1, 2, 5, 6], [1, 1, 1, 1]), [0.5])[0]!.estimate).toBe(3.5)
    expect(survivalQuantiles(kaplanMeier([1, 2, 5, 6], [1, 1, 0, 0]), [0.5])[0]!.estimate).toBe(4)
  })

  it('find a level that floating products miss by a rounding', () => {
    // (9/10)(8/9)…(5/6) is 1/2 up to rounding
    const time = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
    const event = [1, 1, 1, 1, 1, 0, 0, 0, 0, 1]
    expect(survivalQuantiles(kaplanMeier(time, event), [0.5])[0]!.estimate).toBe(7.5)
  })

  it('say when they are not reached', () => {
    const quantile = survivalQuantiles(kaplanMeier([1, 2, 3], [1, 0, 0]), [0.5])[0]!
    expect(quantile.estimate).toEqual({ state: 'not-reached', lastTime: 3 })
    expect(quantile.interval.upper).toEqual({ state: 'not-reached', lastTime: 3 })
  })

  it('refuse what is no share', () => {
    expect(() => survivalQuantiles(kaplanMeier([1], [1]), [50])).toThrow(
      'a quantile was asked for the share 50. Expected: a share between 0 and 1, such as 0.5 for the median. Mend: write 50% as 0.5.',
    )
  })
})

describe('restricted mean', () => {
  it('is the area under the curve, of a hand-worked example', () => {
    // S = 1 to 1, 2/3 to 2, 1/3 to 3: area to 2.5 is 1 + 2/3 + 1/6
    const mean = restrictedMeanSurvivalTime([1, 2, 3], [1, 1, 1], { tau: 2.5 })
    expect(mean.estimate).toBeCloseTo(11 / 6, 14)
    // squared areas to the right, 5/6 and 1/6, times 1/(3·2) and 1/(2·1)
    expect(mean.standardError!.value).toBeCloseTo(Math.sqrt(25 / 36 / 6 + 1 / 36 / 2), 14)
  })

  it('takes the earliest last follow-up of the groups as horizon', () => {
    const result = compareRestrictedMeans([1, 4, 2, 9], [1, 0, 1, 0], ['a', 'a', 'b', 'b'])
    expect(result.tau).toBe(4)
    expect(result.groups.map((one) => one.estimate)).toEqual([2.5, 3])
    expect(result.differences[0]).toMatchObject({ comparator: { group: 'b', against: 'a' }, estimate: 0.5 })
  })

  it('gives no limits where nothing varied', () => {
    const mean = restrictedMeanSurvivalTime([3, 4], [0, 1], { tau: 2 })
    expect(mean.estimate).toBe(2)
    expect(mean.standardError).toBeUndefined()
    expect(mean.interval.lower).toEqual({
      state: 'not-estimable',
      reason: 'no-counted-event-no-variance',
    })
  })

  it('says when the horizon lies beyond the follow-up', () => {
    expect(restrictedMeanSurvivalTime([1, 2], [1, 0], { tau: 3 }).estimate).toEqual({
      state: 'not-estimable',
      reason: 'follow-up-ends-at',
      parameters: { time: 2 },
    })
    expect(restrictedMeanSurvivalTime([1, 2], [1, 1], { tau: 3 }).estimate).toBe(1.5)
    expect(() => restrictedMeanSurvivalTime([1, 2], [1, 0], { tau: 0 })).toThrow(
      'the horizon is 0. Expected: a time above zero. Mend: give the horizon in the unit of the times.',
    )
  })
})

describe('cumulative hazard', () => {
  it('counts ties together or one by one', () => {
    const together = nelsonAalen([1, 1, 2], [1, 1, 0])
    expect(together.rows[1]!.cumulativeHazard).toBeCloseTo(2 / 3, 14)
    const apart = nelsonAalen([1, 1, 2], [1, 1, 0], { ties: 'one-by-one' })
    expect(apart.rows[1]!.cumulativeHazard).toBeCloseTo(1 / 3 + 1 / 2, 14)
    expect(apart.rows[1]!.standardError).toBeCloseTo(Math.sqrt(1 / 9 + 1 / 4), 14)
  })
})

describe('life table', () => {
  it('from rows puts an event at a boundary into the next interval', () => {
    const table = lifeTable([0.5, 1, 1.5, 2.5], [1, 1, 0, 0], [0, 1, 2])
    expect(table.rows.map((row) => [row.atStart, row.events, row.withdrawn, row.effective])).toEqual([
      [4, 1, 0, 4],
      [3, 1, 1, 2.5],
      [1, 0, 1, 0.5],
    ])
    expect(table.rows[2]!.intervalEnd).toEqual({
      state: 'not-estimable',
      reason: 'last-interval-open',
    })
  })

  it('refuses boundaries that do not ascend from 0', () => {
    expect(() => lifeTable([1], [1], [1, 2])).toThrow(
      'the boundaries of the life table do not ascend from 0. Expected: a list such as 0, 1, 2, 3, 4, 5. Mend: sort the boundaries and begin with 0.',
    )
  })
})
