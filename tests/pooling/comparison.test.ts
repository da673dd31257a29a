import { describe, expect, it } from 'vitest'
import { comparisonOf } from '../../src/pooling/coordinator/comparison.js'
import { pooledResult, threeDigits } from '../../src/pooling/coordinator/groupResult.js'
import { layoutOf, nodesOf, type Sums } from '../../src/pooling/protocol/layout.js'
import { betweenGroups } from '../../src/statistics/meta/summedScores.js'
import { agreedOn } from './syntheticGroup.js'

const agreed = agreedOn()
const { protocol } = agreed
const endpoint = 'screw_loosening'
const log = Math.log(0.6)
const information = 20

/** Sums whose score falls in a straight line through 0 at the log of 0.6, so that everything follows by hand. */
function sumsWith(
  changes: Readonly<Record<string, readonly number[]>> = {},
  of = { information, squares: 25 },
): Sums {
  const nodes = nodesOf(protocol)
  const line = (at: number) => nodes.map((node) => of.information * (at - node))
  const given: Readonly<Record<string, readonly number[]>> = {
    one: [6],
    restorations: [120, 80],
    events: [20, 15],
    patients: [100, 60],
    patientsWithEvent: [18, 14],
    patientsAll: [160],
    patientsWithEventAll: [60],
    measured: [120, 72],
    contributing: [6, 6],
    comparing: [6],
    days: [365.25 * 200, 365.25 * 150],
    logRank: [-3, 4, 5],
    mantelHaenszel: [6, 12, 8],
    nodes: line(log).flatMap((score) => [score, of.information, of.squares, 30, 100]),
    nodesFound: line(log - 0.1).flatMap((score) => [score, of.information, of.squares]),
    nodesClear: line(log + 0.1).flatMap((score) => [score, of.information, of.squares]),
    ...changes,
  }
  return Object.fromEntries(
    layoutOf(protocol).map(({ name, size }) => {
      const values = new Float64Array(size)
      values.set(given[name.split('/').at(-1)!] ?? [])
      return [name, values]
    }),
  )
}

const six = Array.from({ length: 6 }, (_one, i) => i)
const by = (sums: Sums, { shown = true, route = 'sums' as 'sums' | 'rows', sites = six } = {}) =>
  comparisonOf(sums, protocol, endpoint, shown, { route, sites })
const normal = 1.959963984540054

