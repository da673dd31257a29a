import { describe, expect, it } from 'vitest'
import { numberNeeded } from '../../src/analysis/numberNeeded.js'
import {
  type Contrast,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
} from '../../src/core/estimate.js'

function difference(estimate: Quantity, interval: Interval): Contrast {
  return {
    estimate,
    interval,
    level: 0.95,
    method: 'a test',
    n: 100,
    events: 10,
    clusters: 100,
    warnings: [],
    reference: 'risk-at-times',
    comparator: { group: 'a', against: 'b' },
  }
}

describe('the number needed', () => {
  it('runs from benefit through infinity to harm where the interval holds no difference', () => {
    // Altman 1998, BMJ 317:1309 (from memory): reduction 10% (−5% to 25%): 10 to benefit, 20 to harm through ∞ to 4.
    expect(numberNeeded(difference(-0.1, { lower: -0.25, upper: 0.05 }))).toEqual({
      direction: 'benefit',
      number: 10,
      range: { kind: 'through-infinity', leastToBenefit: 4, leastToHarm: 20 },
    })
  })

  it('stays on one side where the interval does', () => {
    expect(numberNeeded(difference(-0.1, { lower: -0.2, upper: -0.05 }))!.range).toEqual({
      kind: 'one-way',
      direction: 'benefit',
      from: 5,
      to: 20,
    })
    expect(numberNeeded(difference(0.1, { lower: 0.05, upper: 0.2 }))).toEqual({
      direction: 'harm',
      number: 10,
      range: { kind: 'one-way', direction: 'harm', from: 5, to: 20 },
    })
  })

  it('has no end where the interval ends at no difference', () => {
    const endless = { state: 'unbounded', direction: 'above' }
    expect(numberNeeded(difference(-0.1, { lower: -0.2, upper: 0 }))!.range).toMatchObject({ to: endless })
    expect(numberNeeded(difference(0, { lower: -0.2, upper: 0.1 }))).toMatchObject({
      direction: 'none',
      number: endless,
    })
  })

  it('says why there is no range, and is absent without a difference', () => {
    expect(numberNeeded(difference(-0.1, noInterval('one cluster')))!.range.kind).toBe('none')
    expect(numberNeeded(difference(notEstimable('no follow-up'), noInterval('no follow-up')))).toBeUndefined()
  })
})
