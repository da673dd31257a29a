import { expect, it } from 'vitest'
import { poolRows, rowsByClinic } from '../../src/pooling/coordinator/poolRows.js'
import { agreedOn, type SyntheticPractice, syntheticPractice } from './syntheticGroup.js'

function verdictOf(eventShare: number, smallestDifference = 0.05) {
  const agreed = agreedOn({ smallestDifference })
  const [endpoint] = agreed.protocol.endpoints
  const practices: readonly SyntheticPractice[] = [1, 2, 3, 4].map((i) => ({
    name: `Practice ${i}`,
    restorations: 60,
    eventShare,
    groupShare: 0.5,
  }))
  const rows = practices.flatMap((one, i) =>
    rowsByClinic({ [endpoint!]: syntheticPractice(agreed.protocol, one, 40 + i) }),
  )
  return poolRows(rows, agreed, { generated: true }).endpoints[0]!.verdict
}

it('scales the interval that was seen to the smallest difference that matters', () => {
  const { verdict, needed, difference } = verdictOf(0.12, 0.002)
  expect(verdict).toBe('open')
  const half = (difference!.upper - difference!.lower) / 2
  const [own] = needed!.scenarios
  expect(own!.own).toBe(true)
  // An interval narrows with the root of the number of restorations.
  expect(own!.restorations / needed!.now).toBeCloseTo((half / needed!.halfWidth) ** 2, 1)
  expect(verdictOf(0.12, 0.05).needed).toBeUndefined()
  expect(half * Math.sqrt(needed!.now / own!.restorations)).toBeLessThanOrEqual(needed!.halfWidth)
})

it('tries risks where too few events were seen, each larger one with more restorations', () => {
  const { verdict, needed } = verdictOf(0.01)
  expect(verdict).toBe('cannot-be-known')
  expect(needed!.scenarios.map(({ risk, own }) => [risk, own])).toEqual([
    [0.03, false],
    [0.05, false],
    [0.1, false],
  ])
  const counts = needed!.scenarios.map(({ restorations }) => restorations)
  expect([...counts].sort((a, b) => a - b)).toEqual(counts)
  // At least 2 z² r (1 − r) / δ² in each of two groups of equal size, from the normal interval of a difference.
  const simple = (risk: number): number => (4 * 1.959964 ** 2 * risk * (1 - risk)) / needed!.halfWidth ** 2
  expect(counts[2]!).toBeGreaterThanOrEqual(Math.floor(simple(0.1)))
  expect(counts[2]!).toBeLessThan(1.5 * simple(0.1))
})
