import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../src/core/calendar.js'
import { layoutOf, nodesOf } from '../../src/pooling/protocol/layout.js'
import { yearEnds } from '../../src/pooling/protocol/protocol.js'
import type { SiteRows } from '../../src/pooling/site/siteRows.js'
import { dayCounts, endpointSums, partsOfRows } from '../../src/pooling/site/siteSums.js'
import {
  logRankParts,
  positionAfter,
  riskDays,
  rowScore,
  scoreAt,
} from '../../src/pooling/site/twoGroupScores.js'
import { agreedOn, groupRows } from './syntheticGroup.js'

const { protocol } = agreedOn({ gridDays: [100, 365, 731, 800], horizonsYears: [1] })
const endpoint = 'screw_loosening'

/** Rows as [clinic, group, entry, time, status, patient, measured, found, clear]. */
function rowsOf(rows: readonly (readonly number[])[], clinics: readonly string[] = ['A']): SiteRows {
  const column = (at: number): number[] => rows.map((row) => row[at]!)
  return {
    clinics,
    n: rows.length,
    clinic: Int32Array.from(column(0)),
    group: Uint8Array.from(column(1)),
    entryDays: Float64Array.from(column(2)),
    timeDays: Float64Array.from(column(3)),
    status: Uint8Array.from(column(4)),
    patient: Int32Array.from(column(5)),
    measured: Uint8Array.from(column(6)),
    foundDays: Float64Array.from(rows, (row) => row[7] ?? row[3]!),
    clearDays: Float64Array.from(rows, (row) => row[8] ?? row[3]!),
    covariates: [],
  }
}

/** Two of the comparator, of one patient; three of the group, of two; the first event is found after day 100. */
const five = rowsOf([
  [0, 0, -1, 50, 1, 0, 1, 120, 40.5],
  [0, 0, -1, 365, 0, 0, 1],
  [0, 1, 100, 400, 1, 1, 1, 450, 300],
  [0, 1, -1, 800, 0, 2, 1],
  [0, 1, -1, 100, 2, 2, 0],
])
const sums = endpointSums(partsOfRows(five, protocol), protocol, endpoint)
const of = (name: string): number[] => [...sums[`${endpoint}/${name}`]!]

