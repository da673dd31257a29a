import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { categoryDraws } from '../../src/statistics/imputation/categoryDraws.js'
import { type ImputationColumn, imputeChained } from '../../src/statistics/imputation/chainedEquations.js'
import { cumulativeHazardOfRows } from '../../src/statistics/imputation/outcomePredictors.js'
import { poolCoefficients, poolEstimates } from '../../src/statistics/imputation/rubinsRules.js'
import { filledCells } from '../../src/statistics/numeric/filledCells.js'
import { linearRegression } from '../../src/statistics/regression/linear.js'
import { logisticRegression } from '../../src/statistics/regression/logistic.js'
import { expectClose, refusal } from './regression/closeTo.js'

/** Rows with a numeric x, a binary b and a three-level c, each depending on the others, and an outcome y. */
function sample(rows: number, seed: number) {
  const random = randomStream(seed)
  const x = Array.from({ length: rows }, () => random.normal())
  const b = x.map((value) => (random.uniform() < 1 / (1 + Math.exp(-value)) ? 1 : 0))
  const c = b.map(
    (value, row) =>
      ['p', 'q', 'r'][Math.min(2, Math.floor(value + 1.2 * random.uniform() + 0.3 * (x[row]! > 0 ? 1 : 0)))]!,
  )
  const y = x.map((value, row) => value + b[row]! + (c[row] === 'r' ? 1 : 0) + random.normal())
  return { x, b, c, y, random }
}

