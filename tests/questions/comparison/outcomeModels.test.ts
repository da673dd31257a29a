import { describe, expect, it } from 'vitest'
import type { Choice } from '../../../src/questions/comparison/choice.js'
import { doublyRobust } from '../../../src/questions/comparison/doublyRobust.js'
import { type Outcome, overlapEstimate } from '../../../src/questions/comparison/estimate.js'
import { withinPatients } from '../../../src/questions/comparison/withinPatients.js'
import { overlapScores } from '../../../src/statistics/weighting/overlapScores.js'

/*
 * The two contrasts that rest on pseudo-observations. Without censoring before the horizon the pseudo-observation of a
 * restoration is whether it had the event by then (Andersen, Klein and Rosthøj 2003), so that both have closed forms.
 */

interface Row {
  readonly arm: 0 | 1
  readonly event?: number
  readonly patient?: number
  readonly trait?: number
  readonly entry?: number
}

const level = 0.95
const horizon = 1000

function made(
  all: readonly Row[],
  kept: Int32Array = Int32Array.from(all.keys()),
): { choice: Choice; outcome: Outcome } {
  const inGroup = Uint8Array.from(all, ({ arm }) => arm)
  const patient = Int32Array.from(all, (one, i) => one.patient ?? i)
  const used = Array.from(kept, (i) => all[i]!)
  const design = Float64Array.from(used.flatMap(({ trait = 0 }) => [1, trait]))
  const scores = [
    overlapScores(
      Uint8Array.from(used, ({ arm }) => arm),
      design,
      2,
    ),
  ]
  const compared = { inGroup, patient, patients: Math.max(...patient) + 1, row: Int32Array.from(all.keys()) }
  return {
    choice: { designs: { compared }, kept, scores } as unknown as Choice,
    outcome: {
      timeDays: Float64Array.from(all, ({ event }) => event ?? 2000),
      status: Uint8Array.from(all, ({ event }) => (event === undefined ? 0 : 1)),
      entryDays: Float64Array.from(all, ({ entry = 0 }) => entry),
    },
  }
}

