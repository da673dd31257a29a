import { closeSync, fsyncSync, openSync } from 'node:fs'
import { mkdir, open, rename, rm } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'

/** A file to be written. */
export interface WholeFile {
  readonly path: string
  readonly content: string | Uint8Array
  /** Rights; default those of any file. */
  readonly mode?: number
}

/**
 * Writes files so that each is there whole or not at all, however the machine stops: beside its place, flushed to the
 * disk, then moved there, and the folder flushed. All are written before the first is moved. What a killed run left beside
 * a place is overwritten by the next one.
 */
export async function writeWhole(files: readonly WholeFile[]): Promise<void> {
  const fresh = files.map(({ path }) => join(dirname(path), `.${basename(path)}.part`))
  try {
    for (const [i, { path, content, mode }] of files.entries()) {
      await mkdir(dirname(path), { recursive: true })
      const file = await open(fresh[i]!, 'w', mode ?? 0o644)
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
