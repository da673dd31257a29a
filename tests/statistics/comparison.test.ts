import { describe, expect, it } from 'vitest'
import { logRank } from '../../src/statistics/groupTests/comparison.js'

describe('log-rank family', () => {
  it('is that of a hand-worked example', () => {
    // all events, two then two: E of a is 1/2 + 1/3, variance 1/4 + 2/9
    const result = logRank([1, 2, 3, 4], [1, 1, 1, 1], ['a', 'a', 'b', 'b'])
    expect(result.groups[0]).toMatchObject({ group: 'a', n: 2, observed: 2 })
    expect(result.groups[0]!.expected).toBeCloseTo(1 / 2 + 1 / 3, 14)
    expect(result.statistic).toBeCloseTo((2 - 5 / 6) ** 2 / (1 / 4 + 2 / 9), 12)
    expect(result.degreesOfFreedom).toBe(1)
  })

  it('is the same for the groups in any order of labels', () => {
    const time = [3, 1, 4, 1, 5, 9, 2, 6, 5, 3]
    const event = [1, 0, 1, 1, 1, 0, 1, 1, 0, 1]
    const group = ['a', 'b', 'c', 'a', 'b', 'c', 'a', 'b', 'c', 'a']
    const renamed = group.map((label) => ({ a: 'z', b: 'y', c: 'x' })[label]!)
    const result = logRank(time, event, group)
    expect(logRank(time, event, renamed).statistic as number).toBeCloseTo(result.statistic as number, 10)
    expect(result.degreesOfFreedom).toBe(2)
  })

  it('takes frequencies as repetition', () => {
    const once = logRank([1, 2, 2, 5, 6, 6], [1, 1, 0, 1, 0, 1], [0, 1, 0, 1, 0, 1], {
      weights: [2, 1, 3, 0, 1, 2],
    })
    const time = [1, 1, 2, 2, 2, 2, 6, 6, 6]
    const repeated = logRank(time, [1, 1, 1, 0, 0, 0, 0, 1, 1], [0, 0, 1, 0, 0, 0, 0, 1, 1])
    expect(once.statistic as number).toBeCloseTo(repeated.statistic as number, 12)
    expect(once.groups).toEqual(repeated.groups)
    expect(() => logRank([1, 2], [1, 1], [0, 1], { weights: [1, 1.5] })).toThrow(
      'column frequency holds something other than a whole number, first in row 2. Expected: how often each row stands: 0, 1, 2, … Mend: for weights of other kinds use the weighted regression with its robust variance.',
    )
  })

  it('says when there is nothing to compare', () => {
    const absent = { state: 'not-estimable', reason: 'no-event-time-with-two-groups' }
    expect(logRank([1, 2], [0, 0], ['a', 'b'])).toMatchObject({
      statistic: absent,
      pValue: absent,
      degreesOfFreedom: 0,
    })
    expect(logRank([1, 2], [1, 1], ['a', 'a']).statistic).toEqual(absent)
    const apart = logRank([1, 5, 2, 6], [1, 1, 1, 1], ['a', 'b', 'a', 'b'], { strata: [1, 2, 1, 2] })
    expect(apart.statistic).toEqual(absent)
  })

  it('leaves a group without risk out of the degrees of freedom', () => {
    const result = logRank([1, 2, 3, 4, 0.5], [1, 1, 1, 0, 0], ['a', 'b', 'a', 'b', 'c'])
    expect(result.degreesOfFreedom).toBe(1)
    const two = logRank([1, 2, 3, 4], [1, 1, 1, 0], ['a', 'b', 'a', 'b'])
    expect(result.statistic as number).toBeCloseTo(two.statistic as number, 12)
  })

  it('warns where patients repeat', () => {
    const result = logRank([1, 2, 3, 4], [1, 1, 1, 0], [0, 1, 0, 1], { cluster: [1, 1, 2, 3] })
    expect(result.warnings.map((one) => one.code)).toEqual(['patients-repeat'])
    expect(result.clusters).toBe(3)
  })

  it('refuses scores that do not match the groups', () => {
    expect(() => logRank([1, 2], [1, 1], [0, 1], { scores: [1, 2, 3] })).toThrow(
      '3 scores were given for 2 groups. Expected: one finite score per group, in the order of the sorted labels. Mend: give as many scores as there are groups.',
    )
    const same = logRank([1, 2, 3], [1, 1, 1], [0, 1, 0], { scores: [2, 2] })
    expect(same.trend!.pValue).toMatchObject({ state: 'not-estimable' })
  })
})
