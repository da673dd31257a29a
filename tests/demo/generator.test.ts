import { describe, expect, it } from 'vitest'
import { dayFromIso, yearOfDay } from '../../src/core/calendar.js'
import { randomStream } from '../../src/core/random.js'
import { type Draws, drawsOf } from '../../src/demo/draws.js'
import { generateStudyGroup } from '../../src/demo/generator.js'
import { drawLooseningDays } from '../../src/demo/hazards.js'
import { drawPatient } from '../../src/demo/patient.js'
import type { TableRow } from '../../src/demo/patientRecords.js'
import { demoScenario } from '../../src/demo/scenario.js'
import { demoSettings } from '../../src/demo/settings.js'
import { drawSites } from '../../src/demo/site.js'
import { demoFields, demoSheets } from '../../src/demo/tables.js'

const group = generateStudyGroup(demoSettings())
const clean = generateStudyGroup(demoSettings({ seed: 5, mistakesPer1000Patients: 0 }))

function share(rows: readonly TableRow[], wanted: (row: TableRow) => boolean): number {
  return rows.filter(wanted).length / rows.length
}

describe('the generated study group', () => {
  it('has the size that it should have', () => {
    const { counts } = group.truth
    expect(counts.patients).toBeGreaterThan(740)
    expect(counts.patients).toBeLessThanOrEqual(760)
    expect(counts.restorations).toBeGreaterThan(1180)
    expect(counts.restorations).toBeLessThan(1320)
    expect(new Set(group.restorations.map((row) => row.clinic_id)).size).toBe(5)
    const days = group.restorations.map((row) => dayFromIso(String(row.delivery_date))!)
    expect(Math.max(...days) - Math.min(...days)).toBeGreaterThan(6.8 * 365.25)
    expect(Math.max(...days) - Math.min(...days)).toBeLessThanOrEqual(7 * 365.25)
  })

  it('is the same for the same settings, another for another seed, and leaves its settings alone', () => {
    const settings = demoSettings({ seed: 11, patients: 40 })
    const before = JSON.stringify(settings)
    expect(generateStudyGroup(settings)).toEqual(generateStudyGroup(settings))
    expect(JSON.stringify(settings)).toBe(before)
    expect(generateStudyGroup(demoSettings({ seed: 12, patients: 40 })).visits).not.toEqual(
      generateStudyGroup(settings).visits,
    )
  })

  it('begins, when larger, with the patients of the smaller one of the same seed', () => {
    const few = generateStudyGroup(demoSettings({ seed: 3, patients: 50 }))
    const more = generateStudyGroup(demoSettings({ seed: 3, patients: 80 }))
    expect(more.restorations.slice(0, few.restorations.length)).toEqual(few.restorations)
    expect(more.visits.slice(0, few.visits.length)).toEqual(few.visits)
  })

  it('uses only fields, codes and ranges of the data dictionary', () => {
    const sheets = {
      restorations: clean.restorations,
      tightenings: clean.tightenings,
      visits: clean.visits,
      one_sheet: clean.oneSheet,
    }
    const violations = demoSheets.flatMap((sheet) => {
      const fields = new Map(demoFields(sheet).map((field) => [field.name, field]))
      const wrong = (name: string, value: string | number | undefined): boolean => {
        const field = fields.get(name)
        if (field === undefined) return true
        if (value === undefined || value === 'unknown') return false
        if (field.codes !== undefined && !field.codes.includes(String(value))) return true
        const { min, max } = field.range ?? { min: -Infinity, max: Infinity }
        return typeof value === 'number' && !(value >= min && value <= max)
      }
      return sheets[sheet].flatMap((row) =>
        Object.entries(row).flatMap(([name, value]) =>
          wrong(name, value) ? [`${sheet}.${name}: ${value}`] : [],
        ),
      )
    })
    expect(violations).toEqual([])
  })

  it('keeps one restoration at a time on a site', () => {
    const removed = new Map(
      clean.visits
        .filter((row) => row.removal_reason !== undefined)
        .map((row) => [row.restoration_id, String(row.visit_date)]),
    )
    const sites = new Map<string, TableRow>()
    let remade = 0
    for (const row of clean.restorations) {
      const site = `${row.patient_id} ${row.tooth_position}`
      const before = sites.get(site)
      if (before !== undefined) {
        remade++
        expect(removed.get(before.restoration_id)! <= String(row.delivery_date)).toBe(true)
      }
      sites.set(site, row)
    }
    expect(remade).toBeGreaterThan(0)
  })
})

