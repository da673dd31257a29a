import { spawn } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll } from 'vitest'
import { root } from '../cli/runHoldfast.js'
import { csvOf, oneSheet } from '../records/practice.js'

/** Whether the long form was asked for: HOLDFAST_FAULTS=full. */
export const full = process.env.HOLDFAST_FAULTS === 'full'

const folders: string[] = []

afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true })
})

/** A folder with one sheet of an invented practice in it, `practice.csv`. */
export function folderWithSheet(name = 'holdfast-faults-'): string {
  const folder = mkdtempSync(join(tmpdir(), name))
  folders.push(folder)
  writeFileSync(join(folder, 'practice.csv'), csvOf(oneSheet(120)))
  return folder
}

/** Files of a folder with what they hold, hidden ones and those of folders inside it too. */
export function contentOf(folder: string): ReadonlyMap<string, string> {
  return new Map(
    readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .sort()
      .filter((name) => statSync(join(folder, name)).isFile())
      .map((name) => [name, readFileSync(join(folder, name), 'latin1')]),
  )
}

/** Names in a folder that a run which ended well leaves to nobody: temporary ones and locks. */
export function leftIn(folder: string): readonly string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
    /(^|\/)\.[^/]*(-new-|-[A-Za-z0-9]{6}(\/|$))|\.part$|\.lock$/.test(name),
  )
}

/** Runs the built command and kills it after a time; true where it was still running. */
export function killedAfter(
  folder: string,
  words: readonly string[],
  milliseconds: number,
): Promise<boolean> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [join(root, 'dist/cli/main.js'), ...words], {
      cwd: folder,
      stdio: 'ignore',
    })
    const timer = setTimeout(() => child.kill('SIGKILL'), milliseconds)
    child.on('exit', (_code, signal) => {
      clearTimeout(timer)
      resolve(signal === 'SIGKILL')
    })
  })
}
