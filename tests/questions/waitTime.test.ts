import { describe, expect, test } from 'vitest'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { settingOf } from '../../src/documents/model/citation.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { waitTime } from '../../src/questions/wait/answer.js'
import { waitChart } from '../../src/questions/wait/chart.js'
import { basis as waitBasis, mainSentence as waitSentence } from '../../src/questions/wait/section.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { practice, type TestRestoration, times } from './practice.js'

/** Ninety restorations of 45 patients, by formulas that R follows too. */
const formulas = Array.from(
  { length: 90 },
  (_, i): TestRestoration => ({
    repeated: 3 + ((7 * i) % 29),
    patient: Math.floor(i / 2),
    ...((i * 13) % 5 < 2 ? { loose: 50 + ((i * i * 37) % 1900) } : { checks: [50 + ((i * i * 37) % 1900)] }),
  }),
)

const said = (restorations: readonly TestRestoration[]): string => {
  const audit = auditCohort(practice(restorations))
  return speaker().text(waitSentence(audit.wait!, pathsOf(audit).wait, settingOf(audit)))
}

describe('the wait between two tightenings', () => {
  const wait = waitTime(practice(formulas))!

  test('gives the hazard ratios of the groups that R survival gives (coxph with cluster, 3.x)', () => {
    expect(
      wait.groups.map(({ place, incidence }) => [place, incidence.restorations, incidence.events]),
    ).toEqual([
      ['before', 22, 9],
      ['inside', 19, 7],
      ['after', 49, 20],
    ])
    const [before, inside, after] = wait.groups
    expect(inside!.hazardRatio).toBeUndefined()
    expect(before!.hazardRatio!.estimate).toBeCloseTo(3.18035978598, 8)
    expect(before!.hazardRatio!.interval.lower).toBeCloseTo(1.04538392914, 8)
    expect(before!.hazardRatio!.interval.upper).toBeCloseTo(9.67557285545, 8)
    expect(after!.hazardRatio!.estimate).toBeCloseTo(1.17103212635, 8)
    expect(after!.hazardRatio!.comparator).toEqual({
      group: 'after',
      against: 'inside',
    })
  })

  test('gives the curve that R gives with the same restricted cubic spline, at both ends and in its tests', () => {
    const { points, knots, referenceMinutes, referenceIs, association, curvature } = wait.curve!
    expect(knots).toEqual([5, 17, expect.closeTo(28.1, 10)])
    expect([referenceMinutes, referenceIs]).toEqual([12.5, 'window-middle'])
    const [first, last] = [points[0]!, points.at(-1)!]
    expect([first.minutes, last.minutes]).toEqual([3, expect.closeTo(30.775, 10)])
    expect(first.hazardRatio).toBeCloseTo(2.01057846954, 8)
    expect(first.interval.lower).toBeCloseTo(0.75912209132, 8)
    expect(first.interval.upper).toBeCloseTo(5.32513258196, 8)
    expect(last.hazardRatio).toBeCloseTo(0.696990616779, 8)
    expect(last.interval.upper).toBeCloseTo(1.96002079607, 8)
    expect(association.statistic).toBeCloseTo(3.47291150672, 7)
    expect(curvature.statistic).toBeCloseTo(0.631412338688, 7)
  })

  test('has no curve where events are few or nearly all waited alike, and says so', () => {
    const few = waitTime(practice([...formulas.slice(0, 20), ...times(20, { repeated: 12, checks: [900] })]))!
    expect(few.events).toBeLessThan(10)
    expect(few.curve).toBeUndefined()
    expect(few.curveReason).toBe('too-few-events')
    const alike = waitTime(
      practice([
        ...times(20, { repeated: 10, loose: 300 }),
        ...times(20, { repeated: 15, loose: 500 }),
        ...times(20, { repeated: 12, checks: [900] }),
      ]),
    )!
    expect(alike.curveReason).toBe('too-few-different-waits')
    expect(alike.groups).toHaveLength(1)
    expect(alike.groups[0]!.hazardRatio).toBeUndefined()
  })

  test('puts the knots at the window where half of a practice wrote down ten minutes', () => {
    const rounded = formulas.map((one, i) => (i % 3 === 0 ? one : { ...one, repeated: 10 }))
    const { curve } = waitTime(practice(rounded))!
    expect(curve!.knots).toEqual([10, 12.5, 15])
  })

  test('is absent where no wait is known, and counts those whose wait is unknown', () => {
    expect(waitTime(practice(times(10, { checks: [400] })))).toBeUndefined()
    const reported = times(3, {
      repeated: 'unknown',
      checks: [400],
      fields: { tightening_group: 'repeated' },
    })
    expect(waitTime(practice(reported))).toBeUndefined()
    expect(waitTime(practice([...formulas, ...reported]))!.waitUnknown).toBe(3)
  })

  test('stratifies by clinic where there are several', () => {
    const clinics = formulas.map((one, i) => ({ ...one, clinic: i % 4 < 2 ? 'A' : 'B' }))
    const { stratifiedBy, groups } = waitTime(practice(clinics))!
    expect(stratifiedBy).toEqual(['clinic'])
    expect(groups[0]!.hazardRatio!.estimate).not.toBeCloseTo(3.1803597697, 3)
  })
})

