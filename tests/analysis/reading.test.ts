import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  claimOf,
  inDirectionOfEvents,
  type Reading,
  readingOf,
  smallestInDirection,
} from '../../src/analysis/reading.js'
import { noInterval, unbounded } from '../../src/core/estimate.js'

/** Every place in which an interval can lie against no difference and a margin of 2 on each side. */
const table: readonly (readonly [number, number, Reading])[] = [
  [-5, -3, 'fewer-that-matters'],
  [-5, -2, 'fewer'],
  [-5, -1, 'fewer'],
  [-2, -1, 'fewer'],
  [-1.9, -1, 'fewer-but-little'],
  [-5, 0, 'fewer-possible'],
  [-2, 0, 'fewer-possible'],
  [-5, 1, 'fewer-possible'],
  [-5, 2, 'open'],
  [-5, 5, 'open'],
  [-2, 2, 'open'],
  [-1, 0, 'little-either-way'],
  [-1, 1, 'little-either-way'],
  [0, 0, 'little-either-way'],
  [0, 1, 'little-either-way'],
  [-1, 2, 'more-possible'],
  [0, 2, 'more-possible'],
  [-1, 5, 'more-possible'],
  [0, 5, 'more-possible'],
  [1, 1.9, 'more-but-little'],
  [1, 2, 'more'],
  [1, 5, 'more'],
  [2, 5, 'more'],
  [3, 5, 'more-that-matters'],
]

describe('the reading of an interval', () => {
  it.each(table)('from %d to %d against a margin of 2 is %s', (lower, upper, reading) => {
    expect(readingOf({ lower, upper }, 2)).toBe(reading)
  })

  it.each([
    [-5, -1, 'fewer'],
    [-5, 0, 'open'],
    [-1, 5, 'open'],
    [1, 5, 'more'],
  ] as const)('from %d to %d without a margin says no more than the side: %s', (lower, upper, reading) => {
    expect(readingOf({ lower, upper }, undefined)).toBe(reading)
  })

  it('of limits without an end takes them for infinite', () => {
    expect(readingOf({ lower: unbounded('below'), upper: -3 }, 2)).toBe('fewer-that-matters')
    expect(readingOf({ lower: unbounded('below'), upper: unbounded('above') }, 2)).toBe('open')
  })

  it('is none where a limit cannot be had', () => {
    expect(readingOf(noInterval('one cluster'), 2)).toBe('none')
    expect(readingOf({ lower: -1, upper: noInterval('one cluster').upper }, 2)).toBe('none')
  })

  it('never claims away a difference that the interval holds', () => {
    const limits = fc.tuple(
      fc.double({ min: -9, max: 9, noNaN: true }),
      fc.double({ min: 0, max: 9, noNaN: true }),
    )
    fc.assert(
      fc.property(limits, fc.double({ min: 0.001, max: 5, noNaN: true }), ([lower, width], smallest) => {
        const upper = lower + width
        const claim = claimOf(readingOf({ lower, upper }, smallest), smallest)
        expect(claim.above).toBeLessThanOrEqual(lower)
        expect(claim.below).toBeGreaterThanOrEqual(upper)
      }),
    )
  })

  it('is turned round with the interval', () => {
    const turned: Readonly<Partial<Record<Reading, Reading>>> = {
      'fewer-that-matters': 'more-that-matters',
      fewer: 'more',
      'fewer-but-little': 'more-but-little',
      'fewer-possible': 'more-possible',
      open: 'open',
      'little-either-way': 'little-either-way',
    }
    for (const [lower, upper, reading] of table) {
      const other = readingOf({ lower: -upper, upper: -lower }, 2)
      expect(other).toBe(turned[reading] ?? Object.entries(turned).find(([, to]) => to === reading)![0])
    }
  })
})

describe('scales', () => {
  it('read ratios by their logarithm, and a lower limit of 0 as none', () => {
    const smallest = smallestInDirection(0.75, 'hazard-ratio')
    const read = (lower: number, upper: number) =>
      readingOf(inDirectionOfEvents({ lower, upper }, 'hazard-ratio'), smallest)
    expect(read(0.4, 0.7)).toBe('fewer-that-matters')
    expect(read(0.4, 0.9)).toBe('fewer')
    expect(read(0.5, 1.5)).toBe('open')
    expect(read(0.8, 1.3)).toBe('little-either-way')
    expect(read(0, 0.5)).toBe('fewer-that-matters')
  })

  it('turn time free of the endpoint round, since more of it is fewer events', () => {
    const free = inDirectionOfEvents({ lower: 20, upper: unbounded('above') }, 'restricted-mean-difference')
    expect(free).toEqual({ lower: unbounded('below'), upper: -20 })
    expect(readingOf(free, 15)).toBe('fewer-that-matters')
    const lost = inDirectionOfEvents({ lower: -40, upper: -20 }, 'time-lost-difference')
    expect(readingOf(lost, 15)).toBe('fewer-that-matters')
  })
})