describe('the doubly robust estimate', () => {
  const cell = (arm: 0 | 1, trait: number, events: number, size: number): readonly Row[] =>
    Array.from({ length: size }, (_one, i) => ({ arm, trait, ...(i < events ? { event: 100 } : {}) }))
  const all = [...cell(1, 1, 6, 12), ...cell(0, 1, 2, 8), ...cell(1, 0, 3, 10), ...cell(0, 0, 12, 30)]
  const of = (rows: readonly Row[], kept?: Int32Array) => {
    const { choice, outcome } = made(rows, kept)
    const lead = overlapEstimate(choice, outcome, horizon, { level })!
    return { lead, robust: doublyRobust(choice, outcome, horizon, level, lead)! }
  }

  it('is the overlap-weighted difference of the risks of each level where the levels are all there is to allow for', () => {
    // Levels weigh n₁n₀/(n₁ + n₀): 12 · 8/20 and 10 · 30/40; their differences are 0.5 − 0.25 and 0.3 − 0.4.
    const { lead, robust } = of(all)
    const expected = (4.8 * 0.25 + 7.5 * -0.1) / 12.3
    expect(robust.difference.estimate).toBeCloseTo(expected, 10)
    expect(robust.difference.estimate).toBeCloseTo(lead.difference.estimate, 10)
    // What is not of the difference is that of the lead.
    expect(robust.group).toEqual(lead.group)
    expect(robust.restorations).toEqual(lead.restorations)
  })

  it('has the influences of the weighted residuals and of the spread of the level differences', () => {
    const { lead, robust } = of(all)
    const { estimate } = robust.difference
    const traits = { 1: [0.25, 0.5, 12 / 20], 0: [0.4, 0.3, 10 / 40] } as const
    const tilted = 20 * 0.24 + 40 * (10 / 40) * (30 / 40)
    let variance = 0
    all.forEach(({ arm, trait, event }, i) => {
      const [against, group, score] = traits[trait as 0 | 1]
      const had = event === undefined ? 0 : 1
      const residual = arm === 1 ? ((1 - score) / 12.3) * (had - group) : -(score / 12.3) * (had - against)
      const influence = ((score * (1 - score)) / tilted) * (group - against - estimate) + residual
      expect(robust.tables[0]!.known[i]).toBeCloseTo(influence, 9)
      expect(robust.tables[0]!.estimated[i]).toBeCloseTo(influence, 9)
      variance += influence ** 2
    })
    // 23 patients with an event: 21 degrees of freedom, t 2.079614 (tables).
    expect(robust.standardError).toBeCloseTo(Math.sqrt(variance), 10)
    expect(robust.degreesOfFreedom).toBe(lead.patientsWithEvent - 2)
    expect(robust.difference.upper).toBeCloseTo(estimate + 2.079614 * robust.standardError, 6)
    expect(robust.difference.lower).toBeCloseTo(estimate - 2.079614 * robust.standardError, 6)
    expect(robust.pValue).toBeGreaterThan(0.05)
  })

  it('averages a line of the outcome over the overlap population, with the weighted residuals', () => {
    // A trait of three steps that goes with choice and outcome alike: two lines by weighted least squares, here by the normal
    // equations of a slope and a mean.
    const rows = [0, 1, 3].flatMap((trait) => [
      ...cell(1, trait, 1 + trait, 6 + 2 * trait),
      ...cell(0, trait, 2 + (trait > 1 ? 3 : 0), 14 - trait),
    ])
    const { choice } = made(rows)
    const { score, weight } = choice.scores[0]!
    const had = rows.map(({ event }) => (event === undefined ? 0 : 1))
    const lines = ([0, 1] as const).map((arm) => {
      const own = [...rows.keys()].filter((i) => rows[i]!.arm === arm)
      const total = (value: (i: number) => number): number =>
        own.reduce((sum, i) => sum + weight[i]! * value(i), 0)
      const [mass, x, y] = [total(() => 1), total((i) => rows[i]!.trait!), total((i) => had[i]!)]
      const slope =
        (total((i) => rows[i]!.trait! * had[i]!) - (x * y) / mass) /
        (total((i) => rows[i]!.trait! ** 2) - x ** 2 / mass)
      return { mass, at: (trait: number) => y / mass + slope * (trait - x / mass) }
    })
    let [tilted, modelled, residuals] = [0, 0, 0]
    rows.forEach(({ arm, trait }, i) => {
      const tilt = score[i]! * (1 - score[i]!)
      tilted += tilt
      modelled += tilt * (lines[1]!.at(trait!) - lines[0]!.at(trait!))
      residuals += ((arm === 1 ? 1 : -1) * weight[i]! * (had[i]! - lines[arm]!.at(trait!))) / lines[arm]!.mass
    })
    expect(of(rows).robust.difference.estimate).toBeCloseTo(modelled / tilted + residuals, 9)
  })

  it('keeps patients together, and takes only the rows of the choice', () => {
    const shared = all.map((one, i): Row => ({ ...one, patient: i >> 1 }))
    const { robust } = of(shared)
    const singly = of(all).robust.tables[0]!.known
    expect(robust.tables[0]!.known).toHaveLength(30)
    expect(robust.tables[0]!.known[3]).toBeCloseTo(singly[6]! + singly[7]!, 10)
    const others = [...cell(1, 5, 5, 5), ...all, ...cell(0, 7, 7, 7)]
    const kept = Int32Array.from(all.keys(), (i) => i + 5)
    expect(of(others, kept).robust.difference.estimate).toBeCloseTo(of(all).robust.difference.estimate, 9)
    expect(of(others, kept).robust.standardError).toBeCloseTo(of(all).robust.standardError, 9)
  })

  it('knows who entered late', () => {
    // Ten that enter on day 450 dilute what comes after it and nothing before: in the level with the trait, events on day 100
    // stay 6 of 12, and nobody is found later.
    const late = [...all, ...Array.from({ length: 10 }, (): Row => ({ arm: 1, trait: 1, entry: 450 }))]
    const before = late.map(({ entry: _entry, ...rest }): Row => rest)
    const risk = (rows: readonly Row[]) => of(rows).robust.difference.estimate
    expect(risk(late)).toBeGreaterThan(risk(before) + 0.05)
  })
})

