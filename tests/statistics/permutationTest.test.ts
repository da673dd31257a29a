import { describe, expect, it } from 'vitest'
import { inWords } from '../../src/messages/speaker.js'
import { permutationTest } from '../../src/statistics/groupTests/permutationTest.js'

/** All subsets of the given size, as lists of positions. */
function subsets(size: number, from: number): number[][] {
  if (size === 0) return [[]]
  if (size > from) return []
  return [...subsets(size, from - 1), ...subsets(size - 1, from - 1).map((chosen) => [...chosen, from - 1])]
}

/** Log-rank scores of rows without late entry, by the definition. */
function scoresOf(time: readonly number[], event: readonly number[]): number[] {
  return time.map((own, row) =>
    [...new Set(time)].reduce((score, at) => {
      if (at > own) return score
      const atRisk = time.filter((other) => other >= at).length
      const deaths = time.filter((other, i) => other === at && event[i] === 1).length
      return score - deaths / atRisk
    }, event[row]!),
  )
}

describe('permutation of whole patients', () => {
  const time = [3, 5, 2, 8, 9, 4, 7, 6, 1, 10]
  const event = [1, 0, 1, 1, 0, 1, 0, 1, 1, 0]
  const patient = ['p', 'p', 'q', 'q', 'r', 's', 's', 't', 'u', 'v']
  const group = [0, 0, 1, 1, 0, 0, 1, 1, 0, 0]

  it('comes to the P value of all permutations, enumerated', () => {
    // p, r, u, v hold kind 0 and q, t kind 1: 15 exchanges; s holds both: 2 orders
    const scores = scoresOf(time, event)
    const totals = ['p', 'r', 'u', 'v', 'q', 't'].map((name) =>
      scores.reduce((sum, score, row) => sum + (patient[row] === name ? score : 0), 0),
    )
    const all = subsets(2, 6).flatMap((chosen) =>
      [5, 6].map((row) => scores[row]! + chosen.reduce((sum, at) => sum + totals[at]!, 0)),
    )
    const mean = all.reduce((sum, value) => sum + value, 0) / all.length
    const variance = all.reduce((sum, value) => sum + (value - mean) ** 2, 0) / all.length
    const observed = scores.reduce((sum, score, row) => sum + (group[row] === 1 ? score : 0), 0)
    const exact =
      all.filter((value) => Math.abs(value - mean) >= Math.abs(observed - mean) - 1e-12).length / all.length
    const test = permutationTest(time, event, group, patient, { replicates: 20_000, seed: 11 })
    expect(test.score).toBeCloseTo(observed, 12)
    expect(test.statistic).toBeCloseTo((observed - mean) / Math.sqrt(variance), 12)
    expect(Math.abs((test.pValue as number) - exact)).toBeLessThan(4 * test.monteCarloError + 1e-4)
    expect([test.patientsExchanged, test.patientsPermutedWithin, test.patientsFixed]).toEqual([6, 1, 0])
  })

  it('gives the same answer for the same seed, whatever the order of rows', () => {
    const order = [4, 9, 0, 7, 2, 5, 8, 1, 3, 6]
    const moved = <T>(column: readonly T[]): T[] => order.map((row) => column[row]!)
    const options = { replicates: 500, seed: 3 }
    const first = permutationTest(time, event, group, patient, options)
    const second = permutationTest(moved(time), moved(event), moved(group), moved(patient), options)
    expect(second.pValue).toBe(first.pValue)
    expect(first.seed).toBe(3)
    const other = permutationTest(time, event, group, patient, { replicates: 500, seed: 4 })
    expect(other.pValue).not.toBe(first.pValue)
  })

  it('exchanges within strata only, and says who could not be exchanged', () => {
    const strata = ['x', 'x', 'x', 'x', 'x', 'y', 'y', 'x', 'z', 'z']
    const test = permutationTest(time, event, group, patient, { strata, replicates: 200 })
    expect([test.patientsExchanged, test.patientsPermutedWithin, test.patientsFixed]).toEqual([4, 1, 2])
    expect(test.warnings.map((one) => inWords(one))).toEqual([
      '2 of 7 patients have nobody of the other kind in their strata: they do not inform the test.',
    ])
  })

  it('says when no label can change', () => {
    const test = permutationTest([1, 2, 3], [1, 1, 1], [0, 1, 1], [1, 2, 3], { strata: [1, 2, 2] })
    expect(test.pValue).toEqual({
      state: 'not-estimable',
      reason: 'no-label-can-change',
    })
  })

  it('refuses other than two groups', () => {
    expect(() => permutationTest([1, 2, 3], [1, 1, 1], [0, 1, 2], [1, 2, 3])).toThrow(
      'the column group holds 3 kinds. Expected: two kinds to compare. Mend: select the rows of two groups.',
    )
    expect(() => permutationTest([1, 2], [1, 1], [0, 1], [1, 2], { replicates: 0 })).toThrow(
      '0 replicates were asked for. Expected: a whole number above zero, such as 9999. Mend: leave replicates out for 9999.',
    )
  })
})
