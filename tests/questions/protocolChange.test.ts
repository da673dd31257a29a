import { describe, expect, test } from 'vitest'
import { dayFromIso, isoFromDay } from '../../src/core/calendar.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { settingOf } from '../../src/documents/model/citation.js'
import { plainText } from '../../src/documents/model/document.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { parsePlan } from '../../src/questions/plan/planFile.js'
import { defaultSettings, plannedSettings } from '../../src/questions/plan/settings.js'
import { findChange, protocolChange, quartersBetween } from '../../src/questions/protocolChange/answer.js'
import { runChart } from '../../src/questions/protocolChange/chart.js'
import { clinicSentence } from '../../src/questions/protocolChange/section.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { practice, type TestRestoration } from './practice.js'

const day = (iso: string): number => dayFromIso(iso)!
const changeDay = day('2020-01-01')
const first = day('2018-01-10')

/** Eighty deliveries 18 days apart, 41 of them before 2020: tightened once before, and again from then on. */
function changed(loose: (i: number) => boolean, clinic = 'A'): readonly TestRestoration[] {
  return Array.from({ length: 80 }, (_, i) => {
    const delivery = first + 18 * i
    return {
      clinic,
      delivery,
      repeated: delivery >= changeDay,
      ...(loose(i) ? { loose: 200 } : { checks: [1200] }),
    }
  })
}

/** 8 events before, 4 after. */
const usual = changed((i) => (i < 40 ? i % 5 === 0 : i % 10 === 1))

const base = auditCohort(practice(usual))

const said = (restorations: readonly TestRestoration[], settings = defaultSettings): string => {
  const audit = { ...base, settings, protocolChange: protocolChange(practice(restorations), settings) }
  const at = pathsOf(audit.protocolChange!, 'protocolChange')
  return speaker().text(
    clinicSentence(
      audit.protocolChange!,
      { clinic: audit.protocolChange!.clinics[0]!, at: at.clinics[0]! },
      at,
      settingOf(audit),
    ),
  )
}

describe('a change of protocol', () => {
  test('is found at the quarter at which the handling turned, and nowhere else', () => {
    const [clinic] = protocolChange(practice(usual))!.clinics
    expect(clinic!.change).toEqual({
      from: '2020-01-01',
      source: 'found',
      before: expect.objectContaining({ known: 41, inGroup: 0, share: 0 }),
      after: expect.objectContaining({ known: 39, inGroup: 39, share: 1 }),
    })
    const mixed = usual.map((one, i) => ({ ...one, repeated: i % 2 === 0 }))
    const none = protocolChange(practice(mixed))!.clinics[0]!
    expect([none.change, none.compared, none.reason]).toEqual([undefined, undefined, 'no-change-found'])
  })

  test('needs ten deliveries of known handling on each side, and shares that differ by half', () => {
    const days = Array.from({ length: 40 }, (_, i) => first + 30 * i)
    const turnAt = (index: number) => days.map((_, i) => (i >= index ? 1 : 0))
    expect(findChange(days, turnAt(36))).toBeUndefined()
    expect(isoFromDay(findChange(days, turnAt(20))!.changeDay)).toBe('2019-10-01')
    // Twenty deliveries in 2018 and twenty in 2020, 4 of the first in the group, and 13 or 14 of the others.
    const apart = [2018, 2020].flatMap((year) =>
      Array.from({ length: 20 }, (_, i) => day(`${year}-01-05`) + 15 * i),
    )
    const late = (count: number) => apart.map((_, i) => Number(i < 20 ? i % 5 === 0 : i < 20 + count))
    expect(findChange(apart, late(13))).toBeUndefined()
    expect(findChange(apart, late(14))!.after).toEqual({ known: 20, inGroup: 14 })
    expect(findChange([], [])).toBeUndefined()
  })

  test('compares risks and rates over equal spans and equal follow-up, by hand', () => {
    const { compared, followedYears } = protocolChange(practice(usual))!.clinics[0]!
    // The last delivery came 702 days after 1 January 2020, so that those of the 703 days before it are compared.
    expect(compared!.spanDays).toBe(first + 18 * 79 - changeDay + 1)
    expect(followedYears).toBe(3)
    const { before, after } = compared!
    const kept = usual.filter(({ delivery }) => delivery! >= changeDay - compared!.spanDays)
    const counted = (side: boolean) => kept.filter(({ repeated }) => repeated === side)
    const events = (side: boolean) => counted(side).filter(({ loose }) => loose !== undefined).length
    expect([before.restorations, before.events]).toEqual([counted(false).length, events(false)])
    expect([after.restorations, after.events]).toEqual([39, 4])
    expect(before.risk.estimate).toBeCloseTo(events(false) / before.restorations, 12)
    expect(compared!.riskDifference.estimate).toBeCloseTo(4 / 39 - events(false) / before.restorations, 12)
    const days = (n: number, e: number): number => e * 200 + (n - e) * 3 * 365.25
    const rate = (n: number, e: number): number => e / days(n, e)
    expect(compared!.rateRatio!.estimate).toBeCloseTo(
      rate(39, 4) / rate(before.restorations, before.events),
      8,
    )
    expect(compared!.trends).toBe('none')
    expect(compared!.levelChange).toBeUndefined()
  })

  test('allows for trends where events bear them', () => {
    const many = changed((i) => i % 2 === 0)
    const { compared } = protocolChange(practice(many))!.clinics[0]!
    expect(compared!.trends).toBe('separate')
    expect(compared!.levelChange!.method).toContain('separate-trends')
    expect(compared!.trendAfter!.estimate).toEqual(expect.any(Number))
    const fewer = protocolChange(practice(changed((i) => i % 5 === 0)))!.clinics[0]!
    expect(fewer.compared!.trends).toBe('common')
  })

  test('takes the day of the plan where there is one', () => {
    const plan = parsePlan(
      '{"written": "2026-01-05", "protocolChanges": [{"clinic": "A", "from": "2019-06-15"}]}',
    )
    const [clinic] = protocolChange(practice(usual), plannedSettings(plan))!.clinics
    expect(clinic!.change).toMatchObject({ from: '2019-06-15', source: 'plan' })
    expect(said(usual, plannedSettings(plan))).toContain('before 15 June 2019 (as the plan says)')
    expect(() =>
      parsePlan('{"written": "2026-01-05", "protocolChanges": [{"clinic": "A", "from": "June"}]}'),
    ).toThrow('protocolChanges.0.from: must be a day such as "2021-10-01"')
  })

  test('has nothing to compare where the plan names a day after every delivery', () => {
    const plan = parsePlan(
      '{"written": "2026-01-05", "protocolChanges": [{"clinic": "A", "from": "2031-06-15"}]}',
    )
    const [clinic] = protocolChange(practice(usual), plannedSettings(plan))!.clinics
    expect([clinic!.compared, clinic!.reason]).toEqual([undefined, 'one-side-empty'])
    expect(said(usual, plannedSettings(plan))).toContain('There is nothing on one side to compare with.')
  })

  test('counts each delivery in one quarter', () => {
    const { quarters, restorations } = protocolChange(practice(usual))!.clinics[0]!
    expect(quarters[0]!.from).toBe('2018-01-01')
    expect(quarters.reduce((sum, one) => sum + one.restorations, 0)).toBe(restorations)
    expect(quarters.reduce((sum, one) => sum + one.events, 0)).toBe(12)
    expect(quartersBetween(day('2019-11-30'), day('2020-07-01')).map(isoFromDay)).toEqual([
      '2019-10-01',
      '2020-01-01',
      '2020-04-01',
      '2020-07-01',
    ])
  })

  test('leaves out late entries and unknown days, counted', () => {
    const late = { ...usual[0]!, fields: { observation_start_date: 100 } }
    const undated = { ...usual[1]!, fields: { delivery_date: undefined, delivery_year: 2018 } }
    const { leftOut } = protocolChange(practice([...usual, late, undated]))!
    expect(leftOut).toEqual({ dayUnknown: 1, lateEntry: 1 })
    expect(protocolChange(practice([undated]))).toBeUndefined()
  })
})

