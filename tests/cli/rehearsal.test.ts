import { expect, it } from 'vitest'
import { rehearseComparison } from '../../src/cli/rehearsal.js'

it('rehearses a comparison to its estimate, with values to complete and every challenge that the records allow', () => {
  const result = rehearseComparison()
  expect(result?.lead).toBeDefined()
  expect(result?.imputations).toBeGreaterThan(1)
  expect(result?.challenges.map(({ code }) => code)).toEqual(
    expect.arrayContaining([
      'undocumented-as-single',
      'same-years',
      'equal-follow-up',
      'operator-trends',
      'doubly-robust',
      'loss',
      'complete-cases',
    ]),
  )
})
