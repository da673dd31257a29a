import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { inWords } from '../../src/messages/speaker.js'
import {
  covariateBalance,
  positivityOf,
  propensityScores,
  propensityWeighting,
  propensityWeights,
  sharedCells,
  weightedCurves,
  weightedHazardRatio,
} from '../../src/statistics/weighting/index.js'

describe('propensityScores', () => {
  it('are the shares of the cells where the model is saturated', () => {
    const treated = [1, 0, 0, 0, 1, 1, 1, 0]
    const late = [0, 0, 0, 0, 1, 1, 1, 1]
    const { scores, concordance } = propensityScores(treated, { late })
    expect(scores[0]).toBeCloseTo(0.25, 10)
    expect(scores[7]).toBeCloseTo(0.75, 10)
    // Pairs: 3 late treated against 3 early untreated won, ties 3·1 and 1·3 half, lost 1·1.
    expect(concordance).toBeCloseTo((9 + 3) / 16, 14)
  })

  it('name what they cannot use', () => {
    const treated = [1, 0, 1, 0]
    const missing = [Number.NaN, Number.NaN, Number.NaN, Number.NaN]
    expect(() => propensityScores(treated, { wait: missing })).toThrow(
      'column wait holds a missing or infinite value, first in row 1 of 4.',
    )
    expect(() => propensityScores(treated, { clinic: ['a', 'a', 'a', 'a'] })).toThrow(
      'covariate clinic has the same level in every row.',
    )
    expect(() => propensityScores(treated, { age: [5, 5, 5, 5] })).toThrow('covariate age has the same value')
    expect(() => propensityScores([1, 1], { age: [5, 6] })).toThrow(
      '2 of 2 rows are treated. Expected: rows of both groups. Mend: check how the groups were derived; one group has nothing to be compared with.',
    )
  })
})

describe('propensityWeights', () => {
  const treated = [1, 0, 1, 0, 1]
  const scores = [0.5, 0.5, 0.8, 0.2, 0.99]

  it('are those of their formulas', () => {
    expect(propensityWeights(treated, scores).weights).toEqual([2, 2, 1.25, 1.25, 1 / 0.99])
    expect(propensityWeights(treated, scores, { target: 'treated' }).weights).toEqual([1, 1, 1, 0.25, 1])
    const untreated = propensityWeights(treated, scores, { target: 'untreated' }).weights
    expect(untreated[2]).toBeCloseTo(0.25, 12)
    const overlap = propensityWeights(treated, scores, { target: 'overlap' })
    expect(overlap.weights[4]).toBeCloseTo(0.01, 12)
    expect(overlap.untreated.effectiveSize).toBeCloseTo(0.7 ** 2 / (0.25 + 0.04), 12)
    const steady = propensityWeights(treated, scores, { stabilised: true })
    expect(steady.weights[0]).toBeCloseTo(1.2, 12)
    expect(steady.weights[1]).toBeCloseTo(0.8, 12)
  })

  it('trims and truncates, and counts both', () => {
    const trimmed = propensityWeights(treated, scores, { trimScores: [0.1, 0.9] })
    expect(trimmed).toMatchObject({ trimmed: 1, weights: [2, 2, 1.25, 1.25, 0] })
    const cut = propensityWeights(treated, scores, { truncateAt: 0.5 })
    expect(cut.weights[0]).toBe(1.25)
    expect(cut.truncated).toBe(2)
  })

  it('warn of weights that explode, and refuse those without a bound', () => {
    const wild = propensityWeights([1, 0, 1, 0], [0.001, 0.5, 0.5, 0.5])
    expect(wild.warnings.map(({ code }) => code)).toEqual(['extreme-weights'])
    expect(() => propensityWeights([1, 0, 1, 0], [0, 0.5, 0.5, 0.5])).toThrow(
      '1 rows have a score of 0 or 1 against their group, so that weights for the average effect have no bound. Expected: scores that leave each row a chance of either group. Mend: use the overlap effect, trim the scores, or leave out the covariate that decides the group.',
    )
    expect(propensityWeights([1, 0, 1, 0], [0, 0.5, 0.5, 0.5], { target: 'overlap' }).weights[0]).toBe(1)
    expect(() => propensityWeights([1, 0], [1, 0], { target: 'overlap' })).toThrow(
      'one group is left without any weight.',
    )
    expect(() => propensityWeights([1, 0], [0.5, 1.5])).toThrow('column scores leaves the range from 0 to 1')
    expect(() => propensityWeights(treated, scores, { trimScores: [0.9, 0.1] })).toThrow(
      'trimScores has 0.9.',
    )
    expect(() => propensityWeights(treated, scores, { truncateAt: 1 })).toThrow('truncateAt has 1.')
  })
})

