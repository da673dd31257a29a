#!/usr/bin/env node
import { isMainThread } from 'node:worker_threads'
import { runInThread, runsInThread } from './commandThread.js'

/** Commands that run the code of cells, which loads the toolkit itself: both must work with the same modules. */
const runCells: readonly (string | undefined)[] = ['notebook', 'kernel', 'study']

// Whoever reads what is printed may have had enough (`| head`): the command still does its work.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error
  })
}

const words = process.argv.slice(2)

// In a thread it ends the thread, whose command reports it; what a cell throws is for its kernel.
if (isMainThread && !runCells.includes(words[0]))
  process.once('uncaughtException', async (thrown) => {
    const { reportFailure } = await import('./failure.js')
    process.exit(reportFailure(thrown))
  })

process.exitCode = isMainThread && runsInThread(words) ? await runInThread(words) : await runHere()

/**
 * The program in one file loads several times as fast as its modules, which stand in where it is missing. What is compiled of it
 * in the first audit is kept where the build has not kept it, as in an installed package.
 */
async function runHere(): Promise<number> {
  const { gatheredProgram } = await import('./gathered.js')
  const program = runCells.includes(words[0]) ? undefined : gatheredProgram('command')
  const { run } = await (program?.parts.commandLine() ?? import('./commandLine.js'))
  const code = await run(words)
  if (words[0] === 'audit' && code === 0) program?.keepCompiled()
  return code
}
