import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { manyRankSumsTest, rankSumTest } from '../../src/statistics/means/ranks.js'
import {
  clusteredRiskDifference,
  clusteredRiskRatio,
} from '../../src/statistics/proportions/clusteredComparison.js'
import { clusteredProportion } from '../../src/statistics/proportions/clusteredProportion.js'
import { contingencyTest } from '../../src/statistics/proportions/contingency.js'
import { pooledOddsRatio, pooledRiskRatio } from '../../src/statistics/proportions/mantelHaenszel.js'
import { fisherTest, oddsRatio } from '../../src/statistics/proportions/oddsRatio.js'
import type { ProportionMethod } from '../../src/statistics/proportions/proportionLimits.js'
import { proportion } from '../../src/statistics/proportions/proportions.js'
import { riskDifference, riskRatio } from '../../src/statistics/proportions/twoProportions.js'
import { clusteredRate } from '../../src/statistics/rates/clusteredRate.js'
import { rateRatio } from '../../src/statistics/rates/rateComparison.js'
import type { RateMethod } from '../../src/statistics/rates/rateLimits.js'
import { rateInterval } from '../../src/statistics/rates/rates.js'

const level = fc.constantFrom(0.5, 0.8, 0.9, 0.95, 0.99, 0.999)
const group = fc
  .integer({ min: 1, max: 400 })
  .chain((n) => fc.record({ events: fc.integer({ min: 0, max: n }), n: fc.constant(n) }))
const interior = fc
  .integer({ min: 2, max: 400 })
  .chain((n) => fc.record({ events: fc.integer({ min: 1, max: n - 1 }), n: fc.constant(n) }))
const methods: readonly ProportionMethod[] = [
  'wilson',
  'wilson-corrected',
  'exact',
  'mid-p',
  'jeffreys',
  'likelihood-ratio',
  'agresti-coull',
  'wald',
  'wald-corrected',
]
const method = fc.constantFrom(...methods)
const rateMethod = fc.constantFrom<RateMethod[]>('garwood', 'mid-p', 'log-wald')

interface Rows {
  readonly event: number[]
  readonly group: number[]
  readonly time: number[]
  readonly cluster: number[]
}

const rows: fc.Arbitrary<Rows> = fc
  .array(
    fc.record({
      event: fc.integer({ min: 0, max: 1 }),
      group: fc.integer({ min: 0, max: 1 }),
      time: fc.integer({ min: 1, max: 3000 }),
      cluster: fc.integer({ min: 1, max: 25 }),
    }),
    { minLength: 4, maxLength: 80 },
  )
  .map((all) => ({
    event: all.map((one) => one.event),
    group: all.map((one) => one.group),
    time: all.map((one) => one.time),
    cluster: all.map((one) => one.cluster),
  }))

function reversed({ event, group: side, time, cluster }: Rows): Rows {
  return {
    event: [...event].reverse(),
    group: [...side].reverse(),
    time: [...time].reverse(),
    cluster: [...cluster].reverse(),
  }
}

/** Every number of a result, in order, tagged states as their texts. */
function leaves(value: unknown): (number | string)[] {
  if (typeof value === 'number' || typeof value === 'string') return [value]
  if (typeof value === 'object' && value !== null) return Object.values(value).flatMap(leaves)
  return []
}

function expectAlike(one: unknown, two: unknown, relative = 1e-9): void {
  const [first, second] = [leaves(one), leaves(two)]
  expect(first.length).toBe(second.length)
  first.forEach((value, i) => {
    const other = second[i]!
    if (typeof value === 'number' && typeof other === 'number') {
      expect(Math.abs(value - other)).toBeLessThanOrEqual(relative * (1e-3 + Math.abs(value)))
    } else expect(value).toBe(other)
  })
}

