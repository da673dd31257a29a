import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { buildCohort, type Cohort, factorChart, readRecords, whatElseMatters } from '../../src/index.js'
import { inWords } from '../../src/messages/speaker.js'
import type { WhatElseMatters } from '../../src/questions/whatElse/answer.js'
import { practice, type TestRestoration } from './practice.js'

let cohort: Cohort
let found: WhatElseMatters
beforeAll(async () => {
  cohort = buildCohort(await readRecords(join(import.meta.dirname, '../../data-demo'), { today: 20_700 }))
  found = whatElseMatters(cohort)
})

describe('whatElseMatters on the demo data', () => {
  it('gives the hazard ratios of an independent fit of the same columns', () => {
    // R 4.2.2, survival 3.5.3: coxph(Surv(entry, time, event) ~ ... + strata(clinic), cluster = patient, ties = 'efron')
    const logs = [
      -0.8230898941, -0.1277120485, -1.5284100477, 0.1828289463, 0.7023293521, 0.2667515128, -0.636253208,
      -0.7314146372, -0.125072871, 0.5509643117, 0.7834530309, 0.0970948567, -0.0656030954,
    ]
    expect(found.factors.map(({ adjusted }) => Math.log(adjusted.estimate as number))).toEqual(
      logs.map((log) => expect.closeTo(log, 7)),
    )
    expect(found.factors.map(({ key }) => key)).toEqual([
      ...Array<string>(6).fill('handling'),
      ...Array<string>(2).fill('region'),
      ...Array<string>(3).fill('bruxism'),
      'delivery_year',
      'implant_diameter_mm',
    ])
    expect(found.penalised).toBe(false)
  })

  it('holds in its intervals what the generator of the data states', () => {
    // data-demo/truth.json, scenario.hazardRatios: premolar 1 against molar 1.8, bruxism 2.2 against none.
    for (const [level, baseline, truth] of [
      ['premolar', 'molar', 1 / 1.8],
      ['definite', 'none', 2.2],
      ['repeated in the window', 'single', 0.55],
    ] as const) {
      const { contrast, adjusted } = found.factors.find((one) => one.contrast.level === level)!
      expect(contrast).toEqual({ level, baseline })
      const { lower, upper } = adjusted.interval
      expect(lower as number).toBeLessThan(truth)
      expect(upper as number).toBeGreaterThan(truth)
    }
  })

  it('takes no more coefficients than the events bear, from the front of the list, and says what it left out', () => {
    expect(found.coefficients).toBe(13)
    expect(found.coefficients).toBeLessThanOrEqual(found.events / 5)
    expect(found.leftOut.map(({ key, reason }) => [key, reason])).toEqual([
      ['connection', 'too-few-events'],
      ['component_system', 'too-few-events'],
      ['opposing', 'too-few-events'],
      ['restoration_type', 'all-alike'],
    ])
    expect(found.restorations + found.incomplete).toBe(cohort.n)
    expect(inWords(found.warnings[0]!)).toMatch(/^80 of 960 restorations lack a value/)
  })

  it('accounts for every restoration whose site is known, the highest risk first', () => {
    expect(found.sites.reduce((sum, one) => sum + one.restorations, 0)).toBe(cohort.n)
    const risks = found.sites.map(({ risk }) => risk.risk.estimate as number)
    expect(risks).toEqual([...risks].sort((left, right) => right - left))
  })

  it('draws a row for each coefficient', () => {
    const chart = factorChart(found)
    expect(chart.description).toContain('What goes with screw loosening, all else held alike')
    for (const row of [
      'Tightening on the day of delivery: repeated in the window against single',
      'Region of the mouth: premolar against molar',
      'Year of delivery: each year later',
      'Implant diameter: each millimetre more',
    ]) {
      expect(JSON.stringify(chart)).toContain(row)
    }
  })
})

describe('whatElseMatters on small practices', () => {
  it('tells few restorations from alike ones', () => {
    const rows = Array.from({ length: 12 }, (_one, i) => ({
      checks: [400],
      fields: { tooth_position: i < 6 ? 36 : 11, bruxism: 'none' },
    }))
    expect(
      whatElseMatters(practice(rows), { factors: ['region', 'bruxism'] }).leftOut.map(({ reason }) => reason),
    ).toEqual(['all-alike', 'too-few-events', 'all-alike'])
  })

  const tight = (fields: TestRestoration['fields']): TestRestoration => ({
    checks: [400, 1200],
    fields: fields!,
  })
  const loose = (day: number, fields: TestRestoration['fields']): TestRestoration => ({
    loose: day,
    fields: fields!,
  })

  it('has no factor where the events bear none, and keeps the sites', () => {
    const molar = { tooth_position: 36 }
    const few = whatElseMatters(
      practice([loose(365, molar), ...Array.from({ length: 3 }, () => tight(molar))]),
      { factors: ['bruxism', 'region'] },
    )
    expect(few.factors).toEqual([])
    expect(few.leftOut).toEqual([
      { key: 'bruxism', reason: 'not-recorded' },
      { key: 'handling', reason: 'all-alike' },
      { key: 'region', reason: 'all-alike' },
    ])
    // By hand: four lower molars, one of them loose after a year, all others followed beyond three.
    expect(few.sites).toHaveLength(1)
    expect(few.sites[0]).toMatchObject({ arch: 'lower', region: 'molar', restorations: 4, events: 1 })
    expect(few.sites[0]!.risk).toMatchObject({ atRisk: 3, thin: true, years: 3 })
    expect(few.sites[0]!.risk.risk.estimate).toBeCloseTo(0.25, 12)
  })

  it('penalises where one level has every event', () => {
    const rows = Array.from({ length: 40 }, (_one, i) =>
      i < 12 ? loose(100 + 10 * i, { tooth_position: 36 }) : tight({ tooth_position: i % 2 === 0 ? 36 : 11 }),
    )
    const separated = whatElseMatters(practice(rows), { factors: ['region'] })
    expect(separated.penalised).toBe(true)
    const [anterior] = separated.factors
    expect(anterior).toMatchObject({
      contrast: { level: 'anterior', baseline: 'molar' },
      restorations: 14,
      events: 0,
    })
    expect(anterior!.adjusted.estimate).toBeLessThan(0.5)
    expect(anterior!.alone.estimate).toMatchObject({ state: 'not-estimable' })
  })

  it('never writes to the cohort, and does not depend on the order of rows', () => {
    const rows = Array.from({ length: 60 }, (_one, i) =>
      i % 3 === 0
        ? loose(100 + 7 * i, { tooth_position: i % 2 === 0 ? 36 : 45 })
        : tight({ tooth_position: i % 2 === 0 ? 46 : 14 }),
    ).map((row, i) => ({ ...row, patient: i }))
    const one = practice(rows)
    const before = [one.timeDays, one.status, one.exposure, one.patient].map((column) => Array.from(column))
    const forward = whatElseMatters(one, { factors: ['region'] })
    expect([one.timeDays, one.status, one.exposure, one.patient].map((column) => Array.from(column))).toEqual(
      before,
    )
    const backward = whatElseMatters(practice([...rows].reverse()), { factors: ['region'] })
    expect(backward.factors[0]!.adjusted.estimate).toBeCloseTo(
      forward.factors[0]!.adjusted.estimate as number,
      10,
    )
  })
})
