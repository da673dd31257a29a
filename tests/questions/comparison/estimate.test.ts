import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import type { Choice } from '../../../src/questions/comparison/choice.js'
import {
  type Outcome,
  type OverlapEstimate,
  overlapEstimate,
  pairedShift,
  pooledRange,
} from '../../../src/questions/comparison/estimate.js'
import { studentTQuantile } from '../../../src/statistics/numeric/distributions.js'
import { overlapScores } from '../../../src/statistics/weighting/overlapScores.js'

/*
 * The leading estimate against closed forms: without censoring a weighted risk is a weighted share, and its influences are
 * those of a share. Quantiles of Student's t are those of printed tables (two-sided 95 %: 1 degree 12.706205, 4 2.776445,
 * 8 2.306004, 10 2.228139).
 */

/** A restoration: its group, whether and when it had the event, its patient, and a trait of two levels. */
interface Row {
  readonly arm: 0 | 1
  readonly event?: number
  readonly patient?: number
  readonly trait?: 0 | 1
  readonly entry?: number
  readonly present?: 0 | 1
  readonly end?: number
}

const rows = (count: number, row: Row): readonly Row[] => Array.from({ length: count }, () => row)

/** Scores by the trait alone, or none; the outcome with follow-up of 2,000 days. */
function made(
  all: readonly Row[],
  tables = 1,
): { readonly choice: Choice; readonly outcome: Outcome; readonly patients: Int32Array } {
  const inGroup = Uint8Array.from(all, ({ arm }) => arm)
  const patient = Int32Array.from(all, (one, i) => one.patient ?? i)
  const patients = Math.max(...patient) + 1
  const scores = Array.from({ length: tables }, (_one, m) => {
    const traits = all.map(({ trait = 0 }, i) => (m === 1 && i < 2 ? 1 - trait : trait))
    const alike = new Set(traits).size === 1
    const design = Float64Array.from(alike ? traits.map(() => 1) : traits.flatMap((one) => [1, one]))
    return overlapScores(inGroup, design, alike ? 1 : 2)
  })
  const compared = { inGroup, patient, patients, row: Int32Array.from(all.keys()) }
  return {
    choice: { designs: { compared }, kept: Int32Array.from(all.keys()), scores } as unknown as Choice,
    outcome: {
      timeDays: Float64Array.from(all, ({ event, end = 2000 }) => event ?? end),
      status: Uint8Array.from(all, ({ event }) => (event === undefined ? 0 : 1)),
      entryDays: Float64Array.from(all, ({ entry = 0 }) => entry),
      ...(all.some(({ present }) => present !== undefined)
        ? { present: Uint8Array.from(all, ({ present = 1 }) => present) }
        : {}),
    },
    patients: patient,
  }
}

const level = 0.95
function estimated(all: readonly Row[], tables = 1): OverlapEstimate {
  const { choice, outcome } = made(all, tables)
  return overlapEstimate(choice, outcome, 1000, { level })!
}

/** Limits of a risk on the complementary log-log scale. */
function onLogLog(risk: number, error: number, t: number): readonly [number, number] {
  const half = (t * error) / ((1 - risk) * -Math.log(1 - risk))
  const at = (shift: number): number => 1 - Math.exp(Math.log(1 - risk) * Math.exp(shift))
  return [at(-half), at(half)]
}

const few = (group: number, against: number): readonly Row[] => [
  ...rows(group, { arm: 1, event: 500 }),
  ...rows(10 - group, { arm: 1 }),
  ...rows(against, { arm: 0, event: 400 }),
  ...rows(1, { arm: 0, event: 1500 }),
  ...rows(19 - against, { arm: 0 }),
]

