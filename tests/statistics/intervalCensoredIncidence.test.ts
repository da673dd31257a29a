import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { cumulativeIncidence } from '../../src/statistics/curves/competingRisks.js'
import {
  intervalCensoredSurvival,
  survivalBounds,
} from '../../src/statistics/intervalCensored/intervalCensored.js'
import {
  incidenceBounds,
  intervalCensoredIncidence,
} from '../../src/statistics/intervalCensored/intervalCensoredIncidence.js'

const never = Number.POSITIVE_INFINITY

describe('interval-censored incidence of competing causes', () => {
  it('is the share of each cause where all are seen at one visit', () => {
    const lower = [0, 0, 0, 0, 3, 3, 3, 3]
    const upper = [3, 3, 3, 3, never, never, never, never]
    const estimate = intervalCensoredIncidence({ lower, upper }, [1, 1, 1, 2, 0, 0, 0, 0])
    expect(incidenceBounds(estimate, 1, 3).lower).toBeCloseTo(3 / 8, 7)
    expect(incidenceBounds(estimate, 2, 3).upper).toBeCloseTo(1 / 8, 7)
    expect(incidenceBounds(estimate, 1, 1)).toMatchObject({ lower: 0 })
    expect(estimate.massBeyond).toBeCloseTo(0.5, 7)
  })

  it('is the Aalen–Johansen estimate where times are known or right censored', () => {
    const time = [1, 2, 2, 3, 4, 5, 6, 7, 8, 9]
    const cause = [1, 2, 0, 1, 0, 2, 1, 0, 1, 0]
    const upper = time.map((one, row) => (cause[row] === 0 ? never : one))
    const estimate = intervalCensoredIncidence({ lower: time, upper }, cause)
    const curve = cumulativeIncidence(time, cause)
    for (const at of [1, 3, 6, 8]) {
      for (const k of [1, 2]) {
        const { lower, upper: most } = incidenceBounds(estimate, k, at)
        const wanted = curve.causes[k - 1]!.rows.filter((row) => row.time <= at).at(-1)!.incidence
        expect(lower).toBeCloseTo(wanted, 6)
        expect(most).toBeCloseTo(wanted, 6)
      }
    }
  })

  const intervals = fc.array(
    fc.record({
      lower: fc.integer({ min: 0, max: 8 }),
      width: fc.integer({ min: 0, max: 4 }),
      open: fc.boolean(),
    }),
    { minLength: 3, maxLength: 25 },
  )

  it('with one cause has the likelihood of the estimate without competition, and its bounds hold that estimate', () => {
    fc.assert(
      fc.property(intervals, (rows) => {
        fc.pre(rows.some((one) => !one.open))
        const lower = rows.map((one) => one.lower)
        const upper = rows.map((one) => (one.open ? never : one.lower + one.width))
        const estimate = intervalCensoredIncidence(
          { lower, upper },
          rows.map((one) => (one.open ? 0 : 1)),
        )
        const single = intervalCensoredSurvival({ lower, upper })
        expect(estimate.logLikelihood).toBeCloseTo(single.logLikelihood, 4)
        if (!estimate.converged) return
        const at = 4
        const free = survivalBounds(single, at)
        const found = incidenceBounds(estimate, 1, at)
        expect(found.lower).toBeLessThanOrEqual(1 - free.lower + 1e-3)
        expect(found.upper).toBeGreaterThanOrEqual(1 - free.upper - 1e-3)
      }),
      { numRuns: 40, seed: 3 },
    )
  })

  it('adds up to 1, whatever the order of the rows, and takes a weight for so many rows', () => {
    const lower = [0, 1, 2, 2, 3, 0, 1, 4, 2, 3]
    const upper = [2, 3, never, 4, 5, 1, 4, never, 3, never]
    const cause = [1, 2, 0, 1, 2, 1, 1, 0, 2, 0]
    const whole = intervalCensoredIncidence({ lower, upper }, cause)
    const mass = whole.causes.flatMap((one) => one.intervals.map(({ mass: own }) => own))
    expect(mass.reduce((sum, one) => sum + one, whole.massBeyond)).toBeCloseTo(1, 6)
    const turned = intervalCensoredIncidence(
      { lower: [...lower].reverse(), upper: [...upper].reverse() },
      [...cause].reverse(),
    )
    expect(turned.logLikelihood).toBeCloseTo(whole.logLikelihood, 9)
    const weights = [2, 1, 1, 1, 1, 1, 1, 1, 1, 0]
    const weighted = intervalCensoredIncidence({ lower, upper }, cause, { weights })
    const written = [0, 0, 1, 2, 3, 4, 5, 6, 7, 8]
    const repeated = intervalCensoredIncidence(
      { lower: written.map((row) => lower[row]!), upper: written.map((row) => upper[row]!) },
      written.map((row) => cause[row]!),
    )
    expect(weighted.logLikelihood).toBeCloseTo(repeated.logLikelihood, 9)
  })

  it('has the maximum that R finds on a fine grid of times (EM on the whole matrix, and optim)', () => {
    const lower = [0, 1, 2, 2, 3, 0, 1, 4, 2, 3]
    const upper = [2, 3, never, 4, 5, 1, 4, never, 3, never]
    const estimate = intervalCensoredIncidence({ lower, upper }, [1, 2, 0, 1, 2, 1, 1, 0, 2, 0])
    expect(estimate.logLikelihood).toBeCloseTo(-11.9645000777, 7)
    expect(incidenceBounds(estimate, 1, 2).lower).toBeCloseTo(0.2, 6)
    expect(incidenceBounds(estimate, 2, 3).upper).toBeCloseTo(0.2285714, 6)
    expect(incidenceBounds(estimate, 1, 4).upper).toBeCloseTo(0.4857143, 6)
    expect(incidenceBounds(estimate, 2, 5).lower).toBeCloseTo(0.5142857, 6)
  })

  const competing = fc.array(
    fc.record({
      lower: fc.integer({ min: 0, max: 9 }),
      width: fc.integer({ min: 0, max: 4 }),
      cause: fc.integer({ min: 0, max: 2 }),
      weight: fc.integer({ min: 1, max: 3 }),
    }),
    { minLength: 3, maxLength: 40 },
  )

  it('has no lower likelihood than plain EM on a fine grid, and the same mass in every row', () => {
    fc.assert(
      fc.property(competing, (rows) => {
        fc.pre(rows.some((one) => one.cause > 0))
        const lower = rows.map((one) => one.lower)
        const upper = rows.map((one) => (one.cause === 0 ? never : one.lower + one.width))
        const cause = rows.map((one) => one.cause)
        const weights = rows.map((one) => one.weight)
        const total = weights.reduce((sum, one) => sum + one, 0)
        const estimate = intervalCensoredIncidence({ lower, upper }, cause, { weights })
        const plain = plainExpectationMaximisation(lower, upper, cause, weights)
        expect(estimate.logLikelihood).toBeGreaterThanOrEqual(plain.logLikelihood - 1e-9)
        // The derivatives say how far the plain algorithm can still be from the maximum.
        expect(estimate.logLikelihood).toBeLessThanOrEqual(plain.logLikelihood + total * plain.excess + 1e-9)
        const cells = estimate.causes.flatMap(({ cause: own, intervals: masses }) =>
          masses.map((one) => ({ ...one, cause: own })),
        )
        rows.forEach((row, i) => {
          const own = cells.filter(
            (cell) => cell.lower >= row.lower && (row.cause === 0 || row.cause === cell.cause),
          )
          const inside = own.filter((cell) =>
            row.cause === 0
              ? cell.lower > row.lower || cell.upper !== cell.lower
              : typeof cell.upper === 'number' &&
                cell.upper <= row.lower + row.width &&
                (row.width === 0 || cell.upper > row.lower),
          )
          const covered = inside.reduce(
            (sum, one) => sum + one.mass,
            row.cause === 0 ? estimate.massBeyond : 0,
          )
          expect(covered).toBeCloseTo(plain.covered[i]!, 3)
        })
      }),
      { numRuns: 60, seed: 8 },
    )
  })

  it('reaches the maximum where plain EM takes many thousand passes', () => {
    const visits = Array.from({ length: 240 }, (_one, i) => ({
      lower: (i * 37) % 97,
      width: 3 + ((i * 11) % 29),
      cause: i % 5 < 2 ? 0 : 1 + (i % 2),
    }))
    const estimate = intervalCensoredIncidence(
      {
        lower: visits.map((one) => one.lower),
        upper: visits.map((one) => (one.cause === 0 ? never : one.lower + one.width)),
      },
      visits.map((one) => one.cause),
    )
    expect(estimate.excess).toBeLessThanOrEqual(1e-12)
    expect(estimate.iterations).toBeLessThan(3000)
  })

  it('refuses a cause without an end, and a cause that it does not know', () => {
    expect(() => intervalCensoredIncidence({ lower: [0, 1], upper: [1, never] }, [1, 2])).toThrow(
      'column cause says an event where upper is Infinity, first in row 2 of 2. Expected: a cause above 0 exactly where upper is a time. Mend: give rows without an event the upper limit Infinity and the cause 0.',
    )
    const estimate = intervalCensoredIncidence({ lower: [0, 1], upper: [1, never] }, [1, 0])
    expect(() => incidenceBounds(estimate, 3, 1)).toThrow('the estimate has no cause 3. Expected: one of 1.')
  })
})

