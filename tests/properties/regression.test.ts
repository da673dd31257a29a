import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Quantity } from '../../src/core/estimate.js'
import { estimatingEquations } from '../../src/statistics/regression/estimatingEquations.js'
import { firthLogisticRegression } from '../../src/statistics/regression/firthLogistic.js'
import type { GeneralisedLinearFit } from '../../src/statistics/regression/generalisedLinear.js'
import { linearRegression } from '../../src/statistics/regression/linear.js'
import { logisticRegression } from '../../src/statistics/regression/logistic.js'
import { negativeBinomialRegression } from '../../src/statistics/regression/negativeBinomial.js'
import { poissonRegression } from '../../src/statistics/regression/poisson.js'

const row = fc.record({
  event: fc.constantFrom(0, 1),
  count: fc.integer({ min: 0, max: 9 }),
  exposure: fc.integer({ min: 1, max: 30 }),
  a: fc.constantFrom(0, 1),
  b: fc.integer({ min: -5, max: 5 }),
  group: fc.constantFrom('p', 'q', 'r'),
  weight: fc.integer({ min: 1, max: 3 }),
  cluster: fc.integer({ min: 1, max: 8 }),
})
type Row = typeof row extends fc.Arbitrary<infer R> ? R : never

const sample = fc
  .array(row, { minLength: 25, maxLength: 60 })
  .filter(
    (rows) =>
      new Set(rows.map((one) => one.group)).size === 3 &&
      new Set(rows.map((one) => one.a)).size === 2 &&
      new Set(rows.map((one) => one.b)).size > 4,
  )

const covariates = (rows: readonly Row[], scale = 1, shift = 0) => ({
  a: rows.map((one) => one.a),
  b: rows.map((one) => scale * one.b + shift),
  group: rows.map((one) => one.group),
})
const events = (rows: readonly Row[]): number[] => rows.map((one) => one.event)
const counts = (rows: readonly Row[]): number[] => rows.map((one) => one.count)
const numbers = (quantities: readonly Quantity[]): number[] =>
  quantities.map((one) => (typeof one === 'number' ? one : Number.NaN))
const estimates = (fit: { coefficients: readonly { estimate: Quantity }[] }): number[] =>
  numbers(fit.coefficients.map((one) => one.estimate))
const errors = (fit: { coefficients: readonly { standardError: Quantity }[] }): number[] =>
  numbers(fit.coefficients.map((one) => one.standardError))
const whole = (fit: GeneralisedLinearFit): boolean => estimates(fit).every(Number.isFinite)

function closeAll(found: readonly number[], wanted: readonly number[], relative = 1e-7): void {
  expect(found.length).toBe(wanted.length)
  found.forEach((value, i) => {
    expect(Math.abs(value - wanted[i]!)).toBeLessThanOrEqual(relative * (1 + Math.abs(wanted[i]!)))
  })
}

const runs = { numRuns: 60, seed: 20240301 }

