import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { cumulativeIncidence } from '../../src/statistics/curves/competingRisks.js'
import { nelsonAalen } from '../../src/statistics/curves/cumulativeHazard.js'
import {
  compareRestrictedMeans,
  restrictedMeanSurvivalTime,
} from '../../src/statistics/curves/restrictedMean.js'
import { kaplanMeier, kaplanMeierByGroup } from '../../src/statistics/curves/survival.js'

/** A small cohort with ties, causes, late entries, weights and repeated patients. */
interface Rows {
  readonly time: number[]
  readonly cause: number[]
  readonly event: number[]
  readonly entry: number[]
  readonly weights: number[]
  readonly cluster: number[]
}

const row = fc.record({
  time: fc.integer({ min: 1, max: 12 }),
  cause: fc.integer({ min: 0, max: 2 }),
  early: fc.integer({ min: 0, max: 11 }),
  weight: fc.integer({ min: 1, max: 8 }),
  cluster: fc.integer({ min: 0, max: 5 }),
})

const cohort = fc.array(row, { minLength: 3, maxLength: 40 }).map(
  (rows): Rows => ({
    time: rows.map((one) => one.time),
    cause: rows.map((one) => one.cause),
    event: rows.map((one) => (one.cause === 1 ? 1 : 0)),
    entry: rows.map((one) => (one.early % 3 === 0 ? Math.max(0, one.time - 1 - one.early) : 0)),
    weights: rows.map((one) => one.weight / 4),
    cluster: rows.map((one) => one.cluster),
  }),
)

const close = (a: number, b: number, tolerance = 1e-9): void => {
  expect(Math.abs(a - b)).toBeLessThanOrEqual(tolerance * (1 + Math.abs(b)))
}

/** Survival, cumulative hazard and incidence of cause 1 by the definition, at every time of exit. */
function bruteForce(rows: Rows, weights: readonly number[], times: readonly number[]) {
  let survival = 1
  let free = 1
  let hazard = 0
  let incidence = 0
  let count = 0
  return times.map((time) => {
    const sum = (chosen: (i: number) => boolean): number =>
      weights.reduce((total, weight, i) => total + (chosen(i) ? weight : 0), 0)
    const atRisk = sum((i) => rows.entry[i]! < time && rows.time[i]! >= time)
    const own = sum((i) => rows.time[i] === time && rows.cause[i] === 1)
    const any = sum((i) => rows.time[i] === time && rows.cause[i]! > 0)
    incidence += (free * own) / atRisk
    free *= 1 - any / atRisk
    survival *= 1 - own / atRisk
    hazard += own / atRisk
    count++
    return { survival, hazard, incidence, count }
  })
}

/** Sum over clusters of squared derivatives by weight, the derivatives taken numerically. */
function numericJackknife(
  rows: Rows,
  cluster: readonly number[],
  times: readonly number[],
  pick: 'survival' | 'hazard' | 'incidence',
): number[] {
  const sums = times.map(() => new Map<number, number>())
  rows.weights.forEach((weight, i) => {
    const step = 1e-5 * weight
    const moved = (by: number) =>
      bruteForce(
        rows,
        rows.weights.map((own, j) => (j === i ? own + by : own)),
        times,
      )
    const up = moved(step)
    const down = moved(-step)
    times.forEach((_time, at) => {
      const derivative = (up[at]![pick] - down[at]![pick]) / (2 * step)
      sums[at]!.set(cluster[i]!, (sums[at]!.get(cluster[i]!) ?? 0) + weight * derivative)
    })
  })
  return sums.map((sum) => Math.sqrt([...sum.values()].reduce((total, value) => total + value * value, 0)))
}

const exitTimes = (rows: Rows): number[] => [...new Set(rows.time)].sort((a, b) => a - b)