describe('the sums of a practice, by hand', () => {
  it('count restorations, events, patients and days of each group', () => {
    expect(of('restorations')).toEqual([2, 3])
    expect(of('events')).toEqual([1, 1])
    expect(of('competing')).toEqual([0, 1])
    expect(of('measured')).toEqual([2, 2])
    expect(of('patients')).toEqual([1, 2])
    expect(of('patientsWithEvent')).toEqual([1, 1])
    expect(of('patientsAll')).toEqual([3])
    expect(of('patientsWithEventAll')).toEqual([2])
    expect(of('contributing')).toEqual([1, 1])
    expect(of('comparing')).toEqual([1])
    expect(of('days')).toEqual([50 + 365, 300 + 800 + 100])
  })

  it('have in each cell those at risk, events, competing events, patients and whether there is one', () => {
    expect(yearEnds(protocol)).toEqual([365, 731, 800])
    const cell = (table: string, size: number) =>
      Array.from({ length: of(table).length / size }, (_one, i) => of(table).slice(i * size, i * size + size))
    expect(cell('grid', 5)).toEqual([
      [2, 1, 0, 1, 1],
      [1, 0, 0, 1, 1],
      [0, 0, 0, 0, 0],
      [0, 0, 0, 0, 0],
      // Who enters on the last day of an interval is at risk from the next one on.
      [2, 0, 1, 1, 1],
      [2, 0, 0, 2, 1],
      [2, 1, 0, 2, 1],
      [1, 0, 0, 1, 1],
    ])
    expect(of('gridDays')).toEqual([150, 265, 0, 0, 200, 530, 35 + 366, 69])
    expect(cell('years', 5)).toEqual([
      [2, 1, 0, 1, 1],
      [0, 0, 0, 0, 0],
      [0, 0, 0, 0, 0],
      [3, 0, 1, 2, 1],
      [2, 1, 0, 2, 1],
      [1, 0, 0, 1, 1],
    ])
    expect(of('yearDays')).toEqual([415, 0, 0, 730, 401, 69])
  })

  it('have squares by patient of events and years, of each group and of both', () => {
    const years = (days: number): number => days / daysPerYear
    const close = (found: readonly number[], expected: readonly number[]) =>
      expected.forEach((one, i) => {
        expect(found[i]).toBeCloseTo(one, 10)
      })
    close(of('patientRateSquares'), [
      1,
      years(415),
      years(415) ** 2,
      1,
      years(300),
      years(300) ** 2 + years(900) ** 2,
      2,
      years(415) + years(300),
      years(415) ** 2 + years(300) ** 2 + years(900) ** 2,
    ])
  })

  it('have observed less expected, its variance, and its square by patient', () => {
    // Day 50: two at risk of each group, the event in the comparator; day 400: only the group is at risk.
    expect(of('logRank')[0]).toBeCloseTo(-0.5, 12)
    expect(of('logRank')[1]).toBeCloseTo(0.25, 12)
    // −1/2 + 1/8 and 1/8 of the first patient, 0 of the second, twice −1/8 of the third.
    expect(of('logRank')[2]).toBeCloseTo(0.25 ** 2 + 0.25 ** 2, 12)
  })

  it('have the parts of the rate ratio by Mantel and Haenszel', () => {
    const [above, below, spread] = of('mantelHaenszel')
    expect(above).toBeCloseTo(415 / 1615, 12)
    expect(below).toBeCloseTo(1200 / 1615, 12)
    expect(spread).toBeCloseTo((2 * 415 * 1200) / 1615 ** 2, 12)
  })

  it('have score, information and squares of the model at every node', () => {
    nodesOf(protocol).forEach((node, j) => {
      const ratio = Math.exp(node)
      const mean = ratio / (1 + ratio)
      const sum = 2 + 2 * ratio
      const first = -mean + (2 * mean) / sum
      const third = (-2 * (1 - mean) * ratio) / sum
      const [score, information, squares, ownScore, ownInformation] = of('nodes').slice(5 * j, 5 * j + 5)
      expect(score).toBeCloseTo(-mean, 10)
      expect(information).toBeCloseTo(mean * (1 - mean), 10)
      expect(squares).toBeCloseTo(first ** 2 + third ** 2, 10)
      expect(ownScore).toBeCloseTo(mean ** 2, 10)
      expect(ownInformation).toBeCloseTo((mean * (1 - mean)) ** 2, 10)
      // Found on day 120 the second patient is at risk in place of one restoration of the third.
      const one = (-(1 - mean) * ratio) / sum
      const found = of('nodesFound').slice(3 * j, 3 * j + 3)
      expect(found[0]).toBeCloseTo(-mean, 10)
      expect(found[1]).toBeCloseTo(mean * (1 - mean), 10)
      expect(found[2]).toBeCloseTo(first ** 2 + 2 * one ** 2, 10)
      // Right after their last clean looks, on days 40.5 and 300, the comparator is at risk at the second event, too.
      const later = ratio / (1 / 2 + ratio)
      const clear = of('nodesClear').slice(3 * j, 3 * j + 3)
      expect(clear[0]).toBeCloseTo(1 - mean - later, 10)
      expect(clear[1]).toBeCloseTo(mean * (1 - mean) + later * (1 - later), 10)
    })
  })

  it('of a practice without one of the groups compare nothing', () => {
    const alone = rowsOf([
      [0, 0, -1, 50, 1, 0, 1],
      [0, 0, -1, 60, 0, 1, 1],
    ])
    const own = endpointSums(partsOfRows(alone, protocol), protocol, endpoint)
    expect([...own[`${endpoint}/comparing`]!]).toEqual([0])
    expect([...own[`${endpoint}/contributing`]!]).toEqual([1, 0])
    expect([...own[`${endpoint}/mantelHaenszel`]!]).toEqual([0, 0, 0])
  })

  it('fill the layout of the protocol, block by block', () => {
    for (const { name, size } of layoutOf(protocol)) {
      if (name.startsWith(endpoint)) expect([name, sums[name]?.length]).toEqual([name, size])
    }
  })
})

