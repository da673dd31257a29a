#!/usr/bin/env node

import { createRequire } from 'node:module'
import { join } from 'node:path'
import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import { Worker } from 'node:worker_threads'
import { equipCompiler } from './cellCompiler.js'
import { doorValues, kernelFolder, resolveAnywhere } from './cellModules.js'
import { drawApart } from './drawing.js'
import type { Compiler, SyntaxNode } from './frontDoor.js'
import type { MimeBundle } from './mimeOutput.js'

/**
 * Starts the locally installed TypeScript kernel so that results of the toolkit show themselves as the last value of
 * a cell, its names are ready in every cell wherever the notebook lies, and its errors speak in their own words. The
 * kernel prints last values and errors through the two calls of the console that it finds when it starts; it is given
 * ours, and waits for what they draw before it answers.
 */
const require = createRequire(import.meta.url)

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
  const [form, , line, place, said] = words
  if (form === diagnosticForm) {
    plainError(`${said}\n${underlined(Number(line), Number(place))}`)
    pending.push(showMend(String(said)))
  } else pending.push(showThrown(words))
}

/** Mends already shown for the cell that runs: one mistake is often told in several sentences. */
const mends = new Set<string>()

async function showMend(said: string): Promise<void> {
  const mend = (await import('./cellErrors.js')).mendOf(said)
  if (mend === undefined || mends.has(mend)) return
  mends.add(mend)
  plainError(mend)
}

async function showThrown(words: readonly unknown[]): Promise<void> {
  const told = words.map((word) => inWords(word) ?? word)
  const interruption = (await import('./cellErrors.js')).interruptionOf(String(told[0]))
  if (interruption === undefined) plainError(...told)
  else plainError(interruption)
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
  return shared !== undefined && (Object.hasOwn(shared.exports, name) || door.has(name))
}

drawApart()
resolveAnywhere()
const { compiler, door } = equipCompiler(kernelFolder)
const { JupyterHandlerImpl } = require(join(kernelFolder, 'jupyter.js')) as {
  JupyterHandlerImpl: { prototype: HandlerPrototype }
}
const execute = JupyterHandlerImpl.prototype.handleExecuteImpl
JupyterHandlerImpl.prototype.handleExecuteImpl = async function (request, ...words) {
  try {
    const code = withNamesSpelledOut(request.code, isEarlierName, compiler)
    running = code
    mends.clear()
    return await execute.call(this, { ...request, code }, ...words)
  } finally {
    while (pending.length > 0) await Promise.all(pending.splice(0))
    tidied()
  }
}

/** Megabytes of objects from which on those that a cell left behind are cleared away when it has ended. */
const tidyMb = 130
setFlagsFromString('--expose-gc')
const clearAway = runInNewContext('gc') as () => void

function tidied(): void {
  if (process.memoryUsage().heapUsed > tidyMb * 2 ** 20) clearAway()
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
const { __tslab__: shared } = globalThis as unknown as { __tslab__: { readonly exports: object } }
Object.setPrototypeOf(shared.exports, doorValues(door))
for (const event of ['uncaughtException', 'unhandledRejection'] as const) {
  process.removeAllListeners(event)
  process.on(event, (thrown: unknown) => void showThrown([thrown]))
}
console.log = plainLog
console.error = plainError

/**
 * Spells out `{ years }` as `{ years: years }` where the name belongs to an earlier cell. The kernel lets a cell see the
 * names of earlier ones by rewriting them, and misses these. Nothing else of the text is touched.
 *
 * @param code source of a cell
 * @param isEarlier whether a name was declared by an earlier cell
 * @param compiler the compiler that the kernel carries
 */
function withNamesSpelledOut(code: string, isEarlier: (name: string) => boolean, compiler: Compiler): string {
  if (!code.includes('{')) return code
  const places: { readonly at: number; readonly name: string }[] = []
  const visit = (node: SyntaxNode): void => {
    const { name } = node
    if (
      node.kind === compiler.SyntaxKind.ShorthandPropertyAssignment &&
      node.objectAssignmentInitializer === undefined &&
      name?.text !== undefined &&
      isEarlier(name.text)
    ) {
      places.push({ at: name.end, name: name.text })
    }
    compiler.forEachChild(node, visit)
  }
  visit(compiler.createSourceFile('cell.ts', code, compiler.ScriptTarget.Latest))
  return places
    .sort((left, right) => right.at - left.at)
    .reduce((text, { at, name }) => `${text.slice(0, at)}: ${name}${text.slice(at)}`, code)
}