describe('curves over time', () => {
  it('match the definition and the numerical jackknife, clustered, weighted and entered late', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const times = exitTimes(rows)
        const { time, event, cause, ...options } = rows
        const robust = { ...options, variance: 'robust', fewClusters: 'normal' } as const
        const expected = bruteForce(rows, rows.weights, times)
        const survival = kaplanMeier(time, event, robust).rows.slice(-times.length)
        const hazard = nelsonAalen(time, event, robust).rows.slice(-times.length)
        const incidence = cumulativeIncidence(time, cause, { ...robust, causes: 2 }).causes[0]!.rows.slice(
          -times.length,
        )
        const errors = {
          survival: numericJackknife(rows, rows.cluster, times, 'survival'),
          hazard: numericJackknife(rows, rows.cluster, times, 'hazard'),
          incidence: numericJackknife(rows, rows.cluster, times, 'incidence'),
        }
        times.forEach((_time, at) => {
          close(survival[at]!.survival, expected[at]!.survival, 1e-12)
          close(hazard[at]!.cumulativeHazard, expected[at]!.hazard, 1e-12)
          close(incidence[at]!.incidence, expected[at]!.incidence, 1e-12)
          close(survival[at]!.standardError as number, errors.survival[at]!, 1e-7)
          close(hazard[at]!.standardError, errors.hazard[at]!, 1e-7)
          close(incidence[at]!.standardError, errors.incidence[at]!, 1e-7)
        })
      }),
      { numRuns: 60, seed: 20240611 },
    )
  })

  it('do not depend on the order of rows', () => {
    fc.assert(
      fc.property(cohort, fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })), (rows, keys) => {
        const order = rows.time.map((_time, i) => ({ i, key: keys.next().value as number }))
        order.sort((a, b) => a.key - b.key)
        const shuffled = (column: readonly number[]): number[] => order.map(({ i }) => column[i]!)
        const options = { entry: rows.entry, cluster: rows.cluster }
        const moved = { entry: shuffled(rows.entry), cluster: shuffled(rows.cluster) }
        const a = cumulativeIncidence(rows.time, rows.cause, { ...options, causes: 2 })
        const b = cumulativeIncidence(shuffled(rows.time), shuffled(rows.cause), { ...moved, causes: 2 })
        a.causes.forEach((curve, k) => {
          curve.rows.forEach((step, at) => {
            close(b.causes[k]!.rows[at]!.incidence, step.incidence, 1e-12)
            close(b.causes[k]!.rows[at]!.standardError, step.standardError, 1e-12)
          })
        })
      }),
      { numRuns: 40, seed: 5 },
    )
  })

  it('are the same whether times are whole or rescaled to fractions', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const factor = 1 / 3
        const whole = kaplanMeier(rows.time, rows.event, { entry: rows.entry, cluster: rows.cluster })
        const scaled = kaplanMeier(
          rows.time.map((time) => time * factor),
          rows.event,
          { entry: rows.entry.map((time) => time * factor), cluster: rows.cluster },
        )
        expect(scaled.rows.map(({ time: _time, ...rest }) => rest)).toEqual(
          whole.rows.map(({ time: _time, ...rest }) => rest),
        )
      }),
      { numRuns: 40, seed: 6 },
    )
  })

  it('take whole weights as repetition', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const times = rows.weights.map((weight) => Math.round(weight * 4) % 3)
        fc.pre(times.some((count) => count > 0))
        const repeat = (column: readonly number[]): number[] =>
          column.flatMap((value, i) => new Array<number>(times[i]!).fill(value))
        const weighted = kaplanMeier(rows.time, rows.event, { weights: times, entry: rows.entry })
        const repeated = kaplanMeier(repeat(rows.time), repeat(rows.event), { entry: repeat(rows.entry) })
        expect(weighted.rows).toEqual(repeated.rows)
      }),
      { numRuns: 60, seed: 7 },
    )
  })

  it('of one group equal the whole; of merged groups equal the curve of their union', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const group = rows.cluster.map((code) => (code < 3 ? 'a' : 'b'))
        const both = kaplanMeierByGroup(
          rows.time,
          rows.event,
          group.map(() => 'all'),
          { entry: rows.entry },
        )
        expect(both[0]!.rows).toEqual(kaplanMeier(rows.time, rows.event, { entry: rows.entry }).rows)
        for (const curve of kaplanMeierByGroup(rows.time, rows.event, group, { entry: rows.entry })) {
          const own = (column: readonly number[]): number[] =>
            column.filter((_v, i) => group[i] === curve.group)
          const alone = kaplanMeier(own(rows.time), own(rows.event), { entry: own(rows.entry) })
          expect(curve.rows).toEqual(alone.rows)
        }
      }),
      { numRuns: 40, seed: 8 },
    )
  })

  it('fall monotonically, and their limits hold the estimate', () => {
    fc.assert(
      fc.property(
        cohort,
        fc.constantFrom('log-log', 'log', 'plain', 'arcsin', 'logit'),
        fc.boolean(),
        (rows, interval, clustered) => {
          const cluster = clustered ? rows.cluster : undefined
          let before = 1
          for (const step of kaplanMeier(rows.time, rows.event, { interval, cluster }).rows) {
            expect(step.survival).toBeLessThanOrEqual(before)
            before = step.survival
            if (typeof step.lower === 'number') expect(step.lower).toBeLessThanOrEqual(step.survival + 1e-12)
            if (typeof step.upper === 'number')
              expect(step.upper).toBeGreaterThanOrEqual(step.survival - 1e-12)
          }
          for (const { rows: steps } of cumulativeIncidence(rows.time, rows.cause, { interval, cluster })
            .causes) {
            steps.forEach((step, at) => {
              if (at > 0) expect(step.incidence).toBeGreaterThanOrEqual(steps[at - 1]!.incidence)
              if (typeof step.lower === 'number')
                expect(step.lower).toBeLessThanOrEqual(step.incidence + 1e-12)
              if (typeof step.upper === 'number')
                expect(step.upper).toBeGreaterThanOrEqual(step.incidence - 1e-12)
            })
          }
        },
      ),
      { numRuns: 100, seed: 9 },
    )
  })

  it('without late entry have Greenwood equal to the jackknife by row', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const greenwood = cumulativeIncidence(rows.time, rows.cause, { variance: 'greenwood' })
        const byRow = cumulativeIncidence(rows.time, rows.cause, { variance: 'robust' })
        const own = rows.time.map((_time, i) => i)
        const singletons = cumulativeIncidence(rows.time, rows.cause, { variance: 'robust', cluster: own })
        greenwood.causes.forEach((curve, k) => {
          curve.rows.forEach((step, at) => {
            close(byRow.causes[k]!.rows[at]!.standardError, step.standardError, 1e-7)
            close(
              singletons.causes[k]!.rows[at]!.standardError,
              byRow.causes[k]!.rows[at]!.standardError,
              1e-12,
            )
          })
        })
      }),
      { numRuns: 60, seed: 10 },
    )
  })

  it('with one cause make incidence the complement of survival', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const survival = kaplanMeier(rows.time, rows.event, { entry: rows.entry, cluster: rows.cluster }).rows
        const incidence = cumulativeIncidence(rows.time, rows.event, {
          entry: rows.entry,
          cluster: rows.cluster,
        })
        incidence.causes[0]!.rows.forEach((step, at) => {
          close(1 - step.incidence, survival[at]!.survival, 1e-12)
          const error = survival[at]!.standardError
          if (typeof error === 'number') close(step.standardError, error, 1e-10)
        })
      }),
      { numRuns: 60, seed: 11 },
    )
  })

  it('give the restricted mean the numerical jackknife of the area, also across groups that share patients', () => {
    fc.assert(
      fc.property(cohort, (rows) => {
        const group = rows.cause.map((_c, i) => i % 2)
        const tau = Math.min(...[0, 1].map((g) => Math.max(...rows.time.filter((_t, i) => group[i] === g))))
        const area = (weights: readonly number[], g: number): number =>
          restrictedMeanSurvivalTime(rows.time, rows.event, {
            weights: weights.map((weight, i) => (group[i] === g ? weight : 0)),
            entry: rows.entry,
            tau,
          }).estimate as number
        const sums = new Map<number, number>()
        rows.weights.forEach((weight, i) => {
          const step = 1e-5 * weight
          const moved = (by: number): number => {
            const weights = rows.weights.map((own, j) => (j === i ? own + by : own))
            return area(weights, 1) - area(weights, 0)
          }
          const derivative = (moved(step) - moved(-step)) / (2 * step)
          sums.set(rows.cluster[i]!, (sums.get(rows.cluster[i]!) ?? 0) + weight * derivative)
        })
        const variance = [...sums.values()].reduce((total, value) => total + value * value, 0)
        const result = compareRestrictedMeans(rows.time, rows.event, group, {
          entry: rows.entry,
          weights: rows.weights,
          cluster: rows.cluster,
          variance: 'robust',
          tau,
        })
        close(result.differences[0]!.estimate as number, area(rows.weights, 1) - area(rows.weights, 0), 1e-12)
        close(result.differences[0]!.standardError!.value, Math.sqrt(variance), 1e-6)
      }),
      { numRuns: 30, seed: 12 },
    )
  })
})