describe('the two groups set against each other from sums', () => {
  it('have the ratio at which the score is 0, with the variance of patients, to three digits', () => {
    const { comparison } = by(sumsWith())
    expect(comparison.practices).toBe(6)
    expect(comparison.hazardRatio).toMatchObject({
      estimate: 0.6,
      standardError: { value: 0.25, scale: 'log hazard ratio' },
      interval: {
        lower: threeDigits(Math.exp(log - normal * 0.25)),
        upper: threeDigits(Math.exp(log + normal * 0.25)),
      },
      method: ['cox-regression-stratified-by-clinic', 'efron-s-ties', 'variance-robust-by-patient'],
      n: 200,
      events: 35,
      clusters: 160,
      comparator: { group: 'repeated in the window', against: 'single' },
      level: 0.95,
    })
    expect(comparison.ends.found.estimate).toBe(threeDigits(0.6 * Math.exp(-0.1)))
    expect(comparison.ends.afterLastLook.estimate).toBe(threeDigits(0.6 * Math.exp(0.1)))
  })

  it('rest on the t distribution with fewer than fifty patients with an event', () => {
    // 2.0484071 is the upper 2.5 % point of t with 28 degrees of freedom (handbook tables).
    const { hazardRatio } = by(sumsWith({ patientsWithEventAll: [30] }), { route: 'rows' }).comparison
    expect(hazardRatio.method).toContain('t-distribution')
    expect(hazardRatio.interval.upper).toBeCloseTo(0.6 * Math.exp(2.0484071 * 0.25), 6)
    expect(by(sumsWith({ patientsWithEventAll: [50] })).comparison.hazardRatio.method).not.toContain(
      't-distribution',
    )
    const two = by(sumsWith({ patientsWithEventAll: [2] }), { route: 'rows' }).comparison.hazardRatio
    expect(two.interval.upper).toBeCloseTo(0.6 * Math.exp(normal * 0.25), 9)
  })

  it('have the rate ratio and the log-rank tests of their parts', () => {
    const { rateRatio, logRank, logRankByPatient } = by(sumsWith()).comparison
    expect(rateRatio.estimate).toBe(0.5)
    const error = Math.sqrt(8 / 72)
    expect(rateRatio.standardError).toEqual({ value: error, scale: 'log rate ratio' })
    expect(rateRatio.interval.lower).toBeCloseTo(0.5 / Math.exp(normal * error), 10)
    expect(rateRatio.interval.upper).toBeCloseTo(0.5 * Math.exp(normal * error), 10)
    // χ² of 2.25 and 1.8 with one degree of freedom: P 0.133614 and 0.179712.
    expect(logRank).toMatchObject({
      statistic: 9 / 4,
      degreesOfFreedom: 1,
      n: 200,
      events: 35,
      clusters: 160,
    })
    expect(logRank.pValue).toBeCloseTo(0.133614, 6)
    expect(logRankByPatient).toMatchObject({ statistic: 9 / 5 })
    expect(logRankByPatient.pValue).toBeCloseTo(0.179712, 6)
    for (const parts of [
      [1 / 64, 12, 8],
      [6, 1 / 64, 8],
    ]) {
      expect(by(sumsWith({ mantelHaenszel: parts })).comparison.rateRatio.estimate).toMatchObject({
        reason: 'ratio-beyond-protocol',
      })
    }
    expect(by(sumsWith({ logRank: [0, 0, 0] })).comparison.logRank).toMatchObject({
      statistic: { reason: 'no-event-while-both-at-risk' },
      pValue: { reason: 'no-event-while-both-at-risk' },
    })
  })

  it('are not compared where too few practices or patients stand behind it', () => {
    const few = { reason: 'too-few-compare-the-groups' }
    for (const one of [
      by(sumsWith({ comparing: [2] })),
      by(sumsWith({ patientsWithEventAll: [4] })),
      by(sumsWith(), { shown: false }),
    ]) {
      expect(one.comparison).toMatchObject({
        practices: 0,
        hazardRatio: { estimate: few, interval: { lower: few, upper: few } },
        ends: { found: { estimate: few }, afterLastLook: { estimate: few } },
        rateRatio: { estimate: few },
        logRank: { statistic: few },
      })
      expect(one.between).toMatchObject({ reason: 'no-hazard-ratio' })
    }
    expect(by(sumsWith(), { shown: false }).comparison.hazardRatio).toMatchObject({
      n: 0,
      events: 0,
      clusters: 0,
    })
    expect(by(sumsWith({ comparing: [3], patientsWithEventAll: [5] })).comparison.practices).toBe(3)
    // Rows that may lie together are compared whoever they are of.
    const rows = by(sumsWith({ comparing: [1], patientsWithEventAll: [4] }), { route: 'rows', shown: false })
    expect(rows.comparison).toMatchObject({
      practices: 1,
      hazardRatio: { n: 200, events: 35, clusters: 160 },
    })
    expect(rows.comparison.hazardRatio.estimate).toBeCloseTo(0.6, 10)
    expect(by(sumsWith({ comparing: [0] }), { route: 'rows' }).comparison.hazardRatio.estimate).toMatchObject(
      few,
    )
  })

  it('have no ratio where the score does not cross 0, or hardly any information or variance is left', () => {
    const beyond = { estimate: { reason: 'ratio-beyond-protocol' } }
    const steep = nodesOf(protocol).flatMap((node) => [20 * (3 - node), 20, 25, 30, 100])
    expect(by(sumsWith({ nodes: steep })).comparison.hazardRatio).toMatchObject(beyond)
    expect(by(sumsWith({}, { information: 0.05, squares: 25 })).comparison.hazardRatio).toMatchObject(beyond)
    expect(by(sumsWith({}, { information: 0.06, squares: 25 })).comparison.hazardRatio.estimate).toBe(0.6)
    expect(by(sumsWith({}, { information, squares: 0 })).comparison.hazardRatio).toMatchObject(beyond)
  })

  it('allow for practices that differ from six of them on, unless one carries the comparison', () => {
    const { between } = by(sumsWith(), { route: 'rows' })
    const found = betweenGroups(
      { estimate: log, groups: 6, information, squaredScores: 30, squaredInformations: 100 },
      { level: 0.95 },
    )
    expect(between).toMatchObject({
      state: 'estimated',
      degreesOfFreedom: expect.closeTo(found.degreesOfFreedom, 9),
    })
    if (between.state !== 'estimated') return
    expect(between.interval.lower).toBeCloseTo(Math.exp(found.interval.lower), 9)
    expect(between.interval.upper).toBeCloseTo(Math.exp(found.interval.upper), 9)
    expect(between.tau).toBeCloseTo(Math.sqrt(found.tauSquared), 9)
    expect(between.standardError).toBeCloseTo(found.standardError, 9)
    expect(found.tauSquared).toBeGreaterThan(0)
    expect(by(sumsWith(), { sites: six.slice(1) }).between).toMatchObject({
      reason: 'fewer-practices-than',
      parameters: { practices: 6 },
    })
    const carried = (squared: number) =>
      sumsWith({ nodes: nodesOf(protocol).flatMap((node) => [20 * (log - node), 20, 25, 30, squared]) })
    expect(by(carried(361)).between).toMatchObject({ reason: 'one-practice-carries-comparison' })
    expect(by(carried(359)).between).toMatchObject({ state: 'estimated' })
    expect(by(sumsWith({ comparing: [2] }), { route: 'rows' }).between).toMatchObject({
      reason: 'one-practice-carries-comparison',
    })
  })
})

