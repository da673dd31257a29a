import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { outcomeOf } from '../../../src/questions/comparison/answer.js'
import { lossChallenge } from '../../../src/questions/comparison/challenges.js'
import { choiceDesigns, comparedRows, fitChoice } from '../../../src/questions/comparison/choice.js'
import { overlapEstimate } from '../../../src/questions/comparison/estimate.js'
import { tighteningGroups } from '../../../src/questions/comparison/groups.js'
import { lossOf } from '../../../src/questions/comparison/loss.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { normalUpperTail } from '../../../src/statistics/numeric/distributions.js'
import { practice, type TestRestoration } from '../practice.js'

/** Loss of a practice of two groups whose members are drawn by a rule. */
function lossIn(restorations: readonly TestRestoration[], keys: readonly string[] = []) {
  const cohort = practice(restorations)
  const compared = comparedRows(
    cohort,
    tighteningGroups(cohort, { group: 'repeated in the window', against: 'single' }),
  )!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const designs = choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys, seed: 1, imputations: 1 },
  )
  const choice = fitChoice(designs)!
  const days = 3 * daysPerYear
  const lead = overlapEstimate(choice, outcome, days, { level: 0.95 })!
  return lossOf(cohort, compared, choice, outcome, lead, days, 0.95)
}

const yearly = (count: number) => Array.from({ length: count }, (_one, i) => 365 * (i + 1))

