import { execFile } from 'node:child_process'
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sha256 } from '../../src/core/plain.js'
import { randomStream } from '../../src/core/random.js'
import { exampleProtocol } from '../../src/pooling/protocol/protocol.js'
import { root, runHoldfast } from '../cli/runHoldfast.js'

const scratch = mkdtempSync(join(tmpdir(), 'interrupted-'))
const start = join(scratch, 'start')
const hook = join(scratch, 'killAtWrite.mjs')
const list = join('release', 'for-sites', 'list-1.json')
const stream = randomStream(20)
/** Kills of each step at a random moment: one, or ten of each of the five in the long form. */
const randomKills = process.env.HOLDFAST_FAULTS === 'full' ? 10 : 1
const day = ['--date', '2026-02-01']
const site = (i: number): readonly string[] => ['--practice', `place-${i}`, '--out', 'received', ...day]
const ready = (i: number): readonly string[] => [
  ...['share', `records-${i}`, '--protocol', 'group.json', '--name', `Practice ${i}`],
  ...site(i),
]
const pool = (...words: readonly string[]): readonly string[] => [
  ...['pool', 'received', '--protocol', 'group.json', '--out', 'release', ...words],
  ...day,
]

/**
 * Kills the process by force in the middle of a change of the disk, counted over all of them: a write leaves half of its
 * bytes, a move is not done.
 */
const killAtWrite = `
import promises from 'node:fs/promises'
import { syncBuiltinESMExports } from 'node:module'
let left = Number(process.env.KILL_AT)
const last = () => --left === 0
const die = () => process.kill(process.pid, 'SIGKILL')
const half = (content) => Buffer.from(content).subarray(0, Math.floor(Buffer.byteLength(content) / 2))
const { open, writeFile } = promises
promises.writeFile = async (path, content, ...more) => {
  if (!last()) return writeFile(path, content, ...more)
  await writeFile(path, half(content), ...more)
  die()
}
promises.open = async (...words) => {
  const handle = await open(...words)
  const write = handle.writeFile.bind(handle)
  handle.writeFile = async (content, ...more) => {
    if (!last()) return write(content, ...more)
    await write(half(content))
    die()
  }
  return handle
}
const { rename } = promises
promises.rename = async (...words) => (last() ? die() : rename(...words))
syncBuiltinESMExports()
`

/** Files of a folder with their bytes, but for what a killed run leaves beside them and nobody reads. */
function filesOf(folder: string): ReadonlyMap<string, string> {
  const found = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ parentPath, name }) => join(parentPath, name))
    .filter(
      (path) =>
        !path.endsWith('.part') && !path.endsWith('in-use.lock') && !/\/\.report(-new-|\.lock$)/.test(path),
    )
  return new Map(
    found.sort().map((path) => [path.slice(folder.length), sha256(readFileSync(path, 'base64'))]),
  )
}

function killedAtWrite(folder: string, words: readonly string[], at: number): Promise<boolean> {
  return new Promise((resolve) => {
    const call = ['--import', hook, join(root, 'dist/cli/main.js'), ...words]
    const environment = { ...process.env, KILL_AT: String(at) }
    execFile(process.execPath, call, { cwd: folder, env: environment }, (error) =>
      resolve((error as { signal?: string } | null)?.signal === 'SIGKILL'),
    )
  })
}

function killedAfter(folder: string, words: readonly string[], milliseconds: number): Promise<void> {
  return new Promise((resolve) => {
    const call = [join(root, 'dist/cli/main.js'), ...words]
    const options = { cwd: folder, timeout: milliseconds, killSignal: 'SIGKILL' as const }
    execFile(process.execPath, call, options, () => resolve())
  })
}

function copyOf(folder: string, name: string): string {
  const copy = join(scratch, name)
  rmSync(copy, { recursive: true, force: true })
  cpSync(folder, copy, { recursive: true })
  return copy
}

async function done(folder: string, words: readonly string[]): Promise<void> {
  expect(await runHoldfast(folder, words)).toMatchObject({ code: 0, stderr: '' })
}

/**
 * Kills a step at each of its changes of the disk and at random moments, and runs it again each time: every file that was
 * left is whole, and what comes is what an undisturbed run gives. Keys that nobody has seen are made anew; `kept` names
 * the file that holds them, which stays as it is once it is there.
 *
 * @returns how many times it was killed at a change
 */
async function killedEverywhere(words: readonly string[], from: string, kept?: RegExp): Promise<number> {
  const undisturbed = copyOf(from, 'undisturbed')
  const started = Date.now()
  await done(undisturbed, words)
  const lasts = Date.now() - started
  const [before, wanted] = [filesOf(from), filesOf(undisturbed)]
  const again = async (folder: string): Promise<void> => {
    const left = filesOf(folder)
    for (const path of before.keys()) expect(left.has(path) || path.startsWith('/release/report/')).toBe(true)
    await done(folder, words)
    const found = filesOf(folder)
    if (kept === undefined) {
      for (const [path, bytes] of left) expect([before.get(path), wanted.get(path)], path).toContain(bytes)
      expect(found).toEqual(wanted)
      return
    }
    for (const [path, bytes] of left) if (kept.test(path)) expect(found.get(path), path).toBe(bytes)
    expect(found.size).toBe(wanted.size)
    await done(folder, words)
    expect(filesOf(folder)).toEqual(found)
  }
  let at = 1
  for (; ; at++) {
    const folder = copyOf(from, 'killed')
    if (!(await killedAtWrite(folder, words, at))) break
    await again(folder)
  }
  for (let kill = 0; kill < randomKills; kill++) {
    const folder = copyOf(from, 'killed')
    await killedAfter(folder, words, 1 + stream.index(lasts))
    await again(folder)
  }
  return at - 1
}

const stages: string[] = []
beforeAll(async () => {
  writeFileSync(hook, killAtWrite)
  mkdirSync(start)
  const agreed = { ...exampleProtocol, release: { from: null, cutoff: '2024-12-31' } }
  writeFileSync(join(start, 'group.json'), JSON.stringify(agreed))
  for (const i of [0, 1, 2])
    await done(start, ['demo', `records-${i}`, '--seed', String(i + 1), '--restorations', '60'])
  const stage = (): number => stages.push(copyOf(start, `stage-${stages.length}`))
  stage()
  for (const i of [0, 1, 2]) await done(start, ready(i))
  await done(start, pool())
  stage()
  await done(start, pool('--list'))
  stage()
  for (const i of [0, 1, 2]) await done(start, ['share', '--list', list, ...site(i)])
  stage()
}, 480_000)
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

describe('a step that is killed by force, and run again, loses nothing and sends the same bytes', () => {
  it.each([
    { step: 'ready note', stage: 0, words: ready(0), kept: /^\/place-0\/practice-/, fewest: 7 },
    { step: 'list', stage: 1, words: pool('--list'), fewest: 3 },
    { step: 'void', stage: 2, words: ['void', '--list', list, ...site(0)], fewest: 5 },
    { step: 'answer', stage: 2, words: ['share', '--list', list, ...site(0)], fewest: 7 },
    { step: 'report', stage: 3, words: pool('--formats', 'none'), fewest: 7 },
  ])(
    '$step',
    async ({ stage, words, kept, fewest }) => {
      expect(await killedEverywhere(words, stages[stage]!, kept)).toBeGreaterThanOrEqual(fewest)
    },
    1_800_000,
  )
})
