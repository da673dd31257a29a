import { expect, it } from 'vitest'
import { pronenessOf } from '../../../src/questions/comparison/proneness.js'
import { practice, type TestRestoration } from '../../analysis/practice.js'

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
  expect([...new Set(pronenessOf({ source: cohort, rows }, none, nobody, ['region']).followed)]).toEqual([1])
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