describe('loss to follow-up', () => {
  it('does not call the group lost faster that only had fewer findings', () => {
    // Among those never found loose, one in four of either group stays away after two years. Of the others many more of
    // one group are found loose in the first year and come on for years, in which nobody could count as lost.
    const group = (repeated: boolean, loosened: number): TestRestoration[] =>
      Array.from({ length: 200 }, (_one, i) => {
        if (i < loosened) return { repeated, checks: [...yearly(6)], loose: 100 }
        return { repeated, checks: yearly(i % 4 === 0 ? 2 : 6) }
      })
    const loss = lossIn([...group(true, 8), ...group(false, 80)])
    expect(loss.favoured).toBe(1)
    expect(loss.lost).toEqual({ group: 48, against: 30 })
    expect(Math.abs(Math.log(loss.hazardRatio!))).toBeLessThan(0.02)
    expect(loss.excessShare).toBeLessThan(0.02)
  })

  it('calls the group lost faster whose members stay away more often', () => {
    const group = (repeated: boolean, every: number, loosened: number): TestRestoration[] =>
      Array.from({ length: 200 }, (_one, i) => {
        if (i < loosened) return { repeated, checks: [...yearly(6)], loose: 100 }
        return { repeated, checks: yearly(i % every === 0 ? 2 : 6) }
      })
    const loss = lossIn([...group(true, 2, 8), ...group(false, 6, 40)])
    expect(loss.hazardRatio).toBeGreaterThan(2.5)
    expect(loss.pValue).toBeLessThan(0.001)
    expect(loss.estimate!.group.estimate).toBeGreaterThan(0.1)
  })

  it('counts as lost who was not seen for one and a half times the median gap between visits, and not before', () => {
    // Visits once a year; the records of the clinic end on the day on which the last one was seen.
    const end = 3650
    const group = (repeated: boolean, unseenFor: number): TestRestoration[] =>
      Array.from({ length: 60 }, (_one, i) => {
        if (i < 12) return { repeated, checks: yearly(10), loose: 100 }
        return { repeated, checks: i < 20 ? yearly(Math.floor((end - unseenFor) / 365)) : yearly(10) }
      })
    const lost = (unseenFor: number) => lossIn([...group(true, unseenFor), ...group(false, unseenFor)]).lost
    expect(lost(365)).toEqual({ group: 0, against: 0 })
    expect(lost(2 * 365)).toEqual({ group: 8, against: 8 })
    const byDays = (days: number) =>
      lossIn([
        ...group(true, 0),
        ...group(false, 0),
        ...[true, false].map((repeated) => ({ repeated, checks: [...yearly(8), end - days] })),
      ]).lost
    expect(byDays(547)).toEqual({ group: 0, against: 0 })
    expect(byDays(548)).toEqual({ group: 1, against: 1 })
  })

  it('sees who stays away where they are the ones whose screws come loose, and not where they are the others', () => {
    // Molars come loose, premolars hardly. As many of the favoured group stay away in both practices: molars in one,
    // premolars in the other. Counted alike, neither shows much.
    const group = (repeated: boolean, stays: 'molars' | 'premolars' | 'nobody'): TestRestoration[] =>
      Array.from({ length: 300 }, (_one, i): TestRestoration => {
        const molar = i % 2 === 0
        const fields = { tooth_position: molar ? '36' : '34' }
        if (i % 20 === (repeated ? 0 : 2) || (!repeated && i % 20 === 4)) {
          return { repeated, fields, checks: [100, 300], loose: 400 }
        }
        const away =
          (stays === 'molars' && molar && i % 8 === 6) || (stays === 'premolars' && !molar && i % 8 === 7)
        return { repeated, fields, checks: yearly(away || i % 10 === 9 ? 2 : 6) }
      })
    const of = (stays: 'molars' | 'premolars') =>
      lossIn([...group(true, stays), ...group(false, 'nobody')], ['region'])
    const [molars, premolars] = [of('molars'), of('premolars')]
    expect(molars.favoured).toBe(1)
    expect(molars.pValue!).toBeLessThan(premolars.pValue! / 5)
  })

  it('weighs each restoration by how prone it was, in the P value and not in the hazard ratio', () => {
    // Molars: twelve of sixty loosened; others: three of sixty. The rate of each over that of all, drawn by five events.
    const of = (repeated: boolean, molar: boolean, loosened: number, away: number): TestRestoration[] =>
      Array.from({ length: 60 }, (_one, i) => ({
        repeated,
        fields: { tooth_position: molar ? '36' : '34' },
        ...(i < loosened ? { checks: [100], loose: 200 } : { checks: yearly(i < loosened + away ? 1 : 6) }),
      }))
    const cells = [
      [true, true, 4, 20],
      [true, false, 1, 5],
      [false, true, 8, 6],
      [false, false, 2, 7],
    ] as const
    const loss = lossIn(
      cells.flatMap(([repeated, molar, loosened, away]) => of(repeated, molar, loosened, away)),
      ['region'],
    )
    // Each event is halfway, on day 150; who went away was at risk for a year, the rest for six.
    const followed = (molar: boolean) => {
      const own = cells.filter(([, one]) => one === molar)
      const events = own.reduce((sum, [, , loosened]) => sum + loosened, 0)
      const days = own.reduce((sum, [, , loosened, away]) => {
        return sum + 150 * loosened + 365 * away + 2190 * (60 - loosened - away)
      }, 0)
      return { events, days }
    }
    const [molars, others] = [followed(true), followed(false)]
    const rate = (molars.events + others.events) / (molars.days + others.days)
    const raw = ({ events, days }: typeof molars) => (events + 5) / (days * rate + 5)
    const mean = (raw(molars) + raw(others)) / 2
    const rows = cells.flatMap(([repeated, molar, loosened, away]) =>
      Array.from({ length: 60 }, (_one, i) => ({
        time: i < loosened ? 200 : i < loosened + away ? 365 : 2190,
        lost: i >= loosened && i < loosened + away ? 1 : 0,
        favoured: repeated ? 1 : 0,
        prone: raw(molar ? molars : others) / mean,
      })),
    )
    const column = (of: (row: (typeof rows)[number]) => number) => rows.map(of)
    const model = (covariates: Record<string, readonly number[]>) => {
      const [first] = coxRegression(
        { time: column((row) => row.time), event: column((row) => row.lost) },
        covariates,
        {
          cluster: [...rows.keys()],
        },
      ).hazardRatios
      return [first!.logHazardRatio as number, first!.robustStandardError as number] as const
    }
    const [log, error] = model({
      both: column((row) => row.favoured * row.prone),
      prone: column((row) => row.prone),
    })
    const [plain, plainError] = model({ favoured: column((row) => row.favoured) })
    expect(loss.pValue).toBeCloseTo(normalUpperTail(log / error), 8)
    expect(loss.pValue).not.toBeCloseTo(normalUpperTail(plain / plainError), 4)
    expect(loss.hazardRatio).toBeCloseTo(Math.exp(plain), 8)
  })

  it('contradicts from P < 0.10 on, and only where the counted losses bring zero into the interval', () => {
    const ranged = (lower: number, upper: number) => ({ estimate: (lower + upper) / 2, lower, upper })
    const lead = { difference: ranged(-0.08, -0.01) } as never
    const effect = (pValue: number, counted: { readonly lower: number; readonly upper: number }) =>
      lossChallenge(
        {
          favoured: 1,
          lost: { group: 9, against: 5 },
          excessShare: 0.3,
          pValue,
          estimate: { difference: counted },
        } as never,
        lead,
      ).effect
    expect(effect(0.099, ranged(-0.06, 0.001))).toBe('contradicts')
    expect(effect(0.1, ranged(-0.06, 0.001))).toBe('agrees')
    expect(effect(0.001, ranged(-0.06, -0.001))).toBe('weakens')
  })
})

