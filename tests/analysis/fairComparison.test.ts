import { describe, expect, it } from 'vitest'
import { auditCohort } from '../../src/analysis/audit.js'
import { comparedRows, cutFollowUp } from '../../src/analysis/compared.js'
import {
  bootstrappedComparison,
  type FairComparison,
  fairComparison,
  leadingEstimate,
} from '../../src/analysis/fairComparison.js'
import { parsePlan } from '../../src/analysis/planFile.js'
import { defaultSettings, plannedSettings } from '../../src/analysis/settings.js'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { isNumber } from '../../src/core/estimate.js'
import { randomStream } from '../../src/core/random.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'
import { practice, times } from './practice.js'

function simulated(name: string, seed = 1): Cohort {
  return buildCohort(simulatedPractice(fairScenarios.find((one) => one.name === name)!, randomStream(seed)))
}

function keysOf(fair: FairComparison): readonly string[] {
  return fair.variants.map(({ key }) => key)
}

describe('the fair comparison of a simulated practice', () => {
  const cohort = simulated('half the hazard')
  const before = JSON.stringify([Array.from(cohort.timeDays), Array.from(cohort.exposure), cohort.summary])
  const fair = fairComparison(cohort)!

  it('has every variant once, each with its scale, what it allows for and what it assumes', () => {
    expect(new Set(keysOf(fair)).size).toBe(fair.variants.length)
    expect(keysOf(fair)).toEqual(
      expect.arrayContaining([
        'risk-difference-crude',
        'risk-difference-doubly-robust-average',
        'risk-difference-weighted-average',
        'risk-difference-weighted-overlap',
        'hazard-ratio-crude',
        'hazard-ratio-by-clinic',
        'hazard-ratio-by-operator',
        'hazard-ratio-adjusted',
        'hazard-ratio-clustered-by-operator',
        'rate-ratio-crude',
        'subdistribution-hazard-ratio-crude',
        'last-contact',
        'first-years-left-out',
        'period-categories',
        'endpoint-or-competing-event',
      ]),
    )
    for (const { contrast, assumes } of fair.variants) {
      expect(assumes.length).toBeGreaterThan(0)
      expect(contrast.comparator).toEqual({ group: 'repeated in the window', against: 'single' })
    }
  })

  it('leads with the doubly robust difference where overlap and events suffice', () => {
    const { lead } = fair
    expect([lead.kind, lead.variant, lead.reasons]).toEqual([
      'estimate',
      'risk-difference-doubly-robust-average',
      ['planned'],
    ])
    expect(lead.contrast).toEqual(fair.variants.find(({ key }) => key === lead.variant)!.contrast)
    expect(lead.numberNeeded!.direction).toBe((lead.contrast.estimate as number) < 0 ? 'benefit' : 'harm')
    expect(leadingEstimate(cohort)).toEqual(lead)
  })

  it('holds no number that is none', () => {
    expect(JSON.stringify(fair)).not.toMatch(/null|NaN|Infinity/)
  })

  it('is frozen, leaves its input alone, and is the same when computed again', () => {
    expect(Object.isFrozen(fair.lead.contrast.interval)).toBe(true)
    const after = JSON.stringify([Array.from(cohort.timeDays), Array.from(cohort.exposure), cohort.summary])
    expect(after).toBe(before)
    expect(JSON.stringify(fairComparison(cohort))).toBe(JSON.stringify(fair))
  })

  it('names what it departs from', () => {
    expect(fair.departures).toEqual([])
    const other = fairComparison(cohort, { ...defaultSettings, level: 0.9 })!
    expect(other.departures).toEqual([{ field: 'level', planned: '0.95', used: '0.9' }])
  })

  it('computes only the sensitivity analyses that the plan lists', () => {
    const plan = parsePlan('{"written": "2026-01-05", "sensitivity": [], "negativeControl": "none"}')
    const bare = fairComparison(cohort, plannedSettings(plan))!
    expect(bare.variants.filter(({ role }) => role === 'sensitivity').map(({ key }) => key)).toEqual([
      'hazard-ratio-clustered-by-operator',
      'endpoint-or-competing-event',
    ])
    expect(bare.negativeControl).toBeUndefined()
  })

  it('computes frailty and the penalised ratio in full detail', () => {
    const full = fairComparison(cohort, { ...defaultSettings, detail: 'full' })!
    expect(keysOf(full)).toEqual(expect.arrayContaining(['hazard-ratio-frailty', 'hazard-ratio-penalised']))
    expect(keysOf(fair)).not.toContain('hazard-ratio-frailty')
  })

  it('gives the same point estimate with a seeded patient bootstrap, and its interval', async () => {
    const settings = { ...defaultSettings, plan: parsePlan('{"written": "2026-01-05", "sensitivity": []}') }
    const options = { replicates: 100, threads: 0 }
    const one = (await bootstrappedComparison(cohort, settings, options))!
    expect(one.lead.contrast.estimate).toBe(fair.lead.contrast.estimate)
    expect(one.lead.contrast.method).toMatch(/patient bootstrap$/)
    const [error, influence] = [one.lead.contrast, fair.lead.contrast].map((c) => c.standardError!.value)
    // Both estimate the same spread; 100 samples tell a standard deviation to about 7%.
    expect(Math.abs(error! / influence! - 1)).toBeLessThan(0.35)
    const two = (await bootstrappedComparison(cohort, settings, options))!
    expect(two.lead).toEqual(one.lead)
  })

  it('says that the spread between operators cannot be estimated from nine', () => {
    const { estimate } = fair.variants.find(
      ({ key }) => key === 'hazard-ratio-clustered-by-operator',
    )!.contrast
    expect(estimate).toMatchObject({
      reason: '9 operators: below 10, the spread between operators cannot be estimated',
    })
  })

  it('stands in the audit', () => {
    expect(auditCohort(cohort).fair).toEqual(fair)
  })
})

