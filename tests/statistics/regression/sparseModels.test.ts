import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import { inWords } from '../../../src/messages/speaker.js'
import { conditionalLogisticRegression } from '../../../src/statistics/regression/conditionalLogistic.js'
import { firthLogisticRegression } from '../../../src/statistics/regression/firthLogistic.js'
import { referenceTable } from '../referenceTable.js'
import { expectClose, refusal } from './closeTo.js'

describe("Firth's penalised logistic regression", () => {
  it('adds a half to every cell of a fourfold table', () => {
    // Known identity for the saturated model: Heinze and Schemper (2002); Haldane (1956) and Anscombe (1956).
    const cells = [6, 0, 3, 5]
    const event = cells.flatMap((count, cell) => Array<number>(count).fill(cell % 2 === 0 ? 1 : 0))
    const group = [6, 8].flatMap((count, side) => Array<number>(count).fill(1 - side))
    const fit = firthLogisticRegression(event, { group })
    expectClose([fit.coefficients[1]!.ratio], [(6.5 * 5.5) / (0.5 * 3.5)], 1e-8)
  })

  it('has limits at which the penalised likelihood ratio is the chi-square quantile', () => {
    const event = [0, 0, 0, 0, 1, 0, 1, 1, 1, 1]
    const x = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
    const fit = firthLogisticRegression(event, { x })
    const { lower, upper } = fit.coefficients[1]!.interval
    // Holding a slope is the same as moving it into the offset: the P value of the rest must be 0.05 at each limit.
    for (const limit of [lower as number, upper as number]) {
      const moved = firthLogisticRegression(event, { x }, { offset: x.map((value) => limit * value) })
      expect(moved.coefficients[1]!.pValue).toBeCloseTo(0.05, 7)
    }
  })

  it('profiles every coefficient whatever the origin and unit of a covariate', () => {
    // Deliveries as day numbers: the constant term lies two million units away from the data.
    const random = randomStream(3)
    const day = Array.from({ length: 60 }, () => 2_020_000 + 1000 * random.normal())
    const event = day.map((value) =>
      random.uniform() < 1 / (1 + Math.exp(-(value - 2_020_000) / 700)) ? 1 : 0,
    )
    const far = firthLogisticRegression(event, { day })
    const near = firthLogisticRegression(event, { day: day.map((value) => (value - 2_020_000) / 1000) })
    expectClose(
      [far.coefficients[1]!.interval.lower, far.coefficients[1]!.interval.upper, far.coefficients[1]!.pValue],
      [
        (near.coefficients[1]!.interval.lower as number) / 1000,
        (near.coefficients[1]!.interval.upper as number) / 1000,
        near.coefficients[1]!.pValue as number,
      ],
      1e-7,
    )
    const { lower, upper } = far.coefficients[0]!.interval
    for (const limit of [lower as number, upper as number]) {
      // With the limit in the offset the rest of the constant term is 0 at P = 0.05.
      const moved = firthLogisticRegression(event, { day }, { offset: day.map(() => limit) })
      expect(moved.coefficients[0]!.pValue).toBeCloseTo(0.05, 6)
    }
    expect(far.coefficients[0]!.ratio).toMatchObject({ state: 'not-estimable' })
  })

  it('stays finite where every outcome is the same', () => {
    const fit = firthLogisticRegression([0, 0, 0, 0], {})
    // Half an event in five: log(0.5 / 4.5).
    expectClose([fit.coefficients[0]!.estimate], [Math.log(0.5 / 4.5)], 1e-8)
  })

  it('warns that clusters are not allowed for, and refuses collinear covariates', () => {
    const fit = firthLogisticRegression(
      [0, 1, 1, 0],
      { x: [1, 2, 3, 5] },
      { cluster: [1, 1, 2, 2], interval: 'wald' },
    )
    expect(fit.clusters).toBe(2)
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'The interval takes rows as independent although clusters repeat; set a permutation test of whole clusters beside it.',
    ])
    expect(refusal(() => firthLogisticRegression([0, 1], { a: [1, 2], b: [2, 4] })).code).toBe(
      'collinear-covariate',
    )
  })
})

