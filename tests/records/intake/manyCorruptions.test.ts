import fc from 'fast-check'
import { expect, it } from 'vitest'
import { anyCorruption, demoGround, fatesOf } from './corruptions.js'

/** Cells corrupted in each form of the demo data: some hundreds, or two thousand together in the long form. */
const runs =
  process.env.HOLDFAST_FAULTS === 'full'
    ? { 'three-tables': 1_200, 'one-sheet': 800 }
    : { 'three-tables': 400, 'one-sheet': 300 }

it.each(['three-tables', 'one-sheet'] as const)(
  'corrupted cells of the demo data (%s) move no headline in silence',
  async (form) => {
    const ground = demoGround(form)
    const fateOf = await fatesOf(ground)
    const fates = new Map<string, number>()
    await fc.assert(
      fc.asyncProperty(anyCorruption(ground), async (corruption) => {
        const fate = await fateOf(corruption)
        fates.set(fate, (fates.get(fate) ?? 0) + 1)
        expect(fate).not.toBe('silent')
      }),
      { numRuns: runs[form] },
    )
    expect(fates.get('stops') ?? 0).toBeGreaterThan(runs[form] / 4)
    expect(fates.get('counted as unknown') ?? 0).toBeGreaterThan(0)
  },
  2_400_000,
)
