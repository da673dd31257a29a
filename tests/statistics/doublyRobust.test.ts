import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import {
  censoringWeights,
  type DoublyRobustColumns,
  doublyRobustComparison,
  doublyRobustEstimate,
} from '../../src/statistics/weighting/index.js'
import { referenceTable } from './referenceTable.js'

const lung = referenceTable('lung_female_iptw')
const names = ['age', 'ph.ecog', 'ph.karno', 'wt.loss']
const columns: DoublyRobustColumns = {
  time: lung.numbers('time'),
  event: lung.numbers('status'),
  treated: lung.numbers('female'),
  covariates: Object.fromEntries(names.map((name) => [name, lung.numbers(name)])),
}
const censoringCovariates = { age: lung.numbers('age'), 'ph.karno': lung.numbers('ph.karno') }

// Written out anew in R 4.2.2 with glm, survfit and coxph (survival 3.5-3) on the lung data, horizon 365 days.
describe('censoringWeights', () => {
  it('agree with R', () => {
    const weights = censoringWeights(columns.time, columns.event, 365, { group: columns.treated })
    expect(weights.known).toBe(172)
    expect(weights.largest).toBeCloseTo(1.5937650903229, 12)
    expect(weights.weights.reduce((a, b) => a + b, 0)).toBeCloseTo(213, 10)
    const modelled = censoringWeights(columns.time, columns.event, 365, {
      group: columns.treated,
      covariates: censoringCovariates,
    })
    expect(modelled.largest).toBeCloseTo(2.2813546288652, 8)
    expect(modelled.weights.reduce((a, b) => a + b, 0)).toBeCloseTo(212.1122352347358, 6)
  })

  it('do not change with the zero of a covariate, such as a calendar year', () => {
    const ages = lung.numbers('age')
    const of = (shift: number) =>
      censoringWeights(columns.time, columns.event, 365, {
        covariates: { years: Array.from(ages, (age) => age * 40 + shift) },
      }).weights
    const near = of(0)
    of(80_000).forEach((weight, row) => {
      expect(weight).toBeCloseTo(near[row]!, 7)
    })
  })

  it('sum to the number of rows, and are 1 where nothing is censored', () => {
    expect(censoringWeights([3, 1, 2], [1, 1, 1], 2).weights).toEqual([1, 1, 1])
    const { weights } = censoringWeights([1, 1, 2, 3, 5], [0, 1, 0, 2, 0], 3)
    expect(weights.reduce((a, b) => a + b, 0)).toBeCloseTo(5, 12)
    expect(weights[1]).toBe(1)
  })

  it('says how many rows their unlike weights are worth (Kish 1965), and how many have a known status', () => {
    // Censored at 1 (of 5) and 4 (of 2): free of it with 4/5 up to 4, with 4/5 · 1/2 after; the status at 5 is known of three.
    const found = censoringWeights([1, 2, 3, 4, 6], [0, 1, 1, 0, 0], 5)
    expect(found.weights).toEqual([0, 1.25, 1.25, 0, 2.5])
    expect(found).toMatchObject({ known: 3, n: 5, largest: 2.5 })
    expect(found.effectiveSize).toBeCloseTo(5 ** 2 / (1.25 ** 2 + 1.25 ** 2 + 2.5 ** 2), 12)
    const none = censoringWeights([1, 2], [0, 0], 2)
    expect(none.known).toBe(1)
  })

  it('refuse a horizon beyond follow-up, naming the group', () => {
    expect(() => censoringWeights([1, 2, 3, 9], [0, 0, 0, 0], 5, { group: ['a', 'a', 'a', 'b'] })).toThrow(
      'the horizon is 5, and follow-up in group a ends at 3. Expected: a horizon above 0 to which each group is followed. Mend: choose an earlier horizon.',
    )
    expect(() => censoringWeights([1, 2], [0, 0], 0)).toThrow('the horizon is 0')
  })
})

