import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import {
  baselineCumulativeHazard,
  competingHazard,
  risksByHorizon,
  timeOfCumulativeHazard,
} from '../../src/studies/practices/hazards.js'
import { knownTruths } from '../../src/studies/practices/knownTruths.js'
import { drawCrowns } from '../../src/studies/practices/population.js'
import type { CrownTruth } from '../../src/studies/practices/practice.js'
import { drawPractice } from '../../src/studies/practices/practice.js'
import { baseline, type PracticeTraits } from '../../src/studies/practices/scenario.js'
import { scenarioNamed, scenarios } from '../../src/studies/practices/scenarios.js'
import { computeTruth, trueDifference } from '../../src/studies/practices/truth.js'

const threeYearsDays = 3 * 365.25

function traitsOf(name: string, changes: Partial<PracticeTraits> = {}): PracticeTraits {
  return { ...scenarioNamed(name)!.traits, ...changes }
}

function loosenedBy(days: number, truth: readonly CrownTruth[]): number {
  const loosened = truth.filter(({ fate }) => fate.loosensAt <= days && fate.loosensAt < fate.endsOn)
  return loosened.length / truth.length
}

/** Difference of the true three-year risks of the groups as they are, by integration: the confounding of a null. */
function crudeDifference(traits: PracticeTraits): number {
  const sums = { repeated: 0, single: 0, propensity: 0, crowns: 0 }
  for (const crown of drawCrowns({ ...traits, restorations: 8000 }, randomStream(5, 1))) {
    const competing = competingHazard(traits, crown.patient.ageYears)
    const [risk] = risksByHorizon(traits, crown.hazardRatio, competing, [3])
    sums.repeated += crown.propensity * risk!
    sums.single += (1 - crown.propensity) * risk!
    sums.propensity += crown.propensity
    sums.crowns++
  }
  return sums.repeated / sums.propensity - sums.single / (sums.crowns - sums.propensity)
}

function share<Item>(items: readonly Item[], holds: (item: Item) => boolean): number {
  return items.filter(holds).length / items.length
}

describe('the truth of a practice', () => {
  it('is what the generator realises, within Monte Carlo error', () => {
    // Patients share a frailty: 20,000 crowns count as about 16,000, so that 3.5 standard errors are 0.75 points.
    for (const name of ['null-600', 'doubled-1000', 'several-clinics']) {
      const { truth } = drawPractice(traitsOf(name, { restorations: 20_000 }), 11)
      expect(Math.abs(loosenedBy(threeYearsDays, truth) - knownTruths[name]!.overall[3]!)).toBeLessThan(
        0.0075,
      )
    }
  })

  it('is realised in the overlap population too', () => {
    const { truth } = drawPractice(traitsOf('halved-12-operators', { restorations: 20_000 }), 12)
    for (const arm of ['single', 'repeated'] as const) {
      let loosened = 0
      let all = 0
      for (const { fate } of truth.filter((crown) => crown.fate.arm === arm)) {
        const e = fate.crown.propensity
        const weight = arm === 'single' ? e : 1 - e
        all += weight
        if (fate.loosensAt <= threeYearsDays && fate.loosensAt < fate.endsOn) loosened += weight
      }
      const expected = knownTruths['halved-12-operators']!.overlap![arm][3]!
      expect(Math.abs(loosened / all - expected)).toBeLessThan(0.012)
    }
  })

  it('stands in the table as other draws of the covariates give it', () => {
    for (const name of ['null-600', 'period-unrecorded', 'operators-3-careful-repeat']) {
      const again = computeTruth(traitsOf(name), 6000, 7)
      expect(Math.abs(again.overall[3]! - knownTruths[name]!.overall[3]!)).toBeLessThan(0.0025)
      expect(Math.abs(again.overlap!.single[3]! - knownTruths[name]!.overlap!.single[3]!)).toBeLessThan(0.003)
    }
  })

  it('is about 8 % at three years in the baseline, and no effect is no difference', () => {
    expect(knownTruths['null-600']!.overall[3]).toBeGreaterThan(0.075)
    expect(knownTruths['null-600']!.overall[3]).toBeLessThan(0.085)
    expect(trueDifference(knownTruths['null-600']!, 3)).toBe(0)
    expect(trueDifference(knownTruths['halved-1000']!, 3)).toBeLessThan(-0.03)
    expect(trueDifference(knownTruths['charted-afterwards-all']!, 3)).toBeUndefined()
  })

  it('is known for every scenario', () => {
    expect(scenarios.map((one) => one.name).filter((name) => knownTruths[name] === undefined)).toEqual([])
    expect(new Set(scenarios.map((one) => one.name)).size).toBe(scenarios.length)
  })

  it('has the closed form of the exponential where nothing else happens', () => {
    // Without frailty, excess and competing events the risk is 1 - exp(-r h t).
    const plain = { ...baseline, frailtyVariance: 0, earlyExcess: 0, hazard: 0.05 }
    const [risk] = risksByHorizon(plain, 1.3, 0, [3])
    expect(risk).toBeCloseTo(1 - Math.exp(-1.3 * 0.05 * 3), 8)
  })

  it('has the closed form of the gamma frailty', () => {
    // Laplace transform of a gamma variable of mean 1 and variance v: (1 + v H)^(-1/v).
    const cumulative = 1.3 * baselineCumulativeHazard(baseline, 3)
    const [, risk] = risksByHorizon(baseline, 1.3, 0, [1, 3])
    expect(risk).toBeCloseTo(1 - (1 + 0.6 * cumulative) ** (-1 / 0.6), 6)
  })

  it('inverts the cumulative hazard', () => {
    const years = timeOfCumulativeHazard(baseline, 0.07)
    expect(baselineCumulativeHazard(baseline, years)).toBeCloseTo(0.07, 12)
  })
})