describe('the leading estimate without anything to allow for', () => {
  it('is the difference of two shares, whose variances are p(1 − p)/n, with t of the patients with an event less two', () => {
    // Five of 10 and 7 of 20 by day 1,000; the event on day 1,500 comes too late.
    const one = estimated(few(5, 7))
    expect(one.difference.estimate).toBeCloseTo(0.5 - 0.35, 12)
    const [ofGroup, ofAgainst] = [0.25 / 10, (0.35 * 0.65) / 20]
    expect(one.standardError).toBeCloseTo(Math.sqrt(ofGroup + ofAgainst), 12)
    expect(one.degreesOfFreedom).toBe(10)
    expect(one.difference.upper).toBeCloseTo(0.15 + 2.228139 * one.standardError, 6)
    expect(one.difference.lower).toBeCloseTo(0.15 - 2.228139 * one.standardError, 6)
    expect(one.restorations).toEqual({ group: 10, against: 20 })
    expect(one.events).toEqual({ group: 5, against: 7 })
    expect(one.patientsWithEvent).toBe(12)
    expect(one.atRisk).toEqual({ group: 5, against: 13 })
    const arms = [
      [one.group, 0.5, ofGroup],
      [one.against, 0.35, ofAgainst],
    ] as const
    for (const [arm, risk, variance] of arms) {
      const [lower, upper] = onLogLog(risk, Math.sqrt(variance), 2.228139)
      expect(arm.estimate).toBeCloseTo(risk, 12)
      expect(arm.lower).toBeCloseTo(lower, 6)
      expect(arm.upper).toBeCloseTo(upper, 6)
    }
  })

  it('gives the P value of Student’s t', () => {
    // t = 2.228139 with 10 degrees of freedom has P = 0.05; a difference of that many errors.
    const { pValue } = pooledRange([2.228139 * 0.1], [0.01], 10, level)
    expect(pValue).toBeCloseTo(0.05, 7)
    expect(pooledRange([-2.228139 * 0.1], [0.01], 10, level).pValue).toBeCloseTo(0.05, 7)
    expect(pooledRange([0], [0.01], 10, level).pValue).toBe(1)
    expect(pooledRange([0.1], [0], 10, level).pValue).toBe(1)
  })

  it('gives a group of fewer than five events no less variance than the risk of both together would', () => {
    // Four of 10 and 7 of 20: together 11/30, each as 20 and 10 unweighted; the variance of the other, scaled by the sizes
    // and by the spread at the risk of both, over that at its own risk.
    const together = 11 / 30
    const floor = (together * (1 - together)) / 10
    const [own, other] = [(0.4 * 0.6) / 10, (0.35 * 0.65) / 20]
    const one = estimated(few(4, 7))
    expect(floor).toBeLessThan(own)
    expect(one.standardError).toBeCloseTo(Math.sqrt(own + other), 12)
    const none = estimated(few(1, 7))
    const raised = ((8 / 30) * (22 / 30)) / 10
    expect(raised).toBeGreaterThan(0.09 / 10)
    expect(none.standardError).toBeCloseTo(Math.sqrt(raised + other), 12)
    const [lower, upper] = onLogLog(0.1, Math.sqrt(raised), 2.446912)
    expect(none.degreesOfFreedom).toBe(6)
    expect(none.group.lower).toBeCloseTo(lower, 6)
    expect(none.group.upper).toBeCloseTo(upper, 6)
  })

  it('does so for either group, and for both where they have as few, but never by one with fewer', () => {
    const turned = few(1, 7).map((one): Row => ({ ...one, arm: one.arm === 1 ? 0 : 1 }))
    expect(estimated(turned).standardError).toBeCloseTo(estimated(few(1, 7)).standardError, 12)
    // Four of 10 and two of 20: the second is raised by the first, the first by nobody.
    const together = 6 / 30
    const raised = ((0.24 / 10) * (10 / 20) * (together * (1 - together))) / 0.24
    expect(raised).toBeGreaterThan((0.1 * 0.9) / 20)
    expect(estimated(few(4, 2)).standardError).toBeCloseTo(Math.sqrt(0.24 / 10 + raised), 12)
    // Two of 10 and two of 20: the second is raised by the first; the first needs no raising by the second.
    const both = 4 / 30
    const second = ((0.16 / 10) * (10 / 20) * (both * (1 - both))) / 0.16
    expect(second).toBeGreaterThan((0.1 * 0.9) / 20)
    expect(estimated(few(2, 2)).standardError).toBeCloseTo(Math.sqrt(0.16 / 10 + second), 12)
  })

  it('keeps patients together: their influences add up before they are squared', () => {
    // Six patients with two restorations each; in three of them both had the event, in the rest none; the others have one.
    const all = [
      ...[0, 0, 1, 1, 2, 2].map((patient): Row => ({ arm: 1, event: 500, patient })),
      ...[3, 3, 4, 4, 5, 5].map((patient): Row => ({ arm: 1, patient })),
      ...Array.from({ length: 10 }, (_one, i): Row => ({ arm: 0, event: 400, patient: 6 + i })),
      ...Array.from({ length: 10 }, (_one, i): Row => ({ arm: 0, patient: 16 + i })),
    ]
    const one = estimated(all)
    // Each of six patients has an influence of 2 · 0.5/12; each of the twenty 0.5/20.
    expect(one.standardError).toBeCloseTo(Math.sqrt(6 / 12 ** 2 + 20 * (0.5 / 20) ** 2), 12)
    expect(one.patientsWithEvent).toBe(13)
    expect(one.degreesOfFreedom).toBe(11)
    // Where the same patients have both ways, what they share cancels.
    const pairs = Array.from({ length: 20 }, (_one, patient): readonly Row[] =>
      ([1, 0] as const).map((arm) => ({ arm, patient, ...(patient < 8 ? { event: 300 } : {}) })),
    ).flat()
    expect(estimated(pairs).standardError).toBeCloseTo(0, 12)
  })

  it('leaves out what another outcome does not hold, and those who entered after the horizon', () => {
    const whole = few(5, 7)
    const more = [
      ...whole.map((one): Row => ({ ...one, present: 1 })),
      { arm: 1, event: 10, present: 0 } as const,
      { arm: 0, event: 10, present: 0 } as const,
    ]
    const [one, other] = [estimated(whole), estimated(more)]
    expect(other.difference.estimate).toBeCloseTo(one.difference.estimate, 12)
    expect(other.standardError).toBeCloseTo(one.standardError, 12)
    expect([other.restorations, other.events, other.patientsWithEvent]).toEqual([
      one.restorations,
      one.events,
      one.patientsWithEvent,
    ])
    const nobody = few(5, 7).map((row): Row => ({ ...row, present: row.arm }))
    const { choice, outcome } = made(nobody)
    expect(overlapEstimate(choice, outcome, 1000, { level })).toBe(undefined)
    const others = few(5, 7).map((row): Row => ({ ...row, present: row.arm === 1 ? 0 : 1 }))
    const turned = made(others)
    expect(overlapEstimate(turned.choice, turned.outcome, 1000, { level })).toBe(undefined)
    // Ten more enter on day 1,200: nothing changes by day 1,000; ten who enter on day 450 are at risk of the group from then.
    const late = estimated([...whole, ...rows(10, { arm: 1, entry: 1200 })])
    expect(late.difference.estimate).toBeCloseTo(0.15, 12)
    const joined = estimated([...whole, ...rows(10, { arm: 1, entry: 450 })])
    expect(joined.group.estimate).toBeCloseTo(5 / 20, 12)
    expect(joined.atRisk.group).toBe(15)
  })

  it('gives the exact limit with patients as units where none or all had it', () => {
    const none = estimated([
      ...[0, 0, 1, 1, 2, 3].map((patient): Row => ({ arm: 1, patient })),
      ...[4, 5, 6, 7, 8, 8].map((patient): Row => ({ arm: 0, event: 300, patient })),
    ])
    expect(none.group).toMatchObject({ estimate: 0, lower: 0 })
    expect(none.group.upper).toBeCloseTo(1 - 0.025 ** (1 / 4), 12)
    expect(none.against).toMatchObject({ estimate: 1, upper: 1 })
    expect(none.against.lower).toBeCloseTo(0.025 ** (1 / 5), 12)
    expect(none.degreesOfFreedom).toBe(3)
    expect(none.difference.estimate).toBe(-1)
    const { choice, outcome } = made([...rows(3, { arm: 1 }), ...rows(1, { arm: 0, event: 5 })])
    const narrow = overlapEstimate(choice, outcome, 1000, { level: 0.8 })!
    expect(narrow.group.upper).toBeCloseTo(1 - 0.1 ** (1 / 3), 12)
    // One patient with an event leaves no degree of freedom; one is the least.
    expect(narrow.degreesOfFreedom).toBe(1)
  })
})