describe('what leads', () => {
  it('is that nothing can be known with fewer than 5 events, and what it would take', () => {
    const cohort = practice([
      ...times(40, { checks: [1200] }),
      ...times(3, { loose: 200 }),
      ...times(40, { repeated: true, checks: [1200] }),
      ...times(1, { repeated: true, loose: 300 }),
    ])
    const { lead, permutation } = fairComparison(cohort)!
    expect([lead.kind, lead.reading, lead.reasons]).toEqual(['cannot-be-known', 'none', ['too-few-events']])
    expect(lead.numberNeeded).toBeUndefined()
    // Observed risk of both groups by 3 years: 4 of 84. Two proportions, Fleiss with equal groups of 0.0476 and 0.0276.
    const needed = lead.needed!
    expect(needed.assumedRisk).toBeCloseTo(4 / 84, 12)
    expect(needed.assumedFrom).toBe('observed')
    expect(needed.designEffect).toBe(1)
    const [p1, p2] = [4 / 84, 4 / 84 - 0.02]
    const mean = (43 * p1 + 41 * p2) / 84
    const ratio = 41 / 43
    const z = [1.959963984540054, 0.8416212335729143]
    const size =
      (z[0]! * Math.sqrt((1 + ratio) * mean * (1 - mean)) +
        z[1]! * Math.sqrt(ratio * p1 * (1 - p1) + p2 * (1 - p2))) **
        2 /
      (ratio * 0.0004)
    expect(needed.against).toBe(Math.ceil(size))
    expect(needed.group).toBe(Math.ceil(size * ratio))
    expect(isNumber(permutation!.pValue)).toBe(true)
  })

  it('is that the protocols cannot be compared where they hardly overlap', () => {
    const { lead } = fairComparison(simulated('separated by period'))!
    expect([lead.kind, lead.variant, lead.reading]).toEqual([
      'not-comparable',
      'risk-difference-crude',
      'none',
    ])
  })

  it('is a range that holds both readings where visit schedules differ', () => {
    const fair = fairComparison(simulated('informative visits'))!
    const { lead, shiftBetweenLooks: shift } = fair
    expect(lead.kind).toBe('range')
    expect(lead.reasons).toContain('visit-schedules-differ')
    const { estimate, interval } = fair.variants.find(({ key }) => key === lead.variant)!.contrast
    expect(lead.contrast.interval).toEqual({
      lower: (interval.lower as number) + Math.min(0, shift as number),
      upper: (interval.upper as number) + Math.max(0, shift as number),
    })
    expect(lead.range!.from).toBe((estimate as number) + Math.min(0, shift as number))
    expect(lead.range!.to).toBe((estimate as number) + Math.max(0, shift as number))
  })

  it('is the crude difference where nothing is recorded that could be adjusted for', () => {
    const cohort = practice([
      ...times(40, { checks: [1200] }),
      ...times(10, { loose: 200 }),
      ...times(45, { repeated: true, checks: [1200] }),
      ...times(5, { repeated: true, loose: 300 }),
    ])
    const { lead, who } = fairComparison(cohort)!
    expect([lead.kind, lead.variant, lead.reasons]).toEqual([
      'estimate',
      'risk-difference-crude',
      ['nothing-to-adjust-for'],
    ])
    expect(who.choiceNotModelled).toBe('nothing is recorded that could be adjusted for')
    expect(lead.contrast.estimate).toBeCloseTo(-0.1, 12)
  })

  it('is the weighted difference where events are few for a model of the outcome', () => {
    const fair = fairComparison(simulated('few events', 3))!
    expect(fair.lead.variant).toMatch(/^risk-difference-weighted-/)
    expect(fair.lead.reasons).toContain('few-events-for-a-model-of-the-outcome')
  })

  it('follows the contrast that the plan declares primary', () => {
    const cohort = simulated('half the hazard')
    const lead = (fields: string) =>
      fairComparison(cohort, plannedSettings(parsePlan(`{"written": "2026-01-05", ${fields}}`)))!.lead
    const ratio = lead('"primary": {"contrast": "hazard-ratio"}, "smallestDifference": 0.75')
    expect([ratio.variant, ratio.scale]).toEqual(['hazard-ratio-adjusted', 'hazard-ratio'])
    expect(ratio.needed).toBeUndefined()
    const mean = lead('"primary": {"contrast": "restricted-mean-difference"}, "smallestDifference": 15')
    expect([mean.variant, mean.scale]).toEqual(['restricted-mean-weighted-average', 'time-lost-difference'])
    expect(mean.numberNeeded).toBeUndefined()
  })

  it('takes a shorter horizon of the plan where follow-up does not reach the primary one, and says so', () => {
    const cohort = practice([
      ...times(60, { checks: [500] }),
      ...times(10, { loose: 200 }),
      ...times(60, { repeated: true, checks: [500] }),
      ...times(5, { repeated: true, loose: 300 }),
    ])
    const fair = fairComparison(cohort)!
    expect(fair.horizonYears).toBe(1)
    expect(fair.departures).toEqual([{ field: 'primary.horizonYears', planned: '3', used: '1' }])
    expect(fair.lead.contrast.estimate).toBeCloseTo(5 / 65 - 10 / 70, 12)
  })
})

