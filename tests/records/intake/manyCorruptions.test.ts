import fc from 'fast-check'
import { expect, it } from 'vitest'
import { anyCorruption, fateOf } from './corruptions.js'

it('two thousand corrupted cells move no headline in silence', async () => {
  await fc.assert(
    fc.asyncProperty(anyCorruption, async (corruption) => {
      expect(await fateOf(corruption)).not.toBe('silent')
    }),
    { numRuns: 2_000 },
  )
}, 1_200_000)