describe('imputation by chained equations', () => {
  const { x, b, c, y, random } = sample(400, 5)
  const hole = (): boolean => random.uniform() < 0.3
  const columns: Record<string, ImputationColumn> = {
    x: { kind: 'numeric', values: x.map((value) => (hole() ? Number.NaN : value)) },
    b: { kind: 'binary', values: b.map((value) => (hole() ? Number.NaN : value)) },
    c: { kind: 'categorical', values: c.map((value) => (hole() ? '' : value)) },
    y: { kind: 'numeric', values: y, method: 'normal' },
  }

  it('keeps every observed value and fills every hole with a possible one', () => {
    const { tables, missing } = imputeChained(columns, { seed: 7, imputations: 3, iterations: 4 })
    for (const table of tables) {
      for (const name of ['x', 'b', 'c']) {
        const source = columns[name]!.values
        const seen = new Set<unknown>()
        for (let row = 0; row < source.length; row++) {
          const value = source[row]!
          if (value !== '' && !Number.isNaN(value)) seen.add(value)
        }
        table[name]!.forEach((value, row) => {
          const given = source[row]!
          if (given !== '' && !Number.isNaN(given)) expect(value).toBe(given)
          expect(seen.has(value)).toBe(true)
        })
      }
      expect(table.y).toEqual(y)
    }
    expect(missing.find((one) => one.column === 'y')!.missing).toBe(0)
  })

  it('gives the same tables for the same seed, whatever else is asked for', () => {
    const two = imputeChained(columns, { seed: 7, imputations: 2, iterations: 3 })
    const three = imputeChained(columns, { seed: 7, imputations: 3, iterations: 3 })
    expect(three.tables.slice(0, 2)).toEqual(two.tables)
    expect(imputeChained(columns, { seed: 8, imputations: 2, iterations: 3 }).tables).not.toEqual(two.tables)
  })

  it('leaves its input as it was', () => {
    const values = [1, Number.NaN, 3, 4]
    imputeChained({ a: { kind: 'numeric', values } }, { seed: 1, imputations: 2 })
    expect(values).toEqual([1, Number.NaN, 3, 4])
  })

  it('undoes the bias of complete rows where holes depend on the outcome', () => {
    // The slopes of y on x, b and c=r are 1 by construction; x is missing where y is large. Margins: four standard errors.
    const large = sample(4000, 11)
    const holes = large.y.map((value) => large.random.uniform() < (value > 1 ? 0.9 : 0.05))
    const imputed = imputeChained(
      {
        x: {
          kind: 'numeric',
          values: large.x.map((value, row) => (holes[row] ? Number.NaN : value)),
          method: 'normal',
        },
        b: { kind: 'binary', values: large.b },
        c: { kind: 'categorical', values: large.c },
        y: { kind: 'numeric', values: large.y },
      },
      { seed: 3, imputations: 10, iterations: 3 },
    )
    const fits = imputed.tables.map((table) =>
      linearRegression(table.y as number[], { x: table.x!, b: table.b!, c: table.c! }),
    )
    const kept = large.y.map((_, row) => row).filter((row) => !holes[row])
    const complete = linearRegression(
      kept.map((row) => large.y[row]!),
      {
        x: kept.map((row) => large.x[row]!),
        b: kept.map((row) => large.b[row]!),
        c: kept.map((row) => large.c[row]!),
      },
    )
    const slope = poolCoefficients(fits)[1]!
    const error = slope.standardError as number
    expect(Math.abs((slope.estimate as number) - 1)).toBeLessThan(4 * error)
    expect(Math.abs((complete.coefficients[1]!.estimate as number) - 1)).toBeGreaterThan(4 * error)
    expect(slope.missingInformation).toBeGreaterThan(0.1)
    expect(slope.missingInformation).toBeLessThan(0.9)
  })

  it('recovers a logistic slope through missing binary and categorical columns', () => {
    const large = sample(3000, 17)
    const mar = (row: number): boolean => large.random.uniform() < (large.x[row]! > 0 ? 0.5 : 0.1)
    const imputed = imputeChained(
      {
        x: { kind: 'numeric', values: large.x },
        b: { kind: 'binary', values: large.b.map((value, row) => (mar(row) ? Number.NaN : value)) },
        c: { kind: 'categorical', values: large.c.map((value, row) => (mar(row) ? '' : value)) },
      },
      { seed: 21, imputations: 10, iterations: 5 },
    )
    const pooled = poolCoefficients(
      imputed.tables.map((table) => logisticRegression(table.b as number[], { x: table.x! })),
    )
    // b was drawn with log odds x: constant 0, slope 1.
    for (const [j, truth] of [0, 1].entries()) {
      const { estimate, standardError } = pooled[j]!
      expect(Math.abs((estimate as number) - truth)).toBeLessThan(4 * (standardError as number))
    }
  })

  it('draws one of the nearest donors, each as likely as the other', () => {
    // An exact line leaves nothing to draw but the donor: the five values nearest to the predicted 50.
    const line = Array.from({ length: 101 }, (_, row) => row)
    const values = line.map((value) => (value === 50 ? Number.NaN : value))
    const { tables } = imputeChained(
      { x: { kind: 'numeric', values: line }, y: { kind: 'numeric', values } },
      { seed: 9, imputations: 400, iterations: 1 },
    )
    const drawn = tables.map((table) => table.y![50] as number)
    const times = (...values: number[]): number => drawn.filter((value) => values.includes(value)).length
    // 80 of 400 expected for each donor (47 and 53 lie equally near and share a place); five standard deviations.
    for (const donor of [[48], [49], [51], [52], [47, 53]]) {
      expect(Math.abs(times(...donor) - 80)).toBeLessThan(40)
    }
    expect(times(47, 48, 49, 51, 52, 53)).toBe(400)
  })

  it('draws levels with the probabilities of the model', () => {
    // Log odds 0.5 and −1 against the first level; 20,000 draws, five standard deviations.
    const shares = categoryDraws(
      {
        cells: filledCells(new Float64Array(20_000).fill(1), 20_000, 1),
        rows: Int32Array.from({ length: 20_000 }, (_, row) => row),
        predictors: Int32Array.of(0),
        width: 1,
      },
      Float64Array.from([0.5, -1]),
      3,
      randomStream(6),
    )
    const odds = [1, Math.exp(0.5), Math.exp(-1)]
    const total = odds.reduce((sum, one) => sum + one, 0)
    odds.forEach((one, level) => {
      const found = shares.filter((drawn) => drawn === level).length / 20_000
      expect(Math.abs(found - one / total)).toBeLessThan(5 * Math.sqrt(0.25 / 20_000))
    })
  })

  it('stays finite where a predictor separates the levels', () => {
    const separating = Array.from({ length: 40 }, (_, row) => row)
    const { tables } = imputeChained(
      {
        z: { kind: 'numeric', values: separating },
        b: {
          kind: 'binary',
          values: separating.map((value) => (value === 13 || value === 30 ? Number.NaN : value > 19 ? 1 : 0)),
        },
      },
      { seed: 2, imputations: 5 },
    )
    expect(tables.every((table) => table.b!.every((value) => value === 0 || value === 1))).toBe(true)
  })

  it('warns of constant columns, of a missing outcome and of thin data', () => {
    const { warnings, tables } = imputeChained(
      { a: { kind: 'numeric', values: [2, Number.NaN, Number.NaN, Number.NaN, 2] } },
      { seed: 1, imputations: 2 },
    )
    expect(tables[0]!.a).toEqual([2, 2, 2, 2, 2])
    expect(warnings.map((one) => one.code)).toEqual([
      'constant-among-observed',
      'outcome-not-used',
      'mostly-missing',
    ])
    const full = imputeChained({ a: { kind: 'numeric', values: [1, 2] } }, { seed: 1, imputations: 2 })
    expect(full.warnings.map((one) => one.code)).toEqual(['nothing-missing'])
  })

  it('refuses a column that holds nothing, and values of another kind', () => {
    const nothing = { cuff: { kind: 'numeric', values: [Number.NaN, Number.NaN] } } as const
    expect(refusal(() => imputeChained(nothing, { seed: 1 })).message).toBe(
      'column cuff holds no value in any of 2 rows, so that nothing can be learnt about it. Expected: a column of which some rows are observed. Mend: leave cuff out of the imputation and of the model, and say so.',
    )
    expect(refusal(() => imputeChained({ b: { kind: 'binary', values: [0, 2] } }, { seed: 1 })).message).toBe(
      'column b holds something other than 0, 1 and missing, first in row 2 of 2. Expected: 0, 1, or NaN where missing. Mend: code b as 0 and 1, or declare it numeric or categorical.',
    )
    expect(
      refusal(() =>
        imputeChained({ a: { kind: 'numeric', values: [1, Number.POSITIVE_INFINITY] } }, { seed: 1 }),
      ).code,
    ).toBe('infinite-value')
    expect(refusal(() => imputeChained({}, { seed: 1, donors: 0 })).message).toBe(
      'donors is 0. Expected: a whole number from 1. Mend: leave donors out to use the default.',
    )
  })

  it('takes the event and the cumulative hazard of the outcome', () => {
    // R 4.2.2, survival 3.5-3 survfit(ctype = 1), Nelson–Aalen at the times of the rows.
    const hazard = cumulativeHazardOfRows({
      timeDays: [5, 3, 8, 8, 2, 9, 4, 7],
      eventObserved: [1, 0, 1, 1, 1, 0, 1, 0],
    })
    const late = 1.15833333333333
    expectClose(
      Array.from(hazard),
      [0.491666666666667, 0.125, late, late, 0.125, late, 0.291666666666667, 0.491666666666667],
      1e-12,
    )
    // Late entry by hand: the second row enters at 4, after the event at 3.
    const entered = cumulativeHazardOfRows({ timeDays: [3, 6], eventObserved: [1, 1], entryDays: [0, 4] })
    expect(Array.from(entered)).toEqual([1, 2])
  })
})