describe('the leading estimate with a trait allowed for', () => {
  // With the trait: 6 of 12 repeated had it, 2 of 8 single. Without: 3 of 10, 12 of 30. Each its own patient.
  const cell = (arm: 0 | 1, trait: 0 | 1, events: number, size: number): readonly Row[] => [
    ...rows(events, { arm, trait, event: 100 }),
    ...rows(size - events, { arm, trait }),
  ]
  const all = [...cell(1, 1, 6, 12), ...cell(0, 1, 2, 8), ...cell(1, 0, 3, 10), ...cell(0, 0, 12, 30)]
  const sizes = [
    [30, 10],
    [8, 12],
  ] as const
  const risks = [
    [0.4, 0.3],
    [0.25, 0.5],
  ] as const
  // Overlap weights of a level add up to n₁n₀/(n₁ + n₀) in either group.
  const share = sizes.map(([against, group]) => (against * group) / (against + group))
  const sum = share[0]! + share[1]!
  const armRisk = ([0, 1] as const).map(
    (arm) => (share[0]! * risks[0][arm] + share[1]! * risks[1][arm]) / sum,
  )
  const difference = armRisk[1]! - armRisk[0]!

  /** Influence on the difference and on each group's risk: with scores known, and as the derivative of the closed form. */
  const influences = all.map(({ arm, trait = 0, event }) => {
    const had = event === undefined ? 0 : 1
    const [against, group] = sizes[trait]
    const score = group / (against + group)
    const known = ((arm === 1 ? 1 - score : score) / sum) * (had - armRisk[arm]!)
    const own = (share[trait]! / sum) * ((had - risks[trait][arm]) / sizes[trait][arm])
    // The share of a level grows by the square of the other group's part in it.
    const grows = (arm === 1 ? against ** 2 : group ** 2) / (against + group) ** 2 / sum
    const shifted = ([0, 1] as const).map((one) => grows * (risks[trait][one] - armRisk[one]!))
    const arms = ([0, 1] as const).map((one) => shifted[one]! + (one === arm ? own : 0))
    return { arm, known, arms, estimated: arms[1]! - arms[0]! }
  })
  const squares = (values: readonly number[]): number => values.reduce((total, one) => total + one ** 2, 0)
  const one = estimated(all)

  it('is the difference in the overlap population', () => {
    expect(one.difference.estimate).toBeCloseTo(difference, 10)
    expect(one.group.estimate).toBeCloseTo(armRisk[1]!, 10)
    expect(one.against.estimate).toBeCloseTo(armRisk[0]!, 10)
  })

  it('has the influences of the closed form, scores known and estimated', () => {
    influences.forEach(({ arm, known, estimated: own }, i) => {
      expect(one.tables[0]!.known[i]).toBeCloseTo(arm === 1 ? known : -known, 10)
      expect(one.tables[0]!.estimated[i]).toBeCloseTo(own, 10)
    })
  })

  it('takes the larger of both variances, of the difference and of each risk', () => {
    const known = squares(influences.map((each) => each.known))
    const whole = squares(influences.map((each) => each.estimated))
    expect(known).not.toBeCloseTo(whole, 5)
    expect(one.standardError).toBeCloseTo(Math.sqrt(Math.max(known, whole)), 10)
    for (const arm of [0, 1] as const) {
      const ownKnown = squares(influences.filter((each) => each.arm === arm).map((each) => each.known))
      const ownWhole = squares(influences.map((each) => each.arms[arm]!))
      const variance = Math.max(ownKnown, ownWhole)
      // 23 patients with an event: t of 21 degrees of freedom is 2.079614 (tables).
      const [lower, upper] = onLogLog(armRisk[arm]!, Math.sqrt(variance), 2.079614)
      const shown = arm === 1 ? one.group : one.against
      expect(shown.lower).toBeCloseTo(lower, 6)
      expect(shown.upper).toBeCloseTo(upper, 6)
    }
  })

  it('raises the variance of few events by the sizes that the weights leave', () => {
    // Nobody repeated had it: its variance is that of the single ones, scaled to its size and to the risk of both.
    const none = all.map((row): Row => (row.arm === 1 ? { arm: 1, trait: row.trait! } : row))
    const found = estimated(none)
    const weights = ([0, 1] as const).map((arm) =>
      all
        .filter((row) => row.arm === arm)
        .map(({ trait = 0 }) => {
          const [against, group] = sizes[trait]
          return (arm === 1 ? against : group) / (against + group)
        }),
    )
    const effective = weights.map((own) => own.reduce((total, w) => total + w, 0) ** 2 / squares(own))
    const risk = armRisk[0]!
    const together = (risk * effective[0]!) / (effective[0]! + effective[1]!)
    const [{ known, estimated: whole }] = found.tables as [OverlapEstimate['tables'][number]]
    // With no event in the group its own influences with scores known are 0, and those of the other stand alone.
    const ofAgainst = Math.max(squares([...known]), squares([...whole]))
    const floor =
      (ofAgainst * (effective[0]! / effective[1]!) * together * (1 - together)) / (risk * (1 - risk))
    expect(found.standardError).toBeCloseTo(Math.sqrt(ofAgainst + floor), 10)
    expect(found.difference.estimate).toBeCloseTo(-risk, 10)
  })

  it('adds what is counted outright, and leaves a group so much less of its own', () => {
    const { choice, outcome } = made(all)
    const added = overlapEstimate(choice, outcome, 1000, { level, outright: { arm: 1, share: 0.1 } })!
    expect(added.group.estimate).toBeCloseTo(0.9 * armRisk[1]! + 0.1, 10)
    expect(added.against.estimate).toBeCloseTo(armRisk[0]!, 10)
    influences.forEach(({ arm, known, arms }, i) => {
      expect(added.tables[0]!.known[i]).toBeCloseTo(arm === 1 ? 0.9 * known : -known, 10)
      expect(added.tables[0]!.estimated[i]).toBeCloseTo(0.9 * arms[1]! - arms[0]!, 10)
    })
    const other = overlapEstimate(choice, outcome, 1000, { level, outright: { arm: 0, share: 0.1 } })!
    expect(other.against.estimate).toBeCloseTo(0.9 * armRisk[0]! + 0.1, 10)
    expect(other.group.estimate).toBeCloseTo(armRisk[1]!, 10)
  })

  it('takes the mean over completed tables, and the variance of Rubin’s rules', () => {
    const { choice, outcome } = made(all, 2)
    const both = overlapEstimate(choice, outcome, 1000, { level })!
    const singly = choice.scores.map(
      (scores) => overlapEstimate({ ...choice, scores: [scores] }, outcome, 1000, { level })!,
    )
    const [first, second] = singly.map((each) => each.difference.estimate) as [number, number]
    expect(first).not.toBeCloseTo(second, 4)
    expect(both.difference.estimate).toBeCloseTo((first + second) / 2, 12)
    // Rubin 1987: within + (1 + 1/2) · between; Barnard and Rubin 1999 for the degrees of freedom, 21 without gaps.
    const within = (singly[0]!.standardError ** 2 + singly[1]!.standardError ** 2) / 2
    const between = (first - second) ** 2 / 2
    const variance = within + 1.5 * between
    expect(both.standardError).toBeCloseTo(Math.sqrt(variance), 12)
    const missing = (1.5 * between) / variance
    const old = 1 / missing ** 2
    const observed = (22 / 24) * 21 * (1 - missing)
    expect(both.degreesOfFreedom).toBeCloseTo(1 / (1 / old + 1 / observed), 8)
    expect(both.tables.map((each) => each.difference)).toEqual([first, second])
  })
})