/** Whether numbers, where both limits and the estimate are such, stand in their order. */
function expectHeld({
  estimate,
  interval,
}: {
  estimate: unknown
  interval: { lower: unknown; upper: unknown }
}): void {
  const slack = (value: number): number => 1e-9 * (1 + Math.abs(value))
  if (typeof estimate !== 'number') return
  if (typeof interval.lower === 'number')
    expect(interval.lower).toBeLessThanOrEqual(estimate + slack(estimate))
  if (typeof interval.upper === 'number')
    expect(interval.upper).toBeGreaterThanOrEqual(estimate - slack(estimate))
}

describe('one proportion', () => {
  it('complement: the limits of the non-events mirror those of the events', () => {
    fc.assert(
      fc.property(group, method, level, ({ events, n }, by, at) => {
        const one = proportion(events, n, { method: by, level: at, clip: false }).interval
        const two = proportion(n - events, n, { method: by, level: at, clip: false }).interval
        expect(1 - (two.upper as number)).toBeCloseTo(one.lower as number, 10)
        expect(1 - (two.lower as number)).toBeCloseTo(one.upper as number, 10)
      }),
    )
  })

  it('score, exact and likelihood limits hold the estimate and lie within [0, 1]', () => {
    const holding = fc.constantFrom<ProportionMethod[]>(
      'wilson',
      'wilson-corrected',
      'exact',
      'likelihood-ratio',
    )
    fc.assert(
      fc.property(group, holding, level, ({ events, n }, by, at) => {
        const { lower, upper } = proportion(events, n, { method: by, level: at, clip: false }).interval
        expect(lower as number).toBeGreaterThanOrEqual(0)
        expect(upper as number).toBeLessThanOrEqual(1)
        expect(lower as number).toBeLessThanOrEqual(events / n + 1e-12)
        expect(upper as number).toBeGreaterThanOrEqual(events / n - 1e-12)
      }),
    )
  })

  it('limits rise with events and widen with the level; the exact interval holds the mid-P one', () => {
    fc.assert(
      fc.property(interior, method, ({ events, n }, by) => {
        const at = (x: number, confidence: number) =>
          proportion(x, n, { method: by, level: confidence, clip: false }).interval
        const [here, more, wide] = [at(events, 0.9), at(events + 1, 0.9), at(events, 0.99)]
        if (by !== 'wald' && by !== 'wald-corrected' && by !== 'agresti-coull') {
          expect(more.lower as number).toBeGreaterThan(here.lower as number)
          expect(more.upper as number).toBeGreaterThanOrEqual(here.upper as number)
        }
        expect(wide.lower as number).toBeLessThan(here.lower as number)
        expect(wide.upper as number).toBeGreaterThan(here.upper as number)
        const exact = proportion(events, n, { method: 'exact' }).interval
        const middle = proportion(events, n, { method: 'mid-p' }).interval
        expect(exact.lower as number).toBeLessThan(middle.lower as number)
        expect(exact.upper as number).toBeGreaterThan(middle.upper as number)
      }),
    )
  })
})

describe('one rate', () => {
  it('scales with time, rises with events, widens with the level', () => {
    const count = fc.integer({ min: 1, max: 500 })
    fc.assert(
      fc.property(
        count,
        fc.double({ min: 0.01, max: 1e6, noNaN: true }),
        rateMethod,
        level,
        (x, time, by, at) => {
          const here = rateInterval(x, time, { method: by, level: at })
          expectAlike(rateInterval(x, time * 7, { method: by, level: at, per: 7 }), here)
          const more = rateInterval(x + 1, time, { method: by, level: at })
          expect(more.lower as number).toBeGreaterThan(here.lower as number)
          const wide = rateInterval(x, time, { method: by, level: (1 + at) / 2 })
          expect(wide.lower as number).toBeLessThan(here.lower as number)
          expect(wide.upper as number).toBeGreaterThan(here.upper as number)
        },
      ),
    )
  })
})

