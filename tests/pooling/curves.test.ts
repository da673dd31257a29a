import { describe, expect, it } from 'vitest'
import type { TimeCell } from '../../src/pooling/coordinator/cells.js'
import { crossing, through, throughWithSlopes } from '../../src/pooling/coordinator/comparison.js'
import {
  designEffect,
  gridCurve,
  groupRate,
  horizonRisks,
  type RateParts,
  yearsOf,
} from '../../src/pooling/coordinator/curves.js'
import { nodesOf } from '../../src/pooling/protocol/layout.js'
import { modelAt, nextCoefficients, settledStep } from '../../src/pooling/protocol/newton.js'
import { agreedOn } from './syntheticGroup.js'

const { protocol } = agreedOn()
const parts: RateParts = {
  group: 'single',
  n: 40,
  patients: 30,
  events: 10,
  years: 200,
  squares: [10, 50, 1400],
}

describe('the rate of a group', () => {
  it('has a variance that is that of patients, never below that of independent events', () => {
    // Σ(d − rate·t)² = 10 − 2·0.05·50 + 0.05²·1400 = 8.5 of 10 events: taken as 1.
    expect(designEffect(parts)).toBe(1)
    // 30 − 2·0.05·90 + 0.05²·1400 = 24.5 of 10.
    const clustered = { ...parts, squares: [30, 90, 1400] as const }
    expect(designEffect(clustered)).toBeCloseTo(2.45, 12)
    expect(designEffect({ ...clustered, events: 0 })).toBe(1)
    expect(designEffect({ ...clustered, years: 0 })).toBe(1)
    // 1.959964 is the upper 2.5 % point of the normal distribution.
    const rate = groupRate(clustered, protocol)
    const factor = Math.exp(1.959963984540054 * Math.sqrt(2.45 / 10))
    expect(rate.estimate).toBe(5)
    expect(rate.interval.lower).toBeCloseTo(5 / factor, 10)
    expect(rate.interval.upper).toBeCloseTo(5 * factor, 10)
    expect(rate).toMatchObject({ n: 40, events: 10, clusters: 30, level: 0.95, reference: 'pooled-sums' })
  })

  it('has exact limits with fewer than five events (Garwood 1936: 0 gives 3.688879, 4 give 1.089865 and 10.241589)', () => {
    const none = groupRate({ ...parts, events: 0, squares: [0, 0, 1400] }, protocol)
    expect(none.interval.lower).toBe(0)
    expect(none.interval.upper).toBeCloseTo(100 * (3.688879454 / 200), 8)
    const four = groupRate({ ...parts, events: 4, squares: [4, 20, 1400] }, protocol)
    expect(four.estimate).toBe(2)
    expect(four.interval.lower).toBeCloseTo(1.0898654 / 2, 6)
    expect(four.interval.upper).toBeCloseTo(10.2415886 / 2, 6)
    // Twice the variance: as two events, and twice their limits (0.242209 and 7.224688).
    const twice = groupRate({ ...parts, events: 4, squares: [8, 4.5 * (100 / 9), 5000] }, protocol)
    expect(designEffect({ ...parts, events: 4, squares: [8, 50, 5000] })).toBeCloseTo(2, 12)
    expect(twice.interval.lower).toBeCloseTo((2 * 0.2422093) / 2, 6)
    expect(twice.interval.upper).toBeCloseTo((2 * 7.2246877) / 2, 6)
    expect(groupRate({ ...parts, events: 5, squares: [5, 0, 0] }, protocol).method).toContain('log-scale')
  })

  it('is not estimable without time', () => {
    expect(groupRate({ ...parts, years: 0 }, protocol)).toMatchObject({
      estimate: { state: 'not-estimable', reason: 'no-time-at-risk' },
      interval: { lower: { reason: 'no-time-at-risk' } },
    })
  })

  it('counts in years of 365.25 days', () => {
    expect(yearsOf(730.5)).toBe(2)
  })
})

function cell(fromDay: number, toDay: number, endpoint: number, competing: number, days: number): TimeCell {
  return { id: '', fromDay, toDay, atRisk: 50, endpoint, competing, patients: 40, sites: 4, days }
}

