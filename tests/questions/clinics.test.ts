import { describe, expect, test } from 'vitest'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { settingOf } from '../../src/documents/model/citation.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { clinicFunnel } from '../../src/questions/clinicFunnel/answer.js'
import { funnelChart } from '../../src/questions/clinicFunnel/chart.js'
import { mainSentence as funnelSentence } from '../../src/questions/clinicFunnel/section.js'
import { hazardOverTime } from '../../src/questions/hazardOverTime/answer.js'
import { hazardChart } from '../../src/questions/hazardOverTime/chart.js'
import { mainSentence as hazardSentence } from '../../src/questions/hazardOverTime/section.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { smoothedHazard } from '../../src/statistics/curves/smoothedHazard.js'
import { practice, type TestRestoration, times } from './practice.js'

/** Twenty restorations of each clinic; so many loose after a year, the others tight for four. */
function clinics(loose: Readonly<Record<string, number>>): readonly TestRestoration[] {
  return Object.entries(loose).flatMap(([clinic, events]) => [
    ...times(events, { clinic, loose: 365 }),
    ...times(20 - events, { clinic, checks: [1461] }),
  ])
}

describe('clinics beside each other', () => {
  test('have expected events that add up to those seen, by hand: 10 of 100 at risk loosen on one day', () => {
    const funnel = clinicFunnel(practice(clinics({ A: 2, B: 2, C: 2, D: 2, E: 2 })))!
    for (const one of funnel.clinics) {
      expect(one.expected).toBeCloseTo(2, 12)
      expect(one.ratio).toBeCloseTo(1, 12)
      expect(one.position).toBe('within')
    }
  })

  test('do not look worse for longer follow-up: a clinic without time at risk expects nothing', () => {
    const short = times(20, { clinic: 'E', checks: [30] })
    const funnel = clinicFunnel(practice([...clinics({ A: 2, B: 2, C: 2, D: 2, F: 2 }), ...short]))!
    expect(funnel.clinics.map(({ clinic }) => clinic)).toEqual(['A', 'B', 'C', 'D', 'F'])
    expect(funnel.leftOut).toBe(20)
    expect(funnel.clinics.reduce((sum, { expected }) => sum + expected, 0)).toBeCloseTo(10, 10)
  })

  test('stand out beyond exact Poisson limits (Spiegelhalter 2005), and are not ranked', () => {
    const funnel = clinicFunnel(practice(clinics({ E: 14, A: 2, B: 2, C: 2, D: 2 })))!
    expect(funnel.clinics.map(({ clinic }) => clinic)).toEqual(['A', 'B', 'C', 'D', 'E'])
    const [least, most] = [funnel.clinics[0]!, funnel.clinics[4]!]
    expect(most.expected).toBeCloseTo(22 / 5, 10)
    expect(most.position).toBe('above-outer')
    expect(least.position).toBe('within')
  })

  test('are drawn between the limits that each clinic is judged by, widened or not', () => {
    const even = clinics({ A: 2, B: 2, C: 3, D: 1, E: 2 })
    const spread = clinics({ A: 0, B: 17, C: 1, D: 18, E: 2, F: 16, G: 15, H: 1, I: 16, J: 0 })
    const larger = times(40, { clinic: 'B', checks: [1461] })
    for (const [cohort, widened] of [
      [practice([...even, ...larger]), false],
      [practice([...spread, ...larger]), true],
    ] as const) {
      const funnel = clinicFunnel(cohort)!
      expect(funnel.overDispersion.widened).toBe(widened)
      const { limits } = funnel
      const sizes = funnel.clinics.map(({ expected }) => expected)
      expect(limits[0]!.expected).toBeCloseTo(Math.min(2, Math.min(...sizes) / 2), 10)
      expect(limits.at(-1)!.expected).toBeCloseTo(1.1 * Math.max(...sizes), 10)
      for (const clinic of funnel.clinics) {
        const after = limits.findIndex(({ expected }) => expected >= clinic.expected)
        const [one, other] = [limits[after - 1]!, limits[after]!]
        const share = (clinic.expected - one.expected) / (other.expected - one.expected)
        clinic.limits.forEach((limit, i) => {
          const drawn = one.at[i]! + share * (other.at[i]! - one.at[i]!)
          expect(Math.abs(drawn - Math.max(0, limit))).toBeLessThan(0.02)
        })
      }
    }
  })

  test('need to be five, with events', () => {
    expect(clinicFunnel(practice(clinics({ A: 2, B: 2, C: 2, D: 2 })))).toBeUndefined()
    expect(clinicFunnel(practice(clinics({ A: 0, B: 0, C: 0, D: 0, E: 0 })))).toBeUndefined()
  })
})

/** 20 loose at 0.2 years, 10 at 2.5 years, 70 tight for 4 years. */
const early = practice([
  ...times(20, { loose: 73 }),
  ...times(10, { loose: 913 }),
  ...times(70, { checks: [1461] }),
])

