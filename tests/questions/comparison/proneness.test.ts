import { describe, expect, it } from 'vitest'
import { pronenessOf } from '../../../src/questions/comparison/proneness.js'
import { practice, type TestRestoration } from '../practice.js'

describe('how prone a restoration was', () => {
  /** Twenty molars of which eight loosen and twenty premolars of which two do, followed for 1,000 days each. */
  const restorations = Array.from({ length: 40 }, (_one, i): TestRestoration => {
    const molar = i < 20
    const loose = molar ? i < 8 : i < 22
    return {
      repeated: i % 2 === 0,
      fields: { tooth_position: molar ? '36' : '34' },
      checks: [100, 1000],
      ...(loose ? { loose: 1100 } : {}),
    }
  })
  const cohort = practice(restorations)
  const rows = Int32Array.from({ length: 40 }, (_one, i) => i)
  const course = {
    events: rows.map((i) => (i < 8 || (i >= 20 && i < 22) ? 1 : 0)),
    days: new Float64Array(40).fill(1000),
  }
  const nobody = { source: cohort, rows: new Int32Array(0) }

  it('is the rate of each trait over that of all, drawn towards 1 by five events, and 1 on average', () => {
    // Ten events in all, so that five are expected of either: (8 + 5) / (5 + 5) and (2 + 5) / (5 + 5), whose mean is 1.
    const { followed } = pronenessOf({ source: cohort, rows }, course, nobody, ['operator', 'region'])
    expect(followed[0]).toBeCloseTo(1.3, 12)
    expect(followed[39]).toBeCloseTo(0.7, 12)
  })

  it('says the same of who was left out, by what is recorded of them, and nothing where nothing is', () => {
    const others = { source: cohort, rows: [25, 0] }
    const found = pronenessOf({ source: cohort, rows }, course, others, ['region'])
    expect(found.others[1]! / found.others[0]!).toBeCloseTo(1.3 / 0.7, 12)
    expect([
      ...new Set(pronenessOf({ source: cohort, rows }, course, nobody, ['delivery_day']).followed),
    ]).toEqual([1])
    const none = { events: new Uint8Array(40), days: course.days }
    expect([...new Set(pronenessOf({ source: cohort, rows }, none, nobody, ['region']).followed)]).toEqual([
      1,
    ])
  })

  it('counts no restoration for more than three, whatever its traits', () => {
    const one = { events: rows.map((i) => (i === 0 ? 1 : 0)), days: new Float64Array(40).fill(1) }
    const many = {
      events: rows.map((i) => (i < 1 ? 1000 : 0)),
      days: new Float64Array(40).fill(1),
    }
    for (const course of [one, many]) {
      const { followed } = pronenessOf({ source: cohort, rows }, course, nobody, ['region'])
      expect(Math.max(...followed)).toBeLessThanOrEqual(3)
    }
  })

  it('has numbers as above or below their median, and does not speak of what is not known', () => {
    // Ages 30 to 49; of the last five the age is not known, nor bruxism of any. Loosened: four of the upper half, one of the lower.
    const crowns = Array.from(
      { length: 25 },
      (_one, i): TestRestoration => ({
        repeated: true,
        fields: i < 20 ? { age_at_delivery_years: 30 + ((7 * i) % 20), bruxism: 'unknown' } : {},
        checks: [100, 1000],
      }),
    )
    const aged = practice(crowns)
    const all = Int32Array.from({ length: 25 }, (_one, i) => i)
    const upper = (i: number): boolean => i < 20 && (7 * i) % 20 >= 10
    let loosened = 0
    const events = all.map((i) => ((i < 20 && upper(i) && loosened++ < 4) || i === 1 ? 1 : 0))
    expect([upper(1), events.filter((one) => one === 1)]).toEqual([false, new Int32Array(5).fill(1)])
    const days = new Float64Array(25).fill(1000)
    const of = (keys: readonly string[], rows: ArrayLike<number> = new Int32Array(0)) =>
      pronenessOf({ source: aged, rows: all }, { events, days }, { source: aged, rows }, keys)
    const { followed } = of(['age_at_delivery_years'])
    // Five events in 25,000 days: two expected of either half; unknown ages stay at 1 before all are scaled to a mean of 1.
    const raw = [(4 + 5) / (2 + 5), (1 + 5) / (2 + 5), 1] as const
    const mean = (10 * raw[0] + 10 * raw[1] + 5 * raw[2]) / 25
    for (let i = 0; i < 25; i++) {
      const own = i >= 20 ? raw[2] : upper(i) ? raw[0] : raw[1]
      expect(followed[i]).toBeCloseTo(own / mean, 12)
    }
    expect([...new Set(of(['bruxism']).followed)]).toEqual([1])
    // The median itself, an age of 40, belongs to the upper half: of a restoration that was left out, too.
    const at40 = [...Array(20).keys()].find((i) => (7 * i) % 20 === 10)!
    const { others, followed: again } = of(['age_at_delivery_years'], [at40, 20])
    expect(others[0]! / others[1]!).toBeCloseTo(raw[0] / raw[2], 12)
    expect(again[at40]).toBeCloseTo(others[0]!, 12)
    // Traits multiply.
    const both = of(['age_at_delivery_years', 'age_at_delivery_years']).followed
    expect(both[0]! / both[20]!).toBeCloseTo((upper(0) ? raw[0] : raw[1]) ** 2, 12)
  })

  it('has codes by themselves', () => {
    // Ten conical of which four loosen, ten internal of which none: (4 + 5) / (2 + 5) and 5 / 7.
    const crowns = Array.from(
      { length: 20 },
      (_one, i): TestRestoration => ({
        repeated: true,
        fields: { connection: i < 10 ? 'conical' : 'internal_hex' },
        checks: [1000],
      }),
    )
    const events = Uint8Array.from({ length: 20 }, (_one, i) => (i < 4 ? 1 : 0))
    const among = { source: practice(crowns), rows: Int32Array.from({ length: 20 }, (_one, i) => i) }
    const days = new Float64Array(20).fill(1000)
    const { followed } = pronenessOf(among, { events, days }, { ...among, rows: [] }, ['connection'])
    expect(followed[0]! / followed[19]!).toBeCloseTo(9 / 5, 12)
  })
})