describe('covariateBalance', () => {
  it('has the differences of hand arithmetic', () => {
    const treated = [1, 1, 1, 0, 0, 0]
    const { rows, unbalanced } = covariateBalance(treated, {
      age: [60, 70, 80, 50, 60, 70],
      bruxism: [1, 1, 0, 1, 0, 0],
      jaw: ['upper', 'lower', 'upper', 'lower', 'lower', 'lower'],
    })
    expect(rows.map(({ name }) => name)).toEqual(['age', 'bruxism', 'jaw=lower', 'jaw=upper'])
    expect(rows[0]?.before.standardisedDifference).toBeCloseTo(1, 14)
    expect(rows[0]?.before.varianceRatio).toBeCloseTo(1, 14)
    // (2/3 − 1/3) / √(2/9)
    expect(rows[1]?.before.standardisedDifference).toBeCloseTo(Math.sqrt(1 / 2), 14)
    expect(rows[3]?.before.varianceRatio).toMatchObject({ state: 'not-estimable' })
    expect(unbalanced).toHaveLength(4)
  })

  it('keeps the unweighted denominator after weighting', () => {
    const treated = [1, 1, 0, 0]
    const age = [60, 80, 50, 70]
    const { rows } = covariateBalance(treated, { age }, [3, 1, 1, 1])
    expect(rows[0]?.after.meanTreated).toBeCloseTo(65, 12)
    expect(rows[0]?.after.standardisedDifference).toBeCloseTo(5 / Math.sqrt(200), 12)
  })

  it('takes perfect balance, constants, and groups that a covariate tells apart', () => {
    const treated = [1, 1, 0, 0]
    const { rows, largestBefore } = covariateBalance(
      treated,
      { age: [1, 2, 1, 2], clinic: [0.1, 0.1, 0.1, 0.1] },
      [1, 3, 2, 2],
    )
    expect(rows.map(({ before }) => before.standardisedDifference)).toEqual([0, 0])
    expect(rows[1]?.after.standardisedDifference).toBe(0)
    expect(largestBefore).toBe(0)
    const apart = covariateBalance(treated, { period: [1, 1, 0, 0] })
    expect(apart.largestAfter).toEqual({
      state: 'not-estimable',
      reason: 'groups-alike-within',
    })
    expect(apart.unbalanced).toEqual(['period'])
  })

  it('refuses weights and levels that are missing', () => {
    expect(() => covariateBalance([1, 0], { age: [1, 2] }, [0, 1])).toThrow(
      'one group is left without any weight.',
    )
    expect(() => covariateBalance([1, 0], { jaw: ['upper', ''] })).toThrow(
      'column jaw has no usable entry, first in row 2 of 2.',
    )
  })
})

describe('positivity', () => {
  it('finds the range that groups share', () => {
    const { outsideShare, nearOne, commonLower } = positivityOf([1, 1, 0, 0], [0.97, 0.5, 0.5, 0.3])
    expect(outsideShare).toBe(0.5)
    expect(nearOne).toBe(1)
    expect(commonLower).toBe(0.5)
    const apart = positivityOf([1, 0], [0.9, 0.1])
    expect(apart.commonUpper).toMatchObject({ state: 'not-estimable' })
    expect(apart.warnings[0]?.code).toBe('no-overlap')
  })

  it('counts cells that hold both groups', () => {
    const shared = sharedCells([1, 0, 1, 1, 0], {
      clinic: ['a', 'a', 'b', 'b', 'c'],
      year: [2020, 2020, 2020, 2021, 2021],
    })
    expect(shared).toMatchObject({ share: 0.4, cells: 4, sharedCells: 1, sufficient: false })
    expect(inWords(shared.warnings[0]!)).toBe(
      '40.0% of rows lie in cells that hold both groups: there is little to compare, and no adjusted estimate should lead.',
    )
    expect(sharedCells([1, 0], { clinic: ['a', 'a'] })).toMatchObject({ share: 1, sufficient: true })
  })
})