describe('one estimate from several tables', () => {
  it('stays within what a difference of risks can be', () => {
    const wide = pooledRange([0.5], [1], 4, level)
    expect([wide.lower, wide.upper]).toEqual([-1, 1])
    const within = pooledRange([0.1], [0.0025], 4, level)
    expect(within.lower).toBeCloseTo(0.1 - 2.776445 * 0.05, 6)
    expect(within.upper).toBeCloseTo(0.1 + 2.776445 * 0.05, 6)
  })

  it('has the degrees of freedom of one table where there is one', () => {
    expect(pooledRange([0.1], [0.0025], 4, level).degreesOfFreedom).toBe(4)
    expect(pooledRange([0.1], [0.0025], 4, level).standardError).toBeCloseTo(0.05, 12)
    // Equal tables: nothing between them, and Barnard and Rubin's (ν + 1)/(ν + 3) · ν.
    expect(pooledRange([0.1, 0.1], [0.0025, 0.0025], 4, level).degreesOfFreedom).toBeCloseTo((5 / 7) * 4, 10)
  })

  it('says no more than zero where nothing varies', () => {
    expect(pooledRange([0, 0], [0, 0], 4, level)).toMatchObject({
      estimate: 0,
      standardError: 0,
      lower: 0,
      upper: 0,
      pValue: 1,
    })
  })
})

