#!/usr/bin/env node
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { Worker } from 'node:worker_threads'
import type { MimeBundle } from './mimeOutput.js'
import { withNamesSpelledOut } from './shorthandNames.js'

/**
 * Starts the locally installed TypeScript kernel so that results of the toolkit show themselves as the last value of
 * a cell, and its errors speak in their own words. The kernel prints last values and errors through the two calls of
 * the console that it finds when it starts; it is given ours, and waits for what they draw before it answers.
 */
const require = createRequire(import.meta.url)
const kernelFolder = join(dirname(require.resolve('tslab/package.json')), 'dist')

interface HandlerPrototype {
  handleExecuteImpl(request: { readonly code: string }, ...words: unknown[]): Promise<unknown>
}

const pending: Promise<void>[] = []
const plainLog = console.log
const plainError = console.error

function showLastValue(...words: unknown[]): void {
  if (words.length === 1 && typeof words[0] === 'object' && words[0] !== null) {
    pending.push(showOrPrint(words[0]))
  } else plainLog(...words)
}

async function showOrPrint(value: object): Promise<void> {
  let bundle: MimeBundle | undefined
  if (value instanceof Promise) {
    showError((await import('./display.js')).notAwaited())
    return
  }
  try {
    const { bundleOf } = await import('./valueDisplay.js')
    bundle = await bundleOf(value)
  } catch (thrown) {
    showError(thrown)
    return
  }
  if (bundle === undefined) plainLog(value)
  else (await import('./mimeOutput.js')).showBundle(bundle)
}

/** Source of the cell that runs. */
let running = ''

/** The line of the cell that a message is about, with the word underlined. */
function underlined(line: number, place: number): string {
  const text = running.split('\n')[line - 1] ?? ''
  const word = /^[\w$]+/.exec(text.slice(place - 1))?.[0] ?? ' '
  return `Line ${line}:\n  ${text}\n  ${' '.repeat(place - 1)}${'^'.repeat(word.length)}`
}

/** Form in which the kernel prints what the compiler has to say: file, line, place, message. */
const diagnosticForm = '%s%d:%d - %s'

function showError(...words: unknown[]): void {
  const [form, , line, place, message] = words
  if (form === diagnosticForm) plainError(`${message}\n${underlined(Number(line), Number(place))}`)
  else plainError(...words.map((word) => inWords(word) ?? word))
}

/**
 * An error by its name and message, without the stack, whose lines are those of compiled text and of internals. Errors
 * of the toolkit are recognised by shape, for they may come from a copy.
 */
function inWords(thrown: unknown): string | undefined {
  if (typeof thrown !== 'object' || thrown === null || !('message' in thrown)) return undefined
  const { name, message, cause } = thrown as { name?: unknown; message: unknown; cause?: unknown }
  const because = inWords(cause)
  return `${String(name ?? 'Error')}: ${String(message)}${because === undefined ? '' : `\nBecause of ${because}`}`
}

/** Names that earlier cells declared live on the object that the kernel hands to every cell. */
function isEarlierName(name: string): boolean {
  const { __tslab__: shared } = globalThis as { __tslab__?: { readonly exports: object } }
  return shared !== undefined && Object.hasOwn(shared.exports, name)
}

const { JupyterHandlerImpl } = require(join(kernelFolder, 'jupyter.js')) as {
  JupyterHandlerImpl: { prototype: HandlerPrototype }
}
const execute = JupyterHandlerImpl.prototype.handleExecuteImpl
JupyterHandlerImpl.prototype.handleExecuteImpl = async function (request, ...words) {
  try {
    const code = withNamesSpelledOut(request.code, isEarlierName, kernelFolder)
    running = code
    return await execute.call(this, { ...request, code }, ...words)
  } finally {
    await Promise.all(pending.splice(0))
  }
}

/** Watches, in a thread that no endless cell holds up, whether the runner is still the parent. */
const watch = `
const { workerData } = require('node:worker_threads')
setInterval(() => process.ppid === workerData || process.kill(process.pid, 'SIGKILL'), 1000)`

if (process.env.HOLDFAST_RUNNER === '1') {
  // The runner holds the other end: where it is killed, the kernel must not outlive it.
  process.stdin.on('close', () => process.exit(0)).resume()
  new Worker(watch, { eval: true, workerData: process.ppid, stdin: false }).unref()
}
const { startKernel } = require(join(kernelFolder, 'main.js')) as {
  startKernel(options: { configPath: string; enableFindLocal: boolean }): void
}
console.log = showLastValue
console.error = showError
startKernel({ configPath: process.argv.at(-1) ?? '', enableFindLocal: false })
console.log = plainLog
console.error = plainError
