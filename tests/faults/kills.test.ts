import { cpSync, existsSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { programFor } from '../../src/cli/commandLine.js'
import { randomStream } from '../../src/core/random.js'
import { runHoldfast } from '../cli/runHoldfast.js'
import { folderWithSheet, full, killedAfter, leftIn } from './faults.js'
import { groupSteps, type Writer, writeNothing, writers } from './writers.js'

/** With ten of each step of a study group more than 200 in the long form. */
const kills = full ? 10 : 1

it('kills every command of the program that writes', async () => {
  const listed = [...Object.keys(writers), ...groupSteps, ...writeNothing]
  const there = (await programFor()).commands.map((command) => command.name())
  expect(listed.sort()).toEqual(there.sort())
})

/** Files below a path by their names, with what they hold; a file by itself under ''. */
function filesBelow(path: string): ReadonlyMap<string, string> {
  if (!existsSync(path)) return new Map()
  if (statSync(path).isFile()) return new Map([['', readFileSync(path, 'latin1')]])
  const names = readdirSync(path, { recursive: true, encoding: 'utf8' })
  return new Map(
    names
      .filter((name) => statSync(join(path, name)).isFile())
      .map((name) => [name, readFileSync(join(path, name), 'latin1')]),
  )
}

const isTemporary = (name: string): boolean => /(^|\/)\.[^/]*\.(part|lock)$/.test(name)

/** What stands where a killed run wrote is what it would have written, bit by bit, or what was there before. */
function expectWhole(
  left: ReadonlyMap<string, string>,
  whole: ReadonlyMap<string, string>,
  of: Writer,
): void {
  const names = [...left.keys()].filter((name) => !isTemporary(name))
  if (of.wholeFolder === true && names.length > 0) expect(names.sort()).toEqual([...whole.keys()].sort())
  for (const name of names) {
    expect(whole.has(name), name).toBe(true)
    if (of.draws !== true) expect(left.get(name), name).toBe(whole.get(name))
    else if (name.endsWith('.json') || name === '')
      expect(() => JSON.parse(left.get(name)!), name).not.toThrow()
    else expect(left.get(name)!.endsWith('\n'), name).toBe(true)
  }
}

it.each(Object.entries(writers))(
  '%s, killed at any moment, leaves what was there or the whole, and the next run leaves nothing behind',
  async (name, of) => {
    const start = folderWithSheet()
    await of.prepare?.(start)
    const paths = of.writes ?? ['made']
    const fresh = (from: string): string => {
      const folder = folderWithSheet()
      cpSync(from, folder, { recursive: true })
      return folder
    }
    const undisturbed = fresh(start)
    const begun = performance.now()
    const first = await runHoldfast(undisturbed, of.words)
    const lasts = performance.now() - begun
    expect(first.code, first.stderr).toBe(0)
    const whole = paths.map((path) => filesBelow(join(undisturbed, path)))
    expect(whole.every((files) => files.size > 0)).toBe(true)
    const chance = randomStream(20_261_129, name.length)
    for (let kill = 0; kill < kills; kill++) {
      // Every other time the earlier output is there.
      const folder = fresh(kill % 2 === 0 || of.once === true ? start : undisturbed)
      await killedAfter(folder, of.words, chance.uniform() * lasts)
      const left = paths.map((path) => filesBelow(join(folder, path)))
      left.forEach((files, i) => {
        expectWhole(files, whole[i]!, of)
      })
      const again = await runHoldfast(folder, of.words)
      const wasMade = of.once === true && left[0]!.size > 0 && again.code === 2
      if (!wasMade) expect(again.code, again.stderr).toBe(0)
      for (const [i, path] of paths.entries()) {
        const now = filesBelow(join(folder, path))
        expect([...now.keys()].sort()).toEqual([...whole[i]!.keys()].sort())
        expectWhole(now, whole[i]!, of)
      }
      expect(leftIn(folder)).toEqual([])
    }
  },
  1_200_000,
)

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
