import { readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { getHeapStatistics } from 'node:v8'
import { Worker } from 'node:worker_threads'
import { limitsForMany } from './engineFlags.js'
import { type ProgressReport, startStages } from './progress.js'

/**
 * Commands that start kernels, ask at the terminal or take a moment; they run on the main thread. All others may read or make many
 * records, and each runs in a thread of its own: one that runs out of memory ends, and the process is there to say so (on the main
 * thread the engine ends the whole process with a dump), and progress is shown while it computes.
 */
const onMainThread: ReadonlySet<string> = new Set(['kernel', 'notebook', 'plan', 'study', 'template', 'void'])

/** Commands that ask questions where somebody sits at the terminal. */
const asking: ReadonlySet<string> = new Set(['map', 'merge'])

/**
 * Bytes of text up to which an audit fits into memory whatever the text holds, and the memory that the engine has unless it was told
 * otherwise: such an audit runs on the main thread, since a thread takes 0.03 s to start.
 */
const smallBytes = 8 << 20
const usualMemoryBytes = 1 << 30

/** Whether a command runs in a thread of its own. */
export function runsInThread(words: readonly string[]): boolean {
  const [command = '-'] = words
  if (command.startsWith('-') || onMainThread.has(command) || words.includes('--help')) return false
  if (command === 'audit' && !words.includes('--each') && isSmall(words.slice(1))) return false
  return !(asking.has(command) && process.stdin.isTTY === true)
}

/** Whether what is named first is there and is text, and little of it, with all files that are named after it. */
function isSmall([dataset, ...rest]: readonly string[]): boolean {
  if (dataset === undefined || getHeapStatistics().heap_size_limit < usualMemoryBytes) return false
  try {
    const isFolder = statSync(dataset).isDirectory()
    const files = isFolder ? readdirSync(dataset).map((name) => join(dataset, name)) : [dataset]
    if (!files.every((file) => textName.test(file) || statSync(file).isDirectory())) return false
    const sizes = [...files, ...rest].map((path) => statSync(path, { throwIfNoEntry: false })?.size ?? 0)
    return sizes.reduce((sum, size) => sum + size, 0) <= smallBytes
  } catch {
    return false
  }
}

/** Names of files that hold no more than they take. */
const textName = /\.(?:csv|tsv|txt|json|md)$/i

/** Runs a command in a thread, shows how far it has come, and answers with the exit code. */
export function runInThread(words: readonly string[]): Promise<number> {
  const terminal = process.stderr.isTTY === true
  const thread = new Worker(new URL('./main.js', import.meta.url), {
    argv: [...words],
    workerData: { terminal },
    resourceLimits: limitsForMany,
    ...(terminal ? { stdout: true, stderr: true } : {}),
  })
  const progress = startStages()
  progress.update('starting')
  thread.on('message', ({ stage, share }: ProgressReport) =>
    stage === undefined ? progress.stop() : progress.update(stage, share),
  )
  if (terminal) {
    for (const name of ['stdout', 'stderr'] as const)
      thread[name].on('data', (piece: Buffer) => {
        progress.stop()
        process[name].write(piece)
      })
  }
  return new Promise((resolve) => {
    let failed: Promise<number> | undefined
    thread.once('error', (thrown) => {
      progress.stop()
      failed = import('./failure.js').then(({ reportFailure }) => reportFailure(thrown))
    })
    thread.once('exit', async (code) => {
      progress.stop()
      resolve((await failed) ?? code)
    })
  })
}