describe('the streams of the generator', () => {
  it('have nothing to do with each other, by purpose, by key and by seed', () => {
    // Limits of a correlation of independent uniforms: standard error 1/√n, four of them.
    const patients = 8000
    const streams = [
      (patient: number) => drawsOf(21, patient)('operator_id'),
      (patient: number) => drawsOf(21, patient)('sex'),
      (patient: number) => drawsOf(21, patient)('sex', 1),
      (patient: number) => drawsOf(21, patient)('sex', 2),
      (patient: number) => drawsOf(22, patient)('sex'),
      (patient: number) => drawsOf(21, patient + 1)('sex'),
    ].map((open) => Array.from({ length: patients }, (_one, patient) => open(patient).uniform() - 0.5))
    for (const [at, left] of streams.entries()) {
      for (const right of streams.slice(at + 1)) {
        const correlation = (12 * left.reduce((sum, one, i) => sum + one * right[i]!, 0)) / patients
        expect(Math.abs(correlation)).toBeLessThan(4 / Math.sqrt(patients))
      }
    }
  })
})

describe('a mouth that is full', () => {
  it('gets no further restoration, where a patient has two full arches', () => {
    // Found by a run of many groups: the draw of a free position went on for ever in such a patient.
    const fullArch = 0.9999
    const [upperRight, lowerRight, firstMolar] = [0.1, 0.8, 0.75]
    const always = (value: number) => ({ ...randomStream(1), uniform: () => value })
    const draws: Draws = (purpose, ...keys) => {
      if (purpose === 'restoration_type') return always(fullArch)
      if (purpose !== 'tooth_position' || keys[0]! > 1) return drawsOf(7, 1)(purpose, ...keys)
      const values = [keys[0] === 0 ? upperRight : lowerRight, firstMolar]
      return { ...randomStream(1), uniform: () => values.shift()! }
    }
    const patient = {
      ...drawPatient(demoScenario, drawsOf(1, 1), 'P1'),
      deliveries: Array(60).fill(18_000),
    }
    const sites = drawSites(draws, patient)
    expect(sites.map((site) => site.type)).toEqual(['full_arch', 'full_arch'])
  })
})