describe('a change of protocol in words and pictures', () => {
  test('says the shares, the difference with its interval, and whether a direction is open', () => {
    expect(said(usual)).toMatch(
      /^In A, the share with tightening repeated after 10 to 15 minutes was 0\.0% before 1 January 2020 \(found from its deliveries\) and 100\.0% from then on\. After 3 years, the risk after the change minus the risk before it was −\d+\.\d percentage points \(95% interval −\d+\.\d to \+\d+\.\d\); events were seen in \d of 39 restorations before and 4 of 39 after\. The interval holds both directions: whether events changed with it stays open\.$/,
    )
    expect(said(changed((i) => i < 40 && i % 2 === 0))).toContain(
      'on the side of fewer events after the change',
    )
    expect(said(changed((i) => i > 41 && i % 2 === 0))).toContain(
      'on the side of more events after the change',
    )
  })

  test('says that nothing can be known of so few', () => {
    expect(said(changed((i) => i === 20 || i === 60))).toMatch(
      /Whether first screw loosenings changed with it cannot be known: they were seen in 1 of 39 restorations before and 1 of 39 after\.$/,
    )
  })

  test('the run chart has a mark for each quarter, the change, and both rates', () => {
    const [clinic] = protocolChange(practice(usual))!.clinics
    const { layer, description } = runChart(clinic!)
    const named = (name: string) => layer.filter((one) => one.name?.startsWith(`${name}_`))
    expect(named('mark')).toHaveLength(clinic!.quarters.length)
    expect(named('rule')[0]!.data.values[0]!.x).toBeCloseTo(2020, 6)
    expect(named('curve').map((one) => one.data.values[0]!.y)).toEqual([
      clinic!.change!.before.ratePer100Years,
      clinic!.change!.after.ratePer100Years,
    ])
    expect(description).toContain('Before 1 January 2020: 0.0% tightened again')
  })

  test('the section stands only where a clinic changed, with two rows for each that did', () => {
    const sections = (restorations: readonly TestRestoration[]) =>
      auditDocument(
        { ...base, protocolChange: protocolChange(practice(restorations)) },
        { date: 'd', version: 'v' },
      ).sections
    const two = [...usual, ...changed((i) => i % 4 === 0, 'B')]
    const section = sections(two).find(({ id }) => id === 'protocol-change')!
    const rows = section.blocks.flatMap((block) => (block.kind === 'table' ? block.rows : []))
    expect(rows.map((row) => plainText(row[1]!.content))).toEqual([
      'before 1 January 2020',
      'from 1 January 2020',
      'before 1 January 2020',
      'from 1 January 2020',
    ])
    const never = usual.map((one) => ({ ...one, repeated: false }))
    expect(sections(never).some(({ id }) => id === 'protocol-change')).toBe(false)
  })
})
