import { describe, expect, it } from 'vitest'
import { type Compared, comparedRows } from '../../src/analysis/compared.js'
import { comparisonCore } from '../../src/analysis/comparisonCore.js'
import { fairComparison } from '../../src/analysis/fairComparison.js'
import { defaultPlan, parsePlan } from '../../src/analysis/planFile.js'
import { misclassifiedLoosening, unmeasuredConfounding } from '../../src/analysis/sensitivity/bias.js'
import { competingEvents, compositeVariants } from '../../src/analysis/sensitivity/competing.js'
import { immortalTimeVariants, laterTightening } from '../../src/analysis/sensitivity/hazards.js'
import { lostToFollowUp } from '../../src/analysis/sensitivity/lost.js'
import { defaultSettings, plannedSettings } from '../../src/analysis/settings.js'
import { hazardAdjustment } from '../../src/analysis/variants/hazard.js'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { dayNumber } from '../../src/core/calendar.js'
import { randomStream } from '../../src/core/random.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'
import { practice, times } from './practice.js'

const names = { group: 'repeated in the window', against: 'single' } as const

const compared = (cohort: Cohort): Compared => comparedRows(cohort, names)!

describe('later tightening and immortal time', () => {
  const scenario = fairScenarios.find(({ name }) => name === 'immortal time')!
  const cohort = buildCohort(simulatedPractice({ ...scenario, patients: 2500 }, randomStream(11)))

  it('is an exposure from its own day on, and leaves the group without an effect where there is none', () => {
    const found = laterTightening(cohort, hazardAdjustment(cohort, compared(cohort), defaultPlan)!, 0.95)!
    const { interval } = found.variants[0]!.contrast
    expect(interval.lower as number).toBeLessThan(1)
    expect(interval.upper as number).toBeGreaterThan(1)
    // Those tightened at a recall had just been found tight, so their hazard of being found loose lies somewhat lower.
    expect(found.later.hazardRatio.estimate as number).toBeGreaterThan(0.6)
    expect(found.later.hazardRatio.estimate as number).toBeLessThan(1.2)
    expect(found.later.restorations).toBeGreaterThan(500)
  })

  it('makes a benefit out of nothing where it is counted from delivery on, beside the right analysis', () => {
    const [wrong, right] = immortalTimeVariants(cohort, compared(cohort), 0.95)
    expect(wrong!.role).toBe('wrong-on-purpose')
    expect(wrong!.contrast.interval.upper as number).toBeLessThan(0.8)
    expect(right!.contrast.interval.lower as number).toBeLessThan(1)
    expect(right!.contrast.interval.upper as number).toBeGreaterThan(1)
  })

  it('stands in the table only where the plan asks for it', () => {
    const keys = (fields: string) =>
      fairComparison(cohort, plannedSettings(parsePlan(`{"written": "2026-01-05"${fields}}`)))!.variants.map(
        ({ key }) => key,
      )
    expect(keys('')).not.toContain('immortal-time-wrong')
    expect(keys(', "sensitivity": ["immortal-time"]')).toEqual(
      expect.arrayContaining(['immortal-time-wrong', 'immortal-time-right']),
    )
  })
})

describe('unknown exposure', () => {
  const cohort = practice([
    ...times(40, { checks: [1200] }),
    ...times(10, { loose: 200 }),
    ...times(45, { repeated: true, checks: [1200] }),
    ...times(5, { repeated: true, loose: 300 }),
    ...times(10, { repeated: 'unknown', loose: 400 }),
  ])
  const { variants } = fairComparison(cohort)!
  const estimate = (key: string) => variants.find((one) => one.key === key)!.contrast.estimate as number

  it('counts once with the comparator and once with the group', () => {
    expect(estimate('risk-difference-crude')).toBeCloseTo(5 / 50 - 10 / 50, 12)
    expect(estimate('unknown-as-comparator')).toBeCloseTo(5 / 50 - 20 / 60, 12)
    expect(estimate('unknown-as-group')).toBeCloseTo(15 / 60 - 10 / 50, 12)
  })

  it('is filled in where the plan asks for multiple imputation, the same with the same seed', () => {
    const plan = parsePlan('{"written": "2026-01-05", "sensitivity": ["multiple-imputation"]}')
    const imputed = () =>
      fairComparison(cohort, plannedSettings(plan))!.variants.find(
        ({ key }) => key === 'multiple-imputation',
      )!
    const { contrast } = imputed()
    expect(contrast.n).toBe(110)
    expect(contrast.method).toMatch(/^multiple imputation by chained equations, 20 tables/)
    expect(imputed().contrast).toEqual(contrast)
  })
})

