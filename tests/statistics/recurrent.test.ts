import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { meanCountWithTerminalEvents, meanCumulativeCount } from '../../src/statistics/curves/recurrent.js'

/** One restoration: days of its events, its end, and whether removal or death ended it. */
interface History {
  readonly events: readonly number[]
  readonly end: number
  readonly terminal: boolean
  readonly patient: number
}

/** Histories as stretches between events. */
function stretches(histories: readonly History[]) {
  const rows = histories.flatMap(({ events, end, terminal, patient }, unit) => {
    const days = [...new Set(events.filter((day) => day < end))].sort((a, b) => a - b)
    const starts = [0, ...days]
    return starts.map((start, at) => {
      const isLast = at === days.length
      return {
        entry: start,
        time: isLast ? end : days[at]!,
        outcome: isLast ? (terminal ? 2 : 0) : 1,
        unit,
        patient,
      }
    })
  })
  return {
    time: rows.map((row) => row.time),
    outcome: rows.map((row) => row.outcome),
    event: rows.map((row) => (row.outcome === 1 ? 1 : 0)),
    entry: rows.map((row) => row.entry),
    unit: rows.map((row) => row.unit),
    patient: rows.map((row) => row.patient),
  }
}

const histories = fc.array(
  fc.record({
    events: fc.array(fc.integer({ min: 1, max: 9 }), { maxLength: 4 }),
    end: fc.integer({ min: 2, max: 10 }),
    terminal: fc.boolean(),
    patient: fc.integer({ min: 0, max: 4 }),
  }),
  { minLength: 3, maxLength: 14 },
)

