import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { inWords } from '../../src/messages/speaker.js'
import { clusterAgreement } from '../../src/statistics/kernel/clustering.js'
import {
  clusteredRiskDifference,
  clusteredRiskRatio,
} from '../../src/statistics/proportions/clusteredComparison.js'
import { clusteredProportion } from '../../src/statistics/proportions/clusteredProportion.js'
import { proportion } from '../../src/statistics/proportions/proportions.js'
import { riskDifference, riskRatio } from '../../src/statistics/proportions/twoProportions.js'
import { clusteredRate } from '../../src/statistics/rates/clusteredRate.js'
import { clusteredRateRatio } from '../../src/statistics/rates/clusteredRateRatio.js'
import { rateRatio } from '../../src/statistics/rates/rateComparison.js'
import { rateInterval } from '../../src/statistics/rates/rates.js'

function readColumns(name: string): Record<string, number[]> {
  const url = new URL(`../reference/data/${name}.csv`, import.meta.url)
  const [head, ...rows] = readFileSync(url, 'utf8')
    .trim()
    .split(/\r?\n/)
    .map((line) => line.split(','))
  return Object.fromEntries(head!.map((column, i) => [column, rows.map((row) => Number(row[i]))]))
}

describe('clusteredProportion', () => {
  it('hand-worked: 5 rows of 3 patients, design effect below 1, t on 2 degrees of freedom', () => {
    // P = 2/5; residuals 1 − 0.8, 1 − 0.8, −0.4; variance 1.5 · 0.24 / 25 = 0.0144; 0.24 / 5 = 0.048.
    const result = clusteredProportion([1, 0, 0, 1, 0], ['a', 'a', 'b', 'b', 'c'])
    expect(result.estimate).toBe(0.4)
    expect(result.standardError?.value).toBeCloseTo(0.12, 12)
    expect(result.designEffect).toBeCloseTo(0.3, 12)
    expect(result.effectiveSampleSize).toBe(5)
    // Wilson's formula with t(0.975; 2) = 4.302652729911275 (R qt).
    expect(result.interval.lower).toBeCloseTo(0.03696219713, 9)
    expect(result.interval.upper).toBeCloseTo(0.92050781377, 9)
    expect(result.warnings.map((one) => one.code)).toEqual(['few-clusters'])
  })

  it('takes Wilson on the effective sample size from 30 clusters on', () => {
    const { status, id } = readColumns('kidney_status')
    const result = clusteredProportion(status!, id!)
    const size = 76 / 1.1568810189499847 // design effect of reference case kidney_status
    const p = 58 / 76
    const z = 1.959963984540054
    const centre = (p + (z * z) / (2 * size)) / (1 + (z * z) / size)
    const half = (z / (1 + (z * z) / size)) * Math.sqrt((p * (1 - p)) / size + (z * z) / (4 * size * size))
    expect(result.interval.lower).toBeCloseTo(centre - half, 10)
    expect(result.interval.upper).toBeCloseTo(centre + half, 10)
    expect(result.warnings).toEqual([])
    expect(result.naive).toEqual(proportion(58, 76).interval)
  })

  it('no events: exact limit with patients as n, the naive one beside it', () => {
    const result = clusteredProportion(
      Array.from({ length: 60 }, () => 0),
      Array.from({ length: 60 }, (_, row) => row % 40),
    )
    // 1 − 0.025^(1/40) = 8.8%, 1 − 0.025^(1/60) = 6.0%.
    expect(result.interval.upper).toBeCloseTo(1 - 0.025 ** (1 / 40), 12)
    expect(result.naive.upper).toBeCloseTo(1 - 0.025 ** (1 / 60), 12)
    expect(result.interval.lower).toBe(0)
    expect(inWords(result.warnings[0]!)).toBe(
      'No row of 60 had the event: the limit is exact with the 40 clusters as n, since how alike the rows of a cluster are cannot be seen.',
    )
  })

  it('all events mirror no events', () => {
    const cluster = [1, 1, 2, 3, 3]
    const none = clusteredProportion([0, 0, 0, 0, 0], cluster)
    const all = clusteredProportion([1, 1, 1, 1, 1], cluster)
    expect(all.interval.lower).toBeCloseTo(1 - (none.interval.upper as number), 12)
    expect(all.interval.upper).toBe(1)
  })

  it('one cluster: no interval, and says so; independent rows: Wilson; no rows: tagged', () => {
    const one = clusteredProportion([1, 0, 1], [7, 7, 7])
    expect(one.interval.lower).toEqual({ state: 'not-estimable', reason: 'one-cluster' })
    expect(one.warnings[0]?.code).toBe('one-cluster')
    const independent = clusteredProportion([1, 0, 1], [1, 2, 3])
    expect(independent.interval).toEqual(proportion(2, 3).interval)
    expect(independent.method).toEqual(['wilson-score'])
    expect(clusteredProportion([], []).estimate).toEqual({
      state: 'not-estimable',
      reason: 'no-rows',
    })
  })

  it('refuses what is not 0 or 1, and unequal columns', () => {
    expect(() => clusteredProportion([0, 2], [1, 2])).toThrow(
      'column event holds something other than 0 and 1, first in row 2 of 2. Expected: 1 where the event was observed and 0 where it was not. Mend: code event as 0 and 1.',
    )
    expect(() => clusteredProportion([0, 1], [1])).toThrow(/unequal|rows where/)
    expect(() => clusteredProportion([0, 1], [1, 2], { level: 1 })).toThrow(/confidence level is 1/)
  })
})