describe('groups known from the chart alone', () => {
  it('are left out in a sensitivity analysis', () => {
    const fields = { tightening_group: 'repeated' }
    const cohort = practice([
      ...times(40, { checks: [1200] }),
      ...times(10, { loose: 200 }),
      ...times(45, { repeated: true, checks: [1200] }),
      ...times(5, { repeated: true, loose: 300 }),
      ...times(10, { repeated: 'unknown', loose: 400, fields }),
    ])
    const { variants } = fairComparison(cohort)!
    const estimate = (key: string) => variants.find((one) => one.key === key)!.contrast.estimate as number
    expect(estimate('risk-difference-crude')).toBeCloseTo(15 / 60 - 10 / 50, 12)
    expect(estimate('reported-groups-left-out')).toBeCloseTo(5 / 50 - 10 / 50, 12)
  })
})

describe('time at risk to the last contact', () => {
  it('takes in restorations that were never checked', () => {
    const cohort = practice([
      ...times(20, { checks: [1200] }),
      ...times(10, { loose: 200 }),
      ...times(25, { repeated: true, checks: [1200] }),
      ...times(5, { repeated: true, loose: 300 }),
      ...times(10, { repeated: true, checks: [1200], fields: { connection: 'conical' } }).map((one) => ({
        ...one,
        visitType: 'telephone',
      })),
    ])
    const unchecked = cohort.redefined({ endpoint: 'veneer_chipping' })
    expect(unchecked.summary.neverChecked).toBe(10)
    const { variants } = fairComparison(cohort)!
    expect(variants.find(({ key }) => key === 'last-contact')!.contrast.n).toBe(70)
  })
})

describe('competing events', () => {
  const cohort = practice([
    ...times(6, { checks: [1200] }),
    ...times(2, { loose: 400 }),
    ...times(2, { checks: [150], removed: 200 }),
    ...times(8, { repeated: true, checks: [1200] }),
    ...times(1, { repeated: true, loose: 400 }),
    ...times(1, { repeated: true, checks: [150], removed: 200 }),
  ])

  it('are counted by cause, and ignoring them would make risks too high', () => {
    const found = competingEvents(cohort, compared(cohort), 3, 0.95)
    expect(found.causes).toEqual([{ cause: 'removed or remade', group: 1, against: 2 }])
    // Of 10 singles 2 are gone before 2 of the 8 others loosen: 2 in 10, or 2 in 8 where removal is taken for loss.
    expect(found.ignored.against as number).toBeCloseTo(2 / 8, 12)
    expect(found.ignored.group as number).toBeCloseTo(1 / 9, 12)
    const core = comparisonCore(cohort, defaultSettings)!
    expect(core.variants[0]!.contrast.estimate).toBeCloseTo(0.1 - 0.2, 12)
  })

  it('together with the endpoint make one endpoint', () => {
    const [composite] = compositeVariants(compared(cohort), 3, 0.95)
    expect(composite!.contrast.estimate).toBeCloseTo(0.2 - 0.4, 12)
    expect(composite!.contrast.events).toBe(6)
  })
})

describe('those lost before the horizon', () => {
  // The records of the clinic end with the last contact on day 1,600 after the deliveries of 2016.
  const cohort = practice([
    ...times(10, { checks: [1200, 1600] }),
    ...times(4, { loose: 200 }),
    ...times(3, { checks: [500] }),
    ...times(12, { repeated: true, checks: [1200, 1600] }),
    ...times(1, { repeated: true, loose: 200 }),
    ...times(5, { repeated: true, checks: [500] }),
    // Delivered too late to have been seen at 3 years, so not lost.
    ...times(7, { repeated: true, checks: [300], delivery: 17_000 + 1200 }),
  ])

  it('are those who could have been seen there and were not', () => {
    const lost = lostToFollowUp(cohort, compared(cohort), 3, 0.95)
    expect(lost.group).toEqual({ events: 1, observed: 13, lost: 5 })
    expect(lost.against).toEqual({ events: 4, observed: 14, lost: 3 })
    const scenario = (name: string) => lost.scenarios!.find((one) => one.name === name)!.difference
    expect(scenario('complete-cases')).toBeCloseTo(1 / 13 - 4 / 14, 12)
    expect(scenario('best-case')).toBeCloseTo(1 / 18 - 7 / 17, 12)
    expect(scenario('worst-case')).toBeCloseTo(6 / 18 - 4 / 17, 12)
    expect(lost.bounds).toEqual({ lower: scenario('best-case'), upper: scenario('worst-case') })
    expect(lost.tipping!.conclusion).toBe('undecided')
  })

  it('are nobody where nobody was lost', () => {
    const whole = practice([...times(5, { checks: [1600] }), ...times(5, { repeated: true, checks: [1600] })])
    expect(lostToFollowUp(whole, compared(whole), 3, 0.95).scenarios).toBeUndefined()
  })
})

