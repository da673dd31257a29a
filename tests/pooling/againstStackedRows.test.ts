import { describe, expect, it } from 'vitest'
import { pooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { poolRows, rowsByClinic } from '../../src/pooling/coordinator/poolRows.js'
import { fromWholeNumbers, layoutOf, wholeNumbers } from '../../src/pooling/protocol/layout.js'
import { logRank } from '../../src/statistics/groupTests/comparison.js'
import { coxRegression } from '../../src/statistics/hazardModels/cox.js'
import { pooledRateRatio } from '../../src/statistics/proportions/mantelHaenszel.js'
import { agreedOn, groupRows, numbersOfRows, stacked } from './syntheticGroup.js'

const agreed = agreedOn()
const { protocol } = agreed
const all = groupRows(protocol)
const rows = stacked(all)
const endpoint = protocol.endpoints[0]!
const layout = layoutOf(protocol)

/** The sums of all practices, rounded to parts of 128 times a factor before they are added. */
function sumsAt(finer: number) {
  const whole = all.map((one) => wholeNumbers(numbersOfRows(one, protocol).sums, layout, finer))
  const total = whole[0]!.map((_value, i) => whole.reduce((sum, one) => sum + one[i]!, 0))
  return fromWholeNumbers(total, layout, finer)
}

/** The result without the rounding of what is released, so that it can be compared closely. */
function resultAt(finer: number) {
  return pooledResult(sumsAt(finer), agreed, {
    route: 'rows',
    sites: all.map(({ clinics }) => ({ name: clinics[0]!, open: false })),
    generated: true,
  }).endpoints[0]!
}

const fine = resultAt(2 ** 26)
const coarse = resultAt(1)
const fit = coxRegression(
  { start: rows.start, stop: rows.stop, event: rows.event },
  { group: rows.group },
  { strata: rows.stratum, cluster: rows.patient },
)
const ratio = fit.hazardRatios[0]!
const log = Math.log(ratio.estimate as number)
const error = ratio.standardError!.value

function relative(found: unknown, expected: number): number {
  return Math.abs((found as number) / expected - 1)
}

describe('sums of fifteen practices of 20 to 300 restorations against their rows laid together', () => {
  it('counts every row, also of the practice without events and of the one with one group', () => {
    const sums = sumsAt(1)
    expect(sums.one).toEqual(Float64Array.of(15))
    for (const [group, name] of [
      [0, 'against'],
      [1, 'group'],
    ] as const) {
      const own = rows.group.flatMap((one, row) => (one === group ? [row] : []))
      expect(sums[`${endpoint}/restorations`]![group], name).toBe(own.length)
      expect(sums[`${endpoint}/events`]![group]).toBe(own.filter((row) => rows.event[row] === 1).length)
      expect(sums[`${endpoint}/patients`]![group]).toBe(new Set(own.map((row) => rows.patient[row]!)).size)
      const days = own.reduce((sum, row) => sum + rows.stop[row]! - Math.max(0, rows.start[row]!), 0)
      expect(sums[`${endpoint}/days`]![group]).toBe(days)
      const grid = sums[`${endpoint}/grid`]!.slice(group * 200, (group + 1) * 200)
      const events = Array.from({ length: 40 }, (_one, j) => grid[j * 5 + 1]!).reduce((sum, one) => sum + one)
      expect(events).toBe(own.filter((row) => rows.event[row] === 1).length)
      const inFifth = own.filter((row) => rows.start[row]! < 457 && rows.stop[row]! > 365).length
      expect(grid[4 * 5]).toBe(inFifth)
    }
  })

  it('gives the hazard ratio and its patient-robust error, to 1e-8 at a scale for tests', () => {
    const { hazardRatio } = fine.comparison
    expect(Math.abs(Math.log(hazardRatio.estimate as number) - log)).toBeLessThan(1e-8)
    expect(relative(hazardRatio.standardError!.value, error)).toBeLessThan(1e-8)
  })

  it('keeps both within what rounding to parts of 128 explains', () => {
    const { hazardRatio } = coarse.comparison
    expect(Math.abs(Math.log(hazardRatio.estimate as number) - log)).toBeLessThan(0.006 * error)
    expect(relative(hazardRatio.standardError!.value, error)).toBeLessThan(0.008)
  })

  it('gives the log-rank test stratified by clinic', () => {
    const columns = [rows.stop, rows.event, rows.group.map(String)] as const
    // Nobody enters on day 0, so that an entry of -1 and one of 0 mean the same to a row that leaves later.
    const options = { strata: rows.stratum, entry: rows.start.map((one) => Math.max(0, one)) }
    const test = logRank(...columns, options)
    expect(relative(fine.comparison.logRank.statistic, test.statistic as number)).toBeLessThan(1e-8)
    expect(relative(coarse.comparison.logRank.statistic, test.statistic as number)).toBeLessThan(0.01)
  })

  it('gives the rate ratio by Mantel and Haenszel', () => {
    const strata = [...new Set(rows.stratum)].map((name) => {
      const side = (group: number) => {
        const own = rows.group.flatMap((one, row) =>
          one === group && rows.stratum[row] === name ? [row] : [],
        )
        return {
          events: own.reduce((sum, row) => sum + rows.event[row]!, 0),
          timeAtRisk: own.reduce(
            (sum, row) => sum + (rows.stop[row]! - Math.max(0, rows.start[row]!)) / 365.25,
            0,
          ),
        }
      }
      return { group: side(1), against: side(0) }
    })
    const expected = pooledRateRatio(strata, { level: 0.95 })
    expect(relative(fine.comparison.rateRatio.estimate, expected.estimate as number)).toBeLessThan(1e-8)
    expect(
      relative(fine.comparison.rateRatio.interval.upper, expected.interval.upper as number),
    ).toBeLessThan(1e-7)
    expect(relative(coarse.comparison.rateRatio.estimate, expected.estimate as number)).toBeLessThan(0.003)
  })

  it('gives the same by rows, nothing rounded', () => {
    const clinics = all.flatMap((one) => rowsByClinic({ [endpoint]: one }))
    const byRows = poolRows(clinics, agreed).endpoints[0]!
    expect(Math.abs(Math.log(byRows.comparison.hazardRatio.estimate as number) - log)).toBeLessThan(1e-8)
    expect(byRows.groups[1]).toMatchObject({ restorations: rows.group.filter((one) => one === 1).length })
  })
})