describe('the result of a study group', () => {
  const result = (sums: Sums, more: object = {}) =>
    pooledResult(sums, agreed, {
      route: 'sums',
      sites: six.map((one) => ({ name: `Practice ${6 - one}`, open: false })),
      generated: false,
      ...more,
    })

  it('names its practices and objections in order, and the list it rests on', () => {
    const one = result(sumsWith(), { listHash: 'abc', objected: ['b', 'a', 'b'] })
    expect(one.sites.map(({ name }) => name)).toEqual(six.map((at) => `Practice ${at + 1}`))
    expect(one).toMatchObject({
      objected: ['a', 'b'],
      listHash: 'abc',
      generated: false,
      route: 'sums',
      protocolHash: agreed.hash,
    })
    expect(result(sumsWith())).not.toHaveProperty('listHash')
    expect(Object.isFrozen(one.endpoints[0]!.groups)).toBe(true)
  })

  it('has the figures of each group and of both', () => {
    const { all, groups, measuredShare, model } = result(sumsWith({ competing: [3, 2] })).endpoints[0]!
    expect(groups[0]).toMatchObject({
      group: 'single',
      restorations: 120,
      patients: 100,
      sites: 6,
      events: 20,
      competing: 3,
      restorationYears: 200,
      rate: { estimate: 10 },
    })
    expect(groups[1]).toMatchObject({
      group: 'repeated in the window',
      restorationYears: 150,
      rate: { estimate: 10 },
    })
    expect(all).toMatchObject({
      group: 'all',
      restorations: 200,
      patients: 160,
      events: 35,
      competing: 5,
      restorationYears: 350,
    })
    // 192 of 200 is 0.96: 0.95 to the nearest twentieth.
    expect(measuredShare).toBe(0.95)
    expect(model).toEqual({ state: 'not-asked' })
  })

  it('shows what open practices let be shown', () => {
    const figures = {
      endpoint,
      restorations: [10, 20],
      events: [1, 2],
      logHazardRatio: Math.log(0.5),
      standardError: 0.4,
    }
    const { open } = result(sumsWith(), {
      route: 'rows',
      open: [
        { name: 'North', figures: [figures] },
        { name: 'South', figures: [{ endpoint, restorations: [4, 0], events: [1, 0] }] },
        { name: 'East', figures: [{ ...figures, endpoint: 'removal' }] },
      ],
    }).endpoints[0]!
    expect(open.sites).toHaveLength(2)
    expect(open.sites[0]).toMatchObject({ name: 'North', restorations: 30, events: 3, standardError: 0.4 })
    expect(open.sites[0]!.hazardRatio).toBeCloseTo(0.5, 12)
    expect(open.sites[0]!.interval.lower).toBeCloseTo(0.5 * Math.exp(-normal * 0.4), 9)
    expect(open.sites[0]!.interval.upper).toBeCloseTo(0.5 * Math.exp(normal * 0.4), 9)
    expect(open.sites[1]).toMatchObject({
      name: 'South',
      restorations: 4,
      events: 1,
      hazardRatio: { reason: 'no-event-while-both-at-risk' },
      interval: { lower: { reason: 'no-event-while-both-at-risk' } },
    })
    expect(result(sumsWith()).endpoints[0]!.open).toEqual({ sites: [] })
  })

  it('takes the last step of a model that has settled, and stands where one stopped', () => {
    const modelled = agreedOn({ covariates: [{ field: 'sex', levels: ['female', 'male', 'other'] }] })
    const at = {
      coefficients: [0.1, 0.2, 0.3],
      step: [0.001, -0.001, 0],
      covariance: [
        [0.04, 0, 0],
        [0, 0.09, 0],
        [0, 0, 0.16],
      ],
      restorations: 180,
      events: 30,
    }
    const model = (settled: boolean, sums = sumsWith()) =>
      pooledResult(sums, modelled, {
        route: 'sums',
        sites: six.map((one) => ({ name: `${one}`, open: false })),
        generated: false,
        models: { [endpoint]: { at, rounds: 3, settled } },
      }).endpoints[0]!.model
    const settled = model(true)
    expect(settled).toMatchObject({ state: 'settled', rounds: 3 })
    if (settled.state !== 'settled') return
    expect(
      settled.hazardRatios.map(({ name, estimate, standardError, comparator }) => [
        name,
        estimate,
        standardError?.value,
        comparator.against,
      ]),
    ).toEqual([
      ['repeated in the window', threeDigits(Math.exp(0.101)), 0.2, 'single'],
      ['sex: male', threeDigits(Math.exp(0.199)), 0.3, 'sex: female'],
      ['sex: other', threeDigits(Math.exp(0.3)), 0.4, 'sex: female'],
    ])
    expect(settled.hazardRatios[1]!.interval).toEqual({
      lower: threeDigits(Math.exp(0.199 - normal * 0.3)),
      upper: threeDigits(Math.exp(0.199 + normal * 0.3)),
    })
    expect(model(false)).toMatchObject({
      state: 'stopped',
      hazardRatios: [{ estimate: threeDigits(Math.exp(0.1)) }, {}, {}],
    })
    const none = { state: 'not-estimable', reason: 'no-information-on-coefficient' }
    expect(model(true, sumsWith({ patients: [100, 4] }))).toEqual(none)
    const without = pooledResult(sumsWith(), modelled, { route: 'sums', sites: [], generated: false })
    expect(without.endpoints[0]!.model).toEqual(none)
  })
})