describe('conditional logistic regression', () => {
  it('gives the ratio of discordant pairs', () => {
    // Hand-worked: 7 pairs with the case exposed, 3 with the control exposed, 4 alike; variance 1/7 + 1/3.
    const pairs = [...Array<[number, number]>(7).fill([1, 0]), ...Array<[number, number]>(3).fill([0, 1])]
    pairs.push([1, 1], [1, 1], [0, 0], [0, 0])
    const fit = conditionalLogisticRegression(
      pairs.flatMap(() => [1, 0]),
      { exposed: pairs.flat() },
      pairs.flatMap((_, set) => [set, set]),
    )
    expectClose([fit.coefficients[0]!.ratio], [7 / 3], 1e-10)
    expectClose([fit.coefficients[0]!.standardError], [Math.sqrt(1 / 7 + 1 / 3)], 1e-10)
  })

  it('agrees with a reference library where sets hold many cases', () => {
    // R 4.2.2, survival 3.5-3 clogit, data infert in strata of parity (six sets of up to 99 rows).
    const infert = referenceTable('infert_clogit_exact')
    const covariates = { spontaneous: infert.numbers('spontaneous'), induced: infert.numbers('induced') }
    const wanted = {
      exact: [1.99282736368711, 1.30122503441444, 0.310293861648238, 0.311713016335282, -147.247551448163],
      efron: [1.5845110543278, 1.05570214390829, 0.234666424991166, 0.246048467045392, -325.910929450211],
      breslow: [1.23954711663953, 0.874204134490866, 0.225434067356516, 0.245030777585401, -340.455383602943],
    }
    for (const likelihood of ['exact', 'efron', 'breslow'] as const) {
      const fit = conditionalLogisticRegression(infert.numbers('case'), covariates, infert.texts('parity'), {
        likelihood,
      })
      expectClose(
        [
          ...fit.coefficients.map((one) => one.estimate),
          ...fit.coefficients.map((one) => one.standardError),
          fit.logLikelihoodAtZero,
        ],
        wanted[likelihood],
        1e-8,
      )
    }
  })

  it('tags what does not vary within sets, and separation', () => {
    const sets = ['a', 'a', 'b', 'b', 'c']
    const fit = conditionalLogisticRegression(
      [1, 0, 1, 0, 1],
      { site: [1, 1, 2, 2, 3], x: [1, 2, 3, 1, 1] },
      sets,
    )
    expect(fit.coefficients[0]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(typeof fit.coefficients[1]!.estimate).toBe('number')
    expect(fit.informativeSets).toBe(2)
    expect(fit.warnings.map((one) => inWords(one))).toEqual([
      'site cannot be estimated: within the sets that hold a case and a control nothing varies apart from the other covariates.',
      '1 sets hold only cases or only controls and say nothing about the ratios.',
    ])
    const apart = conditionalLogisticRegression([1, 0, 1, 0], { x: [2, 1, 5, 1] }, ['a', 'a', 'b', 'b'])
    expect(apart.coefficients[0]!.estimate).toMatchObject({ state: 'not-estimable' })
  })

  it('sees separation in large sets, where sums over subsets leave the range of numbers', () => {
    const rows = Array.from({ length: 80 }, (_, row) => row)
    const fit = conditionalLogisticRegression(
      rows.map((row) => (row >= 40 ? 1 : 0)),
      { x: rows },
      rows.map(() => 'all'),
    )
    expect(fit.coefficients[0]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(fit.warnings.map((one) => one.code)).toContain('separated')
  })

  it('refuses rows without a set', () => {
    expect(refusal(() => conditionalLogisticRegression([1, 0], { x: [1, 2] }, ['a', ''])).code).toBe(
      'missing-label',
    )
  })
})
