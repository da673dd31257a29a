import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { hostname, tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { openScratch, sweepScratch } from '../../src/core/scratch.js'
import { runHoldfast } from '../cli/runHoldfast.js'
import { contentOf, folderWithSheet, full, leftIn } from './faults.js'
import { writers } from './writers.js'

const sentence =
  'the memory that Node may use did not suffice for these records; nothing was written. Expected: memory for the whole data set. Mend: close other programs, or set NODE_OPTIONS=--max-old-space-size=8192 (megabytes, less than the machine has), and run again.\n'

const limited = (megabytes: number) => ({ NODE_OPTIONS: `--max-old-space-size=${megabytes}` })

/** Commands that hold records, or make them. */
const holding = full
  ? (['audit', 'changes', 'needed', 'watch', 'check', 'recall', 'deidentify', 'merge', 'demo'] as const)
  : (['audit', 'merge', 'demo'] as const)

it.each(holding)(
  '%s that runs out of memory says so in a sentence, leaves what was there, and runs with more',
  async (name) => {
    const { words, prepare } = writers[name]!
    const folder = folderWithSheet()
    await prepare?.(folder)
    const before = contentOf(folder)
    // So little that it ends on the way, and a little more each time until it does not.
    let ended = 0
    for (let megabytes = 8; megabytes <= 64; megabytes += 8) {
      const { code, stderr } = await runHoldfast(folder, words, limited(megabytes))
      if (code === 0) break
      ended += 1
      expect({ code, stderr, megabytes }).toEqual({ code: 1, stderr: sentence, megabytes })
      const now = [...contentOf(folder)].filter(
        ([file]) => !leftIn(folder).some((left) => file.startsWith(left)),
      )
      expect(new Map(now)).toEqual(before)
    }
    expect(ended).toBeGreaterThan(0)
    expect(await runHoldfast(folder, words)).toMatchObject({ code: 0 })
    expect(leftIn(folder)).toEqual([])
  },
  600_000,
)

it('tells it of one data set of several, and audits the others', async () => {
  const folder = folderWithSheet()
  expect(await runHoldfast(folder, ['demo', 'large', '--restorations', '20000'])).toMatchObject({ code: 0 })
  expect(await runHoldfast(folder, ['demo', 'small', '--restorations', '60'])).toMatchObject({ code: 0 })
  const words = ['audit', 'large', 'small', 'practice.csv', '--each', '--formats', 'none', '--out', 'made']
  const { code, stderr, stdout } = await runHoldfast(folder, [...words, '--date', '2026-01-31'], limited(32))
  expect(stderr).toBe(`large: ${sentence}`)
  expect(code).toBe(1)
  expect(stdout).toContain('2 of 3 data sets audited.')
  expect(readdirSync(join(folder, 'made')).sort()).toEqual(['practice', 'small'])
}, 600_000)

it('removes the temporary folders of runs that are gone, and no others', () => {
  const mine = openScratch('engine')
  const machine = hostname().replace(/[^A-Za-z0-9]+/g, '')
  const gone = mkdtempSync(join(tmpdir(), `holdfast-engine-${machine}-4194305-`))
  const elsewhere = mkdtempSync(join(tmpdir(), `holdfast-engine-other${machine}-4194305-`))
  try {
    sweepScratch()
    expect([mine, gone, elsewhere].map((folder) => existsSync(folder))).toEqual([true, false, true])
  } finally {
    for (const folder of [mine, gone, elsewhere]) rmSync(folder, { recursive: true, force: true })
  }
})
