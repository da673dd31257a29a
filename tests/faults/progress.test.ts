import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { Worker } from 'node:worker_threads'
import { expect, it } from 'vitest'
import { programFor } from '../../src/cli/commandLine.js'
import { exampleProtocol } from '../../src/pooling/protocol/protocol.js'
import { root, runHoldfast } from '../cli/runHoldfast.js'
import { folderWithSheet } from './faults.js'
import { writers } from './writers.js'

/** Commands that can take longer than two seconds, each with what it says that it does, in this order. */
const told: Readonly<
  Record<string, { readonly words?: readonly string[]; readonly stages: readonly string[] }>
> = {
  audit: { stages: ['reading', 'computing', 'writing'] },
  changes: { stages: ['reading', 'computing', 'reading', 'computing'] },
  check: { words: ['check', 'practice.csv'], stages: ['reading'] },
  deidentify: { stages: ['reading'] },
  demo: { words: ['demo', 'made', '--restorations', '3000'], stages: ['making'] },
  map: { stages: ['reading'] },
  merge: { stages: ['reading the earlier export', 'reading the later export', 'joining'] },
  needed: { stages: ['reading', 'computing'] },
  pool: {
    words: ['pool', 'received', '--protocol', 'group.json', '--out', 'release'],
    stages: ['reading what was sent'],
  },
  propose: {
    words: ['propose', '--records', 'practice.csv', '--out', 'made'],
    stages: ['reading', 'computing'],
  },
  recall: { stages: ['reading'] },
  share: {
    words: [
      'share',
      'practice.csv',
      '--protocol',
      'group.json',
      '--name',
      'One',
      '--practice',
      'place',
      '--out',
      'received',
    ],
    stages: ['reading', 'counting'],
  },
  verify: { words: ['verify', '--topic', 'cox'], stages: ['computing'] },
  watch: { stages: ['reading', 'computing'] },
}

/** Runs cells in processes of its own, and counts them on the main thread. */
const byCells = ['notebook']

/** A moment's work, whatever it is given. */
const brief = ['plan', 'template', 'study', 'void', 'kernel']

it('every command tells what it does, or takes a moment', async () => {
  const listed = [...Object.keys(told), ...byCells, ...brief].sort()
  expect(listed).toEqual((await programFor()).commands.map((command) => command.name()).sort())
})

const paths = [
  'practice.csv',
  'later/practice.csv',
  'made',
  'given.json',
  'group.json',
  'received',
  'release',
  'place',
]

/** What a command in its thread tells the main thread, where there is a terminal or not. */
function toldBy(folder: string, words: readonly string[], terminal: boolean): Promise<readonly string[]> {
  return new Promise((resolve, reject) => {
    const stages: string[] = []
    // A thread works in the folder of the process, so that paths are given whole.
    const thread = new Worker(join(root, 'dist/cli/main.js'), {
      argv: words.map((word) => (paths.includes(word) ? join(folder, word) : word)),
      workerData: { terminal },
      stdout: true,
      stderr: true,
    })
    thread.on('message', ({ stage }: { stage?: string }) => {
      if (stage !== undefined && stages.at(-1) !== stage) stages.push(stage)
    })
    thread.once('error', reject)
    thread.once('exit', () => resolve(stages))
  })
}

it.each(Object.entries(told))(
  '%s',
  async (name, { words = writers[name]!.words, stages }) => {
    const folder = folderWithSheet()
    await writers[name]?.prepare?.(folder)
    writeFileSync(
      join(folder, 'group.json'),
      JSON.stringify({ ...exampleProtocol, release: { from: null, cutoff: '2024-12-31' } }),
    )
    if (name === 'pool') await runHoldfast(folder, told.share!.words!)
    expect(await toldBy(folder, words, true)).toEqual(stages)
  },
  300_000,
)

it('nothing is told where there is no terminal', async () => {
  expect(await toldBy(folderWithSheet(), writers.audit!.words, false)).toEqual([])
})
