/**
 * The kidney catheter data of McGilchrist and Aisbett (1991, Biometrics 47:461), 76 catheters in 38 patients, taken down
 * the road as if they were a practice: files on disk, records, cohort, comparison. A catheter is a crown, an infection a
 * loose screw, women's catheters stand for crowns tightened again. Expected values: tests/reference (R survival 3.5-3),
 * and those marked R by the same package, glm and a sandwich over patients, run for this test.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type FairComparison, fairComparison } from '../../src/analysis/fairComparison.js'
import { parsePlan } from '../../src/analysis/planFile.js'
import { retention } from '../../src/analysis/retention.js'
import { defaultSettings, plannedSettings } from '../../src/analysis/settings.js'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { dayFromIso, isoFromDay } from '../../src/core/calendar.js'
import { readRecords } from '../../src/records/read/readDataset.js'

const reference = resolve(import.meta.dirname, '../reference')
const folder = mkdtempSync(join(tmpdir(), 'holdfast-kidney-'))
const delivery = dayFromIso('2015-01-01')!

function catheters(): readonly { id: string; time: number; status: number; age: string; sex: string }[] {
  const [, ...lines] = readFileSync(join(reference, 'data/kidney.csv'), 'utf8').trim().split('\n')
  return lines.map((line) => {
    const [id, time, status, age, sex] = line.split(',')
    return { id: id!, time: Number(time), status: Number(status), age: age!, sex: sex! }
  })
}

function writeTables(): void {
  const rows = catheters().map((row, i) => ({ ...row, crown: `K${row.id}C${i}` }))
  const write = (name: string, lines: readonly string[]): void =>
    writeFileSync(join(folder, name), `${lines.join('\n')}\n`)
  write('restorations.csv', [
    'restoration_id,patient_id,delivery_date,tooth_position,restoration_type,connection,age_at_delivery_years',
    ...rows.map(
      ({ crown, id, age }, i) =>
        `${crown},K${id},${isoFromDay(delivery)},${11 + (i % 8) + 10 * (Math.floor(i / 8) % 4)},single_crown,internal_hex,${age}`,
    ),
  ])
  write('tightenings.csv', [
    'restoration_id,sequence,minutes_since_first,context,action,target_torque_ncm',
    ...rows.flatMap(({ crown, sex }) => [
      `${crown},1,0,delivery,tighten,35`,
      ...(sex === '2' ? [`${crown},2,12,delivery,tighten_again,35`] : []),
    ]),
  ])
  write('visits.csv', [
    'restoration_id,visit_date,visit_type,screw_checked,finding,restoration_status',
    ...rows.map(
      ({ crown, time, status }) =>
        `${crown},${isoFromDay(delivery + time)},scheduled,yes,${status === 1 ? 'screw_loosening' : 'none'},in_place`,
    ),
  ])
}

interface ReferenceCase {
  readonly id: string
  readonly expected: Readonly<Record<string, never>>
}

function expectedOf(topic: string, id: string): never {
  const { cases } = JSON.parse(readFileSync(join(reference, `${topic}.json`), 'utf8')) as {
    cases: readonly ReferenceCase[]
  }
  return cases.find((one) => one.id === id)!.expected as never
}

const plan = parsePlan(
  '{"written": "2026-01-05", "adjustFor": ["age_at_delivery_years"], "horizonsYears": [0.5, 1], "primary": {"horizonYears": 0.5}}',
)

let cohort: Cohort
let fair: FairComparison

beforeAll(async () => {
  writeTables()
  cohort = buildCohort(await readRecords(folder, { today: dayFromIso('2026-01-31')! }))
  fair = fairComparison(cohort, { ...plannedSettings(plan), detail: 'full' })!
})

afterAll(() => rmSync(folder, { recursive: true }))

function contrastOf(key: string) {
  return fair.variants.find((one) => one.key === key)!.contrast
}

function expectClose(value: unknown, expected: number, relative: number): void {
  expect(Math.abs((value as number) - expected)).toBeLessThanOrEqual(relative * Math.abs(expected))
}

describe('the kidney catheter data as a practice', () => {
  it('arrive whole: 76 restorations of 38 patients, 58 events', () => {
    expect([cohort.n, cohort.summary.patients]).toEqual([76, 38])
    expect(fair.who.restorations).toEqual({ group: 56, against: 20 })
    expect(fair.who.events.group + fair.who.events.against).toBe(58)
  })

  it('give the patient-robust hazard ratio adjusted for age', () => {
    const expected = expectedOf('cox', 'kidney_cluster') as {
      hr: { sex: number }
      hr_lower: { sex: number }
      hr_upper: { sex: number }
    }
    const { estimate, interval, clusters } = contrastOf('hazard-ratio-adjusted')
    expect(clusters).toBe(38)
    expectClose(estimate, expected.hr.sex, 1e-8)
    expectClose(interval.lower, expected.hr_lower.sex, 1e-8)
    expectClose(interval.upper, expected.hr_upper.sex, 1e-8)
  })

  it('give the crude patient-robust hazard ratio', () => {
    // R: coxph(Surv(time, status) ~ sex + cluster(id))
    const { estimate, interval } = contrastOf('hazard-ratio-crude')
    expectClose(estimate, 0.432690338292642, 1e-8)
    expectClose(interval.lower, 0.167645140864183, 1e-8)
    expectClose(interval.upper, 1.11676919406496, 1e-8)
  })

  it('give the gamma frailty hazard ratio within a patient', () => {
    const expected = expectedOf('cox', 'kidney_gamma_frailty') as { efron: { coef: { sex: number } } }
    const { estimate } = contrastOf('hazard-ratio-frailty')
    // Tolerance of the reference case: 0.002 on the coefficient, the optimum of a flat function.
    expect(Math.abs(Math.log(estimate as number) - expected.efron.coef.sex)).toBeLessThan(
      0.002 + 0.002 * 1.583,
    )
  })

  it('give the retention curve of each group with its patient-robust standard error', () => {
    const expected = expectedOf('kaplan_meier', 'kidney_km_cluster') as Record<
      string,
      { time: number[]; surv: number[] }
    >
    const curves = retention(cohort, { ...defaultSettings, horizonsYears: [0.5] })
    for (const [group, label] of [
      ['single', 'sex=1'],
      ['repeated in the window', 'sex=2'],
    ] as const) {
      const rows = curves.byGroup.find((one) => one.group === group)!.rows
      expected[label]!.time.forEach((time, i) => {
        expectClose(
          1 + rows.find((row) => row.timeDays === time)!.retention,
          1 + expected[label]!.surv[i]!,
          1e-10,
        )
      })
    }
  })

  it('give the difference of risks by half a year with the variance summed over patients', () => {
    // R: survfit(Surv(time, status) ~ sex, cluster = id) at 182.625 days; no patient has catheters of both groups.
    const [first] = fair.horizons
    expectClose(first!.difference.estimate, 1 - 0.3574657808243004 - (1 - 0.0562962962962963), 1e-10)
    expectClose(
      first!.difference.standardError!.value,
      Math.hypot(0.0774094412550337, 0.0527422248472107),
      1e-10,
    )
  })

  it('give the ratio of rates with the variance summed over patients', () => {
    // R: glm(status ~ sex + offset(log(time)), poisson), sandwich over patients without a small-sample factor.
    const { estimate, standardError } = contrastOf('rate-ratio-crude')
    expectClose(estimate, Math.exp(-0.908537311508714), 1e-8)
    expectClose(standardError!.value, 0.553468688349231, 1e-8)
  })

  it('end in words that leave the direction open where the interval does', () => {
    expect(fair.lead.kind).toBe('estimate')
    expect(fair.departures).toEqual([])
    expect(fair.plan.sha256).toBe(plan.sha256)
  })
})