describe('mean cumulative count', () => {
  it('is that of a hand-worked example', () => {
    // three units; events at 2 (of 3 at risk) and 4 (of 2 at risk)
    const curve = meanCumulativeCount([2, 5, 4, 6, 3], [1, 0, 1, 0, 0], {
      entry: [0, 2, 0, 4, 0],
      unit: ['a', 'a', 'b', 'b', 'c'],
    })
    expect(curve.rows.filter((row) => row.events > 0).map((row) => row.meanCount)).toEqual([
      1 / 3,
      1 / 3 + 1 / 2,
    ])
    expect([curve.n, curve.events, curve.rows[0]!.atRisk]).toEqual([3, 2, 3])
  })

  it("with everyone followed to one end has Nelson's variance equal to that of a mean", () => {
    fc.assert(
      fc.property(histories, (given) => {
        const whole = stretches(given.map((one) => ({ ...one, end: 10, terminal: false })))
        const counts = given.map((one) => new Set(one.events.filter((day) => day < 10)).size)
        const mean = counts.reduce((sum, count) => sum + count, 0) / counts.length
        const spread = counts.reduce((sum, count) => sum + (count - mean) ** 2, 0)
        const curve = meanCumulativeCount(whole.time, whole.event, {
          entry: whole.entry,
          unit: whole.unit,
          variance: 'nelson',
        })
        const last = curve.rows.at(-1)!
        expect(last.meanCount).toBeCloseTo(mean, 12)
        const expected = Math.sqrt(spread / (counts.length * (counts.length - 1)))
        // where units agree the variance is 0 or a rounding to either side of it
        if (expected > 0) expect(last.standardError).toBeCloseTo(expected, 7)
        else expect(typeof last.standardError === 'number' ? last.standardError : 0).toBeCloseTo(0, 7)
        const robust = meanCumulativeCount(whole.time, whole.event, {
          entry: whole.entry,
          unit: whole.unit,
        }).rows.at(-1)!
        expect(robust.standardError).toBeCloseTo(Math.sqrt(spread) / counts.length, 7)
      }),
      { numRuns: 60, seed: 2 },
    )
  })

  it("with units that leave has Nelson's covariances summed pair by pair", () => {
    fc.assert(
      fc.property(histories, (given) => {
        const columns = stretches(given.map((one) => ({ ...one, terminal: false })))
        const days = [...new Set(columns.time.filter((_day, row) => columns.event[row] === 1))].sort(
          (a, b) => a - b,
        )
        const ends = given.map((one) => one.end)
        const has = (unit: number, day: number): number =>
          given[unit]!.events.includes(day) && day < ends[unit]! ? 1 : 0
        const left = (day: number): number[] => [...ends.keys()].filter((unit) => ends[unit]! >= day)
        let variance = 0
        for (const k of days) {
          for (const j of days.filter((day) => day <= k)) {
            const units = left(k)
            const share = units.reduce((sum, unit) => sum + has(unit, j), 0) / units.length
            const product = units.reduce((sum, unit) => sum + (has(unit, j) - share) * has(unit, k), 0)
            variance += ((j === k ? 1 : 2) * product) / ((units.length - 1) * left(j).length)
          }
        }
        const curve = meanCumulativeCount(columns.time, columns.event, {
          entry: columns.entry,
          unit: columns.unit,
          variance: 'nelson',
        })
        const found = curve.rows.filter((row) => row.events > 0).at(-1)?.standardError
        if (found === undefined) return
        if (Number.isFinite(variance) && variance > 1e-9) expect(found).toBeCloseTo(Math.sqrt(variance), 8)
        else if (!(variance > -1e-9)) expect(found).toMatchObject({ state: 'not-estimable' })
      }),
      { numRuns: 100, seed: 4 },
    )
  })

  it('with terminal events has the numerical jackknife over patients', () => {
    const meanAt = (
      columns: ReturnType<typeof stretches>,
      weights: readonly number[],
      end: number,
    ): number => {
      let free = 1
      let mean = 0
      for (let day = 1; day <= end; day++) {
        const sum = (chosen: (row: number) => boolean): number =>
          weights.reduce((total, weight, row) => total + (chosen(row) ? weight : 0), 0)
        const atRisk = sum((row) => columns.entry[row]! < day && columns.time[row]! >= day)
        if (atRisk === 0) continue
        mean += (free * sum((row) => columns.time[row] === day && columns.outcome[row] === 1)) / atRisk
        free *= 1 - sum((row) => columns.time[row] === day && columns.outcome[row] === 2) / atRisk
      }
      return mean
    }
    fc.assert(
      fc.property(histories, (given) => {
        const columns = stretches(given)
        const one = columns.time.map(() => 1)
        const curve = meanCountWithTerminalEvents(columns.time, columns.outcome, {
          entry: columns.entry,
          unit: columns.unit,
          cluster: columns.patient,
        })
        const last = curve.rows.at(-1)!
        expect(last.meanCount).toBeCloseTo(meanAt(columns, one, 10), 12)
        const sums = new Map<number, number>()
        one.forEach((_weight, row) => {
          const moved = (by: number): number =>
            meanAt(
              columns,
              one.map((weight, other) => (other === row ? weight + by : weight)),
              10,
            )
          const derivative = (moved(1e-5) - moved(-1e-5)) / 2e-5
          sums.set(columns.patient[row]!, (sums.get(columns.patient[row]!) ?? 0) + derivative)
        })
        const variance = [...sums.values()].reduce((total, value) => total + value * value, 0)
        expect(last.standardError).toBeCloseTo(Math.sqrt(variance), 7)
        expect(curve.terminalEvents).toBe(given.filter((history) => history.terminal).length)
      }),
      { numRuns: 60, seed: 3 },
    )
  })

  it('without terminal events is the mean cumulative count', () => {
    const columns = stretches([
      { events: [2, 4], end: 6, terminal: false, patient: 1 },
      { events: [3], end: 5, terminal: false, patient: 2 },
    ])
    const options = { entry: columns.entry, unit: columns.unit }
    const simple = meanCumulativeCount(columns.time, columns.event, options)
    const terminal = meanCountWithTerminalEvents(columns.time, columns.outcome, options)
    expect(terminal.rows.map((row) => row.meanCount)).toEqual(simple.rows.map((row) => row.meanCount))
  })

  it('refuses gaps and weights for the variance between units', () => {
    expect(() =>
      meanCumulativeCount([2, 5, 3], [1, 0, 0], {
        entry: [0, 3, 0],
        unit: ['a', 'a', 'b'],
        variance: 'nelson',
      }),
    ).toThrow(
      "a unit enters late, or its stretches overlap or leave a gap. Expected: for Nelson's variance, every unit followed from 0 to its end without a gap. Mend: give the column unit, correct the stretches, or use the variance 'lawless-nadeau'.",
    )
    expect(() => meanCumulativeCount([2, 5], [1, 0], { weights: [1, 2], variance: 'nelson' })).toThrow(
      "weights were given for Nelson's variance. Expected: units that count alike. Mend: leave the weights out, or use the variance 'lawless-nadeau'.",
    )
  })
})