describe("Rubin's rules", () => {
  it('agree with a hand-worked pooling', () => {
    // Means 2 and within 1; between 1, three tables: total 1 + 4/3; degrees of freedom (m − 1)/share².
    const pooled = poolEstimates([1, 2, 3], [1, 1, 1])
    expectClose([pooled.standardError, pooled.degreesOfFreedom], [Math.sqrt(7 / 3), 2 / (4 / 7) ** 2], 1e-13)
  })

  it('agree with a reference library on small-sample degrees of freedom and missing information', () => {
    // R 4.2.2, mice 3.15.0 pool.scalar(n = 51, k = 1).
    const pooled = poolEstimates([1, 2, 3, 2.5], [0.5, 0.6, 0.55, 0.5], { completeDegreesOfFreedom: 50 })
    expectClose(
      [
        pooled.degreesOfFreedom,
        pooled.relativeIncrease,
        pooled.missingInformation,
        (pooled.standardError as number) ** 2,
      ],
      [3.6022172227, 3.136200716846, 0.83147059068, 1.202083333333],
      1e-10,
    )
  })

  it('give the one answer back where all tables agree', () => {
    const pooled = poolEstimates([2, 2], [0.5, 0.5])
    expect(pooled.degreesOfFreedom).toEqual({ state: 'unbounded', direction: 'above' })
    expect([pooled.estimate, pooled.standardError, pooled.missingInformation]).toEqual([2, 0.5, 0])
  })

  it('say which tables give no estimate, and refuse what cannot be pooled', () => {
    const none = { state: 'not-estimable', reason: 'separation' } as const
    expect(poolEstimates([1, none, 2], [1, none, 1]).estimate).toEqual({
      state: 'not-estimable',
      reason: 'tables-without-estimate',
      parameters: { lacking: 1, tables: 3 },
    })
    expect(refusal(() => poolEstimates([1], [1])).message).toBe(
      '1 completed tables were given. Expected: at least two, for there to be a variance between them. Mend: impute more often; twenty tables are the default.',
    )
    expect(refusal(() => poolEstimates([1, 2], [1, -1])).code).toBe('negative-standard-error')
    const named = (name: string) => ({ coefficients: [{ name, estimate: 1, standardError: 1 }] })
    expect(refusal(() => poolCoefficients([named('a'), named('b')])).message).toBe(
      'the fits do not have the same coefficients. Expected: one model fitted to every completed table. Mend: fit the same covariates, levels and baselines each time.',
    )
  })
})
