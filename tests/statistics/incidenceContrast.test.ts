import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { compareCumulativeIncidence } from '../../src/statistics/curves/incidenceContrast.js'
import { compareTimeLost } from '../../src/statistics/curves/timeLost.js'

const row = fc.record({
  time: fc.integer({ min: 1, max: 9 }),
  cause: fc.integer({ min: 0, max: 2 }),
  patient: fc.integer({ min: 0, max: 5 }),
})

/** Risk of cause 1 by day `end`, and area under it, by the definition with weights. */
function byDefinition(
  time: readonly number[],
  cause: readonly number[],
  weights: readonly number[],
  end: number,
) {
  let free = 1
  let risk = 0
  let area = 0
  for (let day = 1; day <= end; day++) {
    const sum = (chosen: (i: number) => boolean): number =>
      weights.reduce((total, weight, i) => total + (chosen(i) ? weight : 0), 0)
    area += risk
    const atRisk = sum((i) => time[i]! >= day)
    if (atRisk === 0) continue
    risk += (free * sum((i) => time[i] === day && cause[i] === 1)) / atRisk
    free *= 1 - sum((i) => time[i] === day && cause[i]! > 0) / atRisk
  }
  return { risk, area }
}

describe('risks and time lost of two groups', () => {
  it('are those of hand-worked curves', () => {
    const [at] = compareCumulativeIncidence([1, 2, 3, 4], [1, 2, 1, 0], ['a', 'a', 'b', 'b'], [3])
    expect(at!.groups.map((group) => group.estimate)).toEqual([0.5, 0.5])
    expect(at!.differences[0]).toMatchObject({ estimate: 0, comparator: { group: 'b', against: 'a' } })
    expect(at!.ratios[0]!.estimate).toBe(1)
    const lost = compareTimeLost([1, 2, 3, 4], [1, 2, 1, 0], ['a', 'a', 'b', 'b'], 4)
    expect(lost.groups.map((group) => group.estimate)).toEqual([1.5, 0.5])
    expect(lost.differences[0]!.estimate).toBe(-1)
  })

  it('have the numerical jackknife over patients who may hold both kinds', () => {
    fc.assert(
      fc.property(fc.array(row, { minLength: 4, maxLength: 24 }), (rows) => {
        const time = rows.map((one) => one.time)
        const cause = rows.map((one) => one.cause)
        const patient = rows.map((one) => one.patient)
        const group = rows.map((_one, i) => i % 2)
        const end = Math.min(...[0, 1].map((g) => Math.max(...time.filter((_t, i) => group[i] === g))))
        const options = { cluster: patient, variance: 'robust' as const }
        const risk = compareCumulativeIncidence(time, cause, group, [end], options)[0]!.differences[0]!
        const lost = compareTimeLost(time, cause, group, end, { cluster: patient }).differences[0]!
        for (const [field, found] of [
          ['risk', risk],
          ['area', lost],
        ] as const) {
          const differenceOf = (weights: readonly number[]): number => {
            const of = (g: number): number =>
              byDefinition(
                time,
                cause,
                weights.map((weight, i) => (group[i] === g ? weight : 0)),
                end,
              )[field]
            return of(1) - of(0)
          }
          const one = rows.map(() => 1)
          const sums = new Map<number, number>()
          one.forEach((_weight, i) => {
            const moved = (by: number): number =>
              differenceOf(one.map((weight, j) => (j === i ? weight + by : weight)))
            const derivative = (moved(1e-5) - moved(-1e-5)) / 2e-5
            sums.set(patient[i]!, (sums.get(patient[i]!) ?? 0) + derivative)
          })
          const variance = [...sums.values()].reduce((total, value) => total + value * value, 0)
          expect(found.estimate).toBeCloseTo(differenceOf(one), 12)
          expect(found.standardError!.value).toBeCloseTo(Math.sqrt(variance), 6)
        }
      }),
      { numRuns: 40, seed: 21 },
    )
  })

  it('say what cannot be had', () => {
    const past = compareCumulativeIncidence([1, 2, 3, 9], [1, 0, 1, 0], ['a', 'a', 'b', 'b'], [5])[0]!
    expect(past.groups[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'follow-up-ends-at',
      parameters: { time: 2 },
    })
    expect(past.differences[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'group-without-estimate',
    })
    const none = compareCumulativeIncidence([5, 6, 5, 6], [0, 0, 1, 0], ['a', 'a', 'b', 'b'], [5])[0]!
    expect(none.groups[0]!.interval.upper).toEqual({
      state: 'not-estimable',
      reason: 'no-event-of-cause-by-then',
    })
    expect(none.ratios[0]!.estimate).toEqual({
      state: 'not-estimable',
      reason: 'ratio-of-zero',
    })
    expect(() => compareTimeLost([1], [1], ['a'], 0)).toThrow(
      'the horizon is 0. Expected: a time above zero. Mend: give the horizon in the unit of the times.',
    )
    expect(() => compareTimeLost([1, 2], [1, 1], ['a', 'b'], 1, { against: 'c' })).toThrow(
      'no row belongs to the comparator c. Expected: one of the groups a, b. Mend: name a group that occurs in the column.',
    )
  })
})
