import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { randomStream } from '../../../src/core/random.js'
import {
  type FairRun,
  fairComparisonPlan,
  fairComparisonStudy,
  fairRun,
  fairTable,
  wordsRight,
} from '../../../src/verification/simulation/fairComparison.js'
import { fairScenarios, trueRiskDifference } from '../../../src/verification/simulation/fairScenarios.js'
import {
  drawBruxism,
  drawSite,
  frailtyVariance,
  removalPerYear,
  simulatedPractice,
  siteHazard,
  weibullShape,
} from '../../../src/verification/simulation/simulatedPractice.js'

const scenarioOf = (name: string) => fairScenarios.find((one) => one.name === name)!

describe('the truth of a scenario', () => {
  it('is none without an effect', () => {
    for (const scenario of fairScenarios.filter(({ hazardRatio }) => hazardRatio === 1)) {
      expect(trueRiskDifference(scenario, 3)).toBeCloseTo(0, 12)
    }
  })

  it('is what many draws of sites, frailty, loosening and removal come to', () => {
    const scenario = { ...scenarioOf('half the hazard'), perDeliveryYear: 0.9 }
    const random = randomStream(3)
    const draws = 200_000
    let difference = 0
    for (let draw = 0; draw < draws; draw++) {
      const site = drawSite(random, drawBruxism(random))
      const frailty = random.gamma(1 / frailtyVariance) * frailtyVariance
      const removal = random.exponential() / removalPerYear
      const unit = random.exponential()
      const loose = (ratio: number): number => {
        const hazard = frailty * ratio * siteHazard(site, scenario) * scenario.cumulativeHazardAt3Years
        const years = 3 * (unit / hazard) ** (1 / weibullShape)
        return years <= 3 && years <= removal ? 1 : 0
      }
      difference += loose(scenario.hazardRatio) - loose(1)
    }
    const truth = trueRiskDifference(scenario, 3)
    // One draw is −1 or 0, so the mean has a standard error of √(p(1 − p)/draws).
    expect(Math.abs(difference / draws - truth)).toBeLessThan(4 * Math.sqrt((-truth * (1 + truth)) / draws))
  })
})

describe('a simulated practice', () => {
  it('is the same from the same stream, and has groups, events and visits as asked for', () => {
    const cohort = buildCohort(simulatedPractice(scenarioOf('informative visits'), randomStream(4)))
    const again = buildCohort(simulatedPractice(scenarioOf('informative visits'), randomStream(4)))
    expect(again.timeDays).toEqual(cohort.timeDays)
    expect(cohort.summary.clinics).toHaveLength(3)
    expect(cohort.summary.operators).toBe(9)
    expect(cohort.summary.exposure.slice(0, 2).every(({ restorations }) => restorations > 100)).toBe(true)
    const { scheduledLooks } = cohort.visitCounts()
    const mean = (group: number): number => {
      const own = Array.from(scheduledLooks).filter((_looks, row) => cohort.exposure[row] === group)
      return own.reduce((sum, looks) => sum + looks, 0) / own.length
    }
    expect(mean(1)).toBeGreaterThan(3 * mean(0))
  })
})

describe('the study of the fair comparison', () => {
  it('takes only practices with the number of events asked for, and ends in that nothing can be known', () => {
    const scenario = scenarioOf('sparse: 3 events')
    const run = fairRun(scenario, 5, 1)
    expect([run.events, run.kind]).toEqual([3, 'cannot-be-known'])
    expect(wordsRight(run, scenario, 0)).toBe(true)
  })

  it('counts words as right where their claim holds the truth', () => {
    const scenario = scenarioOf('half the hazard')
    const run = (reading: FairRun['reading'], kind: FairRun['kind'] = 'estimate'): FairRun => ({
      events: 50,
      kind,
      variant: 'risk-difference-crude',
      estimate: -0.05,
      interval: { lower: -0.1, upper: -0.03 },
      reading,
      crude: undefined,
      wrong: undefined,
    })
    expect(wordsRight(run('fewer-that-matters'), scenario, -0.06)).toBe(true)
    expect(wordsRight(run('fewer-that-matters'), scenario, -0.01)).toBe(false)
    expect(wordsRight(run('more'), scenario, -0.01)).toBe(false)
    expect(wordsRight(run('open'), scenario, -0.01)).toBe(true)
    expect(wordsRight(run('none', 'cannot-be-known'), scenario, -0.01)).toBe(false)
  })

  it('gives a line for each scenario, the same with the same seed', () => {
    const found = [scenarioOf('immortal time'), scenarioOf('separated by period')].map((scenario) => ({
      scenario,
      runs: [0, 1].map((stream) => fairRun(scenario, fairComparisonPlan.seed, stream)),
    }))
    const table = fairTable(found)
    expect(table).toContain('| immortal time | 0.00 |')
    expect(table).toContain('| separated by period | 0.00 |')
    expect(table).toContain('the deliberately wrong analysis')
    expect(fairRun(found[0]!.scenario, fairComparisonPlan.seed, 0)).toEqual(found[0]!.runs[0])
  })

  it('has its plan and its result in the documentation, with a line for each scenario', () => {
    const page = readFileSync(resolve(import.meta.dirname, '../../..', fairComparisonStudy.page), 'utf8')
    const result = page.slice(page.indexOf('## Result'))
    for (const { name } of fairScenarios) expect(result).toContain(`| ${name} |`)
  })
})
