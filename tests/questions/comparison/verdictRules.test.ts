import { describe, expect, it } from 'vitest'
import { numberNeededOf, type VerdictGrounds, verdictOf } from '../../../src/questions/comparison/verdict.js'

/*
 * The rules of the verdict one by one, each from both sides, as docs/answer.md states them: what stands first there wins over
 * what stands after it.
 */

const below = { estimate: -0.06, lower: -0.1, upper: -0.02 }
const above = { estimate: 0.06, lower: 0.02, upper: 0.1 }
const holding = { estimate: -0.01, lower: -0.05, upper: 0.03 }

/** Grounds on which the group does better, but for what is changed. */
function of(changes: Partial<VerdictGrounds> = {}): readonly [string, string] {
  const { verdict, reason } = verdictOf({
    leftOutShare: 0,
    events: 10,
    immortalTime: { fires: false },
    exposure: { laterDated: 0, documentedShare: 1 },
    overlap: { enough: true },
    difference: below,
    ends: { found: below, afterLastLook: below },
    challenges: [],
    ...changes,
  })
  return [verdict, reason]
}

describe('what may be claimed', () => {
  it('is a direction where nothing speaks against it', () => {
    expect(of()).toEqual(['lower', 'interval-excludes-zero'])
    expect(of({ difference: above, ends: { found: above, afterLastLook: above } })).toEqual([
      'higher',
      'interval-excludes-zero',
    ])
  })

  it('is a direction of groups that were not told apart by tightening, too', () => {
    expect(of({ immortalTime: undefined, exposure: undefined })).toEqual(['lower', 'interval-excludes-zero'])
  })

  it('cannot be known above a fifth left out, or below ten events', () => {
    expect(of({ leftOutShare: 0.2 })[0]).toBe('lower')
    expect(of({ leftOutShare: 0.2001, events: 0 })).toEqual(['cannot-be-known', 'risk-withheld'])
    expect(of({ events: 9, overlap: { enough: false } })).toEqual(['cannot-be-known', 'few-events'])
  })

  it('cannot be compared where the test of immortal time fires, or one tightening is dated at a later visit', () => {
    const apart = { overlap: { enough: false } }
    expect(of({ ...apart, immortalTime: { fires: true } })).toEqual(['cannot-be-compared', 'immortal-time'])
    expect(of({ ...apart, immortalTime: { fires: true }, exposure: undefined })[1]).toBe('immortal-time')
    expect(of({ ...apart, exposure: { laterDated: 1, documentedShare: 1 } })[1]).toBe('immortal-time')
    expect(of(apart)).toEqual(['cannot-be-compared', 'overlap'])
  })

  it('is open where the interval holds zero, at its limits too', () => {
    expect(of({ difference: holding })).toEqual(['open', 'interval-holds-zero'])
    expect(of({ difference: { ...below, upper: 0 } })).toEqual(['open', 'interval-holds-zero'])
    expect(of({ difference: { ...above, lower: 0 } })).toEqual(['open', 'interval-holds-zero'])
  })

  it('is open below nine in ten documented, or where those not documented turn it', () => {
    const contradicted = { code: 'loss', effect: 'contradicts' } as const
    const exposure = { laterDated: 0, documentedShare: 0.9 }
    expect(of({ exposure })[0]).toBe('lower')
    expect(of({ exposure: { ...exposure, documentedShare: 0.8999 }, challenges: [contradicted] })).toEqual([
      'open',
      'not-documented',
    ])
    const turned = (effect: 'weakens' | 'agrees') => ({ code: 'undocumented-as-single', effect }) as const
    expect(of({ challenges: [contradicted, turned('weakens')] })).toEqual(['open', 'not-documented'])
    expect(of({ exposure: undefined, challenges: [turned('weakens')] })[1]).toBe('not-documented')
    expect(of({ challenges: [turned('agrees')] })[0]).toBe('lower')
  })

  it('is open where one challenge contradicts, not where others weaken', () => {
    const ends = { found: holding, afterLastLook: holding }
    const weakens = { code: 'same-years', effect: 'weakens' } as const
    expect(of({ ends, challenges: [weakens, { code: 'ticks-only', effect: 'contradicts' }] })).toEqual([
      'open',
      'contradicted',
    ])
    expect(of({ challenges: [weakens, { code: 'loss', effect: 'agrees' }] })[0]).toBe('lower')
  })

  it('is open where either end lies elsewhere', () => {
    for (const other of [holding, above]) {
      expect(of({ ends: { found: other, afterLastLook: below } })).toEqual(['open', 'ends-disagree'])
      expect(of({ ends: { found: below, afterLastLook: other } })).toEqual(['open', 'ends-disagree'])
    }
  })
})

it('is one over the difference, with its limits the other way round, on either side of zero', () => {
  const needed = { estimate: 1 / 0.06, lower: 10, upper: 50 }
  for (const difference of [below, above]) {
    const { estimate, lower, upper } = numberNeededOf(difference)
    expect(estimate).toBeCloseTo(needed.estimate, 12)
    expect(lower).toBeCloseTo(needed.lower, 12)
    expect(upper).toBeCloseTo(needed.upper, 12)
  }
})