describe('how far another estimate lies from the lead', () => {
  const of = (estimate: number, influence: readonly number[], patientsWithEvent: number, scale = 1) =>
    ({
      tables: [
        {
          difference: estimate,
          known: Float64Array.from(influence),
          estimated: Float64Array.from(influence, (one) => one * scale),
        },
      ],
      patientsWithEvent,
    }) as unknown as OverlapEstimate

  it('is the difference of the estimates, with the variance of the difference of their influences', () => {
    // Influences apart by 0.01 in each of 9 patients, and by 0.02 with scores estimated: the larger sum of squares counts.
    const lead = of(-0.08, Array(9).fill(0.03), 10)
    const other = of(-0.05, Array(9).fill(0.04), 6, 1.25)
    const shift = pairedShift(lead, other, level)
    // With scores estimated 0.05 − 0.03; the fewer patients with an event, less two: 4 degrees of freedom.
    expect(shift.estimate).toBeCloseTo(0.03, 12)
    expect(shift.upper).toBeCloseTo(0.03 + 2.776445 * 0.06, 6)
    expect(shift.lower).toBeCloseTo(0.03 - 2.776445 * 0.06, 6)
    const known = pairedShift(lead, of(-0.05, Array(9).fill(0.04), 12, 0.75), level)
    // With scores estimated nothing lies between them; with scores known 0.01 does. Eight degrees of freedom, of the lead.
    expect(known.upper).toBeCloseTo(0.03 + 2.306004 * 0.03, 6)
  })

  it('takes the tables that both have, and one degree of freedom at least', () => {
    const [one] = of(-0.08, [0.01], 2).tables
    const [two] = of(-0.05, [0.02], 2).tables
    const lead = {
      tables: [one!, { ...one!, difference: 9 }],
      patientsWithEvent: 2,
    } as unknown as OverlapEstimate
    const shift = pairedShift(
      lead,
      { tables: [two!], patientsWithEvent: 2 } as unknown as OverlapEstimate,
      level,
    )
    expect(shift.estimate).toBeCloseTo(0.03, 12)
    expect(shift.upper).toBeCloseTo(0.03 + 12.706205 * 0.01, 6)
  })
})

