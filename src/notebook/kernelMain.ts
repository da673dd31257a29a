#!/usr/bin/env node
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import type { MimeBundle } from './mimeOutput.js'

/**
 * Starts the locally installed TypeScript kernel so that results of the toolkit show themselves as the last value of
 * a cell, and its errors speak in their own words. The kernel prints last values and errors through the two calls of
 * the console that it finds when it starts; it is given ours, and waits for what they draw before it answers.
 */
const require = createRequire(import.meta.url)
const kernelFolder = join(dirname(require.resolve('tslab/package.json')), 'dist')

interface HandlerPrototype {
  handleExecuteImpl(...words: unknown[]): Promise<unknown>
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

function showError(...words: unknown[]): void {
  plainError(...words.map((word) => ownWords(word) ?? word))
}

/** The message of an error of the toolkit, without the stack; recognised by shape, for it may come from a copy. */
function ownWords(thrown: unknown): string | undefined {
  if (!(thrown instanceof Error)) return undefined
  const { problem, expected, mend } = thrown as Partial<Record<'problem' | 'expected' | 'mend', unknown>>
  const ours = [problem, expected, mend].every((part) => typeof part === 'string')
  return ours || thrown.name === 'RecordsRefused' ? `${thrown.name}: ${thrown.message}` : undefined
}

const { JupyterHandlerImpl } = require(join(kernelFolder, 'jupyter.js')) as {
  JupyterHandlerImpl: { prototype: HandlerPrototype }
}
const execute = JupyterHandlerImpl.prototype.handleExecuteImpl
JupyterHandlerImpl.prototype.handleExecuteImpl = async function (...words) {
  try {
    return await execute.apply(this, words)
  } finally {
    await Promise.all(pending.splice(0))
  }
}

if (process.env.HOLDFAST_RUNNER === '1') {
  // The runner holds the other end: where it is killed, the kernel must not outlive it.
  process.stdin.on('close', () => process.exit(0)).resume()
}
const { startKernel } = require(join(kernelFolder, 'main.js')) as {
  startKernel(options: { configPath: string; enableFindLocal: boolean }): void
}
console.log = showLastValue
console.error = showError
startKernel({ configPath: process.argv.at(-1) ?? '', enableFindLocal: false })
console.log = plainLog
console.error = plainError
