import { describe, expect, it } from 'vitest'
import { falseAlarmsStudy } from '../../../src/verification/simulation/falseAlarms.js'
import { hasPage, numbersOf, tableOf } from './tables.js'

describe('the study of false alarms', () => {
  it('sets what it finds beside the design', async () => {
    const [head, , ...rows] = await tableOf(falseAlarmsStudy, 20)
    expect(rows).toHaveLength(1 + 3 + 2 * 5 + 3 * 2)
    expect(rows.every((row) => row.length === head!.length)).toBe(true)
    const found = (chart: string, measure: string): number =>
      numbersOf(rows.find((row) => row[0]!.startsWith(chart) && row[1]!.startsWith(measure))![3]!)[0]!
    const runLength = found('cumulative', 'cases')
    expect(runLength).toBeGreaterThan(350)
    expect(runLength).toBeLessThan(700)
    // Two thousand readings at 0.27%: about 5 expected, correlated; hardly ever above 1%.
    expect(found('moving average, centre', 'readings')).toBeLessThan(1)
    // A geometric gap lies above its mean and three standard deviations with a chance of about e⁻⁴ = 1.8%.
    expect(Math.abs(found('cases between events, 200', 'gaps above 3') - 1.8)).toBeLessThan(1.5)
    expect(found('cases between events, 200', 'gaps below')).toBe(0)
    for (const units of ['20 units of 100', '20 units of 10 to', '8 units']) {
      const inner = found(`funnel, ${units}`, 'units outside the inner')
      expect(inner).toBeLessThan(15)
      expect(found(`funnel, ${units}`, 'units outside the outer')).toBeLessThanOrEqual(inner)
    }
  })

  it('has its plan and result in the documentation', () => {
    expect(hasPage(falseAlarmsStudy)).toBe(true)
  })
})
