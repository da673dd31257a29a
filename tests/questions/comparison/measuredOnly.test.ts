import { expect, it } from 'vitest'
import { compareTightenings, defaultComparison } from '../../../src/questions/comparison/answer.js'
import { practice, type TestRestoration } from '../practice.js'

it('sets what the chart says against those of them that were measured', () => {
  // Two fifths have tightenings; for the others the chart alone says which way.
  const restorations = Array.from({ length: 400 }, (_one, i): TestRestoration => {
    const repeated = i % 2 === 0
    const fields = { tightening_group: repeated ? 'repeated' : 'single' }
    const course = i % (repeated ? 16 : 9) < 2 ? { checks: [200], loose: 500 } : { checks: [400, 1300] }
    return { ...course, fields, repeated: i % 5 < 2 ? repeated : 'unknown' }
  })
  const result = compareTightenings(
    practice(restorations),
    { group: 'repeated in the window', against: 'single' },
    { ...defaultComparison, adjustFor: [] },
  )!
  expect(result.groups.by).toBe('chart')
  const measured = result.challenges.find(({ code }) => code === 'measured-only')!
  expect(measured.estimate).not.toBe(undefined)
  expect(measured.estimate).not.toBe(result.lead!.difference.estimate)
  expect(['lower', 'higher']).not.toContain(result.verdict)
})
