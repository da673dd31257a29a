import { randomBytes, randomUUID } from 'node:crypto'
import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises'
import { basename, dirname, extname, join, relative, resolve } from 'node:path'
import { RecordError, UsageError } from '../core/errors.js'
import type { ReleaseRecord } from '../pooling/releases.js'

/** Mark of the log of what was shared. */
export const shareLogFormat = 'holdfast-share-log-1'

/** Environment variable that may hold the key of the group. */
export const groupKeyVariable = 'HOLDFAST_GROUP_KEY'

/** The practice's own log of what it shared, with the secret of its hashes. */
export interface ShareLog {
  readonly format: typeof shareLogFormat
  readonly note: string
  readonly salt: string
  readonly releases: readonly ReleaseRecord[]
}

/** Place of the log: beside the data set, never in a folder that is sent. */
export function defaultLogPath(dataset: string): string {
  const path = resolve(dataset)
  return join(dirname(path), `${basename(path, extname(path))}.share-log.json`)
}

/** Reads the log, or begins one. */
export async function readShareLog(path: string): Promise<ShareLog> {
  let text: string
  try {
    text = await readFile(path, 'utf8')
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error
    return {
      format: shareLogFormat,
      note: 'Stays in the practice: it tells apart what was shared before. Do not send it.',
      salt: randomBytes(32).toString('hex'),
      releases: [],
    }
  }
  try {
    const log = JSON.parse(text) as ShareLog
    if (log.format === shareLogFormat && typeof log.salt === 'string' && Array.isArray(log.releases))
      return log
  } catch {
    // Falls through to the refusal: a log that cannot be read must not be begun anew in silence.
  }
  throw new RecordError(
    {
      code: 'bad-share-log',
      problem: 'the log of earlier releases cannot be read.',
      expected: 'the file that holdfast share wrote.',
      mend: 'bring it back from a backup; without it, what was shared before cannot be allowed for.',
    },
    { file: basename(path) },
  )
}

/** A file to be written. */
export interface WholeFile {
  readonly path: string
  readonly content: string | Uint8Array
  /** Rights; default those of any file. */
  readonly mode?: number
}

/**
 * Writes files beside their places first, and moves them there when all are written, so that none is half written and
 * none is there without the others if the disk is full.
 */
export async function writeWhole(files: readonly WholeFile[]): Promise<void> {
  const fresh = files.map(({ path }) => join(dirname(path), `.${basename(path)}-${randomUUID()}`))
  try {
    for (const [i, { path, content, mode }] of files.entries()) {
      await mkdir(dirname(path), { recursive: true })
      await writeFile(fresh[i]!, content, { mode: mode ?? 0o644 })
    }
    for (const [i, { path }] of files.entries()) await rename(fresh[i]!, path)
  } finally {
    await Promise.all(fresh.map((path) => rm(path, { force: true })))
  }
}

/**
 * Puts pages in the place of those of an earlier run, so that none of a clinic that left is still there.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but pages
 */
export async function replacePages(folder: string, pages: readonly WholeFile[]): Promise<void> {
  const present = await pagesIn(folder)
  await writeWhole(pages.map((page) => ({ ...page, path: join(folder, page.path) })))
  const stale = present.filter((name) => !pages.some(({ path }) => path === name))
  await Promise.all(stale.map((name) => rm(join(folder, name))))
}

/** Names of the pages in a folder; none where it is not there. */
export async function pagesIn(folder: string): Promise<readonly string[]> {
  let names: readonly string[]
  try {
    names = await readdir(folder)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return []
    throw error
  }
  if (names.every((name) => name.endsWith('.html'))) return names
  throw new UsageError({
    code: 'folder-in-use',
    problem: `the folder ${basename(folder)} holds files that are not pages for sites.`,
    expected: 'a folder that does not exist, or that holds the pages of an earlier run.',
    mend: 'name another folder with --out, or move these files away.',
  })
}

/** A name as part of a file name. */
export function fileNameOf(name: string): string {
  return name.replace(/[^A-Za-z0-9_-]+/g, '_') || 'site'
}

/** A file that the user named, as text. */
export async function readNamed(path: string, what: string): Promise<string> {
  try {
    return await readFile(path, 'utf8')
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException
    if (code !== 'ENOENT' && code !== 'EISDIR') throw error
    throw new UsageError({
      code: 'no-such-file',
      problem: `${what} ${basename(path)} is not there.`,
      expected: 'the path of a file.',
      mend: 'check the path.',
    })
  }
}

/** Key of the group from its file or from the environment, never from the command line, which others may see. */
export async function readGroupKey(path: string | undefined): Promise<string | undefined> {
  const given = path === undefined ? process.env[groupKeyVariable] : await readNamed(path, 'the key file')
  if (given === undefined || (path === undefined && given === '')) return undefined
  const key = given.trim()
  if (key.length >= 16) return key
  throw new UsageError({
    code: 'short-key',
    problem: 'the key of the group is shorter than 16 characters.',
    expected: 'a key that cannot be guessed.',
    mend: 'let the coordinator make a longer one, and hand it on apart from the summaries.',
  })
}

/** A JSON file of a folder. */
export interface FoundFile {
  readonly name: string
  readonly text: string
}

/** JSON files of folders and of the folders in them, or files named themselves. */
export async function jsonFiles(paths: readonly string[]): Promise<readonly FoundFile[]> {
  const found: FoundFile[] = []
  for (const path of paths) {
    let entries: readonly { readonly name: string; readonly parentPath: string; isFile(): boolean }[]
    try {
      entries = await readdir(path, { recursive: true, withFileTypes: true })
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOTDIR') {
        if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error
        throw new UsageError({
          code: 'no-such-path',
          problem: `${basename(path)} is not there.`,
          expected: 'folders or files that the sites sent.',
          mend: 'check the path.',
        })
      }
      found.push({ name: basename(path), text: await readFile(path, 'utf8') })
      continue
    }
    const names = entries.filter((entry) => entry.isFile() && entry.name.endsWith('.json'))
    for (const { name, parentPath } of [...names].sort((a, b) => (a.name < b.name ? -1 : 1))) {
      const file = join(parentPath, name)
      found.push({ name: relative(dirname(path), file), text: await readFile(file, 'utf8') })
    }
  }
  return found
}