describe('risk sets', () => {
  const risk = riskDays({
    exits: [
      { group: 0, status: 1, day: 7, count: 1 },
      { group: 0, status: 1, day: 2, count: 1 },
      { group: 0, status: 0, day: 4, count: 1 },
      { group: 1, status: 1, day: 2, count: 1 },
      { group: 1, status: 1, day: 3, count: 1 },
      { group: 1, status: 0, day: 4, count: 1 },
      { group: 1, status: 2, day: 7, count: 1 },
      { group: 1, status: 1, day: 9, count: 0 },
    ],
    entries: [
      { group: 0, day: -1, count: 3 },
      { group: 1, day: -1, count: 3 },
      { group: 1, day: 2, count: 1 },
    ],
  })

  it('hold on each day of an event who entered before it and leaves on it or later', () => {
    expect([...risk.day]).toEqual([2, 3, 7])
    expect([...risk.atRisk[0]]).toEqual([3, 2, 1])
    expect([...risk.atRisk[1]]).toEqual([3, 3, 1])
    expect([...risk.events[0]]).toEqual([1, 0, 1])
    expect([...risk.events[1]]).toEqual([1, 1, 0])
  })

  it('give observed less expected events and the hypergeometric variance', () => {
    const [difference, variance] = logRankParts(risk)
    expect(difference).toBeCloseTo(1 - 1 + (1 - 3 / 5) - 1 / 2, 12)
    expect(variance).toBeCloseTo((2 * 0.5 * 0.5 * 4) / 5 + 0.6 * 0.4 + 0.25, 12)
    // One alone at risk tells nothing.
    const alone = riskDays({
      exits: [{ group: 1, status: 1, day: 3, count: 1 }],
      entries: [{ group: 1, day: -1, count: 1 }],
    })
    expect(logRankParts(alone)).toEqual([0, 0])
  })

  it('give the score by Efron, who lets those with the event leave one by one, and by Breslow, who does not', () => {
    const r = Math.exp(0.3)
    const share = (inGroup: number, against: number): number => (inGroup * r) / (inGroup * r + against)
    const efron = [share(3, 3), share(2.5, 2.5), share(3, 2), share(1, 1)]
    const breslow = [share(3, 3), share(3, 3), share(3, 2), share(1, 1)]
    for (const [ties, shares] of [
      ['efron', efron],
      ['breslow', breslow],
    ] as const) {
      const at = scoreAt(risk, 0.3, ties)
      expect(at.score).toBeCloseTo(2 - shares.reduce((sum, one) => sum + one, 0), 12)
      expect(at.information).toBeCloseTo(
        shares.reduce((sum, one) => sum + one * (1 - one), 0),
        12,
      )
      expect(at.mean[0]).toBeCloseTo((shares[0]! + shares[1]!) / 2, 12)
      expect(at.mean[2]).toBeCloseTo(shares[3]!, 12)
    }
    expect(scoreAt(risk, 0.3)).toEqual(scoreAt(risk, 0.3, 'efron'))
  })

  it('are found by their place among sorted days', () => {
    const days = Float64Array.of(2, 3, 7)
    expect([1, 2, 2.5, 3, 7, 8].map((day) => positionAfter(days, day, false))).toEqual([0, 0, 1, 1, 2, 3])
    expect([1, 2, 2.5, 3, 7, 8].map((day) => positionAfter(days, day, true))).toEqual([0, 1, 1, 2, 3, 3])
    expect(positionAfter(new Float64Array(), 1, true)).toBe(0)
  })
})

describe('scores of rows', () => {
  it('add up to the score of the model, at every ratio and with ties and late entry', () => {
    const wide = agreedOn().protocol
    for (const rows of groupRows(wide).slice(6, 11)) {
      const risks = dayCounts(rows).map(riskDays)
      for (const ties of ['efron', 'breslow'] as const) {
        for (const log of [-1.5, 0, 0.8]) {
          const at = risks.map((risk) => scoreAt(risk, log, ties))
          let sum = 0
          for (let row = 0; row < rows.n; row++) {
            const clinic = rows.clinic[row]!
            const place = (day: number): number => positionAfter(risks[clinic]!.day, day, true)
            sum += rowScore(
              at[clinic]!,
              rows.group[row]!,
              rows.status[row] === 1,
              place(rows.entryDays[row]!),
              place(rows.timeDays[row]!),
            )
          }
          const score = at.reduce((total, one) => total + one.score, 0)
          expect(sum).toBeCloseTo(score, 8)
          expect(Math.abs(score)).toBeGreaterThan(1e-6)
        }
      }
    }
  })
})
