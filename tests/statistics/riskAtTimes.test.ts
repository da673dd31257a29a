import { describe, expect, it } from 'vitest'
import { isNumber } from '../../src/core/estimate.js'
import { randomStream } from '../../src/core/random.js'
import { cumulativeIncidence } from '../../src/statistics/curves/competingRisks.js'
import { compareRisksAt, risksAt } from '../../src/statistics/curves/riskAtTimes.js'

/** Patients with one to three rows, in either group, with a cause, a competing cause or a censoring. */
function sample(patients = 40, seed = 11) {
  const stream = randomStream(seed)
  const rows = { time: [] as number[], cause: [] as number[], group: [] as string[], patient: [] as number[] }
  for (let p = 0; p < patients; p++) {
    for (let k = 0; k <= stream.index(3); k++) {
      rows.time.push(1 + stream.index(30))
      rows.cause.push(stream.index(3))
      rows.group.push(stream.uniform() < 0.5 ? 'a' : 'b')
      rows.patient.push(p)
    }
  }
  return rows
}

/** Rows of all but one patient. */
function without(rows: ReturnType<typeof sample>, patient: number): ReturnType<typeof sample> {
  const kept = rows.patient.map((one) => one !== patient)
  const filtered = <T>(column: readonly T[]): T[] => column.filter((_one, i) => kept[i])
  return {
    time: filtered(rows.time),
    cause: filtered(rows.cause),
    group: filtered(rows.group),
    patient: filtered(rows.patient),
  }
}

describe('risksAt', () => {
  it('reads the cumulative incidence at a time, between steps and on them', () => {
    const rows = sample()
    const curve = cumulativeIncidence(rows.time, rows.cause, { cluster: rows.patient }).causes[0]!.rows
    for (const time of [0.5, 7, 7.5, 20]) {
      const step = curve.filter((row) => row.time <= time).at(-1)!
      const [risk] = risksAt(rows.time, rows.cause, [time], { cluster: rows.patient })
      expect(risk!.estimate).toBeCloseTo(step.incidence, 14)
      expect(risk!.atRisk).toBe(rows.time.filter((one) => one >= time).length)
      if (risk!.events > 0) {
        expect(risk!.interval.lower).toBeCloseTo(step.lower as number, 12)
        expect(risk!.interval.upper).toBeCloseTo(step.upper as number, 12)
      }
    }
  })

  it('gives the exact upper limit with the patients still at risk where nothing has happened', () => {
    // Hand-worked: 3 patients at risk at time 5, 1 − 0.025^(1/3) = 0.7076.
    const [risk] = risksAt([5, 5, 6, 7, 2], [0, 0, 0, 0, 0], [5], { cluster: [1, 1, 2, 3, 4] })
    expect(risk).toMatchObject({ estimate: 0, events: 0, atRisk: 4, clustersAtRisk: 3 })
    expect(risk!.interval.lower).toBe(0)
    expect(risk!.interval.upper).toBeCloseTo(0.7075982, 6)
    expect(risk!.warnings.map((one) => one.code)).toContain('no-event-by-then')
  })

  it('is not estimable past the last follow-up', () => {
    const [risk] = risksAt([5, 6], [1, 0], [7])
    expect(risk!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'follow-up-ends-at',
      parameters: { time: 6 },
    })
  })

  it('stands past the last follow-up where everyone had an event', () => {
    expect(risksAt([5, 6], [1, 2], [7])[0]!.estimate).toBe(0.5)
  })

  it('counts a delayed entry as at risk only after it', () => {
    const [risk] = risksAt([5, 6, 9], [0, 0, 0], [4], { entry: [0, 4, 2] })
    expect(risk!.atRisk).toBe(2)
  })

  it('has no interval from one patient', () => {
    const [risk] = risksAt([1, 2, 3], [1, 0, 0], [2], { cluster: [1, 1, 1] })
    expect(risk!.interval.lower).toMatchObject({
      state: 'not-estimable',
      reason: 'one-patient',
    })
  })
})

describe('compareRisksAt', () => {
  const times = [10, 20]

  it('allows for patients who hold both groups: agrees with leaving patients out one by one', () => {
    const rows = sample(200)
    const difference = (one: ReturnType<typeof sample>): number =>
      compareRisksAt(one.time, one.cause, one.group, [20], { cluster: one.patient }).differences[0]!.at[0]!
        .estimate as number
    const all = difference(rows)
    const jackknife = Array.from({ length: 200 }, (_one, p) => difference(without(rows, p)) - all)
    const brute = Math.sqrt(jackknife.reduce((sum, one) => sum + one * one, 0))
    const [result] = compareRisksAt(rows.time, rows.cause, rows.group, [20], { cluster: rows.patient })
      .differences[0]!.at
    // The infinitesimal jackknife is the linear part of the jackknife: equal up to terms of order 1/patients.
    expect(Math.abs(result!.standardError!.value / brute - 1)).toBeLessThan(0.02)
  })

  it('is the difference of the two risks, and turns its sign with the comparator', () => {
    const rows = sample()
    const run = (against: string) =>
      compareRisksAt(rows.time, rows.cause, rows.group, times, { cluster: rows.patient, against })
    const [one, two] = [run('a'), run('b')]
    times.forEach((_time, i) => {
      const risks = one.groups.map((group) => group.risks[i]!.estimate as number)
      const difference = one.differences[0]!.at[i]!
      expect(difference.comparator).toEqual({ group: 'b', against: 'a' })
      expect(difference.estimate).toBeCloseTo(risks[1]! - risks[0]!, 14)
      const turned = two.differences[0]!.at[i]!
      expect(turned.estimate).toBeCloseTo(-(difference.estimate as number), 14)
      expect(turned.interval.lower).toBeCloseTo(-(difference.interval.upper as number), 12)
    })
  })

  it('takes the hybrid of the limits where a group has fewer than five events', () => {
    // Hand-worked: no events among 20 against 1 of 2 by time 2 (limits from the single risks).
    const time = [...Array<number>(20).fill(5), 1, 5]
    const cause = [...Array<number>(20).fill(0), 1, 0]
    const group = [...Array<string>(20).fill('none'), 'some', 'some']
    const { groups, differences } = compareRisksAt(time, cause, group, [2], { against: 'some' })
    const [none, some] = groups.map((one) => one.risks[0]!)
    const difference = differences[0]!.at[0]!
    const [p1, p2] = [none!.estimate as number, some!.estimate as number]
    const upper1 = none!.interval.upper as number
    const [lower2, upper2] = [some!.interval.lower as number, some!.interval.upper as number]
    expect(upper1).toBeCloseTo(1 - 0.025 ** (1 / 20), 12)
    expect(difference.interval.lower).toBeCloseTo(p1 - p2 - Math.hypot(p1, upper2 - p2), 12)
    expect(difference.interval.upper).toBeCloseTo(p1 - p2 + Math.hypot(upper1 - p1, p2 - lower2), 12)
    expect(isNumber(difference.pValue)).toBe(false)
  })

  it('leaves its inputs as they were', () => {
    const rows = sample()
    const columns = { ...rows, time: Float64Array.from(rows.time), cause: Uint8Array.from(rows.cause) }
    const before = JSON.stringify(columns)
    compareRisksAt(columns.time, columns.cause, columns.group, times, { cluster: columns.patient })
    expect(JSON.stringify(columns)).toBe(before)
  })
})
