#!/usr/bin/env node
import { statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { isMainThread } from 'node:worker_threads'
import { runInThread, runsInThread } from './commandThread.js'

/** Commands that run the code of cells, which loads the toolkit itself: both must work with the same modules. */
const runCells: readonly (string | undefined)[] = ['notebook', 'kernel', 'study']

const words = process.argv.slice(2)
process.exitCode = isMainThread && runsInThread(words) ? await runInThread(words) : await runHere()

async function runHere(): Promise<number> {
  const { run } = (await import(
    runCells.includes(words[0]) ? './commandLine.js' : commandLine()
  )) as typeof import('./commandLine.js')
  return run(words)
}

/** The command line in few files, which load several times as fast, unless the modules were built after them. */
function commandLine(): string {
  const bundled = new URL('../bundled/commandLine.js', import.meta.url)
  const made = builtAt(bundled)
  const modules = builtAt(new URL('../.tsbuildinfo', import.meta.url)) ?? 0
  return made === undefined || made < modules ? './commandLine.js' : bundled.href
}

function builtAt(file: URL): number | undefined {
  return statSync(fileURLToPath(file), { throwIfNoEntry: false })?.mtimeMs
}
