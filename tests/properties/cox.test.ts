import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { concordance } from '../../src/statistics/hazardModels/concordance.js'
import { coxRegression } from '../../src/statistics/hazardModels/cox.js'
import { coxReplicator } from '../../src/statistics/hazardModels/coxReplicator.js'
import { coxResiduals } from '../../src/statistics/hazardModels/coxResiduals.js'
import type { CoxFit } from '../../src/statistics/hazardModels/coxResult.js'
import { predictedRisk } from '../../src/statistics/regression/predictedRisk.js'

/** One row with late entry, two covariates, a weight, a stratum and a cluster. */
const row = fc.record({
  start: fc.integer({ min: 0, max: 6 }),
  length: fc.integer({ min: 1, max: 12 }),
  event: fc.constantFrom(0, 1, 1),
  a: fc.constantFrom(0, 1),
  b: fc.integer({ min: -4, max: 4 }),
  weight: fc.integer({ min: 1, max: 3 }),
  stratum: fc.constantFrom('p', 'q'),
  cluster: fc.integer({ min: 1, max: 9 }),
})
type Row = typeof row extends fc.Arbitrary<infer R> ? R : never

/** Samples in which both covariates vary, so that they are not refused. */
const sample = fc
  .array(row, { minLength: 12, maxLength: 40 })
  .filter((rows) => new Set(rows.map((one) => one.a)).size > 1 && new Set(rows.map((one) => one.b)).size > 3)

const timesOf = (rows: readonly Row[]): { start: number[]; stop: number[]; event: number[] } => ({
  start: rows.map((one) => one.start),
  stop: rows.map((one) => one.start + one.length),
  event: rows.map((one) => one.event),
})
const covariatesOf = (rows: readonly Row[]): { a: number[]; b: number[] } => ({
  a: rows.map((one) => one.a),
  b: rows.map((one) => one.b),
})
const strataOf = (rows: readonly Row[]): string[] => rows.map((one) => one.stratum)
const estimable = (fit: CoxFit): boolean =>
  fit.converged && fit.hazardRatios.every((one) => typeof one.logHazardRatio === 'number')
const logs = (fit: CoxFit): number[] => fit.hazardRatios.map((one) => one.logHazardRatio as number)
const errors = (fit: CoxFit): number[] => fit.hazardRatios.map((one) => one.standardError!.value)

const closeAll = (found: readonly number[], wanted: readonly number[], digits = 7): void => {
  expect(found.length).toBe(wanted.length)
  found.forEach((value, i) => {
    expect(Math.abs(value - wanted[i]!)).toBeLessThanOrEqual(10 ** -digits * (1 + Math.abs(wanted[i]!)))
  })
}

const runs = { numRuns: 60, seed: 20240229 }

