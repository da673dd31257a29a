import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { anyCorruption, fatesOf, smallGround } from './corruptions.js'

describe('a corrupted cell of an outcome or exposure', () => {
  it('moves the headline only with a stop, a listed set-aside, or a count among the unknown', async () => {
    const ground = smallGround()
    const fateOf = await fatesOf(ground)
    const fates = new Map<string, number>()
    await fc.assert(
      fc.asyncProperty(anyCorruption(ground), async (corruption) => {
        const fate = await fateOf(corruption)
        fates.set(fate, (fates.get(fate) ?? 0) + 1)
        expect(fate).not.toBe('silent')
      }),
      { numRuns: 80, seed: 20_261_129 },
    )
    // The property would hold of nothing at all: most corruptions have to stop.
    expect(fates.get('stops') ?? 0).toBeGreaterThan(20)
  })
})