describe('clusteredRate', () => {
  it('agrees with the Poisson model with robust variance (R geepack), times C/(C − 1)', () => {
    const { status, time, id } = readColumns('kidney')
    const result = clusteredRate(status!, time!, id!)
    expect(Math.log(result.estimate as number)).toBeCloseTo(-4.89164463300199, 10)
    expect(result.standardError?.value).toBeCloseTo(0.157763568092493 * Math.sqrt(38 / 37), 9)
    const factor = Math.exp(1.959963984540054 * result.standardError!.value)
    expect(result.interval.lower).toBeCloseTo((result.estimate as number) / factor, 12)
    expect(result.naive).toEqual(rateInterval(58, 7724))
  })

  it('fewer than 5 events: Garwood on events and time divided by the design effect', () => {
    const event = [1, 1, 0, 0, 0, 1, 0, 0]
    const cluster = [1, 1, 2, 2, 3, 3, 4, 5]
    const time = [1, 2, 3, 1, 2, 3, 4, 4]
    const result = clusteredRate(event, time, cluster, { per: 10 })
    const designEffect = result.designEffect as number
    // Σ(d − λt)² by hand: λ = 0.15; 1.55², 0.6², 0.25², 0.6², 0.6²; C/(C−1)/D = 1.25/3.
    const bySquares = (1.25 / 3) * (1.55 ** 2 + 0.6 ** 2 + 0.25 ** 2 + 0.6 ** 2 + 0.6 ** 2)
    expect(designEffect).toBeCloseTo(bySquares, 12)
    // R: qgamma(0.025, 3/deff) / (20/deff) * 10 and qgamma(0.975, 3/deff + 1) / (20/deff) * 10
    expect(result.interval.lower).toBeCloseTo(0.186073714991493, 9)
    expect(result.interval.upper).toBeCloseTo(5.37208060541305, 9)
    expect(result.warnings[0]?.code).toBe('few-events')
  })

  it('no events: time divided by the mean number of rows per cluster', () => {
    const result = clusteredRate([0, 0, 0, 0], [1, 2, 3, 4], [1, 1, 2, 2], { per: 100 })
    expect(result.interval.upper).toBeCloseTo((-Math.log(0.025) / 5) * 100, 10)
    expect(result.naive.upper).toBeCloseTo((-Math.log(0.025) / 10) * 100, 10)
    expect(result.warnings[0]?.code).toBe('no-events-in-clusters')
  })

  it('awkward rows: one cluster, no time, clusters alike, no rows, broken counts', () => {
    expect(clusteredRate([1, 1], [1, 1], [1, 1]).interval.upper).toEqual({
      state: 'not-estimable',
      reason: 'one-cluster',
    })
    expect(clusteredRate([0, 0], [0, 0], [1, 2]).estimate).toEqual({
      state: 'not-estimable',
      reason: 'no-time-at-risk',
    })
    const alike = clusteredRate(
      [1, 0, 1, 0, 1, 0, 1, 0, 1, 0],
      Array(10).fill(1),
      [1, 1, 2, 2, 3, 3, 4, 4, 5, 5],
    )
    expect(alike.interval).toEqual(alike.naive)
    expect(alike.warnings[0]?.code).toBe('no-variation')
    expect(clusteredRate([], [], []).estimate).toHaveProperty('state', 'not-estimable')
    expect(() => clusteredRate([0.5], [1], [1])).toThrow(/something other than a count, first in row 1/)
    expect(() => clusteredRate([1], [-1], [1])).toThrow(/negative/)
  })
})