describe('when it happens', () => {
  test('has rates within spans of time since delivery, by hand', () => {
    const [all] = hazardOverTime(early).groups
    const first = 80 * 0.5 + (20 * 73) / 365.25
    expect(all!.spans[0]).toMatchObject({ fromYears: 0, toYears: 0.5, events: 20 })
    expect(all!.spans[0]!.ratePer100Years.estimate).toBeCloseTo((100 * 20) / first, 10)
    expect(all!.spans.map(({ events }) => events)).toEqual([20, 0, 0, 10, 0])
    expect(all!.spans[4]!.ratePer100Years.estimate).toBe(0)
  })

  test('counts an event on the last day of a span within it, and late entries from their entry on', () => {
    const late = practice([
      { loose: 731, fields: { observation_start_date: 365 } },
      { loose: 100 },
      ...times(8, { checks: [1461] }),
    ])
    const { spans } = hazardOverTime(late).groups[0]!
    // 731 days are 2.0014 years.
    expect(spans.map(({ events }) => events)).toEqual([1, 0, 0, 1, 0])
    const perYear = (index: number): number =>
      (100 * spans[index]!.events) / Number(spans[index]!.ratePer100Years.estimate)
    expect(perYear(3)).toBeCloseTo(8 + 731 / 365.25 - 2, 8)
    // The late one is not at risk in its first half-year.
    expect(perYear(0)).toBeCloseTo(8 * 0.5 + 100 / 365.25, 8)
  })

  test('is smoothed as the estimator does it, up to the last time at which enough are at risk', () => {
    const [all] = hazardOverTime(early).groups
    const { points, bandwidthYears } = all!.curve!
    expect(bandwidthYears).toBe(1)
    expect(points.at(-1)!.years).toBeCloseTo(4, 2)
    const time = [
      ...Array<number>(20).fill(73),
      ...Array<number>(10).fill(913),
      ...Array<number>(70).fill(1461),
    ]
    const own = smoothedHazard(
      time.map((days) => days / 365.25),
      time.map((days) => (days < 1461 ? 1 : 0)),
      { bandwidth: 1, end: 1461 / 365.25, times: [points[10]!.years] },
    )
    expect(points[10]!.per100Years).toBeCloseTo(100 * Number(own.points[0]!.hazard), 10)
  })

  test('has no curve with few events, and no table without', () => {
    const few = practice([...times(9, { loose: 300 }), ...times(50, { checks: [900] })])
    expect(hazardOverTime(few).groups[0]!.curve).toBeUndefined()
    const none = practice(times(20, { checks: [900] }))
    const audit = { ...auditCohort(none), hazardOverTime: hazardOverTime(none) }
    expect(
      speaker().text(hazardSentence(audit.hazardOverTime!, pathsOf(audit).hazardOverTime, settingOf(audit))),
    ).toBe('No first screw loosenings were found: when they would come cannot be known.')
  })
})

describe('clinics and times in the report', () => {
  const five = [
    ...clinics({ A: 2, B: 2, C: 2, D: 2 }),
    ...times(14, { clinic: 'E', loose: 365, repeated: true }),
    ...times(30, { clinic: 'E', checks: [1461], repeated: true }),
  ]
  const audit = auditCohort(practice(five), { ...defaultSettings, detail: 'full' })

  test('say who lies beyond the limits as a reason to look', () => {
    const alike = practice(clinics({ A: 2, B: 2, C: 2, D: 2, E: 2 }))
    const even = { ...audit, clinicFunnel: clinicFunnel(alike) }
    expect(speaker().text(funnelSentence(even.clinicFunnel!, pathsOf(even).clinicFunnel))).toMatch(
      /^All 5 clinics lie within the limits that chance alone would give\./,
    )
    const apart = practice(clinics({ E: 14, A: 2, B: 2, C: 2, D: 2 }))
    const out = { ...audit, clinicFunnel: clinicFunnel(apart) }
    expect(speaker().text(funnelSentence(out.clinicFunnel!, pathsOf(out).clinicFunnel))).toContain(
      'lies E (14 events, 4.4 expected): a reason to look, and no verdict',
    )
  })

  test('give the first and the last rate with their intervals', () => {
    expect(
      speaker().text(hazardSentence(audit.hazardOverTime!, pathsOf(audit).hazardOverTime, settingOf(audit))),
    ).toMatch(
      /^The rate of first screw loosenings for every hundred restoration-years was 0\.00 \(95% interval 0\.00 to \d+\.\d; 0 events\) in the first half-year after delivery, and 0\.00 \(.*\) from 3\.0 years on\./,
    )
  })

  test('have their tables and figures', () => {
    const { sections } = auditDocument(audit, { date: 'd', version: 'v' })
    const ids = ['hazard', 'clinics'].map((id) =>
      sections.find((one) => one.id === id)!.blocks.flatMap((block) => ('id' in block ? [block.id] : [])),
    )
    expect(ids).toEqual([
      ['table-hazard', 'figure-hazard'],
      ['table-funnel', 'figure-funnel'],
    ])
    const funnel = funnelChart(audit.clinicFunnel!)
    const marks = funnel.layer.filter(({ name }) => /^mark_\d/.test(name ?? ''))
    expect(marks.map((one) => one.data.values[0]!.y)).toEqual(
      audit.clinicFunnel!.clinics.map(({ ratio }) => ratio),
    )
    expect(funnel.layer.filter(({ name }) => name?.startsWith('limit_'))).toHaveLength(4)
    const hazard = hazardChart(audit.hazardOverTime!, { groups: ['all'] })
    const curve = hazard.layer.find(({ name }) => name?.startsWith('curve_'))!
    expect(curve.data.values.map(({ y }) => y)).toEqual(
      audit.hazardOverTime!.groups[0]!.curve!.points.map(({ per100Years }) => per100Years),
    )
  })
})