describe('Cox regression', () => {
  it('does not depend on the order of rows', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const options = { strata: strataOf(rows), cluster: rows.map((one) => one.cluster) }
        const fit = coxRegression(timesOf(rows), covariatesOf(rows), options)
        fc.pre(estimable(fit))
        const turned = [...rows].reverse()
        const again = coxRegression(timesOf(turned), covariatesOf(turned), {
          strata: strataOf(turned),
          cluster: turned.map((one) => one.cluster),
        })
        closeAll(logs(again), logs(fit))
        closeAll(errors(again), errors(fit))
      }),
      runs,
    )
  })

  it('does not depend on the unit of time, whole or not', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const times = timesOf(rows)
        const fit = coxRegression(times, covariatesOf(rows))
        fc.pre(estimable(fit))
        const scaled = {
          ...times,
          start: times.start.map((t) => t * 0.37),
          stop: times.stop.map((t) => t * 0.37),
        }
        closeAll(logs(coxRegression(scaled, covariatesOf(rows))), logs(fit))
      }),
      runs,
    )
  })

  it('takes a weight for so many rows under Breslow, and in refits under Efron', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const repeated = rows.flatMap((one) => Array.from({ length: one.weight }, () => one))
        const written = coxRegression(timesOf(repeated), covariatesOf(repeated), { ties: 'breslow' })
        fc.pre(estimable(written))
        const weighted = coxRegression(timesOf(rows), covariatesOf(rows), {
          ties: 'breslow',
          weights: rows.map((one) => one.weight),
          variance: 'model',
        })
        closeAll(logs(weighted), logs(written))
        closeAll(errors(weighted), errors(written))
      }),
      runs,
    )
  })

  it('refits samples of clusters as if their rows were written out', () => {
    fc.assert(
      fc.property(
        sample,
        fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 9, maxLength: 9 }),
        (rows, draws) => {
          const clusters = rows.map((one) => one.cluster)
          const labels = [...new Set(clusters)].sort((x, y) => x - y)
          const counts = labels.map((_, i) => draws[i]!)
          const written = rows.flatMap((one) =>
            Array.from({ length: counts[labels.indexOf(one.cluster)]! }, () => one),
          )
          fc.pre(
            new Set(written.map((one) => one.a)).size > 1 && new Set(written.map((one) => one.b)).size > 2,
          )
          fc.pre(estimable(coxRegression(timesOf(rows), covariatesOf(rows))))
          const fit = coxRegression(timesOf(written), covariatesOf(written))
          const refit = coxReplicator(timesOf(rows), covariatesOf(rows), clusters).refit(counts)
          if (estimable(fit)) closeAll([...refit], logs(fit), 6)
          else expect([...refit].every((one) => Number.isNaN(one))).toBe(true)
        },
      ),
      runs,
    )
  })

  it('takes one stratum for none, and is unmoved by cutting rows in two', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const fit = coxRegression(timesOf(rows), covariatesOf(rows))
        fc.pre(estimable(fit))
        const one = coxRegression(timesOf(rows), covariatesOf(rows), { strata: rows.map(() => 'all') })
        closeAll(logs(one), logs(fit), 12)
        const cut = rows.flatMap((r) =>
          r.length < 2
            ? [r]
            : [
                { ...r, length: 1, event: 0 as const },
                { ...r, start: r.start + 1, length: r.length - 1 },
              ],
        )
        closeAll(logs(coxRegression(timesOf(cut), covariatesOf(cut))), logs(fit))
      }),
      runs,
    )
  })

  it('is unmoved by a shift of a covariate, and turns sign with a recoded group', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const fit = coxRegression(timesOf(rows), covariatesOf(rows))
        fc.pre(estimable(fit))
        const moved = coxRegression(timesOf(rows), {
          a: rows.map((one) => 1 - one.a),
          b: rows.map((one) => one.b + 1000),
        })
        closeAll(logs(moved), [-logs(fit)[0]!, logs(fit)[1]!])
        closeAll(errors(moved), errors(fit))
      }),
      runs,
    )
  })

  it('takes clusters of one row for rows', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const covariates = covariatesOf(rows)
        const byRow = coxRegression(timesOf(rows), covariates, { variance: 'robust', fewClusters: 'normal' })
        fc.pre(estimable(byRow))
        const byCluster = coxRegression(timesOf(rows), covariates, {
          cluster: rows.map((_, i) => `c${i}`),
          fewClusters: 'normal',
        })
        closeAll(errors(byCluster), errors(byRow), 10)
      }),
      runs,
    )
  })

  it('has residuals that sum to nothing', () => {
    fc.assert(
      fc.property(sample, fc.constantFrom('efron' as const, 'breslow' as const), (rows, ties) => {
        const weights = rows.map((one) => one.weight)
        const options = { ties, weights, strata: strataOf(rows) }
        fc.pre(estimable(coxRegression(timesOf(rows), covariatesOf(rows), options)))
        const residuals = coxResiduals(timesOf(rows), covariatesOf(rows), options)
        const sum = (column: (i: number) => number): number =>
          rows.reduce((s, _, i) => s + weights[i]! * column(i), 0)
        expect(Math.abs(sum((i) => residuals.martingale[i]!))).toBeLessThan(1e-8)
        expect(Math.abs(sum((i) => residuals.score[2 * i]!))).toBeLessThan(1e-6)
        expect(Math.abs(sum((i) => residuals.score[2 * i + 1]!))).toBeLessThan(1e-6)
      }),
      runs,
    )
  })

  it('has dfbetas that are the derivatives of the coefficients in the weights', () => {
    fc.assert(
      fc.property(sample, fc.constantFrom('efron' as const, 'breslow' as const), (rows, ties) => {
        const weights = rows.map((one) => one.weight + 0.5)
        const fitAt = (w: number[]): CoxFit =>
          coxRegression(timesOf(rows), covariatesOf(rows), { ties, weights: w, variance: 'model' })
        const base = fitAt(weights)
        fc.pre(estimable(base) && errors(base).every((error) => error < 3))
        const dfbeta = coxResiduals(timesOf(rows), covariatesOf(rows), { ties, weights }).dfbeta
        const step = 1e-4
        const shifted = (by: number): number[] =>
          logs(fitAt(weights.map((w, i) => (i === 3 ? w * (1 + by) : w))))
        // Efron's mean weight of tied events moves with every weight among them, which dfbeta leaves out.
        fc.pre(
          ties === 'breslow' ||
            rows.every((one, i) => i === 3 || one.start + one.length !== rows[3]!.start + rows[3]!.length),
        )
        const [up, down] = [shifted(step), shifted(-step)]
        closeAll(
          [dfbeta[6]!, dfbeta[7]!],
          up.map((value, j) => (value - down[j]!) / (2 * step)),
          4,
        )
      }),
      runs,
    )
  })

  it('predicts risks whose spread over clusters is that of their derivatives', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const clusters = rows.map((one) => one.cluster)
        fc.pre(new Set(clusters).size > 2)
        const at = { a: 1, b: 0.5 }
        const options = { ties: 'breslow' as const, cluster: clusters }
        fc.pre(estimable(coxRegression(timesOf(rows), covariatesOf(rows), options)))
        fc.pre(
          errors(coxRegression(timesOf(rows), covariatesOf(rows), { ties: 'breslow' })).every(
            (error) => error < 3,
          ),
        )
        const horizon = 7
        const risk = predictedRisk(timesOf(rows), covariatesOf(rows), at, [horizon], options)[0]!.risks[0]!
        fc.pre(typeof risk.standardError === 'number')
        const hazardAt = (weights: number[]): number => {
          const one = predictedRisk(timesOf(rows), covariatesOf(rows), at, [horizon], {
            ties: 'breslow',
            weights,
          })[0]!
          return -Math.log1p(-(one.risks[0]!.risk as number))
        }
        const step = 1e-4
        let sum = 0
        for (const cluster of new Set(clusters)) {
          const by = (change: number): number =>
            hazardAt(clusters.map((one) => (one === cluster ? 1 + change : 1)))
          sum += ((by(step) - by(-step)) / (2 * step)) ** 2
        }
        closeAll([risk.standardError as number], [Math.sqrt(sum)], 4)
      }),
      { ...runs, numRuns: 30 },
    )
  })
})