describe('two groups', () => {
  it('exchanging the groups turns differences over and ratios into their inverse', () => {
    const by = fc.constantFrom(
      'newcombe',
      'newcombe-corrected',
      'score',
      'miettinen-nurminen',
      'wald' as const,
    )
    fc.assert(
      fc.property(interior, interior, by, level, (one, two, how, at) => {
        const options = { method: how as 'score', level: at }
        const [there, back] = [riskDifference(one, two, options), riskDifference(two, one, options)]
        expect(there.interval.lower as number).toBeCloseTo(-(back.interval.upper as number), 9)
        expectHeld(there)
        const [ratio, inverse] = [riskRatio(one, two, { level: at }), riskRatio(two, one, { level: at })]
        expect(Math.log(ratio.interval.lower as number)).toBeCloseTo(
          -Math.log(inverse.interval.upper as number),
          8,
        )
        expectHeld(ratio)
      }),
    )
  })

  it('odds ratios mirror in groups and in outcome; exact limits hold the conditional estimate', () => {
    fc.assert(
      fc.property(group, group, level, (one, two, at) => {
        const flip = ({ events, n }: { events: number; n: number }) => ({ events: n - events, n })
        const here = oddsRatio(one, two, { method: 'exact', level: at })
        const flipped = oddsRatio(flip(two), flip(one), { method: 'exact', level: at })
        expectAlike(here.interval, flipped.interval, 1e-7)
        expectHeld(here)
        expectAlike(fisherTest(one, two).pValue, fisherTest(flip(one), flip(two)).pValue)
      }),
      { numRuns: 60 },
    )
  })

  it('a score limit excludes equality exactly where the chi-square rejects it', () => {
    fc.assert(
      fc.property(interior, interior, (one, two) => {
        const table = [one, two].map(({ events, n }) => [events, n - events])
        const pValue = contingencyTest(table).pValue as number
        fc.pre(Math.abs(pValue - 0.05) > 1e-6)
        const { lower, upper } = riskDifference(one, two, { method: 'score' }).interval
        const excluded = (lower as number) > 0 || (upper as number) < 0
        expect(excluded).toBe(pValue < 0.05)
        const ratio = riskRatio(one, two).interval
        expect((ratio.lower as number) > 1 || (ratio.upper as number) < 1).toBe(pValue < 0.05)
      }),
    )
  })

  it('the exact rate ratio mirrors when the groups change places', () => {
    const side = fc.record({
      events: fc.integer({ min: 0, max: 300 }),
      timeAtRisk: fc.double({ min: 0.1, max: 1e5, noNaN: true }),
    })
    fc.assert(
      fc.property(side, side, level, (one, two, at) => {
        const [there, back] = [rateRatio(one, two, { level: at }), rateRatio(two, one, { level: at })]
        if (typeof there.interval.lower === 'number' && there.interval.lower > 0) {
          const product = there.interval.lower * (back.interval.upper as number)
          expect(product).toBeCloseTo(1, 9)
        }
        expectHeld(there)
      }),
    )
  })

  it('strata: order does not matter, and a stratum repeated keeps the estimate', () => {
    const stratum = fc.record({ group: interior, against: interior })
    fc.assert(
      fc.property(fc.array(stratum, { minLength: 1, maxLength: 6 }), (strata) => {
        expectAlike(pooledOddsRatio(strata), pooledOddsRatio([...strata].reverse()))
        const doubled = pooledRiskRatio([...strata, ...strata])
        expectAlike(doubled.estimate, pooledRiskRatio(strata).estimate)
        const shrunk = pooledRiskRatio(strata).standardError!.value / Math.SQRT2
        expectAlike(doubled.standardError!.value, shrunk)
      }),
    )
  })
})