describe('learning', () => {
  it("leaves out each operator's first year of the group asked about", () => {
    const at = (year: number) => dayNumber(year, 6, 1)!
    const cohort = practice([
      ...times(40, { checks: [1200], delivery: at(2016) }),
      ...times(10, { loose: 200, delivery: at(2016) }),
      ...times(10, { repeated: true, loose: 300, delivery: at(2015) }),
      ...times(45, { repeated: true, checks: [1200], delivery: at(2016) }),
      ...times(5, { repeated: true, loose: 300, delivery: at(2016) }),
    ])
    const plan = parsePlan('{"written": "2026-01-05", "adjustFor": [], "strata": []}')
    const { variants } = fairComparison(cohort, plannedSettings(plan))!
    const estimate = (key: string) => variants.find((one) => one.key === key)!.contrast.estimate as number
    expect(estimate('risk-difference-crude')).toBeCloseTo(15 / 60 - 10 / 50, 12)
    expect(estimate('first-years-left-out')).toBeCloseTo(5 / 50 - 10 / 50, 12)
  })
})

describe('bias', () => {
  const cohort = practice([
    ...times(80, { checks: [1200] }),
    ...times(20, { loose: 200 }),
    ...times(90, { repeated: true, checks: [1200] }),
    ...times(10, { repeated: true, loose: 300 }),
  ])

  it('of missed loosening undoes the mixture: a sensitivity of 0.85 in both groups widens the difference', () => {
    const found = misclassifiedLoosening(compared(cohort), 0.95)
    expect(found[0]!.riskDifference.estimate).toBeCloseTo((0.1 - 0.2) / 0.85, 12)
    // Missed more often in the group: 0.1 / 0.75 against 0.2 / 0.9.
    expect(found[2]!.riskDifference.estimate).toBeCloseTo(0.1 / 0.75 - 0.2 / 0.9, 12)
  })

  it('of an unmeasured confounder has the E-value of the hazard ratio', () => {
    const core = comparisonCore(cohort, defaultSettings)!
    const crude = core.variants.find(({ key }) => key === 'hazard-ratio-crude')!
    const contrast = { ...crude.contrast, estimate: 0.5, interval: { lower: 0.25, upper: 0.8 } }
    // VanderWeele and Ding 2017: 1/RR + √(1/RR (1/RR − 1)), with events in 15% or more of rows by their approximation.
    const rare = { ...compared(cohort) }
    const found = unmeasuredConfounding({ ...crude, contrast }, rare)!
    const common = (ratio: number) => (1 - 0.5 ** Math.sqrt(ratio)) / (1 - 0.5 ** Math.sqrt(1 / ratio))
    const strength = (ratio: number) => 1 / ratio + Math.sqrt((1 / ratio) * (1 / ratio - 1))
    expect(found.eValue).toBeCloseTo(strength(common(0.5)), 10)
    expect(found.eValueOfLimit).toBeCloseTo(strength(common(0.8)), 10)
  })
})

describe('the negative control', () => {
  it('compares an endpoint that tightening should hardly change in the same way', () => {
    const cohort = buildCohort(simulatedPractice(fairScenarios[0]!, randomStream(5)))
    const { negativeControl } = fairComparison(cohort)!
    expect(negativeControl!.endpoint).toBe('veneer_chipping')
    expect(negativeControl!.events).toBe(0)
    expect(negativeControl!.variants[0]!.key).toBe('negative-control-risk-difference-crude')
  })
})
