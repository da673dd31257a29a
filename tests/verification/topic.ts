import { describe, expect, it } from 'vitest'
import { readReferenceCases } from '../../src/verification/referenceCase.js'
import { verifyCase } from '../../src/verification/verify.js'

const folder = new URL('../reference', import.meta.url).pathname

/** One test per reference case of a topic: every number under `expected` computed, and within its tolerance. */
export function describeTopic(topic: string): void {
  const cases = readReferenceCases(folder).filter((one) => one.topic === topic)
  describe(`reference cases of ${topic}`, () => {
    it.each(cases.map((one) => [one.id, one] as const))('%s', (_id, one) => {
      const outcome = verifyCase(one)
      expect(outcome.failure).toBeUndefined()
      expect(outcome.uncomputed).toEqual([])
      expect(outcome.disagreements).toEqual([])
      expect(outcome.values).toBeGreaterThan(0)
    })
  })
}