describe('concordance', () => {
  /** All pairs, one by one. */
  const byPairs = (rows: readonly Row[], score: readonly number[]): number[] => {
    const counts = [0, 0, 0, 0, 0]
    rows.forEach((one, i) => {
      if (one.event !== 1) return
      const time = one.start + one.length
      rows.forEach((other, j) => {
        if (i === j || other.stratum !== one.stratum || other.start >= time) return
        const end = other.start + other.length
        const weight = one.weight * other.weight
        if (end === time && other.event === 1) {
          if (i < j) counts[score[i] === score[j] ? 4 : 3]! += weight
        } else if (end >= time) {
          counts[score[i]! > score[j]! ? 0 : score[i]! < score[j]! ? 1 : 2]! += weight
        }
      })
    })
    return counts
  }

  it('counts what all pairs give one by one', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const score = rows.map((one) => one.b + one.a)
        const options = { strata: strataOf(rows), weights: rows.map((one) => one.weight) }
        const { counts } = concordance(timesOf(rows), score, options)
        const { concordant, discordant, tiedScore, tiedTime, tiedBoth } = counts
        closeAll([concordant, discordant, tiedScore, tiedTime, tiedBoth], byPairs(rows, score), 10)
      }),
      { ...runs, numRuns: 150 },
    )
  })

  it('has an error that is the spread of its derivatives in the weights', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const score = rows.map((one) => one.b)
        const options = { strata: strataOf(rows) }
        const found = concordance(timesOf(rows), score, options)
        fc.pre(typeof found.estimate === 'number')
        const step = 1e-4
        const squares = rows.map((_, i) => {
          const at = (by: number): number =>
            concordance(timesOf(rows), score, {
              ...options,
              weights: rows.map((__, j) => (i === j ? 1 + by : 1)),
            }).estimate as number
          return ((at(step) - at(-step)) / (2 * step)) ** 2
        })
        closeAll([found.standardError as number], [Math.sqrt(squares.reduce((sum, one) => sum + one, 0))], 6)
      }),
      { ...runs, numRuns: 30 },
    )
  })
})
