import { describe, expect, test } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { auditCohort } from '../../src/questions/audit.js'
import {
  type CategoryCharacteristic,
  characteristics,
  type NumberCharacteristic,
} from '../../src/questions/characteristics/answer.js'
import { lifeTableByYear } from '../../src/questions/lifeTable/answer.js'
import { mostInSmallSeries, smallSeries } from '../../src/questions/series/answer.js'
import { fairScenarios } from '../documents/fairScenarios.js'
import { simulatedPractice } from '../documents/simulatedPractice.js'
import { practice, times } from './practice.js'

const described = characteristics(
  practice([
    {
      checks: [400],
      repeated: true,
      fields: { age_at_delivery_years: 50, bruxism: 'none', tooth_position: 36 },
    },
    {
      checks: [400],
      repeated: true,
      fields: { age_at_delivery_years: 60, bruxism: 'definite', tooth_position: 11 },
    },
    { checks: [400], patient: 9, fields: { age_at_delivery_years: 40, bruxism: 'none', tooth_position: 46 } },
    { checks: [400], patient: 9, fields: { age_at_delivery_years: 50, bruxism: 'none', tooth_position: 47 } },
    { checks: [400], repeated: 'unknown', fields: { age_at_delivery_years: 90, tooth_position: 14 } },
  ]),
)

function category(field: string): CategoryCharacteristic {
  return described.traits.find((one) => one.field === field) as CategoryCharacteristic
}

describe('characteristics, worked by hand', () => {
  test('name every group with its restorations and patients', () => {
    expect(described.groups).toEqual([
      { group: 'all', restorations: 5, patients: 4 },
      { group: 'single', restorations: 2, patients: 1 },
      { group: 'repeated in the window', restorations: 2, patients: 2 },
      { group: 'unknown', restorations: 1, patients: 1 },
    ])
  })

  test('summarise numbers, and standardise their difference: (55 − 45) / √50 (Austin 2009)', () => {
    const age = described.traits.find((one) => one.field === 'age_at_delivery_years') as NumberCharacteristic
    expect(age.byGroup[0]).toMatchObject({ known: 5, unknown: 0, median: 50, mean: 58 })
    expect(age.byGroup[1]).toMatchObject({ mean: 45, lowerQuartile: 42.5, median: 45, upperQuartile: 47.5 })
    expect(age.standardisedDifference).toBeCloseTo(Math.SQRT2, 12)
  })

  test('count levels among those known, and those that are not known', () => {
    const bruxism = category('bruxism')
    expect(bruxism.levels).toEqual(['definite', 'none'])
    expect(bruxism.byGroup[0]).toEqual({
      group: 'all',
      known: 4,
      unknown: 1,
      counts: [1, 3],
      shares: [0.25, 0.75],
    })
    // p(1 − p) of the group is 1/4, of the comparator 0: 0.5 / √(1/8).
    expect(bruxism.standardisedDifferences![0]).toBeCloseTo(Math.SQRT2, 12)
    expect(bruxism.byGroup[3]!.shares).toEqual([
      { state: 'not-estimable', reason: 'not-known-in-group' },
      { state: 'not-estimable', reason: 'not-known-in-group' },
    ])
  })

  test('derive region and arch by ISO 3950', () => {
    expect(category('region').byGroup[0]!.counts).toEqual([1, 3, 1])
    expect(category('region').levels).toEqual(['anterior', 'molar', 'premolar'])
    expect(category('arch').levels).toEqual(['lower', 'upper'])
  })

  test('leave out what the source does not have, and need no comparison', () => {
    expect(described.traits.map((one) => one.field)).not.toContain('crown_height_mm')
    const alone = characteristics(practice(times(3, { checks: [400] })))
    expect(alone.compared).toBeUndefined()
    expect(alone.traits.every((one) => !('standardisedDifferences' in one))).toBe(true)
  })

  test('gather rare levels where there are many', () => {
    const many = characteristics(
      practice(
        Array.from({ length: 40 }, (_one, i) => ({
          checks: [400],
          fields: { component_system: `S${String(i % 20).padStart(2, '0')}` },
        })),
      ),
    )
    const system = many.traits.find((one) => one.field === 'component_system') as CategoryCharacteristic
    expect(system.levels).toHaveLength(12)
    expect(system.levels.at(-1)).toBe('all-others')
    expect(system.byGroup[0]!.counts.reduce((sum, one) => sum + one, 0)).toBe(40)
  })
})