describe('clusteredRiskDifference and clusteredRiskRatio', () => {
  // R 4.2 geepack 1.3.9, geeglm(resp ~ g, id, independence), data geepack::ohio.
  const { resp, smoke, age, id } = readColumns('ohio')
  const late = age!.map((value) => (value >= 0 ? 1 : 0))

  it('groups of whole patients agree with R geepack', () => {
    const difference = clusteredRiskDifference(resp!, smoke!, id!)
    expect(difference.estimate).toBeCloseTo(0.0358479755538586, 10)
    expect(difference.standardError?.value).toBeCloseTo(0.024078602078499, 9)
    const ratio = clusteredRiskRatio(resp!, smoke!, id!)
    expect(Math.log(ratio.estimate as number)).toBeCloseTo(0.229022302266282, 9)
    expect(ratio.standardError?.value).toBeCloseTo(0.148969610770918, 8)
    expect(ratio.sharedClusters).toBe(0)
  })

  it('groups within patients agree with R geepack', () => {
    const difference = clusteredRiskDifference(resp!, late, id!)
    expect(difference.estimate).toBeCloseTo(-0.0279329608938551, 10)
    expect(difference.standardError?.value).toBeCloseTo(0.0125723848138386, 9)
    expect(difference.sharedClusters).toBe(537)
    const ratio = clusteredRiskRatio(resp!, late, id!)
    expect(Math.log(ratio.estimate as number)).toBeCloseTo(-0.184571276527962, 9)
    expect(ratio.standardError?.value).toBeCloseTo(0.0835651202943949, 8)
  })

  it('independent rows give Newcombe and Koopman', () => {
    const event = [1, 0, 0, 1, 1, 0]
    const group = [1, 1, 1, 0, 0, 0]
    const cluster = [1, 2, 3, 4, 5, 6]
    const one = { events: 1, n: 3 }
    const two = { events: 2, n: 3 }
    expect(clusteredRiskDifference(event, group, cluster).interval).toEqual(riskDifference(one, two).interval)
    expect(clusteredRiskRatio(event, group, cluster).interval).toEqual(riskRatio(one, two).interval)
  })

  it('a group without events: limits of each group combined, warned', () => {
    const event = [0, 0, 0, 1, 1, 0, 0, 0]
    const group = [1, 1, 1, 0, 0, 0, 0, 0]
    const cluster = [1, 1, 2, 3, 3, 4, 4, 5]
    const difference = clusteredRiskDifference(event, group, cluster)
    const one = clusteredProportion([0, 0, 0], [1, 1, 2]).interval.upper as number
    const two = clusteredProportion([1, 1, 0, 0, 0], [3, 3, 4, 4, 5])
    const below = (two.estimate as number) - (two.interval.lower as number)
    expect(difference.interval.upper).toBeCloseTo(-0.4 + Math.hypot(one, below), 10)
    expect(difference.warnings[0]?.code).toBe('group-without-variation')
    const ratio = clusteredRiskRatio(event, group, cluster)
    expect(ratio.estimate).toBe(0)
    expect(ratio.interval.lower).toBe(0)
    expect(ratio.interval.upper as number).toBeGreaterThan(0.5)
  })

  it('no events at all, a group of one cluster, an empty group', () => {
    const cluster = [1, 1, 2, 3, 4]
    const group = [1, 1, 1, 0, 0]
    const ratio = clusteredRiskRatio([0, 0, 0, 0, 0], group, cluster)
    expect(ratio.estimate).toHaveProperty('state', 'not-estimable')
    expect(ratio.interval).toEqual({ lower: 0, upper: { state: 'unbounded', direction: 'above' } })
    const single = clusteredRiskDifference([0, 1, 0, 1, 0], [1, 1, 0, 0, 0], [1, 1, 2, 3, 4])
    expect(single.interval.lower).toHaveProperty('reason', 'group-of-one-cluster')
    expect(single.estimate).toBeCloseTo(0.5 - 1 / 3, 12)
    const empty = clusteredRiskRatio([0, 1], [1, 1], [1, 1])
    expect(empty.estimate).toHaveProperty('reason', 'group-without-units')
    expect(() => clusteredRiskRatio([0, 1], [1, 2], [1, 1])).toThrow(/column group/)
  })
})

