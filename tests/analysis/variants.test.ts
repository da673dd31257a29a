import { describe, expect, it } from 'vitest'
import { comparedRows } from '../../src/analysis/compared.js'
import { comparisonCore } from '../../src/analysis/comparisonCore.js'
import { fairComparison } from '../../src/analysis/fairComparison.js'
import { parsePlan } from '../../src/analysis/planFile.js'
import { defaultSettings, plannedSettings } from '../../src/analysis/settings.js'
import { crudeDifferences, longestHorizon } from '../../src/analysis/variants/risk.js'
import { choiceModel, weightedDifference } from '../../src/analysis/variants/weighted.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { textCovariate } from '../../src/cohort/covariates.js'
import { randomStream } from '../../src/core/random.js'
import { coxRegression } from '../../src/statistics/regression/cox.js'
import { doublyRobustEstimate } from '../../src/statistics/weighting/doublyRobustEstimate.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'
import { practice, times } from './practice.js'

const names = { group: 'repeated in the window', against: 'single' } as const
const scenario = fairScenarios.find(({ name }) => name === 'half the hazard')!
const cohort = buildCohort(simulatedPractice(scenario, randomStream(21)))
const compared = comparedRows(cohort, names)!
const core = comparisonCore(cohort, defaultSettings)!

const found = (key: string) => core.variants.find((one) => one.key === key)!.contrast

describe('variants and the estimators beneath them', () => {
  const { rows, inGroup } = compared
  const times_ = { time: rows.timeDays, event: rows.event }
  const clinic = textCovariate(cohort, 'clinic_id')
  const operator = textCovariate(cohort, 'operator_id')
  const of = (column: readonly (string | undefined)[]) => Array.from(rows.row, (row) => column[row]!)
  const region = Array.from(rows.row, (row) => {
    const position = cohort.number('tooth_position')[row]!
    return position === 11 ? 'anterior' : position === 15 ? 'premolar' : 'molar'
  })
  const year = Array.from(rows.row, (row) => cohort.deliveryYear[row]!)
  const bruxism = of(textCovariate(cohort, 'bruxism'))

  it('by clinic and operator are the stratified regression', () => {
    const strata = of(clinic).map((label, i) => `${label}${of(operator)[i]}`)
    const fitted = coxRegression(times_, { inGroup }, { strata, clusters: rows.patient })
    expect(found('hazard-ratio-by-operator').estimate).toBeCloseTo(
      fitted.hazardRatios[0]!.estimate as number,
      10,
    )
  })

  it('adjusted is the regression on what came before the choice, stratified by clinic', () => {
    const fitted = coxRegression(
      times_,
      { inGroup, region, bruxism, year },
      { strata: of(clinic), clusters: rows.patient },
    ).hazardRatios[0]!
    expect(found('hazard-ratio-adjusted').estimate).toBeCloseTo(fitted.estimate as number, 10)
    expect(found('hazard-ratio-adjusted').interval.upper).toBeCloseTo(fitted.interval.upper as number, 10)
  })

  it('doubly robust is the estimate with clinic and the rest as covariates, at 3 years', () => {
    const answer = doublyRobustEstimate(
      {
        time: rows.timeDays,
        event: rows.status,
        treated: inGroup,
        covariates: { clinic: of(clinic), region, bruxism, year },
      },
      3 * 365.25,
      { cluster: rows.patient },
    )
    expect(found('risk-difference-doubly-robust-average').estimate).toBeCloseTo(
      answer.difference as number,
      10,
    )
  })

  it('with weights for losses is the estimate with a model of censoring', () => {
    const columns = {
      time: rows.timeDays,
      event: rows.status,
      treated: inGroup,
      covariates: { clinic: of(clinic), region, bruxism, year },
    }
    const options = { cluster: rows.patient, censoringCovariates: columns.covariates }
    const answer = doublyRobustEstimate(columns, 3 * 365.25, options)
    const own = fairComparison(cohort)!.variants.find(({ key }) => key === 'censoring-weights')!
    expect(own.contrast.estimate).toBeCloseTo(answer.difference as number, 10)
    expect(own.assumes).toContain('losses-alike-given-adjustment')
  })

  it('weighted leaves every difference in what came before below 0.1, and says what it allows for', () => {
    const { balance } = core.who
    expect(balance!.population).toBe('average')
    expect(balance!.largestAfter as number).toBeLessThan(0.1)
    expect(balance!.largestBefore as number).toBeGreaterThan(balance!.largestAfter as number)
    expect(core.variants.find(({ key }) => key === 'risk-difference-weighted-average')!.adjustedFor).toEqual([
      'clinic',
      'region of the mouth',
      'bruxism',
      'year of delivery',
    ])
  })

  it('takes operators for clusters where there are ten or more', () => {
    const many = practice(
      Array.from({ length: 240 }, (_one, i) => ({
        repeated: i % 2 === 0,
        operator: `O${i % 12}`,
        ...(i % 7 === 0 ? { loose: 100 + i } : { checks: [1200 + i] }),
      })),
    )
    const one = comparisonCore(many, defaultSettings)!.variants.find(
      ({ key }) => key === 'hazard-ratio-clustered-by-operator',
    )!.contrast
    expect(one.clusters).toBe(12)
    expect(one.warnings.map(({ code }) => code)).toContain('few-clusters')
  })
})