describe('a curve on the grid', () => {
  it('is that of hazards which are constant within each interval', () => {
    const [first, second] = gridCurve([cell(0, 100, 4, 2, 4000), cell(100, 300, 3, 6, 3000)], 1, 0.95)
    // Hazards of 0.001 and 0.0005 a day for 100 days, then of 0.001 and 0.002 for 200.
    const left = Math.exp(-0.0015 * 100)
    const one = (0.001 / 0.0015) * (1 - left)
    expect(first).toMatchObject({ day: 100, atRisk: 50 })
    expect(first!.risk).toBeCloseTo(one, 12)
    expect(second!.day).toBe(300)
    expect(second!.risk).toBeCloseTo(one + left * (1 / 3) * (1 - Math.exp(-0.003 * 200)), 12)
  })

  it('without competing events has the limits of the cumulative hazard on the log scale', () => {
    // Risk 1 − exp(−H) with H = 100·4/4000 and variance of log H = 1/4 · effect.
    for (const effect of [1, 2]) {
      const [point] = gridCurve([cell(0, 100, 4, 0, 4000)], effect, 0.95)
      const spread = Math.exp(1.959963984540054 * Math.sqrt(effect / 4))
      expect(point!.risk).toBeCloseTo(1 - Math.exp(-0.1), 12)
      expect(point!.lower).toBeCloseTo(1 - Math.exp(-0.1 / spread), 10)
      expect(point!.upper).toBeCloseTo(1 - Math.exp(-0.1 * spread), 10)
    }
    // Over two intervals: H = 0.1 + 0.2, its variance 4·(100/4000)² + 3·(200/3000)².
    const second = gridCurve([cell(0, 100, 4, 0, 4000), cell(100, 300, 3, 0, 3000)], 1, 0.95)[1]!
    const variance = 4 * (100 / 4000) ** 2 + 3 * (200 / 3000) ** 2
    const spread = Math.exp((1.959963984540054 * Math.sqrt(variance)) / 0.3)
    expect(second.risk).toBeCloseTo(1 - Math.exp(-0.3), 12)
    expect(second.lower).toBeCloseTo(1 - Math.exp(-0.3 / spread), 10)
    expect(second.upper).toBeCloseTo(1 - Math.exp(-0.3 * spread), 10)
  })

  it('with competing events has the variance that small changes of the hazards give', () => {
    const cells = [cell(0, 100, 4, 2, 4000), cell(100, 300, 3, 6, 3000)]
    const risk = (changed: readonly TimeCell[]) => gridCurve(changed, 1, 0.95)[1]!.risk
    const step = 1e-5
    let variance = 0
    cells.forEach((one, i) => {
      for (const which of ['endpoint', 'competing'] as const) {
        const moved = (by: number) =>
          cells.map((other, j) => (i === j ? { ...other, [which]: other[which] + by } : other))
        const slope = (risk(moved(step)) - risk(moved(-step))) / (2 * step)
        variance += slope * slope * one[which]
      }
    })
    const point = gridCurve(cells, 1, 0.95)[1]!
    const scaled = -Math.log(1 - point.risk)
    const half = (1.959963984540054 * Math.sqrt(variance)) / ((1 - point.risk) * scaled)
    expect(point.lower).toBeCloseTo(1 - Math.exp(-scaled * Math.exp(-half)), 7)
    expect(point.upper).toBeCloseTo(1 - Math.exp(-scaled * Math.exp(half)), 7)
  })

  it('stays at 0 without events, with the upper limit of none over all the time', () => {
    const [first, second] = gridCurve([cell(0, 100, 0, 0, 4000), cell(100, 300, 0, 5, 3000)], 2, 0.95)
    expect(first).toMatchObject({ risk: 0, lower: 0 })
    expect(first!.upper).toBeCloseTo(1 - Math.exp((-3.688879454 * 2 * 100) / 4000), 8)
    expect(second!.upper).toBeCloseTo(1 - Math.exp((-3.688879454 * 2 * 300) / 7000), 8)
  })

  it('ends where nobody is at risk', () => {
    expect(
      gridCurve([cell(0, 100, 1, 0, 4000), cell(100, 300, 0, 0, 0), cell(300, 400, 1, 0, 10)], 1, 0.95),
    ).toHaveLength(1)
  })

  it('gives risks at the horizons that it reaches, and says that it does not reach the others', () => {
    const curve = gridCurve([cell(0, 365, 4, 0, 9000), cell(365, 1096, 4, 0, 9000)], 1, 0.95)
    const [one, three, five] = horizonRisks(curve, parts, protocol)
    expect(one).toMatchObject({
      years: 1,
      atRisk: 50,
      estimate: curve[0]!.risk,
      n: 40,
      events: 10,
      clusters: 30,
    })
    expect(one!.interval).toEqual({ lower: curve[0]!.lower, upper: curve[0]!.upper })
    expect(three).toMatchObject({ years: 3, estimate: curve[1]!.risk })
    expect(five).toMatchObject({
      years: 5,
      atRisk: 0,
      estimate: { state: 'not-estimable', reason: 'too-few-followed-that-long' },
      interval: { lower: { reason: 'too-few-followed-that-long' } },
    })
  })
})