describe('what is true of the study group', () => {
  it('holds a change of protocol, operators with preferences, and unknown groups', () => {
    const { restorations } = generateStudyGroup(demoSettings({ seed: 21, restorations: 6000 }))
    const stated = restorations.filter((row) => row.tightening_group !== 'unknown')
    const repeated = (rows: readonly TableRow[]) => share(rows, (row) => row.tightening_group === 'repeated')
    const changed = stated.filter((row) => row.clinic_id === 'clinic_C')
    expect(repeated(changed.filter((row) => String(row.delivery_date) < '2021-10-01'))).toBeLessThan(0.15)
    expect(repeated(changed.filter((row) => String(row.delivery_date) >= '2021-10-01'))).toBeGreaterThan(0.8)
    const by = (operator: string) => repeated(stated.filter((row) => row.operator_id === operator))
    expect(by('operator_A2') - by('operator_A1')).toBeGreaterThan(0.25)
    const unknown = share(restorations, (row) => row.tightening_group === 'unknown')
    expect(unknown).toBeGreaterThan(0.035)
    expect(unknown).toBeLessThan(0.065)
  })

  it('finds looseness at visits, recurring in some, with competing events and loss to follow-up', () => {
    const { visits } = clean
    const loose = visits.filter((row) => row.finding === 'screw_loosening')
    expect(loose.some((row) => row.visit_type === 'scheduled')).toBe(true)
    expect(loose.some((row) => row.visit_type === 'unscheduled')).toBe(true)
    expect(loose.every((row) => row.screw_checked !== 'no')).toBe(true)
    expect(new Set(loose.map((row) => row.restoration_id)).size).toBeLessThan(loose.length)
    for (const finding of ['implant_loss', 'other']) {
      expect(visits.some((row) => row.finding === finding && row.removal_reason !== undefined)).toBe(true)
    }
    for (const status of ['moved', 'declined', 'deceased']) {
      expect(visits.some((row) => row.patient_status === status)).toBe(true)
    }
  })

  it('records nothing at the clinic that began late before it began', () => {
    const start = '2019-09-01'
    const late = new Map(
      clean.restorations
        .filter((row) => row.observation_start_date !== undefined)
        .map((row) => [row.restoration_id, row]),
    )
    expect(late.size).toBeGreaterThan(5)
    for (const row of late.values()) {
      expect(row.observation_start_date).toBe(start)
      expect(String(row.delivery_date) < start).toBe(true)
    }
    const early = clean.visits.filter(
      (row) => late.has(row.restoration_id) && String(row.visit_date) <= start,
    )
    expect(early).toEqual([])
  })

  it('gives patients a frailty of mean 1 and the stated variance', () => {
    const frailties = Array.from(
      { length: 20_000 },
      (_unused, i) => drawPatient(demoScenario, drawsOf(9, i), 'P1').frailty,
    )
    const mean = frailties.reduce((sum, one) => sum + one, 0) / frailties.length
    const variance = frailties.reduce((sum, one) => sum + (one - mean) ** 2, 0) / frailties.length
    expect(Math.abs(mean - 1)).toBeLessThan(0.025)
    expect(Math.abs(variance - 0.6)).toBeLessThan(0.05)
  })

  // Closed form of the marginal survival under a gamma frailty, (1 + θH)^(−1/θ): Hougaard 2000, Analysis of
  // Multivariate Survival Data; formula from memory.
  it('draws times whose survival follows the Weibull law mixed over the frailty', () => {
    const random = randomStream(77)
    const { frailtyVariance: theta, baseline } = demoScenario
    const multiplier = 3
    const draws = 60_000
    const times = Array.from({ length: draws }, () =>
      drawLooseningDays(demoScenario, random, multiplier * random.gamma(1 / theta) * theta),
    )
    for (const years of [0.5, 1, 3, 6]) {
      const hazard = multiplier * baseline.cumulativeHazardAt3Years * (years / 3) ** baseline.weibullShape
      const expected = (1 + theta * hazard) ** (-1 / theta)
      const seen = times.filter((days) => days > years * 365.25).length / draws
      expect(Math.abs(seen - expected)).toBeLessThan(4 * Math.sqrt((expected * (1 - expected)) / draws))
    }
  })

  it('makes early loosening likelier than late', () => {
    const random = randomStream(78)
    const years = Array.from({ length: 20_000 }, () => drawLooseningDays(demoScenario, random, 1) / 365.25)
    const within = (from: number, to: number) => years.filter((one) => one > from && one <= to).length
    expect(within(0, 1)).toBeGreaterThan(1.5 * within(1, 2))
    expect(within(0, 0.5)).toBeGreaterThan(1.5 * within(0.5, 1))
  })

  it('delivers in later years under later dates', () => {
    const years = group.restorations.map((row) => yearOfDay(dayFromIso(String(row.delivery_date))!))
    for (const year of [2018, 2019, 2020, 2021, 2022, 2023, 2024, 2025]) expect(years).toContain(year)
  })
})

describe('settings of the generator', () => {
  it('turns restorations into patients', () => {
    const { counts } = generateStudyGroup(demoSettings({ seed: 2, restorations: 10_000 })).truth
    expect(Math.abs(counts.restorations - 10_000)).toBeLessThan(250)
  })

  it.each([
    [
      { seed: 1.5 },
      'the seed of the demo data makes no sense. Expected: a whole number from 0 to 4294967295. Mend: give another seed, or leave it out for the default.',
    ],
    [
      { patients: 0 },
      'the number of patients of the demo data makes no sense. Expected: a whole number from 1 to 100000000. Mend: give another number of patients, or leave it out for the default.',
    ],
    [
      { restorations: Number.NaN },
      'the number of restorations of the demo data makes no sense. Expected: a whole number from 1 to 100000000. Mend: give another number of restorations, or leave it out for the default.',
    ],
    [
      { mistakesPer1000Patients: -1 },
      'the number of mistakes per 1,000 patients of the demo data makes no sense. Expected: a number from 0 to 1,000. Mend: give another number of mistakes per 1,000 patients, or leave it out for the default.',
    ],
  ])('refuses %j', (options, message) => {
    expect(() => demoSettings(options)).toThrow(message)
  })
})
