import { expect, it } from 'vitest'
import { exampleProtocol } from '../../../src/pooling/protocol.js'
import type { MadeSummary } from '../../../src/pooling/siteSummary.js'
import { siteOf } from '../../../src/verification/simulation/attackedClinics.js'
import { disclosureStudy } from '../../../src/verification/simulation/disclosure.js'
import {
  patientsBehind,
  patientsBehindChanges,
} from '../../../src/verification/simulation/summaryAttacker.js'

const protocol = { ...exampleProtocol, strata: null, balance: [], gridDays: [100, 200] }

/** A clinic that shares whatever it has, on one grid and without any rule. */
function careless(events: number) {
  const rows = siteOf(
    Array.from({ length: 30 }, (_one, i) => ({
      time: i < 15 ? 50 : 150,
      entry: 0,
      status: i < events ? 1 : 0,
      group: i % 2,
      stratum: 0,
      patient: i,
      levels: [],
      key: String(i),
    })),
    protocol,
  )
  const names = [protocol.groups.against, protocol.groups.group]
  const block = {
    levels: ['all'],
    intervalEndsDays: [100, 200],
    groups: names.map((group) => ({ group })),
  }
  const grouping = { blockOf: [0], blocks: 1, foldCompeting: false, mergeGroups: false }
  const made = { summary: { blocks: [block], balance: [] }, plan: { grouping, ends: [[0, 1]] } }
  return { rows, made: made as unknown as MadeSummary }
}

it('finds what a careless clinic gives away', () => {
  expect(Math.min(...patientsBehind(careless(3), protocol))).toBe(1)
  expect(Math.min(...patientsBehindChanges(careless(3), careless(5), protocol))).toBe(1)
})

it('finds nothing in what the program shares', async () => {
  const table = await disclosureStudy.run({ replicates: 8, onProgress: () => undefined })
  const fewest = table
    .split('\n')
    .filter((line) => /^\| (one|second)/.test(line))
    .map((line) => line.split('|').map((cell) => cell.trim()))
  expect(fewest).toHaveLength(5)
  for (const cells of fewest) {
    expect(cells[5] === 'none' || Number(cells[5]) >= 5).toBe(true)
    expect(cells[6]).toBe('0')
  }
}, 30_000)
