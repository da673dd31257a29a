import { describe, expect, it } from 'vitest'
import { isNumber } from '../../src/core/estimate.js'
import { immortalTimeTest } from '../../src/statistics/rates/immortalTime.js'

const equalTime = { timeBefore: 10, timeAfter: 10 }

/** Binomial coefficient, for the tables written out by hand. */
function choose(n: number, k: number): number {
  let product = 1
  for (let i = 0; i < k; i++) product = (product * (n - i)) / (i + 1)
  return product
}

describe('the immortal time signature', () => {
  it('is the hypergeometric probability where both groups had the same times before and after', () => {
    // 9 events of each group, 9 early ones in all: none of them in the group has probability 1 / C(18, 9).
    const test = immortalTimeTest(
      { earlyEvents: 0, lateEvents: 9, ...equalTime },
      { earlyEvents: 9, lateEvents: 0, ...equalTime },
    )
    expect(test.pValue).toBeCloseTo(1 / choose(18, 9), 12)
    expect(test.fires).toBe(true)
  })

  it('weighs every table by the odds of the times', () => {
    const odds = 30 / 10 / (10 / 20)
    const test = immortalTimeTest(
      { earlyEvents: 0, lateEvents: 4, timeBefore: 30, timeAfter: 10 },
      { earlyEvents: 3, lateEvents: 3, timeBefore: 10, timeAfter: 20 },
    )
    const terms = [0, 1, 2, 3].map((x) => choose(4, x) * choose(6, 3 - x) * odds ** x)
    const sum = terms.reduce((left, right) => left + right)
    expect(isNumber(test.pValue) && test.pValue / (terms[0]! / sum)).toBeCloseTo(1, 10)
    expect(test.expectedOdds).toBeCloseTo(6, 12)
  })

  it('does not fire on a group with an early event, however few, nor where nothing is early', () => {
    const against = { earlyEvents: 40, lateEvents: 40, ...equalTime }
    expect(immortalTimeTest({ earlyEvents: 1, lateEvents: 60, ...equalTime }, against).fires).toBe(false)
    const none = immortalTimeTest(
      { earlyEvents: 0, lateEvents: 9, ...equalTime },
      { earlyEvents: 0, lateEvents: 9, ...equalTime },
    )
    expect(none.pValue).toBe(1)
    expect(none.fires).toBe(false)
  })

  it('says so where a group has no time on one side', () => {
    const test = immortalTimeTest(
      { earlyEvents: 0, lateEvents: 9, timeBefore: 0, timeAfter: 10 },
      { earlyEvents: 9, lateEvents: 0, ...equalTime },
    )
    expect(isNumber(test.pValue)).toBe(false)
    expect(test.fires).toBe(false)
  })

  it('refuses counts that are none', () => {
    const side = { earlyEvents: 0.5, lateEvents: 9, ...equalTime }
    expect(() => immortalTimeTest(side, { earlyEvents: 1, lateEvents: 1, ...equalTime })).toThrow(
      'events must be whole numbers and times must not be negative.',
    )
  })
})
