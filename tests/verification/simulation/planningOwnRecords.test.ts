import { expect, it } from 'vitest'
import { planningSettings, widthReached } from '../../../src/verification/simulation/planningOwnRecords.js'

it('foretells the width of both intervals three years ahead: three practices with many events', () => {
  const found = [0, 1, 2].map((replicate) => widthReached(planningSettings[0]!, 1, replicate))
  for (const side of ['risk', 'comparison'] as const) {
    const mean = found.reduce((sum, one) => sum + one[side]!, 0) / found.length
    expect(mean, side).toBeGreaterThan(0.85)
    expect(mean, side).toBeLessThan(1.15)
  }
})