describe('the generator', () => {
  it('gives the same practice for the same seed, another for another', () => {
    expect(drawPractice(baseline, 5)).toEqual(drawPractice(baseline, 5))
    expect(drawPractice(baseline, 5).tables).not.toEqual(drawPractice(baseline, 6).tables)
  })

  it('draws frailties of mean one and the variance asked for', () => {
    const crowns = drawCrowns({ ...baseline, restorations: 30_000, frailtyVariance: 1.5 }, randomStream(3, 1))
    const frailties = [...new Map(crowns.map(({ patient }) => [patient.index, patient.frailty])).values()]
    const mean = frailties.reduce((sum, one) => sum + one, 0) / frailties.length
    const variance = frailties.reduce((sum, one) => sum + (one - mean) ** 2, 0) / frailties.length
    expect(Math.abs(mean - 1)).toBeLessThan(0.04)
    expect(Math.abs(variance - 1.5)).toBeLessThan(0.25)
  })

  it('changes nothing of what happens by what is written down', () => {
    const fatesOf = (name: string) =>
      drawPractice(traitsOf(name), 4).truth.map(({ fate }) => [fate.arm, fate.loosensAt, fate.endsOn])
    expect(fatesOf('ticks-blank-80')).toEqual(fatesOf('null-600'))
    expect(fatesOf('findings-marked-no')).toEqual(fatesOf('null-600'))
    expect(fatesOf('bruxism-missing')).toEqual(fatesOf('null-1000'))
  })

  it('never finds a screw loose before it came loose, nor sees a crown after its end', () => {
    const { truth } = drawPractice(traitsOf('null-1000'), 8)
    for (const { fate, foundOn } of truth) {
      if (foundOn === undefined) continue
      expect(foundOn).toBeGreaterThanOrEqual(Math.floor(fate.loosensAt))
      expect(foundOn).toBeLessThanOrEqual(fate.endsOn)
    }
  })

  it('keeps the crowns of a patient on different teeth', () => {
    const { tables } = drawPractice(traitsOf('few-patients'), 2)
    const sites = tables.restorations.map((row) => `${row.patient_id} ${row.tooth_position}`)
    expect(new Set(sites).size).toBe(150)
    expect(new Set(tables.restorations.map((row) => row.patient_id)).size).toBeLessThanOrEqual(24)
  })
})