describe('doublyRobustEstimate', () => {
  it.each([
    [{}, 0.638896263330158, 0.428416062818157, 0.078453371261311],
    [{ target: 'treated' }, 0.622444198939919, 0.44610597458544, 0.079549766613169],
    [{ target: 'overlap' }, 0.636638076167943, 0.431822413386856, 0.077593215014788],
    [{ outcomeModel: 'common' }, 0.63903123556485, 0.41031441526391, 0.080295548660064],
    [{ censoringCovariates }, 0.642124322675146, 0.432629836408188, 0.078336356296894],
  ] as const)('agrees with R under %j', (options, untreated, treated, error) => {
    const answer = doublyRobustEstimate(columns, 365, options)
    expect(answer.riskUntreated).toBeCloseTo(untreated, 8)
    expect(answer.riskTreated).toBeCloseTo(treated, 8)
    expect(answer.influenceStandardError).toBeCloseTo(error, 8)
    expect(answer).toMatchObject({ n: 213, known: 172 })
  })

  it('is the difference of proportions without covariates and censoring', () => {
    const plain = {
      time: [1, 3, 3, 1, 1, 3],
      event: [1, 0, 0, 1, 1, 0],
      treated: [1, 1, 1, 0, 0, 0],
      covariates: {},
    }
    const answer = doublyRobustEstimate(plain, 2)
    expect(answer.difference).toBeCloseTo(1 / 3 - 2 / 3, 10)
    expect(answer.influenceStandardError).toBeCloseTo(Math.sqrt((2 * (2 / 9)) / 3), 10)
  })

  it('standardises where both models are saturated', () => {
    // Stratum 0: 1/2 treated, 1/4 untreated had the event; stratum 1: 1/4 and 1/2; 6 rows each.
    const stratum = [0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1]
    const treated = [1, 1, 0, 0, 0, 0, 1, 1, 1, 1, 0, 0]
    const event = [1, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0]
    const time = event.map((one) => (one === 1 ? 1 : 5))
    const of = (target: 'average' | 'treated' | 'overlap'): unknown =>
      doublyRobustEstimate({ time, event, treated, covariates: { stratum } }, 2, {
        target,
        outcomeModel: 'per-group',
      }).difference
    expect(of('average')).toBeCloseTo(0.5 * 0.25 + 0.5 * -0.25, 8)
    expect(of('treated')).toBeCloseTo((2 * 0.25 + 4 * -0.25) / 6, 8)
    expect(of('overlap')).toBeCloseTo(0, 8)
  })

  it('counts a competing event as none from its time on', () => {
    const time = [1, 1, 5, 5, 1, 1, 5, 5]
    const event = [1, 2, 0, 0, 1, 1, 0, 0]
    const treated = [1, 1, 1, 1, 0, 0, 0, 0]
    const answer = doublyRobustEstimate({ time, event, treated, covariates: {} }, 3)
    expect(answer.riskTreated).toBeCloseTo(0.25, 10)
    expect(answer.riskUntreated).toBeCloseTo(0.5, 10)
  })

  it('is right if one of the two models is, and where censoring depends on the group', () => {
    const truth = -0.12
    for (const broken of ['scores', 'outcome'] as const) {
      const answer = doublyRobustEstimate(simulated(40_000, broken), 1)
      const error = answer.influenceStandardError as number
      expect(Math.abs((answer.difference as number) - truth)).toBeLessThan(4 * error)
    }
  })

  it('says so where the scores separate the groups', () => {
    const time = [1, 5, 5, 1, 5, 5]
    const event = [1, 0, 0, 1, 0, 0]
    const treated = [1, 1, 1, 0, 0, 0]
    const answer = doublyRobustEstimate({ time, event, treated, covariates: { period: treated } }, 3)
    expect(answer.difference).toEqual({
      state: 'not-estimable',
      reason: 'scores-separate-groups',
    })
    expect(answer.warnings[0]?.code).toBe('scores-separate-groups')
  })

  it('takes a group without events', () => {
    const time = [1, 5, 5, 5, 5, 5]
    const event = [1, 0, 0, 0, 0, 0]
    const treated = [1, 1, 1, 0, 0, 0]
    const age = [1, 2, 3, 1, 2, 3]
    const answer = doublyRobustEstimate({ time, event, treated, covariates: { age } }, 3)
    expect(answer.ratio).toEqual({ state: 'not-estimable', reason: 'group-without-risk' })
    expect(answer.warnings.map(({ code }) => code)).toContain('few-events-for-outcome-model')
  })

  it('refuses horizons and columns that give no answer', () => {
    expect(() => doublyRobustEstimate(columns, 5000)).toThrow('the horizon is 5000, and follow-up in group')
    expect(() => doublyRobustEstimate({ ...columns, treated: lung.numbers('female').fill(1) }, 365)).toThrow(
      '213 of 213 rows are treated.',
    )
    expect(() => doublyRobustEstimate(columns, 365, { trimScores: [0.9, 0.1] })).toThrow(
      'trimScores runs from 0.9 to 0.1.',
    )
    const age = lung.numbers('age').fill(Number.NaN)
    expect(() => doublyRobustEstimate({ ...columns, covariates: { age } }, 365)).toThrow(
      'column age holds a missing',
    )
  })
})