/** One row of the model of loss, as the rules say it. */
interface LossRow {
  readonly time: number
  readonly lost: 0 | 1
  readonly favoured: 0 | 1
  readonly operator: string
  readonly patient: number
}

/** Hazard ratio of loss within operators with its one-sided P value, from rows made by hand. */
function fromRows(rows: readonly LossRow[]): { readonly ratio: number; readonly pValue: number } {
  const column = <Key extends keyof LossRow>(key: Key) => rows.map((row) => row[key])
  const [fitted] = coxRegression(
    { time: column('time'), event: column('lost') },
    { favoured: column('favoured') },
    { strata: column('operator'), cluster: column('patient') },
  ).hazardRatios
  const [log, error] = [fitted!.logHazardRatio as number, fitted!.robustStandardError as number]
  return { ratio: Math.exp(log), pValue: normalUpperTail(log / error) }
}

/** Risk by the horizon by the product-limit rule, of weighted rows that enter late or not. */
function productLimit(
  rows: readonly {
    readonly time: number
    readonly event: boolean
    readonly weight: number
    readonly entry?: number
  }[],
  horizon: number,
): number {
  let free = 1
  const times = [...new Set(rows.filter(({ event }) => event).map(({ time }) => time))].sort(
    (one, two) => one - two,
  )
  for (const now of times.filter((time) => time <= horizon)) {
    const atRisk = rows.filter(({ time, entry = 0 }) => time >= now && entry < now)
    const sum = (some: typeof rows): number => some.reduce((total, { weight }) => total + weight, 0)
    free *= 1 - sum(atRisk.filter(({ time, event }) => event && time === now)) / sum(atRisk)
  }
  return 1 - free
}