describe('the scenarios hold what their names say', () => {
  const drawn = (name: string, restorations = 4000) => drawPractice(traitsOf(name, { restorations }), 21)

  it('charts a tenth, half or all of the group afterwards', () => {
    for (const [name, expected] of [
      ['charted-afterwards-tenth', 0.1],
      ['charted-afterwards-half', 0.5],
      ['charted-afterwards-all', 1],
    ] as const) {
      const repeated = drawn(name).truth.filter((crown) => crown.charted === 'repeated')
      expect(Math.abs(share(repeated, (crown) => crown.chartedAfterwards) - expected)).toBeLessThan(0.04)
    }
  })

  it('gives crowns charted afterwards an immortal time: none is found loose at its first look', () => {
    const { truth, tables } = drawn('charted-afterwards-all')
    const dates = new Map(tables.restorations.map((row) => [row.restoration_id, row.tightening_group]))
    const firstFinding = new Map<string, string>()
    for (const visit of tables.visits) {
      if (visit.screw_checked === 'yes' && !firstFinding.has(visit.restoration_id!)) {
        firstFinding.set(visit.restoration_id!, visit.finding!)
      }
    }
    const early = (group: string) =>
      [...firstFinding].filter(([id, finding]) => dates.get(id) === group && finding === 'screw_loosening')
        .length
    expect(early('repeated')).toBe(0)
    expect(early('single')).toBeGreaterThan(50)
    expect(truth.every(({ fate }) => fate.arm === 'single')).toBe(true)
    expect(tables.tightenings.every((row) => row.days_since_delivery === '0')).toBe(true)
  })

  it('confounds by operator, in the direction named', () => {
    for (const [name, sign] of [
      ['operators-3-careful-repeat', -1],
      ['operators-12-careful-repeat', -1],
      ['operators-3-careful-once', 1],
      ['operators-12-careful-once', 1],
      ['period-recorded', -1],
      ['period-unrecorded', -1],
      ['period-trend-unrecorded', -1],
      ['several-clinics', -1],
    ] as const) {
      expect(sign * crudeDifference(traitsOf(name)), name).toBeGreaterThan(0.01)
    }
  })

  it('recalls one group more often', () => {
    for (const [name, ratio] of [
      ['recall-twice-repeated', 2],
      ['recall-twice-single', 0.5],
      ['recall-much-more', 6],
    ] as const) {
      const { truth } = drawn(name)
      const looks = (arm: string) => {
        const own = truth.filter(({ fate }) => fate.arm === arm)
        return own.reduce((sum, crown) => sum + crown.looks, 0) / own.length
      }
      expect(looks('repeated') / looks('single') / ratio, name).toBeGreaterThan(0.75)
      expect(looks('repeated') / looks('single') / ratio, name).toBeLessThan(1.35)
    }
  })

  it('codes recall as named', () => {
    const types = (name: string) => new Set(drawn(name, 300).tables.visits.map((visit) => visit.visit_type))
    expect(types('recall-blank')).toEqual(new Set(['', 'unscheduled', 'telephone', 'records_only']))
    expect(types('recall-unscheduled')).toEqual(new Set(['unscheduled', 'telephone', 'records_only']))
  })

  it('leaves ticks blank whatever was found', () => {
    const visits = drawn('ticks-blank-30').tables.visits.filter((visit) => visit.visit_type !== 'telephone')
    const inPerson = visits.filter((visit) => visit.visit_type !== 'records_only')
    const blank = (rows: typeof visits) => share(rows, (row) => row.screw_checked === '')
    expect(Math.abs(blank(inPerson) - 0.3)).toBeLessThan(0.02)
    expect(Math.abs(blank(inPerson.filter((row) => row.finding === 'screw_loosening')) - 0.3)).toBeLessThan(
      0.07,
    )
  })

  it('leaves ticks blank that say yes, and no other, where that is asked for', () => {
    const no = (name: string) =>
      drawn(name).tables.visits.filter((visit) => visit.screw_checked === 'no').length
    expect(no('ticks-blank-80-yes')).toBe(no('null-600'))
    expect(no('ticks-blank-80')).toBeLessThan(no('null-600'))
  })

  it('marks findings at visits marked no', () => {
    const findings = drawn('findings-marked-no').tables.visits.filter(
      (row) => row.finding === 'screw_loosening',
    )
    expect(Math.abs(share(findings, (row) => row.screw_checked === 'no') - 0.2)).toBeLessThan(0.06)
  })

  it('loses the loosened of one group unseen', () => {
    const { truth } = drawn('loosened-leave-repeated', 8000)
    const seen = (arm: string) =>
      share(
        truth.filter(
          ({ fate }) => fate.arm === arm && fate.loosensAt < threeYearsDays && fate.loosensAt < fate.endsOn,
        ),
        (crown) => crown.foundOn !== undefined,
      )
    expect(seen('repeated') / seen('single')).toBeGreaterThan(0.4)
    expect(seen('repeated') / seen('single')).toBeLessThan(0.62)
  })

  it('has bruxism missing by a third, so that complete cases mislead', () => {
    const { truth, tables } = drawn('bruxism-missing', 8000)
    const blank = tables.restorations.map((row) => row.bruxism === '')
    expect(share(blank, (one) => one)).toBeGreaterThan(0.27)
    expect(share(blank, (one) => one)).toBeLessThan(0.38)
    const complete = truth.filter((_, row) => !blank[row])
    const found = (arm: string) =>
      share(
        complete.filter(({ fate }) => fate.arm === arm),
        (crown) => crown.foundOn !== undefined,
      )
    expect(found('repeated') - found('single')).toBeLessThan(-0.05)
  })

  it('lets operators or dates decide', () => {
    const { truth } = drawn('operators-decide')
    const ways = new Map<number, Set<string>>()
    for (const { fate } of truth) {
      const operator = fate.crown.patient.operator
      ways.set(operator, (ways.get(operator) ?? new Set()).add(fate.arm))
    }
    expect([...ways.values()].every((own) => own.size === 1)).toBe(true)
    const byDate = drawn('dates-decide').truth
    const change = 3.5 * 365.25
    expect(share(byDate, ({ fate }) => fate.crown.deliveryDay >= change === (fate.arm === 'repeated'))).toBe(
      1,
    )
  })

  it('looks at a crown clean on the day before each finding', () => {
    const { tables } = drawn('looked-at-daily', 1000)
    const looks = new Set(
      tables.visits
        .filter((visit) => visit.finding !== 'screw_loosening')
        .map((visit) => `${visit.restoration_id} ${visit.visit_date}`),
    )
    const dayBefore = (date: string) => new Date(Date.parse(date) - 86_400_000).toISOString().slice(0, 10)
    const delivered = new Map(tables.restorations.map((row) => [row.restoration_id!, row.delivery_date!]))
    const findings = tables.visits.filter((visit) => visit.finding === 'screw_loosening')
    const late = findings.filter(
      (visit) => dayBefore(visit.visit_date!) > delivered.get(visit.restoration_id!)!,
    )
    expect(late.length).toBeGreaterThan(30)
    expect(
      share(late, (visit) => looks.has(`${visit.restoration_id} ${dayBefore(visit.visit_date!)}`)),
    ).toBeGreaterThan(0.98)
  })

  it('begins to record late', () => {
    const { tables } = drawn('delayed-entry', 1000)
    const late = tables.restorations.filter((row) => row.observation_start_date !== '')
    expect(late.length).toBeGreaterThan(200)
    const start = new Map(late.map((row) => [row.restoration_id, row.observation_start_date!]))
    expect(tables.visits.every((visit) => visit.visit_date! >= (start.get(visit.restoration_id) ?? ''))).toBe(
      true,
    )
  })

  it('takes up no loose crown where records begin with a look, and some where they do not', () => {
    const looseBefore = (name: string) =>
      drawn(name, 1000).truth.filter(({ fate }) => {
        const begins = Math.floor(3 * 365.25) - fate.crown.deliveryDay
        return begins > 0 && fate.loosensAt < begins
      }).length
    expect(looseBefore('delayed-entry')).toBe(0)
    expect(looseBefore('delayed-entry-unlooked')).toBeGreaterThan(2)
  })

  it('records the chart only', () => {
    expect(drawn('chart-only', 300).tables.tightenings).toEqual([])
    const second = drawn('minutes-half').tables.tightenings.filter((row) => row.sequence === '2')
    expect(Math.abs(share(second, (row) => row.minutes_since_first === '') - 0.5)).toBeLessThan(0.05)
  })
})
