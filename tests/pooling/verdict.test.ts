import { describe, expect, it } from 'vitest'
import {
  type Contrast,
  type Estimate,
  noInterval,
  notEstimable,
  type Quantity,
} from '../../src/core/estimate.js'
import type { BetweenPractices, Comparison } from '../../src/pooling/coordinator/comparison.js'
import type { GroupFigures, WithheldGroup } from '../../src/pooling/coordinator/figures.js'
import { groupAnswer } from '../../src/pooling/coordinator/groupAnswer.js'
import type { EndpointResult, PooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { verdictOf } from '../../src/pooling/coordinator/verdict.js'
import { unitsForDifference } from '../../src/statistics/planning/precisionOfDifference.js'
import { agreedOn } from './syntheticGroup.js'

const { protocol } = agreedOn({ smallestDifference: 0.02 })
const common = { level: 0.95, method: [], n: 1, events: 1, clusters: 1, warnings: [], reference: '' }
const none = notEstimable('one-patient')

function estimate(value: Quantity, lower: Quantity, upper: Quantity): Estimate {
  return { ...common, estimate: value, interval: { lower, upper } }
}

function contrast(value: Quantity, lower: Quantity, upper: Quantity): Contrast {
  return { ...estimate(value, lower, upper), comparator: { group: 'g', against: 'a' } }
}

/** A group with its risks by years as [years, at risk, estimate]. */
function figures(
  risks: readonly (readonly [number, number, Quantity])[],
  more: Partial<GroupFigures> = {},
): GroupFigures {
  return {
    group: 'g',
    restorations: 100,
    patients: 80,
    sites: 4,
    events: 8,
    competing: 0,
    restorationYears: 250,
    rate: estimate(3, 2, 4),
    years: [],
    curve: [
      { day: 91, risk: 0, lower: 0, upper: 0.1, atRisk: 90 },
      { day: 183, risk: 0, lower: 0, upper: 0.1, atRisk: 60 },
      { day: 365, risk: 0, lower: 0, upper: 0.1, atRisk: 5 },
    ],
    risks: risks.map(([years, atRisk, value]) => ({
      ...estimate(value, 0.04, 0.16),
      years,
      atRisk,
    })),
    ...more,
  }
}

const followed = [
  [1, 80, 0.1],
  [3, 40, 0.2],
  [5, 30, 0.3],
] as const
const withheld: WithheldGroup = { group: 'g', withheld: 'too-few-patients-or-practices' }
const lower = contrast(0.5, 0.3, 0.8)
const open = contrast(0.9, 0.5, 1.6)
const estimated = (from: number, to: number): BetweenPractices => ({
  state: 'estimated',
  interval: { lower: from, upper: to },
  tau: 0.1,
  degreesOfFreedom: 4,
  standardError: 0.2,
})

interface Given {
  readonly against?: GroupFigures | WithheldGroup
  readonly group?: GroupFigures | WithheldGroup
  readonly hazardRatio?: Contrast
  readonly found?: Contrast
  readonly afterLastLook?: Contrast
  readonly rateRatio?: Contrast
  readonly between?: BetweenPractices
  readonly measuredShare?: Quantity
  readonly charted?: number
  readonly sites?: number
}

function verdict(given: Given) {
  const { hazardRatio = lower } = given
  const comparison = {
    practices: 6,
    hazardRatio,
    ends: { found: given.found ?? hazardRatio, afterLastLook: given.afterLastLook ?? hazardRatio },
    rateRatio: given.rateRatio ?? contrast(0.6, 0.4, 0.9),
    logRank: {} as never,
    logRankByPatient: {} as never,
  } satisfies Comparison
  return verdictOf({
    protocol,
    figures: [given.against ?? figures(followed), given.group ?? figures(followed)],
    comparison,
    between: given.between ?? estimated(0.4, 0.7),
    measuredShare: given.measuredShare ?? 1,
    charted: given.charted ?? 0,
    sites: given.sites ?? 8,
  })
}

describe('what a study group may claim', () => {
  it('is a direction where the whole interval lies on its side and nothing contradicts', () => {
    expect(verdict({})).toMatchObject({ verdict: 'lower', years: 3, measuredShare: 1 })
    expect(verdict({})).not.toHaveProperty('reason')
    expect(verdict({ hazardRatio: contrast(2, 1.2, 3), between: estimated(1.1, 3.5) })).toMatchObject({
      verdict: 'higher',
    })
    for (const limits of [
      [0.3, 1],
      [1, 1.9],
    ] as const) {
      expect(verdict({ hazardRatio: contrast(1, limits[0], limits[1]) })).toMatchObject({
        verdict: 'open',
        reason: 'interval',
      })
    }
  })

  it('is nothing of a group that is withheld, nor with fewer than ten events', () => {
    for (const one of [{ against: withheld }, { group: withheld }]) {
      expect(verdict(one)).toEqual({ verdict: 'cannot-be-known', reason: 'withheld', objections: [] })
    }
    const of = (events: number) =>
      verdict({ against: figures(followed, { events }), group: figures(followed, { events: 5 }) })
    expect(of(4)).toMatchObject({
      verdict: 'cannot-be-known',
      reason: 'few-events',
      years: 3,
      objections: [],
    })
    expect(of(5).verdict).toBe('lower')
  })

  it('is nothing with fewer than ten at risk in either group by a horizon or by half a year', () => {
    const few = figures([
      [1, 9, 0.1],
      [3, 9, 0.2],
    ])
    for (const one of [{ against: few }, { group: few }]) {
      expect(verdict(one)).toEqual({
        verdict: 'cannot-be-known',
        reason: 'few-at-risk',
        measuredShare: 1,
        objections: [],
      })
    }
    const curve = (atRisk: number) => [
      { day: 91, risk: 0, lower: 0, upper: 0.1, atRisk: 90 },
      { day: 183, risk: 0, lower: 0, upper: 0.1, atRisk },
    ]
    expect(verdict({ group: figures(followed, { curve: curve(9) }) }).reason).toBe('few-at-risk')
    expect(verdict({ group: figures(followed, { curve: curve(10) }) }).verdict).toBe('lower')
    expect(verdict({ against: figures(followed, { curve: curve(9) }) }).reason).toBe('few-at-risk')
    expect(verdict({ group: figures(followed, { curve: curve(90).slice(0, 1) }) }).reason).toBe('few-at-risk')
  })

  it('is set at the longest horizon up to three years at which ten of each group are at risk', () => {
    const short = figures([
      [1, 80, 0.1],
      [3, 9, 0.2],
      [5, 8, 0.3],
    ])
    expect(verdict({ group: short }).years).toBe(1)
    expect(verdict({ against: short }).years).toBe(1)
    const unknown = figures([
      [1, 10, 0.1],
      [3, 40, none],
    ])
    expect(verdict({ group: unknown }).years).toBe(1)
  })

  it('is nothing without a ratio', () => {
    expect(
      verdict({ hazardRatio: { ...lower, estimate: none, interval: noInterval('one-patient') } }),
    ).toMatchObject({
      verdict: 'cannot-be-compared',
      reason: 'no-ratio',
      objections: [],
    })
  })

  it('names the risks and the difference that the ratio means for the comparator', () => {
    const { risks, difference } = verdict({
      against: figures([[3, 40, 0.2]]),
      group: figures([[3, 40, 0.12]]),
    })
    expect(risks).toEqual({
      group: { estimate: 0.12, lower: 0.04, upper: 0.16 },
      against: { estimate: 0.2, lower: 0.04, upper: 0.16 },
    })
    // 1 − 0.8^ratio less 0.2.
    expect(difference!.estimate).toBeCloseTo(0.8 - Math.sqrt(0.8), 12)
    expect(difference!.lower).toBeCloseTo(0.8 - 0.8 ** 0.3, 12)
    expect(difference!.upper).toBeCloseTo(0.8 - 0.8 ** 0.8, 12)
    expect(verdict({ measuredShare: none })).not.toHaveProperty('measuredShare')
  })

  it('names neither where a limit of a risk or of the ratio is none', () => {
    const half = (lower: Quantity, upper: Quantity) =>
      figures([], {
        risks: figures([[3, 40, 0.2]]).risks.map((one) => ({ ...one, interval: { lower, upper } })),
      })
    for (const one of [half(none, 0.3), half(0.1, none)]) {
      for (const given of [{ group: one }, { against: one }]) {
        expect(verdict(given)).toMatchObject({ verdict: 'lower', years: 3 })
        expect(verdict(given)).not.toHaveProperty('risks')
        expect(verdict(given)).not.toHaveProperty('difference')
      }
    }
    for (const hazardRatio of [
      contrast(none, 0.3, 0.8),
      contrast(0.5, none, 0.8),
      contrast(0.5, 0.3, none),
    ]) {
      expect(verdict({ hazardRatio })).toHaveProperty('risks')
      expect(verdict({ hazardRatio })).not.toHaveProperty('difference')
    }
    const nobody = figures([[3, 9, 0.2]])
    expect(verdict({ group: nobody })).not.toHaveProperty('years')
  })
})

describe('what bears on the claim', () => {
  const effects = (given: Given) => verdict(given).objections.map(({ code, effect }) => [code, effect])

  it('agrees where practices, both placements and rates point the same way', () => {
    expect(effects({})).toEqual([
      ['practices-differ', 'agrees'],
      ['found', 'agrees'],
      ['after-last-look', 'agrees'],
      ['hazard-and-rate', 'agrees'],
    ])
    expect(verdict({}).objections[0]).toEqual({
      code: 'practices-differ',
      effect: 'agrees',
      estimate: 0.5,
      lower: 0.4,
      upper: 0.7,
    })
  })

  it.each([
    ['practices-differ', { between: estimated(0.2, 1.2) }],
    ['found', { found: open }],
    ['after-last-look', { afterLastLook: contrast(0.9, 0.5, 1) }],
    ['from-charts', { charted: 0.11 }],
  ] as const)('contradicts as %s, and leaves the claim open', (code, given) => {
    const { verdict: claimed, reason, objections } = verdict(given)
    expect([claimed, reason]).toEqual(['open', 'objection'])
    expect(objections.find((one) => one.code === code)!.effect).toBe('contradicts')
    expect(objections.filter(({ effect }) => effect === 'contradicts')).toHaveLength(1)
  })

  it('is context only where the interval itself leaves it open', () => {
    expect(
      effects({ hazardRatio: open, between: estimated(0.2, 3), rateRatio: contrast(1.1, 0.8, 1.5) }),
    ).toEqual([
      ['practices-differ', 'context'],
      ['found', 'context'],
      ['after-last-look', 'context'],
      ['hazard-and-rate', 'weakens'],
    ])
  })

  it('says that practices cannot be told apart, and leaves out what cannot be estimated', () => {
    const unknown: BetweenPractices = notEstimable('one-patient')
    expect(effects({ between: unknown, sites: 5 })[0]).toEqual(['few-practices', 'weakens'])
    expect(effects({ between: unknown, sites: 6 })[0]).toEqual(['few-practices', 'context'])
    const missing = contrast(none, none, none)
    expect(effects({ found: missing, afterLastLook: contrast(0.5, none, 0.8), rateRatio: missing })).toEqual([
      ['practices-differ', 'agrees'],
    ])
    expect(effects({ charted: 1 - 0.9 }).map(([code]) => code)).not.toContain('from-charts')
    const { objections } = verdict({
      between: {
        state: 'estimated',
        interval: { lower: none, upper: 0.7 },
        tau: 0,
        degreesOfFreedom: 3,
        standardError: 1,
      },
    })
    expect(objections[0]).toEqual({ code: 'practices-differ', effect: 'agrees', estimate: 0.5 })
  })
})

describe('restorations needed', () => {
  it('grow with the square of the width that was seen over the one asked for', () => {
    const { needed, difference } = verdict({
      hazardRatio: open,
      against: figures([[3, 40, 0.2]], { restorations: 120 }),
      group: figures([[3, 40, 0.1]], { restorations: 80 }),
    })
    const seen = (0.8 ** 0.5 - 0.8 ** 1.6) / 2
    expect((difference!.upper - difference!.lower) / 2).toBeCloseTo(seen, 12)
    expect(needed).toEqual({
      years: 3,
      halfWidth: 0.02,
      now: 200,
      scenarios: [
        { risk: expect.closeTo(0.15, 12), own: true, restorations: Math.ceil(200 * (seen / 0.02) ** 2) },
      ],
    })
  })

  it('are not named where the interval is narrow enough, or nothing was seen to scale', () => {
    expect(verdict({ hazardRatio: contrast(1, 0.95, 1.05) })).not.toHaveProperty('needed')
    const unbounded = figures([[3, 40, 0.2]]).risks.map((one) => ({
      ...one,
      interval: noInterval('one-patient'),
    }))
    const at = verdict({ hazardRatio: open, group: figures([], { risks: unbounded }) })
    expect(at).toMatchObject({ verdict: 'open', reason: 'interval', years: 3 })
    expect(at).not.toHaveProperty('needed')
    expect(at).not.toHaveProperty('risks')
  })

  it('are tried for assumed risks where too few events were seen, patients taken into account', () => {
    const few = { events: 1, restorations: 60, patients: 40 }
    const { needed } = verdict({
      against: figures(followed, few),
      group: figures(followed, { ...few, restorations: 40, patients: 40 }),
    })
    // 100 restorations of 80 patients: 1 + (100/80 − 1)·0.1.
    expect(needed).toEqual({
      years: 3,
      halfWidth: 0.02,
      now: 100,
      scenarios: [0.03, 0.05, 0.1].map((risk) => ({
        risk,
        own: false,
        restorations: unitsForDifference({
          risk,
          shareOfGroup: 0.4,
          halfWidth: 0.02,
          inflation: 1.025,
          level: 0.95,
        }).units,
      })),
    })
  })

  it('are set at the longest horizon up to three years, or the shortest there is', () => {
    const years = (horizonsYears: readonly number[]) =>
      verdictOf({
        protocol: { ...protocol, horizonsYears: [...horizonsYears] },
        figures: [figures(followed, { events: 1 }), figures(followed, { events: 1 })],
        comparison: {
          hazardRatio: lower,
          ends: { found: lower, afterLastLook: lower },
          rateRatio: lower,
        } as never,
        between: estimated(0.4, 0.7),
        measuredShare: 1,
        charted: 0,
        sites: 8,
      }).needed!.years
    expect(years([1, 2, 5])).toBe(2)
    expect(years([3, 1])).toBe(3)
    expect(years([8, 5])).toBe(5)
  })
})

describe('the answer for machines', () => {
  const endpoint = (more: Partial<EndpointResult> = {}): EndpointResult => ({
    endpoint: 'screw_loosening',
    all: figures(followed, { events: 16, restorations: 200, restorationYears: 500 }),
    groups: [figures(followed, { restorations: 120 }), figures(followed, { events: 9 })],
    measuredShare: 1,
    comparison: { hazardRatio: lower } as Comparison,
    between: estimated(0.4, 0.7),
    model: { state: 'not-asked' },
    open: { sites: [] },
    verdict: verdict({}),
    ...more,
  })
  const answer = (more: Partial<EndpointResult> = {}) =>
    groupAnswer({
      protocol,
      sites: [1, 2, 3, 4].map((one) => ({ name: `${one}`, open: false })),
      endpoints: [endpoint(more)],
    } as unknown as PooledResult) as Record<string, Record<string, unknown>>

  it('has the risk at the longest horizon up to three years with ten at risk, the rate and the claim', () => {
    const { howOften, comparison, ...rest } = answer()
    expect(rest).toEqual({
      schema: 'holdfast-answer-1',
      endpoint: 'screw_loosening',
      practices: 4,
      restorations: { analysed: 200 },
    })
    expect(howOften).toEqual({
      verdict: 'estimate',
      years: 3,
      risk: { estimate: 0.2, lower: 0.04, upper: 0.16 },
      ratePer100Years: { estimate: 3, lower: 2, upper: 4 },
      events: 16,
      restorationYears: 500,
    })
    expect(comparison).toMatchObject({
      verdict: 'lower',
      group: 'repeated in the window',
      against: 'single',
      restorations: { group: 100, against: 120 },
      events: { group: 9, against: 8 },
      exposure: { measuredShare: 1 },
      hazardRatio: { estimate: 0.5, lower: 0.3, upper: 0.8 },
    })
    expect(comparison).not.toHaveProperty('measuredShare')
    expect(comparison!.objections).toHaveLength(4)
  })

  it('leaves out what cannot be said', () => {
    const thin = figures([
      [1, 10, 0.1],
      [3, 9, 0.2],
    ])
    expect(answer({ all: thin }).howOften).toMatchObject({ years: 1, risk: { estimate: 0.1 } })
    const nobody = { ...figures([[1, 9, 0.1]], { events: 0 }), rate: estimate(none, none, none) }
    expect(answer({ all: nobody }).howOften).toEqual({
      verdict: 'none-seen',
      reason: 'few-at-risk',
      events: 0,
      restorationYears: 250,
    })
    expect(answer({ all: figures([[5, 90, 0.1]]) }).howOften).toMatchObject({ reason: 'few-at-risk' })
    expect(answer({ all: withheld }).howOften).toEqual({ verdict: 'withheld' })
    expect(answer({ all: withheld })).not.toHaveProperty('restorations')
    for (const groups of [
      [withheld, figures(followed)],
      [figures(followed), withheld],
    ] as const) {
      expect(answer({ groups }).comparison).not.toHaveProperty('events')
    }
    const unbounded = answer({ comparison: { hazardRatio: contrast(0.5, none, 0.8) } as Comparison })
    expect(unbounded.comparison).not.toHaveProperty('hazardRatio')
    const unmeasured = answer({ verdict: verdict({ measuredShare: none }) })
    expect(unmeasured.comparison).not.toHaveProperty('exposure')
  })
})
