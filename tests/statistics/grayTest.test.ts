import { describe, expect, it } from 'vitest'
import { grayTest } from '../../src/statistics/groupTests/grayTest.js'

const absent = { state: 'not-estimable', reason: 'no-event-of-cause-with-two-groups' }

describe("Gray's test", () => {
  it('counts each group, and its scores sum to zero', () => {
    const test = grayTest([1, 2, 3, 4, 5, 6], [1, 2, 1, 1, 0, 1], ['a', 'b', 'a', 'b', 'a', 'b'])
    expect(test.groups).toMatchObject([
      { group: 'a', n: 3, events: 2, competingEvents: 0 },
      { group: 'b', n: 3, events: 2, competingEvents: 1 },
    ])
    expect(test.groups[0]!.score + test.groups[1]!.score).toBeCloseTo(0, 12)
  })

  it('does not depend on labels or the order of rows', () => {
    const time = [3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5, 8]
    const cause = [1, 2, 1, 0, 1, 0, 2, 1, 1, 2, 0, 1]
    const group = [0, 1, 2, 0, 1, 2, 0, 1, 2, 0, 1, 2]
    const test = grayTest(time, cause, group)
    const turned = grayTest(
      [...time].reverse(),
      [...cause].reverse(),
      [...group].reverse().map((g) => `g${9 - g}`),
    )
    expect(turned.statistic).toBeCloseTo(test.statistic as number, 10)
  })

  it('says when there is nothing to compare', () => {
    expect(grayTest([1, 2], [0, 0], ['a', 'b'])).toMatchObject({ statistic: absent, pValue: absent })
    expect(grayTest([1, 2], [1, 1], ['a', 'a']).statistic).toEqual(absent)
    expect(grayTest([1, 2], [1, 2], ['a', 'b'], { cause: 3 }).statistic).toEqual(absent)
  })

  it('warns where patients repeat, and refuses a power that is not finite', () => {
    const test = grayTest([1, 2, 3], [1, 2, 1], ['a', 'b', 'a'], { cluster: [1, 1, 2] })
    expect(test.warnings.map((one) => one.code)).toEqual(['patients-repeat'])
    expect(() => grayTest([1, 2], [1, 1], [0, 1], { rho: Number.NaN })).toThrow(
      'rho of grayTest is NaN. Expected: a finite number. Mend: compute rho first, or leave the call out where it is missing.',
    )
  })
})