describe('propensityWeighting', () => {
  it('balances a confounded cohort, and lets the average effect lead', () => {
    const random = randomStream(31)
    const n = 3000
    const age = Float64Array.from({ length: n }, () => random.normal())
    const treated = age.map((one) => (random.uniform() < 1 / (1 + Math.exp(-0.5 * one)) ? 1 : 0))
    const answer = propensityWeighting(treated, { age })
    expect(answer.average?.balance.largestBefore).toBeGreaterThan(0.3)
    expect(answer.average?.balance.largestAfter).toBeLessThan(0.03)
    // Overlap weights from logistic scores balance means exactly (Li, Morgan and Zaslavsky 2018).
    expect(answer.overlap.balance.largestAfter).toBeLessThan(1e-8)
    expect(answer.leading).toBe('average')
  })

  it('lets the overlap lead where weights explode or have no bound', () => {
    const random = randomStream(32)
    const n = 1500
    const age = Float64Array.from({ length: n }, () => random.normal())
    const treated = age.map((one) => (random.uniform() < 1 / (1 + Math.exp(-3 * one)) ? 1 : 0))
    const steep = propensityWeighting(treated, { age })
    expect(steep.leading).toBe('overlap')
    expect(steep).toMatchObject({ reason: 'weights-extreme', parameters: { most: 10 } })
    const decided = propensityWeighting([1, 1, 0, 0, 1, 0], { period: ['b', 'b', 'a', 'a', 'c', 'c'] })
    expect(decided.average).toBeUndefined()
    expect(decided).toMatchObject({
      leading: 'overlap',
      reason: 'weighting-impossible',
    })
    expect(decided.overlap.weights.weights.slice(0, 4)).toEqual([0, 0, 0, 0])
  })

  it('leaves its input alone', () => {
    const age = Float64Array.of(1, 2, 3, 4)
    const treated = Float64Array.of(1, 0, 0, 1)
    propensityWeighting(treated, { age })
    expect([...age, ...treated]).toEqual([1, 2, 3, 4, 1, 0, 0, 1])
  })

  it('balances 100,000 rows over ten covariates', () => {
    const random = randomStream(33)
    const n = 100_000
    const covariates: Record<string, Float64Array> = {}
    for (let j = 0; j < 10; j++) {
      covariates[`x${j}`] = Float64Array.from({ length: n }, () =>
        j < 5 ? random.normal() : random.index(2),
      )
    }
    const first = covariates.x0 as Float64Array
    const treated = first.map((one) => (random.uniform() < 1 / (1 + Math.exp(-0.4 * one)) ? 1 : 0))
    const { scores } = propensityScores(treated, covariates)
    const { weights } = propensityWeights(treated, scores)
    const { largestBefore, largestAfter } = covariateBalance(treated, covariates, weights)
    expect(largestBefore).toBeGreaterThan(0.3)
    expect(largestAfter).toBeLessThan(0.02)
  })
})

describe('weighted outcomes', () => {
  it('count a weight of two as two rows', () => {
    const time = [1, 2, 3, 4, 5, 6]
    const event = [1, 0, 1, 1, 1, 0]
    const treated = [0, 1, 0, 1, 0, 1]
    const [untreated] = weightedCurves(time, event, treated, [2, 1, 1, 1, 1, 1])
    expect(untreated?.rows[1]?.survival).toBeCloseTo(0.5, 14)
    const even = weightedHazardRatio(time, event, treated, [1, 1, 1, 1, 1, 1])
    const twice = weightedHazardRatio(time, event, treated, [2, 2, 2, 2, 2, 2])
    expect(twice.robustStandardError).toBeCloseTo(even.robustStandardError as number, 8)
    expect(() => weightedCurves(time, event, [0, 0, 0, 0, 0, 0], [1, 1, 1, 1, 1, 1])).toThrow('0 of 6 rows')
  })
})