/** EM without any shortcut: every whole time and every gap between two of them is a cell of each cause. */
function plainExpectationMaximisation(
  lower: readonly number[],
  upper: readonly number[],
  cause: readonly number[],
  weights: readonly number[],
): { readonly logLikelihood: number; readonly excess: number; readonly covered: readonly number[] } {
  const latest = 15
  const cells = [1, 2].flatMap((own) =>
    Array.from({ length: 2 * latest }, (_one, half) => ({ cause: own, time: half / 2 })),
  )
  const covers = lower.map((from, row) => [
    ...cells.map((cell) =>
      cause[row] === 0
        ? cell.time > from
        : cause[row] === cell.cause &&
          (upper[row] === from ? cell.time === from : cell.time > from && cell.time <= upper[row]!),
    ),
    cause[row] === 0,
  ])
  const total = weights.reduce((sum, one) => sum + one, 0)
  let mass: readonly number[] = covers[0]!.map((_one, _j, all) => 1 / all.length)
  let covered: readonly number[] = []
  let excess = 1
  for (let pass = 0; pass < 3000 && excess > 1e-9; pass++) {
    covered = covers.map((one) => mass.reduce((sum, own, j) => sum + (one[j] ? own : 0), 0))
    const ratios = mass.map(
      (_one, j) =>
        covers.reduce((sum, one, row) => sum + (one[j] ? weights[row]! / covered[row]! : 0), 0) / total,
    )
    excess = Math.max(...ratios) - 1
    mass = mass.map((own, j) => own * ratios[j]!)
  }
  const logLikelihood = covered.reduce((sum, one, row) => sum + weights[row]! * Math.log(one), 0)
  return { logLikelihood, excess, covered }
}