describe('generalised linear regressions', () => {
  it('do not depend on the order of rows', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const turned = [...rows].reverse()
        for (const fitted of [
          (some: readonly Row[]) =>
            logisticRegression(events(some), covariates(some), { cluster: some.map((one) => one.cluster) }),
          (some: readonly Row[]) =>
            poissonRegression(counts(some), covariates(some), { exposure: some.map((one) => one.exposure) }),
          (some: readonly Row[]) => negativeBinomialRegression(counts(some), covariates(some)),
        ]) {
          const [first, second] = [fitted(rows), fitted(turned)]
          fc.pre(whole(first))
          closeAll(estimates(second), estimates(first), 1e-6)
          closeAll(errors(second), errors(first), 1e-6)
        }
      }),
      runs,
    )
  })

  it('follow a change of unit and of origin of a covariate', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const first = logisticRegression(events(rows), covariates(rows))
        fc.pre(whole(first))
        const again = logisticRegression(events(rows), covariates(rows, 1000, 2e6))
        const slope = 2
        closeAll([1000 * estimates(again)[slope]!], [estimates(first)[slope]!])
        closeAll([1000 * errors(again)[slope]!], [errors(first)[slope]!])
        closeAll(numbers([again.logLikelihood]), numbers([first.logLikelihood]), 1e-10)
      }),
      runs,
    )
  })

  it('take weights for repetitions', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const repeated = rows.flatMap((one) => Array<Row>(one.weight).fill(one))
        const weights = rows.map((one) => one.weight)
        const weighted = poissonRegression(counts(rows), covariates(rows), { weights })
        const long = poissonRegression(counts(repeated), covariates(repeated))
        fc.pre(whole(long))
        closeAll(estimates(weighted), estimates(long))
        closeAll(errors(weighted), errors(long))
        closeAll(numbers([weighted.logLikelihood]), numbers([long.logLikelihood]), 1e-10)
      }),
      runs,
    )
  })

  it('keep fit and spread when another level is the baseline', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const first = logisticRegression(events(rows), covariates(rows))
        fc.pre(whole(first))
        const again = logisticRegression(events(rows), covariates(rows), { baselines: { group: 'r' } })
        closeAll(numbers([again.deviance]), numbers([first.deviance]), 1e-10)
        closeAll(first.fittedMeans, again.fittedMeans)
        const ofR = first.coefficients.find((one) => one.name === 'group=r')!
        const ofP = again.coefficients.find((one) => one.name === 'group=p')!
        closeAll(numbers([ofP.estimate, ofP.standardError]), [
          -(ofR.estimate as number),
          ofR.standardError as number,
        ])
      }),
      runs,
    )
  })

  it('estimate each group as on its own where the model holds all groups', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const fit = poissonRegression(
          counts(rows),
          { group: rows.map((one) => one.group) },
          { exposure: rows.map((one) => one.exposure) },
        )
        fc.pre(whole(fit))
        const rate = (group: string): number => {
          const own = rows.filter((one) => one.group === group)
          const sum = (key: 'count' | 'exposure'): number => own.reduce((total, one) => total + one[key], 0)
          return Math.log(sum('count') / sum('exposure'))
        }
        closeAll(estimates(fit), [rate('p'), rate('q') - rate('p'), rate('r') - rate('p')])
      }),
      runs,
    )
  })

  it('give clusters of one row the robust variance by row', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const alone = rows.map((_, i) => i)
        const clustered = logisticRegression(events(rows), covariates(rows), {
          cluster: alone,
          smallSample: 'clusters-and-coefficients',
        })
        const byRow = logisticRegression(events(rows), covariates(rows), {
          variance: 'robust',
          smallSample: 'clusters-and-coefficients',
        })
        fc.pre(whole(byRow))
        closeAll(errors(clustered), errors(byRow), 1e-10)
        const equations = estimatingEquations(events(rows), covariates(rows), alone)
        closeAll(estimates(equations), estimates(byRow))
      }),
      runs,
    )
  })

  it('never hand out NaN, an infinite number or a frozen input', () => {
    fc.assert(
      fc.property(sample, (rows) => {
        const text = (value: unknown): string =>
          JSON.stringify(value, (_key, inner) =>
            typeof inner === 'number' && !Number.isFinite(inner) ? 'BAD' : inner,
          )
        const sparse = rows.map((one) => (one.group === 'q' ? 0 : one.event))
        expect(text(logisticRegression(sparse, covariates(rows)))).not.toContain('BAD')
        expect(text(poissonRegression(sparse, covariates(rows)))).not.toContain('BAD')
        expect(text(negativeBinomialRegression(sparse, covariates(rows)))).not.toContain('BAD')
        expect(text(firthLogisticRegression(sparse, covariates(rows), { interval: 'wald' }))).not.toContain(
          'BAD',
        )
        expect(text(linearRegression(counts(rows), covariates(rows)))).not.toContain('BAD')
      }),
      runs,
    )
  })
})

describe('separation', () => {
  const point = fc.record({
    x: fc.integer({ min: 0, max: 4 }),
    y: fc.integer({ min: 0, max: 4 }),
    event: fc.constantFrom(0, 1),
  })
  const plane = fc
    .array(point, { minLength: 5, maxLength: 14 })
    .filter((points) => new Set(points.map((one) => one.event)).size === 2 && !inOneLine(points))

  it('is found exactly where some line keeps the outcomes apart', () => {
    fc.assert(
      fc.property(plane, (points) => {
        const fit = logisticRegression(
          points.map((one) => one.event),
          { x: points.map((one) => one.x), y: points.map((one) => one.y) },
        )
        const found = fit.warnings.some((one) => one.code === 'separation')
        expect(found).toBe(someLineSeparates(points))
        expect(fit.converged).toBe(true)
      }),
      { numRuns: 400, seed: 7 },
    )
  })
})

interface Point {
  readonly x: number
  readonly y: number
  readonly event: number
}

function side(a: Point, b: Point, c: Point): number {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

function inOneLine(points: readonly Point[]): boolean {
  return points.every((a) => points.every((b) => points.every((c) => side(a, b, c) === 0)))
}

/**
 * Outcomes are separated where a line leaves all events on one side of it and all others on the other side, points on
 * the line allowed, not all of them on it. If there is one, there is one through two distinct points.
 */
function someLineSeparates(points: readonly Point[]): boolean {
  for (const a of points) {
    for (const b of points) {
      if (a.x === b.x && a.y === b.y) continue
      const sides = points.map((c) => (c.event === 1 ? 1 : -1) * side(a, b, c))
      if (sides.every((one) => one >= 0) && sides.some((one) => one > 0)) return true
    }
  }
  return false
}