describe('the contrast within patients', () => {
  /** Patients by what came in their restorations of one way and of the other; 1 the event, 0 none. */
  const patients = (kinds: readonly (readonly [readonly number[], readonly number[]])[]): readonly Row[] =>
    kinds.flatMap(([against, group], patient) => [
      ...against.map((had): Row => ({ arm: 0, patient, ...(had === 1 ? { event: 100 } : {}) })),
      ...group.map((had): Row => ({ arm: 1, patient, ...(had === 1 ? { event: 100 } : {}) })),
    ])
  const of = (rows: readonly Row[]) => {
    const { choice, outcome } = made(rows)
    return withinPatients(choice, outcome, horizon, level)
  }
  const repeated = <T>(count: number, one: T): readonly T[] => Array.from({ length: count }, () => one)

  it('averages the differences of patients with both ways by the harmonic mean of their restorations', () => {
    // Eight patients 1 + 1 discordant one way, four the other, five with two against one (both of two, not the one), five
    // concordant, and thirty with one way only, who count for nothing but the risk of all.
    const rows = patients([
      ...repeated(8, [[1], [0]] as const),
      ...repeated(4, [[0], [1]] as const),
      ...repeated(5, [[1, 1], [0]] as const),
      ...repeated(3, [[1], [1]] as const),
      ...repeated(2, [[0], [0]] as const),
      ...repeated(30, [[0, 1], []] as const),
      ...repeated(10, [[], [1]] as const),
    ])
    const found = of(rows)!
    expect(found).toMatchObject({ patients: 22, discordant: 17 })
    const values = [
      ...repeated(8, { weight: 0.5, difference: -1 }),
      ...repeated(4, { weight: 0.5, difference: 1 }),
      ...repeated(5, { weight: 2 / 3, difference: -1 }),
      ...repeated(5, { weight: 0.5, difference: 0 }),
    ]
    const all = values.reduce((sum, { weight }) => sum + weight, 0)
    const mean = values.reduce((sum, { weight, difference }) => sum + (weight / all) * difference, 0)
    const error = Math.sqrt(
      values.reduce((sum, { weight, difference }) => sum + ((weight / all) * (difference - mean)) ** 2, 0),
    )
    // Seventeen discordant patients: 15 degrees of freedom, t 2.131450 (tables).
    expect(found.difference!.estimate).toBeCloseTo(mean, 10)
    expect(found.difference!.upper).toBeCloseTo(mean + 2.13145 * error, 5)
    expect(found.difference!.lower).toBeCloseTo(mean - 2.13145 * error, 5)
  })

  it('gives a figure from ten discordant patients on; whoever had it in both ways, or after the horizon, is none', () => {
    const rows = (discordant: number) =>
      patients([...repeated(discordant, [[1], [0]] as const), ...repeated(12, [[1], [1]] as const)])
    expect(of(rows(9))).toEqual({ patients: 21, discordant: 9 })
    expect(of(rows(10))!.difference!.estimate).toBeCloseTo(-10 / 22, 10)
    const late = rows(10).map((one, i): Row => (i === 0 ? { ...one, event: 1500 } : one))
    expect(of(late)).toEqual({ patients: 22, discordant: 9 })
    const onTheDay = rows(10).map((one, i): Row => (i === 0 ? { ...one, event: horizon } : one))
    expect(of(onTheDay)!.discordant).toBe(10)
  })

  it('is absent where no patient has both ways', () => {
    expect(of(patients([...repeated(5, [[1], []] as const), ...repeated(5, [[], [0]] as const)]))).toBe(
      undefined,
    )
  })

  it('takes the risk of each way from those at risk: with late entry and loss it is that of the curves', () => {
    // One of the ten single restorations leaves on day 50, before the events of day 100: each event counts 1/9.
    const rows = patients([...repeated(10, [[1], [0]] as const), ...repeated(10, [[0], [0]] as const)])
    const { choice, outcome } = made(rows)
    const timeDays = outcome.timeDays.slice()
    timeDays[20] = 50
    const found = withinPatients(choice, { ...outcome, timeDays }, horizon, level)!
    // Pseudo-observations add up to twenty times the risk of 10/19; each patient weighs alike.
    expect(found.difference!.estimate).toBeCloseTo(-10 / 19, 10)
    const entryDays = outcome.entryDays.slice()
    entryDays[20] = 200
    const late = withinPatients(choice, { ...outcome, entryDays }, horizon, level)!
    expect(late.difference!.estimate).toBeCloseTo(-10 / 19, 10)
  })
})