describe('the wait in words', () => {
  test('says first that nothing can be known where events are few', () => {
    const quiet = times(30, { repeated: 12, checks: [900] })
    expect(said(quiet)).toBe(
      'What the wait goes with cannot be known from these records: 30 restorations in 30 patients were tightened again on the day of delivery, without undoing and with a known wait, and not one had a first screw loosening.',
    )
    expect(said([...quiet, ...times(3, { repeated: 5, loose: 200 })])).toMatch(
      /^What the wait goes with cannot .* only 3 had/,
    )
  })

  test('gives the ratios at both ends of the curve with their intervals, and claims a side only where one is clear', () => {
    expect(said(formulas)).toBe(
      '90 restorations in 45 patients were tightened again on the day of delivery, without undoing and with a known wait; 36 had a first screw loosening. Against a wait of 12.5 minutes, the hazard ratio was 2.01 at 3 minutes (95% interval 0.76 to 5.33) and 0.70 at 30.8 minutes (95% interval 0.25 to 1.96). Everywhere along the curve the interval has room on both sides of 1: how first screw loosenings go with the wait stays open, within those limits.',
    )
    const clear = formulas.map((one, i) => ({
      ...one,
      patient: i,
      ...(Number(one.repeated) < 12 ? { loose: 100 + i, checks: [] } : { loose: 1000 + i, checks: [] }),
    }))
    expect(said(clear)).toContain(
      'Along part of the curve the whole interval lies above 1, or below 1; whether',
    )
  })

  test('names what is allowed for', () => {
    const audit = auditCohort(practice(formulas))
    expect(speaker().text(waitBasis(audit.wait!, pathsOf(audit).wait))).toMatch(
      /Nothing is allowed for; patients are kept together/,
    )
  })
})

describe('the chart and section of the wait', () => {
  const audit = auditCohort(practice(formulas), { ...defaultSettings, detail: 'full' })

  test('draw the curve with its band, the window shaded', () => {
    const { layer } = waitChart(audit.wait!)
    const named = (name: string) => layer.filter((one) => one.name?.startsWith(`${name}_`))
    expect(named('curve')[0]!.data.values[0]).toEqual({ x: 3, y: audit.wait!.curve!.points[0]!.hazardRatio })
    expect(named('band')[0]!.data.values).toHaveLength(41)
    expect(named('span')[0]!.data.values[0]).toMatchObject({ x: 10, right: 15 })
    expect(named('curve')[0]!.encoding.y!.scale!.type).toBe('log')
  })

  test('have the figure in the full report only', () => {
    const section = (one: typeof audit) =>
      auditDocument(one, { date: 'd', version: 'v' }).sections.find(({ id }) => id === 'wait')!
    const kinds = (one: typeof audit) => section(one).blocks.map(({ kind }) => kind)
    expect(kinds(audit)).toEqual(['paragraph', 'paragraph', 'table', 'figure'])
    const standard = auditCohort(practice(formulas))
    expect(kinds(standard)).toEqual(['paragraph', 'paragraph', 'table', 'paragraph'])
    expect(JSON.stringify(section(standard))).toContain('holdfast audit --full')
  })
})