describe('loss by hand', () => {
  const horizon = 3 * daysPerYear
  // Seen once a year for six years, or away after one; loosened are found on day 200 after a clean look on day 100. The
  // median gap is a year, so that whoever is unseen for more than a year and a half before day 2,190 is lost.
  const group = (
    repeated: boolean,
    loosened: number,
    away: number,
    size: number,
    more: TestRestoration = {},
  ) =>
    Array.from(
      { length: size },
      (_one, i): TestRestoration => ({
        repeated,
        ...(i < loosened ? { checks: [100], loose: 200 } : { checks: yearly(i < loosened + away ? 1 : 6) }),
        ...more,
      }),
    )
  const rowsOf = (
    favoured: 0 | 1,
    loosened: number,
    away: number,
    size: number,
    more: Partial<LossRow> = {},
  ) =>
    Array.from(
      { length: size },
      (_one, i): LossRow => ({
        time: i < loosened ? 200 : i < loosened + away ? 365 : 2190,
        lost: i >= loosened && i < loosened + away ? 1 : 0,
        favoured,
        operator: 'A1',
        patient: 0,
        ...more,
      }),
    )
  const numbered = (rows: readonly LossRow[]) => rows.map((row, patient) => ({ ...row, patient }))
  const repeats = group(true, 4, 20, 100)
  const singles = group(false, 20, 6, 100)
  const favouredRows = rowsOf(1, 4, 20, 100)
  const otherRows = rowsOf(0, 20, 6, 100)

  it('is the hazard of being lost within operators, its excess, and the estimate with that counted as loosened', () => {
    const loss = lossIn([...repeats, ...singles])
    const { ratio, pValue } = fromRows(numbered([...favouredRows, ...otherRows]))
    expect(loss.favoured).toBe(1)
    expect(loss.lost).toEqual({ group: 20, against: 6 })
    expect(loss.hazardRatio).toBeCloseTo(ratio, 8)
    expect(loss.pValue).toBeCloseTo(pValue, 8)
    expect(loss.excessShare).toBeCloseTo(1 - 1 / ratio, 8)
    // Each of the twenty becomes a share that loosens half a day after it was last seen, and the rest that does not.
    const share = 1 - 1 / ratio
    const rows = [
      ...Array.from({ length: 4 }, () => ({ time: 150, event: true, weight: 1 })),
      ...Array.from({ length: 20 }, () => ({ time: 365.5, event: true, weight: share })),
      ...Array.from({ length: 20 }, () => ({ time: 365, event: false, weight: 1 - share })),
      ...Array.from({ length: 76 }, () => ({ time: 2190, event: false, weight: 1 })),
    ]
    expect(loss.estimate!.group.estimate).toBeCloseTo(productLimit(rows, horizon), 8)
    expect(loss.estimate!.against.estimate).toBeCloseTo(0.2, 8)
  })

  it('does the same for the comparator where that did better', () => {
    const turned = [...repeats, ...singles].map((one) => ({ ...one, repeated: !one.repeated }))
    const [loss, same] = [lossIn(turned), lossIn([...repeats, ...singles])]
    expect(loss.favoured).toBe(0)
    expect(loss.lost).toEqual({ group: 6, against: 20 })
    expect(loss.hazardRatio).toBeCloseTo(same.hazardRatio!, 8)
    expect(loss.estimate!.against.estimate).toBeCloseTo(same.estimate!.group.estimate, 8)
    expect(loss.estimate!.group.estimate).toBeCloseTo(0.2, 8)
  })

  it('counts who was never looked at as lost from delivery on, and outright in the risk', () => {
    const never = (repeated: boolean, size: number) => Array.from({ length: size }, () => ({ repeated }))
    const loss = lossIn([...repeats, ...singles, ...never(true, 8), ...never(false, 2)])
    const gone = (favoured: 0 | 1, size: number) => rowsOf(favoured, 0, 0, size, { time: 0.5, lost: 1 })
    const { ratio, pValue } = fromRows(
      numbered([...favouredRows, ...otherRows, ...gone(1, 8), ...gone(0, 2)]),
    )
    expect(loss.lost).toEqual({ group: 28, against: 8 })
    expect(loss.hazardRatio).toBeCloseTo(ratio, 8)
    expect(loss.pValue).toBeCloseTo(pValue, 8)
    const share = 1 - 1 / ratio
    const seen = [
      ...Array.from({ length: 4 }, () => ({ time: 150, event: true, weight: 1 })),
      ...Array.from({ length: 20 }, () => ({ time: 365.5, event: true, weight: share })),
      ...Array.from({ length: 20 }, () => ({ time: 365, event: false, weight: 1 - share })),
      ...Array.from({ length: 76 }, () => ({ time: 2190, event: false, weight: 1 })),
    ]
    // Of 108 eight were never seen; the excess of them counts as loosened.
    const outright = (share * 8) / 108
    const risk = productLimit(seen, horizon)
    expect(loss.estimate!.group.estimate).toBeCloseTo(risk * (1 - outright) + outright, 8)
  })

  it('does not count as lost who was spoken with lately, or whose clinic was last heard of then, too', () => {
    // Never looked at, but spoken with by telephone on day 1,800, or on day 900.
    const called = lossIn([
      ...repeats,
      ...singles,
      { repeated: true, told: [1800] },
      { repeated: true, told: [900] },
    ])
    expect(called.lost.group).toBe(21)
    // Clinic B was last heard of on day 800: who was last seen there on day 365 is not lost, on day 250 is.
    const clinic = (last: number): TestRestoration[] => [
      { repeated: true, clinic: 'B', checks: [365, 800] },
      { repeated: false, clinic: 'B', checks: [last] },
    ]
    expect(lossIn([...repeats, ...singles, ...clinic(365)]).lost).toEqual({ group: 20, against: 6 })
    expect(lossIn([...repeats, ...singles, ...clinic(250)]).lost).toEqual({ group: 20, against: 7 })
    // Delivered a year later, it is a year less unseen.
    const later: TestRestoration = { repeated: false, delivery: 17_365, checks: [365] }
    expect(lossIn([...repeats, ...singles, later]).lost.against).toBe(7)
    expect(lossIn([...repeats, ...singles, { ...later, delivery: 18_365 }]).lost.against).toBe(6)
  })

  it('sets operators apart, of one name in two clinics, too', () => {
    const both = (names: readonly [Partial<TestRestoration>, Partial<TestRestoration>]) =>
      lossIn([
        ...group(true, 4, 10, 50, names[0]),
        ...group(false, 10, 8, 30, names[0]),
        ...group(true, 2, 10, 20, names[1]),
        ...group(false, 10, 2, 60, names[1]),
      ])
    const rows = (second: string) =>
      numbered([
        ...rowsOf(1, 4, 10, 50),
        ...rowsOf(0, 10, 8, 30),
        ...rowsOf(1, 2, 10, 20, { operator: second }),
        ...rowsOf(0, 10, 2, 60, { operator: second }),
      ])
    const apart = fromRows(rows('B1'))
    expect(apart.ratio).not.toBeCloseTo(fromRows(rows('A1')).ratio, 2)
    expect(both([{}, { operator: 'other' }]).hazardRatio).toBeCloseTo(apart.ratio, 8)
    expect(both([{}, { clinic: 'B' }]).hazardRatio).toBeCloseTo(apart.ratio, 8)
    expect(both([{}, {}]).hazardRatio).toBeCloseTo(fromRows(rows('A1')).ratio, 8)
  })

  it('keeps patients together', () => {
    const shared = [...repeats, ...singles].map((one, i) => ({ ...one, patient: i % 40 }))
    const rows = [...favouredRows, ...otherRows].map((row, i) => ({ ...row, patient: i % 40 }))
    expect(lossIn(shared).pValue).toBeCloseTo(fromRows(rows).pValue, 8)
    expect(lossIn(shared).pValue).not.toBeCloseTo(lossIn([...repeats, ...singles]).pValue!, 5)
  })

  it('has no hazard where nobody was lost, or where one group never was and cannot be modelled', () => {
    const nobody = lossIn([...group(true, 4, 0, 50), ...group(false, 20, 0, 50)])
    expect(nobody).toEqual({ favoured: 1, lost: { group: 0, against: 0 }, excessShare: 0 })
    // Slower loss of the favoured group has no excess.
    const slower = lossIn([...group(true, 4, 5, 100), ...group(false, 20, 20, 100)])
    expect(slower.hazardRatio).toBeLessThan(1)
    expect(slower.excessShare).toBe(0)
    expect(slower.estimate!.group.estimate).toBeCloseTo(0.04, 8)
    expect(slower.pValue).toBeGreaterThan(0.9)
  })

  it('starts the time of who came under observation late where they came', () => {
    const late = repeats.map((one, i) =>
      i >= 90 ? { ...one, fields: { observation_start_date: 300 } } : one,
    )
    const loss = lossIn([...late, ...singles])
    const share = loss.excessShare
    const rows = [
      ...Array.from({ length: 4 }, () => ({ time: 150, event: true, weight: 1 })),
      ...Array.from({ length: 20 }, () => ({ time: 365.5, event: true, weight: share })),
      ...Array.from({ length: 20 }, () => ({ time: 365, event: false, weight: 1 - share })),
      ...Array.from({ length: 66 }, () => ({ time: 2190, event: false, weight: 1 })),
      ...Array.from({ length: 10 }, () => ({ time: 2190, event: false, weight: 1, entry: 300 })),
    ]
    expect(loss.estimate!.group.estimate).toBeCloseTo(productLimit(rows, horizon), 8)
  })
})