describe('a function through its nodes', () => {
  const nodes = nodesOf(protocol)
  const { count, largest } = protocol.nodes
  const points = [-largest, -1.234, -0.1, 0, 0.77, 1.9, largest]

  it('is the polynomial itself, of a degree below the number of nodes', () => {
    const polynomial = (x: number): number => 1 - 2 * x + 0.5 * x ** 3 + 0.01 * x ** (count - 1)
    const along = through(nodes.map(polynomial), protocol)
    for (const x of [...points, ...nodes]) expect(along(x)).toBeCloseTo(polynomial(x), 9)
  })

  it('with slopes is the polynomial of twice the degree', () => {
    const degree = 2 * count - 1
    const polynomial = (x: number): number => 1 + x - (x / largest) ** degree
    const slope = (x: number): number => 1 - (degree / largest) * (x / largest) ** (degree - 1)
    const along = throughWithSlopes(nodes.map(polynomial), nodes.map(slope), protocol)
    for (const x of [...points, ...nodes]) expect(along(x)).toBeCloseTo(polynomial(x), 8)
  })

  it('crosses 0 where it falls through it, and nowhere where it does not', () => {
    expect(crossing((x) => 0.7 - x, protocol)).toBeCloseTo(0.7, 12)
    expect(crossing((x) => -1.3 - x, protocol)).toBeCloseTo(-1.3, 12)
    expect(crossing((x) => x - 0.7, protocol)).toBeUndefined()
    expect(crossing(() => 1, protocol)).toBeUndefined()
    expect(crossing(() => -1, protocol)).toBeUndefined()
    expect(crossing((x) => largest - x, protocol)).toBeUndefined()
    expect(crossing((x) => -largest - x, protocol)).toBeUndefined()
  })
})

describe("Newton's step of the model in rounds", () => {
  const two = agreedOn({ covariates: [{ field: 'sex', levels: ['female', 'male'] }] }).protocol
  const totals = (information: readonly number[], score: readonly number[], squares = information) => ({
    'e/model/counts': Float64Array.of(90, 12),
    'e/model/score': Float64Array.from(score),
    'e/model/information': Float64Array.from(information),
    'e/model/patientSquares': Float64Array.from(squares),
  })

  it('solves the information for the score, and puts the squares of patients between', () => {
    // The matrix of 4, 1 and 3 has the determinant 11 and the inverse 3, −1, 4 over 11.
    const at = modelAt(totals([4, 1, 3], [1, 2], [8, 2, 6]), two, 'e', [0.1, 0.2])!
    expect(at.step[0]).toBeCloseTo((3 * 1 - 1 * 2) / 11, 12)
    expect(at.step[1]).toBeCloseTo((-1 * 1 + 4 * 2) / 11, 12)
    // Squares of twice the information make twice the inverse.
    expect(at.covariance.map((row) => [...row])).toEqual([
      [expect.closeTo(6 / 11, 12), expect.closeTo(-2 / 11, 12)],
      [expect.closeTo(-2 / 11, 12), expect.closeTo(8 / 11, 12)],
    ])
    expect(at).toMatchObject({ coefficients: [0.1, 0.2], restorations: 90, events: 12 })
    expect(nextCoefficients(at)).toEqual([expect.closeTo(0.1 + 1 / 11, 12), expect.closeTo(0.2 + 7 / 11, 12)])
  })

  it('is none where the sums hold no information on a coefficient', () => {
    expect(modelAt(totals([0, 0, 0], [0, 0]), two, 'e', [0, 0])).toBeUndefined()
    expect(modelAt(totals([4, 0, 0], [1, 0]), two, 'e', [0, 0])).toBeUndefined()
    expect(nextCoefficients(undefined)).toBeUndefined()
  })

  it('ends where every step is short, and where a coefficient runs away', () => {
    const at = (step: readonly number[], coefficients = [0, 0]) => ({
      ...modelAt(totals([1, 0, 1], step), two, 'e', coefficients)!,
    })
    expect(nextCoefficients(at([settledStep * 0.9, -settledStep * 0.9]))).toBeUndefined()
    expect(nextCoefficients(at([settledStep * 0.9, -settledStep * 1.1]))).toHaveLength(2)
    expect(nextCoefficients(at([0.5, 0], [5.5, 0]))).toHaveLength(2)
    expect(nextCoefficients(at([0.6, 0], [5.5, 0]))).toBeUndefined()
    expect(nextCoefficients(at([0, -0.6], [0, -5.5]))).toBeUndefined()
  })
})