describe('awkward practices', () => {
  it('without one of the groups have no comparison', () => {
    expect(fairComparison(practice(times(20, { checks: [400] })))).toBeUndefined()
    expect(auditCohort(practice(times(20, { checks: [400] }))).fair).toBeUndefined()
  })

  it.each([
    ['no event at all', [...times(20, { checks: [400] }), ...times(20, { repeated: true, checks: [400] })]],
    [
      'events in one group only',
      [...times(9, { loose: 90 }), ...times(30, { repeated: true, checks: [400] })],
    ],
    ['all events', [...times(9, { loose: 90 }), ...times(9, { repeated: true, loose: 80 })]],
    [
      'one patient',
      times(9, { patient: 1, loose: 90 }).concat(times(9, { patient: 1, repeated: true, checks: [400] })),
    ],
    ['one restoration in a group', [...times(9, { loose: 90 }), { repeated: true, checks: [400] }]],
    [
      'events on the day of delivery',
      [...times(9, { loose: 0 }), ...times(9, { repeated: true, checks: [400] })],
    ],
    [
      'late entry everywhere',
      [
        ...times(20, { checks: [900], fields: { observation_start_date: 200 } }),
        ...times(9, { loose: 500, fields: { observation_start_date: 200 } }),
        ...times(20, { repeated: true, loose: 700, fields: { observation_start_date: 200 } }),
      ],
    ],
  ])('with %s end in tagged states, not in errors or infinite numbers', (_what, restorations) => {
    const fair = fairComparison(practice(restorations), { ...defaultSettings, detail: 'full' })!
    expect(JSON.stringify(fair)).not.toMatch(/null|NaN|Infinity/)
    expect(['estimate', 'range', 'cannot-be-known', 'not-comparable']).toContain(fair.lead.kind)
  })

  it('give no difference where the restorations of both groups fared alike', () => {
    const both = (repeated: boolean) => [
      ...times(30, { repeated, checks: [1200] }),
      ...times(8, { repeated, loose: 200 }),
    ]
    const { lead } = fairComparison(practice([...both(false), ...both(true)]))!
    expect(lead.contrast.estimate).toBeCloseTo(0, 14)
    expect(lead.reading).toBe('open')
  })
})

describe('the answer', () => {
  it('does not depend on the order of the restorations', () => {
    const rows = [
      ...times(30, { checks: [1200], fields: { bruxism: 'none' } }),
      ...times(12, { loose: 200, fields: { bruxism: 'definite' } }),
      ...times(30, { repeated: true, checks: [1200], fields: { bruxism: 'definite' } }),
      ...times(8, { repeated: true, loose: 300, fields: { bruxism: 'none' } }),
    ]
    const estimates = (order: typeof rows): readonly number[] =>
      fairComparison(practice(order))!.variants.map(({ contrast }) => Number(contrast.estimate))
    const [one, two] = [estimates(rows), estimates([...rows].reverse())]
    one.forEach((value, i) => {
      if (Number.isFinite(value)) expect(two[i]).toBeCloseTo(value, 7)
    })
  })

  it('turns round when the groups are exchanged in the plan', () => {
    const cohort = simulated('half the hazard')
    const plan = parsePlan(
      '{"written": "2026-01-05", "group": "single", "against": "repeated in the window"}',
    )
    const turned = fairComparison(cohort, plannedSettings(plan))!
    const straight = fairComparison(cohort)!
    expect(turned.lead.contrast.estimate).toBeCloseTo(-(straight.lead.contrast.estimate as number), 9)
  })

  it('of follow-up cut at a time forgets what came later', () => {
    const cohort = practice([...times(2, { loose: 500 }), ...times(2, { repeated: true, loose: 200 })])
    const compared = comparedRows(cohort, { group: 'repeated in the window', against: 'single' })!
    const cut = cutFollowUp(compared, 1)!
    expect([...cut.rows.timeDays]).toEqual([365.25, 365.25, 200, 200])
    expect([...cut.rows.event]).toEqual([0, 0, 1, 1])
    expect([...compared.rows.event]).toEqual([1, 1, 1, 1])
  })
})
