import { randomUUID } from 'node:crypto'
import { closeSync, fsyncSync, openSync } from 'node:fs'
import { mkdir, open, readFile, rename, rm } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { UsageError } from '../../core/errors.js'

/** A file to be written. */
export interface WholeFile {
  readonly path: string
  readonly content: string | Uint8Array
  /** Rights; default those of any file. */
  readonly mode?: number
}

/**
 * Writes files so that each is there whole or not at all, however the machine stops: beside its place, flushed to the
 * disk, then moved there, and the folder flushed.
 */
export async function writeWhole(files: readonly WholeFile[]): Promise<void> {
  const fresh = files.map(({ path }) => join(dirname(path), `.holdfast-${randomUUID()}.part`))
  try {
    for (const [i, { path, content, mode }] of files.entries()) {
      await mkdir(dirname(path), { recursive: true })
      const file = await open(fresh[i]!, 'wx', mode ?? 0o644)
      try {
        await file.writeFile(content)
        await file.sync()
      } finally {
        await file.close()
      }
    }
    for (const [i, { path }] of files.entries()) {
      await rename(fresh[i]!, path)
      flushFolder(dirname(path))
    }
  } finally {
    await Promise.all(fresh.map((path) => rm(path, { force: true })))
  }
}

/** Some systems cannot open a folder; there the move itself has to do. */
function flushFolder(folder: string): void {
  let handle: number
  try {
    handle = openSync(folder, 'r')
  } catch {
    return
  }
  try {
    fsyncSync(handle)
  } catch {
    // Not every file system flushes folders.
  } finally {
    closeSync(handle)
  }
}

/**
 * Does something while no other run uses a folder.
 *
 * @throws UsageError `place-in-use` where another run that is still alive has it
 */
export async function whileLocked<T>(folder: string, work: () => Promise<T>): Promise<T> {
  await mkdir(folder, { recursive: true, mode: 0o700 })
  const path = join(folder, 'in-use.lock')
  await takeLock(path)
  try {
    return await work()
  } finally {
    await rm(path, { force: true })
  }
}

async function takeLock(path: string): Promise<void> {
  for (let attempt = 0; attempt < 3; attempt++) {
    try {
      const file = await open(path, 'wx', 0o600)
      // The end of the line tells a whole number from one that was cut short.
      await file.writeFile(`${process.pid}\n`)
      await file.close()
      return
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
    }
    const text = await readFile(path, 'utf8').catch(() => '')
    const holder = text.endsWith('\n') ? Number(text) : 0
    if (holder > 0 && isAlive(holder)) break
    // A run that was killed left its lock behind.
    await rm(path, { force: true })
  }
  throw new UsageError({
    code: 'place-in-use',
    problem: 'another run uses the practice place at this moment.',
    expected: 'one run at a time.',
    mend: 'wait until the other run has ended; if there is none, remove the file in-use.lock.',
  })
}

function isAlive(process_: number): boolean {
  try {
    process.kill(process_, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}