describe('doublyRobustComparison', () => {
  const resampling = { replicates: 200, seed: 5, threads: 0 }

  it('gives the same answer for the same seed, with intervals near those of the influence function', async () => {
    const first = await doublyRobustComparison(columns, 365, { resampling })
    const again = await doublyRobustComparison(columns, 365, { resampling })
    expect(again).toEqual(first)
    expect(first.difference.estimate).toBeCloseTo(-0.210480200512, 8)
    expect(first.difference.standardError?.value).toBeGreaterThan(0.06)
    expect(first.difference.standardError?.value).toBeLessThan(0.1)
    expect(first.difference.interval.upper).toBeLessThan(0)
    expect(first).toMatchObject({ replicates: 200, failed: 0, seed: 5 })
    expect(first.difference.comparator).toEqual({ group: 'treated', against: 'untreated' })
  })

  it('draws whole patients: each row twice under one patient changes nothing', async () => {
    const twice = <T>(column: ArrayLike<T>): T[] => Array.from(column).flatMap((one) => [one, one])
    const doubled: DoublyRobustColumns = {
      time: twice(columns.time),
      event: twice(columns.event),
      treated: twice(columns.treated),
      covariates: Object.fromEntries(names.map((name) => [name, twice(lung.numbers(name))])),
    }
    const cluster = twice(Array.from({ length: 213 }, (_, row) => row))
    const single = await doublyRobustComparison(columns, 365, { resampling })
    const paired = await doublyRobustComparison(doubled, 365, { resampling, cluster })
    expect(paired.difference.interval.lower).toBeCloseTo(single.difference.interval.lower as number, 7)
    expect(paired.point.influenceStandardError).toBeCloseTo(single.point.influenceStandardError as number, 8)
    expect(paired.difference.clusters).toBe(213)
  })

  it('gives no interval to one patient', async () => {
    const { difference } = await doublyRobustComparison(columns, 365, {
      resampling: { replicates: 3, threads: 0 },
      cluster: Array.from({ length: 213 }, () => 'p'),
    })
    expect(difference.interval.lower).toMatchObject({ state: 'not-estimable' })
  })
})

/**
 * A cohort with a true average difference of −0.12 by year 1, confounded by x, censored more in the treated. Where the
 * scores are broken, treatment depends on a step in x² too that the logistic model misses; where the outcome is, risk
 * depends on x by a step.
 */
function simulated(n: number, broken: 'scores' | 'outcome'): DoublyRobustColumns {
  const random = randomStream(broken === 'scores' ? 41 : 42)
  const x = Float64Array.from({ length: n }, () => 2 * random.uniform() - 1)
  const treated = x.map((one) => {
    const chance = broken === 'scores' ? 0.2 + 0.6 * (Math.abs(one) > 0.5 ? 1 : 0) : 1 / (1 + Math.exp(-one))
    return random.uniform() < chance ? 1 : 0
  })
  const time = new Float64Array(n)
  const event = new Float64Array(n)
  for (let row = 0; row < n; row++) {
    const effect = 0.24 * (treated[row] as number)
    // Linear logit cannot hold a constant difference, so the risk is linear in x there only where scores are right.
    const base = broken === 'scores' ? 0.5 : 0.35 + 0.3 * ((x[row] as number) > 0.3 ? 1 : 0)
    const risk = base - effect / 2
    const when = random.uniform() < risk ? random.uniform() : 2
    const censored = random.exponential() / (0.2 + 0.3 * (treated[row] as number))
    time[row] = Math.min(when, censored, 2)
    event[row] = when <= censored && when < 2 ? 1 : 0
  }
  return { time, event, treated, covariates: { x } }
}