describe('clusteredRateRatio', () => {
  // R 4.2 geepack 1.3.9, geeglm(status ~ x + offset(log(time)), id, poisson, independence), data survival::kidney.
  const { status, time, id, age } = readColumns('kidney')

  it('agrees with R geepack for groups within and of whole clusters', () => {
    const second = id!.map((one, row) => (id!.indexOf(one) < row ? 1 : 0))
    const within = clusteredRateRatio(status!, time!, second, id!)
    expect(Math.log(within.estimate as number)).toBeCloseTo(-0.00864244118473862, 9)
    expect(within.standardError?.value).toBeCloseTo(0.261869682501717, 9)
    const meanAge = (one: number): number => {
      const ages = age!.filter((_, row) => id![row] === one)
      return ages.reduce((sum, value) => sum + value, 0) / ages.length
    }
    const old = id!.map((one) => (meanAge(one) > 45 ? 1 : 0))
    const whole = clusteredRateRatio(status!, time!, old, id!)
    expect(Math.log(whole.estimate as number)).toBeCloseTo(0.309923741156815, 9)
    expect(whole.standardError?.value).toBeCloseTo(0.315381920172532, 9)
    expect(whole.sharedClusters).toBe(0)
  })

  it('a group without events: exact limits on effective events and times', () => {
    const answer = clusteredRateRatio(
      [0, 0, 0, 1, 2, 0],
      [1, 1, 1, 1, 1, 1],
      [1, 1, 1, 0, 0, 0],
      [1, 1, 2, 3, 3, 4],
    )
    // Reference group: deff = (2/1) (1² + 1²) / 3 = 4/3; group: 3 rows of 2 clusters. Upper odds 1/0.025^(1/2.25) − 1.
    const odds = 1 / 0.025 ** (1 / 2.25) - 1
    expect(answer.interval.upper).toBeCloseTo((odds * (3 / (4 / 3))) / (3 / 1.5), 9)
    expect(answer.estimate).toBe(0)
    expect(answer.warnings[0]?.code).toBe('group-rates-without-variation')
  })

  it('independent rows, one cluster, no time, wrong columns', () => {
    const independent = clusteredRateRatio([1, 2, 0, 1], [3, 4, 5, 6], [1, 1, 0, 0], [1, 2, 3, 4])
    const expected = rateRatio({ events: 3, timeAtRisk: 7 }, { events: 1, timeAtRisk: 11 })
    expect(independent.interval).toEqual(expected.interval)
    const single = clusteredRateRatio([1, 2, 0, 1], [3, 4, 5, 6], [1, 1, 0, 0], [1, 1, 3, 4])
    expect(single.interval.lower).toHaveProperty('reason', 'group-of-one-cluster')
    const idle = clusteredRateRatio([0, 1], [0, 1], [1, 0], [1, 1])
    expect(idle.estimate).toHaveProperty('reason', 'group-without-time-at-risk')
    expect(() => clusteredRateRatio([1], [1], [2], [1])).toThrow(
      'column group cannot be read, first in row 1 of 1. Expected: 1 for rows of the group and 0 for rows of the reference. Mend: leave out rows of neither.',
    )
    expect(() => clusteredRateRatio([1.5], [1], [1], [1])).toThrow(/column event cannot be read/)
  })
})

describe('clusterAgreement', () => {
  it('tags what one cluster, or clusters of one, cannot tell', () => {
    expect(clusterAgreement([1, 0], [1, 1]).intraclassCorrelation).toHaveProperty('reason', 'one-cluster')
    expect(clusterAgreement([1, 0], [1, 2]).intraclassCorrelation).toHaveProperty(
      'reason',
      'no-cluster-repeats',
    )
    expect(clusterAgreement([0, 0, 0], [1, 1, 2]).designEffect).toHaveProperty(
      'reason',
      'outcome-does-not-vary',
    )
  })
})