describe('the weighted difference', () => {
  const ones = new Float64Array(compared.rows.n).fill(1)

  it('with weights of one is the crude difference, with its interval', () => {
    const [crude] = crudeDifferences(compared, [3], 0.95)
    const weighted = weightedDifference(compared, ones, 3, 0.95)
    expect(weighted.estimate).toBeCloseTo(crude!.difference.estimate as number, 12)
    expect(weighted.interval.lower).toBeCloseTo(crude!.difference.interval.lower as number, 12)
    expect(weighted.interval.upper).toBeCloseTo(crude!.difference.interval.upper as number, 12)
    expect(weighted.events).toBe(crude!.difference.events)
  })

  it('does not change with the unit of the weights', () => {
    const model = choiceModel(cohort, compared, core.setting.plan)
    if (!('weighting' in model)) throw new Error('no weights')
    const { weights } = model.weighting.overlap.weights
    const one = weightedDifference(model.adjustment.compared, weights, 3, 0.95)
    const two = weightedDifference(
      model.adjustment.compared,
      weights.map((w) => 7 * w),
      3,
      0.95,
    )
    expect(two.estimate).toBeCloseTo(one.estimate as number, 12)
    expect(two.interval.lower).toBeCloseTo(one.interval.lower as number, 10)
  })

  it.each([
    ['no event in a group', [...times(20, { patient: 1, checks: [1200] }), ...times(20, { checks: [1200] })]],
    [
      'two events in a group',
      [
        ...times(2, { patient: 1, loose: 100 }),
        ...times(2, { loose: 400 }),
        ...times(40, { checks: [1200] }),
      ],
    ],
  ])('with %s takes the hybrid of the limits of each group, as the crude one does', (_what, single) => {
    const few = practice([
      ...single,
      ...times(2, { patient: 2, repeated: true, loose: 300 }),
      ...times(30, { repeated: true, checks: [1200] }),
      ...times(1, { repeated: true, loose: 900 }),
    ])
    const both = comparedRows(few, names)!
    const [crude] = crudeDifferences(both, [3], 0.95)
    const weighted = weightedDifference(both, new Float64Array(both.rows.n).fill(1), 3, 0.95)
    expect(weighted.method).toMatch(/hybrid of the limits of each group$/)
    expect(weighted.interval.lower).toBeCloseTo(crude!.difference.interval.lower as number, 12)
    expect(weighted.interval.upper).toBeCloseTo(crude!.difference.interval.upper as number, 12)
    expect(weighted.standardError).toBeUndefined()
  })
})

describe('horizons', () => {
  const rows = comparedRows(
    practice([...times(12, { checks: [1500] }), ...times(12, { repeated: true, checks: [800] })]),
    names,
  )!

  it('are the longest of the plan, at most the planned, at which enough are at risk in each group', () => {
    expect(longestHorizon(rows, 3, [1, 2, 3, 5], 10)).toBe(2)
    expect(longestHorizon(rows, 2.1, [1, 5], 10)).toBe(2.1)
    expect(longestHorizon(rows, 3, [1, 2, 3], 13)).toBeUndefined()
  })

  it('of the restricted mean may be another than planned, and that is said', () => {
    const plan = parsePlan(
      '{"written": "2026-01-05", "primary": {"horizonYears": 4}, "horizonsYears": [1, 2]}',
    )
    const cohortOf = practice([
      ...times(12, { checks: [1500] }),
      ...times(3, { loose: 100 }),
      ...times(12, { repeated: true, checks: [800] }),
      ...times(3, { repeated: true, loose: 200 }),
    ])
    const { setting, variants } = comparisonCore(cohortOf, plannedSettings(plan))!
    expect(setting.tauYears).toBe(2)
    const mean = variants.find(({ key }) => key === 'restricted-mean-crude')!
    expect([mean.scale, mean.horizonYears]).toEqual(['restricted-mean-difference', 2])
    // Of 15 in each group 3 loosen, on day 100 and on day 200: 730.5 days less 3/15 of what is left.
    expect(mean.contrast.estimate).toBeCloseTo((3 / 15) * (630.5 - 530.5), 9)
  })
})