describe('rows in clusters', () => {
  it('the order of the rows and the names of the clusters do not matter', () => {
    fc.assert(
      fc.property(rows, level, (all, at) => {
        const options = { level: at }
        const back = reversed(all)
        const named = back.cluster.map((cluster) => `c${cluster * 7}`)
        expectAlike(
          clusteredProportion(all.event, all.cluster, options),
          clusteredProportion(back.event, named, options),
        )
        expectAlike(
          clusteredRate(all.event, all.time, all.cluster, options),
          clusteredRate(back.event, back.time, named, options),
        )
        for (const contrast of [clusteredRiskDifference, clusteredRiskRatio]) {
          expectAlike(
            contrast(all.event, all.group, all.cluster, options),
            contrast(back.event, back.group, named, options),
          )
        }
      }),
    )
  })

  it('inputs stay as they were, results are frozen, and no number is NaN or infinite', () => {
    fc.assert(
      fc.property(rows, (all) => {
        const before = JSON.stringify(all)
        const results = [
          clusteredProportion(all.event, all.cluster),
          clusteredRate(all.event, all.time, all.cluster, { per: 36525 }),
          clusteredRiskDifference(all.event, all.group, all.cluster),
          clusteredRiskRatio(all.event, all.group, all.cluster),
        ]
        expect(JSON.stringify(all)).toBe(before)
        for (const result of results) {
          expect(Object.isFrozen(result)).toBe(true)
          expect(leaves(result).every((leaf) => typeof leaf === 'string' || Number.isFinite(leaf))).toBe(true)
          expectHeld(result)
        }
      }),
    )
  })

  it('clusters of one row give the independent answer', () => {
    fc.assert(
      fc.property(rows, (all) => {
        const own = all.event.map((_, row) => row)
        const events = all.event.reduce((sum, event) => sum + event, 0)
        const n = own.length
        const at = events === 0 || events === n ? 'exact' : 'wilson'
        expectAlike(
          clusteredProportion(all.event, own).interval,
          proportion(events, n, { method: at }).interval,
        )
        const time = all.time.reduce((sum, one) => sum + one, 0)
        expectAlike(clusteredRate(all.event, all.time, own).interval, rateInterval(events, time))
      }),
    )
  })

  it('rows copied within their cluster leave estimate and robust error as they were', () => {
    fc.assert(
      fc.property(rows, (all) => {
        fc.pre(new Set(all.cluster).size > 1)
        const twice = <T>(column: T[]): T[] => [...column, ...column]
        const one = clusteredProportion(all.event, all.cluster)
        const two = clusteredProportion(twice(all.event), twice(all.cluster))
        expectAlike(two.estimate, one.estimate)
        if (one.standardError !== undefined && new Set(all.cluster).size < all.cluster.length) {
          expectAlike(two.standardError!.value, one.standardError.value)
        }
        const rate = clusteredRate(all.event, all.time, all.cluster)
        const copied = clusteredRate(twice(all.event), twice(all.time), twice(all.cluster))
        expectAlike(copied.estimate, rate.estimate)
      }),
    )
  })
})

describe('ranks', () => {
  const sample = fc.array(fc.integer({ min: -5, max: 5 }), { minLength: 2, maxLength: 12 })

  it('do not change under a monotone transformation, and mirror when the samples change places', () => {
    fc.assert(
      fc.property(sample, sample, (first, second) => {
        const here = rankSumTest(first, second)
        const rising = (x: number): number => x ** 3 + x
        expectAlike(rankSumTest(first.map(rising), second.map(rising)), here)
        const back = rankSumTest(second, first)
        expect((here.statistic as number) + (back.statistic as number)).toBe(first.length * second.length)
        expectAlike(back.exactPValue, here.exactPValue)
      }),
    )
  })

  it('of two samples: Kruskal and Wallis’s H is the square of the normal deviate', () => {
    fc.assert(
      fc.property(sample, sample, (first, second) => {
        const values = [...first, ...second]
        const labels = values.map((_, row) => (row < first.length ? 'first' : 'second'))
        expectAlike(manyRankSumsTest(values, labels).pValue, rankSumTest(first, second).normalPValue, 1e-8)
      }),
    )
  })
})
