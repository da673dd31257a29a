import { mkdir, mkdtemp, readdir, readFile, realpath, rename, rm, writeFile } from 'node:fs/promises'
import { basename, dirname, join, resolve, sep } from 'node:path'
import { clearLeftovers, whileAlone } from '../../core/alone.js'
import { UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'

/** Writes one file; given by tests that let a write fail. */
export type FileWriter = (path: string, content: string | Uint8Array) => Promise<void>

/** Where and how a folder is written. */
export interface FolderTarget {
  readonly directory: string
  /** Folder of these files, or nothing at all: what may be replaced. Told from the data package of the folder. */
  readonly state: string
  /** Files by name. */
  readonly files: ReadonlyMap<string, string | Uint8Array>
  readonly writer?: FileWriter
  /** Looks at the files in their temporary folder; what it throws leaves all as it was. */
  readonly verify?: (folder: string) => Promise<void>
}

/**
 * Writes files into a folder of their own: into a temporary one beside it first, which then takes its place. A folder
 * that holds anything else than an earlier run of the same kind is refused; a write that fails leaves all as it was.
 *
 * @throws UsageError `folder-not-ours`, `cannot-write`
 */
export async function writeFolder(target: FolderTarget): Promise<void> {
  const directory = resolve(target.directory)
  await checkTarget(directory, target.state)
  try {
    await mkdir(dirname(directory), { recursive: true })
    await whileAlone(directory, () => writeAlone(target, directory))
  } catch (error) {
    throw cannotWrite(error, target.directory)
  }
}

async function writeAlone(target: FolderTarget, directory: string): Promise<void> {
  const ofTarget = `.${basename(directory)}-`
  await clearLeftovers(
    directory,
    (name) => name.startsWith(ofTarget) && /^[A-Za-z0-9]{6}$/.test(name.slice(ofTarget.length)),
    () => 'old',
  )
  const exists = await checkTarget(directory, target.state)
  const write = target.writer ?? writeFile
  let temporary: string | undefined
  try {
    temporary = await mkdtemp(join(dirname(directory), `.${basename(directory)}-`))
    const made = join(temporary, 'made')
    await mkdir(made)
    for (const [name, content] of target.files) await write(join(made, name), content)
    await target.verify?.(made)
    if (exists) await rename(directory, join(temporary, 'old'))
    await rename(made, directory)
  } catch (error) {
    if (temporary !== undefined && exists)
      await rename(join(temporary, 'old'), directory).catch(() => undefined)
    throw error
  } finally {
    if (temporary !== undefined) await rm(temporary, { recursive: true, force: true })
  }
}

/** Whether the folder is there; refuses one that is not the toolkit's own. */
async function checkTarget(directory: string, state: string): Promise<boolean> {
  let names: readonly string[]
  try {
    names = await readdir(directory)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return false
    throw cannotWrite(error, directory)
  }
  if (names.length === 0) return true
  const text = await readFile(join(directory, 'datapackage.json'), 'utf8').catch(() => '{}')
  if (stateOf(text) === state) return true
  throw new UsageError({
    code: 'folder-not-ours',
    problem: `${basename(directory)} holds files that an earlier run of this command did not write.`,
    expected: 'a new or empty folder, or one that this command has written.',
    mend: 'give another folder.',
  })
}

function stateOf(text: string): unknown {
  try {
    return (parseJson(text) as { state?: unknown }).state
  } catch {
    return undefined
  }
}

function cannotWrite(error: unknown, directory: string): unknown {
  const { code } = error as NodeJS.ErrnoException
  if (typeof code !== 'string' || !/^E[A-Z]+$/.test(code)) return error
  return new UsageError({
    code: 'cannot-write',
    problem: `${basename(resolve(directory))} cannot be written (${code}); nothing was changed.`,
    expected: 'a place with room, that the user may write to.',
    mend: 'make room or change the permissions, or give another folder.',
  })
}

/**
 * Refuses to write where the source lies: into its folder, into a folder inside it, or into one that holds it.
 *
 * @throws UsageError `out-is-source`
 */
export async function refuseSourceFolder(source: string, directory: string): Promise<void> {
  const from = await realpath(resolve(source))
  const to = await realpath(resolve(directory)).catch(() => resolve(directory))
  const inside = (outer: string, inner: string): boolean => inner === outer || inner.startsWith(outer + sep)
  if (!inside(from, to) && !inside(to, from) && dirname(from) !== to) return
  throw new UsageError({
    code: 'out-is-source',
    problem:
      'the output would be written where the source lies, so that the one could be taken for the other.',
    expected: 'a folder apart from the data set.',
    mend: 'give another folder for the output.',
  })
}
