import { describe, expect, it } from 'vitest'
import { betweenLooks, shiftBetweenLooks } from '../../src/analysis/betweenLooks.js'
import { comparedRows } from '../../src/analysis/compared.js'
import { lookIntervals } from '../../src/analysis/lookIntervals.js'
import { visitSchedules } from '../../src/analysis/visitSchedules.js'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { type MemoryRow, memoryRecords } from '../../src/verification/simulation/memoryRecords.js'
import { practice, times } from './practice.js'

const names = { group: 'repeated in the window', against: 'single' } as const

const compared = (cohort: Cohort) => comparedRows(cohort, names)!

describe('the interval between looks', () => {
  const cohort = practice([
    { checks: [100, 300] },
    { checks: [100], loose: 300 },
    { loose: 300 },
    { checks: [100], removed: 300 },
    { loose: 0 },
    { repeated: true, checks: [50], loose: 80 },
  ])
  const { lower, upper } = lookIntervals(cohort, compared(cohort))

  it('runs from the last clear look to the day of finding, from the last look to no end, and from delivery', () => {
    const endless = Number.POSITIVE_INFINITY
    expect([...lower]).toEqual([300, 100, 0, 100, 0, 50])
    expect([...upper]).toEqual([endless, 300, 300, endless, 0.5, 80])
  })

  it('ends where the loosening was first noticed', () => {
    const visit = (day: number, more: MemoryRow): MemoryRow => ({
      restoration_id: 'a',
      days_since_delivery: day,
      visit_type: 'scheduled',
      screw_checked: 'yes',
      finding: 'none',
      restoration_status: 'in_place',
      ...more,
    })
    const noticed = buildCohort(
      memoryRecords(
        {
          restorations: [
            { restoration_id: 'a', patient_id: 'p', restoration_type: 'single_crown', delivery_date: 17_000 },
          ],
          tightenings: [],
          visits: [visit(100, {}), visit(300, { finding: 'screw_loosening', onset_day: 250 })],
        },
        'made by a test',
      ),
    )
    const rows = { rows: compared(cohort).rows, inGroup: compared(cohort).inGroup, names }
    const one = {
      ...rows,
      rows: { ...rows.rows, n: 1, row: Int32Array.of(0), timeDays: noticed.timeDays, status: noticed.status },
    }
    expect([...lookIntervals(noticed, one).upper]).toEqual([250])
  })
})

/** Restorations whose screws loosen at a constant rate and are looked at every so many days; loose ones wait. */
function waiting(count: number, repeated: boolean, hazardPerDay: number, everyDays: number, seed: number) {
  const random = randomStream(seed)
  return Array.from({ length: count }, () => {
    const looseDay = random.exponential() / hazardPerDay
    const looks = Math.ceil(looseDay / everyDays)
    const found = looks * everyDays
    const end = 2000
    const checks = (until: number): number[] =>
      Array.from({ length: Math.floor(until / everyDays) }, (_one, i) => (i + 1) * everyDays)
    return found <= end
      ? { repeated, checks: checks(found - everyDays), loose: found }
      : { repeated, checks: checks(end) }
  })
}

describe('loosening placed between looks', () => {
  // Both groups loosen at 1 in 4,000 days; the repeated are looked at every 100 days, the single every 500.
  const cohort = practice([...waiting(800, false, 1 / 4000, 500, 5), ...waiting(800, true, 1 / 4000, 100, 6)])
  const rows = compared(cohort)
  const truth = 1 - Math.exp((-3 * 365.25) / 4000)

  it('has the true risk between its bounds and near the Weibull estimate, where the day of finding comes late', () => {
    const { risks, medianGapDays } = betweenLooks(cohort, rows, [3], 0.95)
    const [repeated, single] = risks
    expect([repeated!.group, single!.group]).toEqual(['repeated in the window', 'single'])
    // 1,095 days lie between the looks of day 1,000 and 1,500: the day of finding misses what came in between.
    expect(single!.byDayFound as number).toBeLessThan(1 - Math.exp(-1000 / 4000) + 0.04)
    expect(single!.bounds.lower as number).toBeLessThan(truth + 0.03)
    expect(single!.bounds.upper as number).toBeGreaterThan(truth - 0.03)
    for (const { weibull } of risks) {
      expect(Math.abs((weibull.estimate as number) - truth)).toBeLessThan(0.04)
      expect(weibull.interval.lower as number).toBeLessThan(truth)
      expect(weibull.interval.upper as number).toBeGreaterThan(truth)
    }
    expect(medianGapDays).toEqual({ group: 100, against: 500 })
  })

  it('moves the difference towards none where only looks differ', () => {
    const shift = shiftBetweenLooks(cohort, rows, 3, 0.95) as number
    // Found by 1,095 days: 1 − e^(−1000/4000) in both, and up to day 1,000 in the repeated too; so the shift is small here …
    expect(Math.abs(shift)).toBeLessThan(0.03)
    // … and large at 1.3 years, when the single have had one look in 500 days, the repeated four.
    const early = shiftBetweenLooks(cohort, rows, 1.3, 0.95) as number
    expect(early).toBeLessThan(-0.08)
  })

  it('gives no shift with too few events', () => {
    const few = practice([...times(20, { checks: [1200] }), ...times(4, { repeated: true, loose: 300 })])
    expect(shiftBetweenLooks(few, compared(few), 3, 0.95)).toMatchObject({ state: 'not-estimable' })
  })

  it('flags schedules that differ, and not those that do not', () => {
    const { looksPerYear, ratio, differ } = visitSchedules(cohort, rows, 0.95)
    expect(differ).toBe(true)
    expect(looksPerYear.group as number).toBeGreaterThan(3)
    expect(looksPerYear.against as number).toBeLessThan(1)
    expect(ratio.estimate as number).toBeGreaterThan(4)
    const alike = practice([
      ...waiting(300, false, 1 / 4000, 300, 7),
      ...waiting(300, true, 1 / 4000, 300, 8),
    ])
    expect(visitSchedules(alike, compared(alike), 0.95).differ).toBe(false)
  })
})
