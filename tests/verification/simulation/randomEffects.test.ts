import { describe, expect, it } from 'vitest'
import { randomEffectsStudy } from '../../../src/verification/simulation/randomEffects.js'
import { hasPage, numbersOf, tableOf } from './tables.js'

describe('the study of random effects', () => {
  it('finds the mean and holds it in most samples', async () => {
    const [head, , ...rows] = await tableOf(randomEffectsStudy, 20)
    expect(rows).toHaveLength(2 * 3 * 2 + 2 * 3 * 4)
    expect(rows.every((row) => row.length === head!.length)).toBe(true)
    for (const row of rows) {
      const [bias, error] = numbersOf(row[7]!)
      // Adding to clinics without events and weights from their counts move log rates a little.
      expect(Math.abs(bias!)).toBeLessThan(4 * error! + (row[0] === 'log rates' ? 0.15 : 0))
      if (row[0] === 'log rate ratios') expect(numbersOf(row[10]!)[0]).toBeGreaterThan(75)
    }
    const spread = (tauSquared: string): number =>
      Number(rows.find((row) => row[1] === '20' && row[2] === tauSquared && row[0] === 'log rate ratios')![8])
    expect(spread('0.3')).toBeGreaterThan(spread('0'))
  })

  it('has its plan and result in the documentation', () => {
    expect(hasPage(randomEffectsStudy)).toBe(true)
  })
})