test('the life table counts those withdrawn, and competing events, half (worked by hand)', () => {
  const table = lifeTableByYear(
    practice([
      { checks: [100, 800] },
      { loose: 200, checks: [100] },
      { checks: [100], removed: 300 },
      { checks: [300] },
      { checks: [300], loose: 500 },
    ]),
  )
  const [all] = table.groups
  expect(all!.years[0]).toMatchObject({ atStart: 5, events: 1, competing: 1, withdrawn: 1, effective: 4 })
  expect(all!.years[0]!.freeAtEnd).toBeCloseTo(0.75, 12)
  expect(all!.years[1]).toMatchObject({ fromYears: 1, toYears: 2, atStart: 2, events: 1, probability: 0.5 })
  expect(all!.years[2]).toMatchObject({ atStart: 1, events: 0, withdrawn: 1 })
  expect(table.groups.map(({ group }) => group)).toEqual(['all', 'single'])
})

describe('the adjusted model', () => {
  const audit = auditCohort(
    buildCohort(
      simulatedPractice(fairScenarios.find((one) => one.name === 'half the hazard')!, randomStream(41)),
    ),
  )

  test('leads with the very ratio of the comparison', () => {
    const [first, ...others] = audit.model!.terms
    const adjusted = audit.comparison!.hazardRatios.find(({ key }) => key === 'adjusted')!.hazardRatio
    const { estimate, interval } = adjusted as {
      estimate: number
      interval: { lower: number; upper: number }
    }
    // Another baseline, the most frequent level, changes rounding alone.
    expect(first!.hazardRatio).toMatchObject({
      estimate: expect.closeTo(estimate, 10),
      interval: { lower: expect.closeTo(interval.lower, 10), upper: expect.closeTo(interval.upper, 10) },
    })
    expect(others.length).toBeGreaterThan(0)
    for (const { hazardRatio } of others) expect(hazardRatio.n).toBe(audit.model!.restorations)
  })

  test('compares each category with its most frequent level', () => {
    const { terms } = audit.model!
    const named = terms.filter(({ baseline }) => baseline !== undefined)
    expect(named.length).toBeGreaterThan(0)
    for (const { level, baseline } of named) expect(level).not.toBe(baseline)
  })

  test('is absent without a comparison', () => {
    expect(auditCohort(practice(times(3, { checks: [400] }))).model).toBeUndefined()
  })
})

describe('a small series', () => {
  const series = smallSeries(
    practice([
      { checks: [180, 360], patient: 4 },
      { checks: [90], loose: 400, patient: 4, repeated: true },
      { checks: [200], removed: 320 },
    ]),
  )!

  test('shows each restoration by pseudonym, in days since delivery', () => {
    expect(
      series.restorations.map(({ restoration, patient, group, end, endDays, checks }) => [
        restoration,
        patient,
        group,
        end,
        endDays,
        checks,
      ]),
    ).toEqual([
      ['R0', 1, 'single', 'censored', 360, 2],
      ['R1', 1, 'repeated in the window', 'endpoint', 400, 2],
      ['R2', 2, 'single', 'competing', 320, 1],
    ])
    expect(series.restorations[1]!.days.map(({ day, findings }) => [day, findings])).toEqual([
      [90, []],
      [400, ['screw_loosening']],
    ])
    expect(JSON.stringify(series)).not.toMatch(/17_?0\d\d|20\d\d-/)
  })

  test(`is shown up to ${mostInSmallSeries} restorations only`, () => {
    expect(smallSeries(practice(times(30, { checks: [400] })))?.restorations).toHaveLength(30)
    expect(smallSeries(practice(times(31, { checks: [400] })))).toBeUndefined()
  })
})
