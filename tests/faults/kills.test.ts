import { cpSync, existsSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { runHoldfast } from '../cli/runHoldfast.js'
import { contentOf, folderWithSheet, full, killedAfter, leftIn } from './faults.js'

/** Commands that write, each with what it writes; the second run of each replaces what the first has written. */
const writing = [
  ['audit', ['audit', 'practice.csv', '--formats', 'none', '--out', 'made', '--date', '2026-01-31']],
  ['template', ['template', 'made']],
  ['demo', ['demo', 'made', '--restorations', '300']],
  [
    'deidentify',
    ['deidentify', 'practice.csv', '--out', 'made', '--accept-small-groups', '1', '--date', '2026-01-31'],
  ],
  ['recall', ['recall', 'practice.csv', '--out', 'made', '--date', '2026-01-31']],
] as const

const kills = full ? 40 : 3

it.each(writing)(
  '%s, killed at any moment, leaves what was there or the whole, and the next run leaves nothing behind',
  async (name, words) => {
    const folder = folderWithSheet()
    const start = Date.now()
    const first = await runHoldfast(folder, words)
    const lasts = Date.now() - start
    expect(first.stderr).toBe('')
    expect(first.code).toBe(0)
    const whole = filesMade(folder)
    const chance = randomStream(20_261_129, name.length)
    for (let kill = 0; kill < kills; kill++) {
      // Every other time there is nothing yet.
      if (kill % 2 === 1) rmSync(join(folder, 'made'), { recursive: true, force: true })
      await killedAfter(folder, words, chance.uniform() * lasts)
      if (existsSync(join(folder, 'made'))) expect(filesMade(folder)).toEqual(whole)
      const again = await runHoldfast(folder, words)
      expect(again.stderr).toBe('')
      expect(again.code).toBe(0)
      expect(filesMade(folder)).toEqual(whole)
      expect(leftIn(folder)).toEqual([])
    }
  },
  1_200_000,
)

/** Names of what was made: a page, or the files of a folder. */
function filesMade(folder: string): readonly string[] {
  const copy = folderWithSheet()
  cpSync(join(folder, 'made'), join(copy, 'made'), { recursive: true })
  return [...contentOf(copy).keys()].filter((one) => one.startsWith('made'))
}

it('brings back an earlier report that a killed run had moved aside', async () => {
  const folder = folderWithSheet()
  const words = ['audit', 'practice.csv', '--formats', 'none', '--out', 'made', '--date', '2026-01-31']
  await runHoldfast(folder, words)
  const aside = '.made-new-00000000-0000-4000-8000-000000000000-earlier'
  cpSync(join(folder, 'made'), join(folder, aside), { recursive: true })
  rmSync(join(folder, 'made'), { recursive: true })
  // A folder that cannot be replaced by a report shows that it came back: the run stops, and it stands there.
  cpSync(join(folder, 'practice.csv'), join(folder, aside, 'practice.csv'))
  const { code, stderr } = await runHoldfast(folder, words)
  expect(stderr).toContain('the folder made holds files that are not those of a report.')
  expect(code).toBe(2)
  expect(existsSync(join(folder, 'made', 'answer.json'))).toBe(true)
  expect(leftIn(folder)).toEqual([])
})
