import { describe, expect, it } from 'vitest'
import { unbounded } from '../../../src/core/estimate.js'
import { intervalPerformance } from '../../../src/verification/simulation/intervalPerformance.js'
import {
  intervalOf,
  performanceCells,
  performanceHeads,
  simulatedMean,
} from '../../../src/verification/simulation/simulatedShares.js'

describe('what tables of simulation studies show', () => {
  it('gives a mean its Monte Carlo error', () => {
    // By hand: mean 3, squares about it 4 + 0 + 4, variance 4, error √(4/3).
    expect(simulatedMean([1, 3, 5])).toEqual({ mean: 3, error: Math.sqrt(4 / 3) })
    expect(simulatedMean([2])).toEqual({ mean: 2, error: 0 })
  })

  it('takes only intervals of which all is known', () => {
    expect(intervalOf(1, 0.5, 0, 2)).toEqual({ estimate: 1, standardError: 0.5, lower: 0, upper: 2 })
    expect(intervalOf(1, 0.5, 0, unbounded('above'))).toBeUndefined()
    expect(intervalOf(1, undefined, 0, 2)).toBeUndefined()
  })

  it('fills as many cells as there are heads', () => {
    const found = intervalPerformance(1, [
      { estimate: 0, standardError: 1, lower: -2, upper: 2 },
      { estimate: 4, standardError: 1, lower: 2, upper: 6 },
    ])
    const cells = performanceCells(found, 2)
    expect(cells.split('|')).toHaveLength(performanceHeads.split('|').length)
    // Spread √8, error of the bias √8/√2 = 2; half of the intervals lie above 1.
    expect(cells).toBe('| 2 | 1.00 | 2.00 | 1.00 ± 2.00 | 2.83 | 1.00 | 50.0 ± 35.4 | 50.0 | 0.0 |')
  })
})