describe('the risk of each group over time', () => {
  /** Patients of one to three crowns, alike within, lost at many times; who is repeated depends on the trait. */
  function manyPatients(): readonly (readonly Row[])[] {
    const random = randomStream(18)
    return Array.from({ length: 140 }, (_one, patient) => {
      const trait = random.uniform() < 0.5 ? 1 : 0
      const arm = random.uniform() < (trait === 1 ? 0.7 : 0.35) ? 1 : 0
      const frailty = random.exponential()
      return Array.from({ length: 1 + (patient % 3) }, (): Row => {
        const event = (random.exponential() * 2200) / (0.25 + frailty) / (trait === 1 ? 1.6 : 1)
        const end = 200 + 1800 * random.uniform()
        return { arm, trait, patient, end, ...(event < end ? { event } : {}) }
      })
    })
  }

  it('has intervals as wide as the spread over resampled patients, the scores fitted anew each time, at every time drawn', () => {
    const patients = manyPatients()
    const times = [365, 1000, 1500]
    const at = (all: readonly Row[], days: number): OverlapEstimate => {
      const { choice, outcome } = made(all)
      return overlapEstimate(choice, outcome, days, { level })!
    }
    const random = randomStream(2018)
    const draws = Array.from({ length: 400 }, () => {
      const drawn = patients.map(() => patients[Math.floor(random.uniform() * patients.length)]!)
      const all = drawn.flatMap((rowsOfOne, patient) => rowsOfOne.map((row) => ({ ...row, patient })))
      return times.map((days) => at(all, days))
    })
    times.forEach((days, index) => {
      const estimate = at(patients.flat(), days)
      for (const side of ['group', 'against'] as const) {
        const risks = draws.map((draw) => draw[index]![side].estimate)
        const mean = risks.reduce((sum, one) => sum + one, 0) / risks.length
        const spread = Math.sqrt(risks.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (risks.length - 1))
        const { estimate: risk, upper } = estimate[side]
        const t = -studentTQuantile(0.025, estimate.degreesOfFreedom)
        const half = Math.log(Math.log1p(-upper) / Math.log1p(-risk))
        const error = (half * (1 - risk) * -Math.log1p(-risk)) / t
        // The spread of 400 draws is itself known to 3.5 % (1/√(2 · 400)); three times that, and the little by which an
        // infinitesimal jackknife and a bootstrap differ.
        expect(error / spread, `${side}, day ${days}`).toBeGreaterThan(0.87)
        expect(error / spread, `${side}, day ${days}`).toBeLessThan(1.15)
      }
    })
  })
})
