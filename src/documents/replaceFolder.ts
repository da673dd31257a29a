import { randomUUID } from 'node:crypto'
import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { clearLeftovers, whileAlone } from '../core/alone.js'
import { UsageError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'
import type { BundleFile } from './bundle.js'
import { documentLengths, documentName, reportNames, startName } from './formats/formats.js'
import { isResultsFormat, schemaName } from './results.js'

/** What a folder of ours may hold at its top. */
const ours = new Set<string>([
  ...documentLengths.flatMap((length) =>
    (Object.keys(reportNames) as (keyof typeof reportNames)[]).map((format) => documentName(length, format)),
  ),
  startName,
  'results.json',
  'answer.json',
  schemaName,
  'provenance.json',
  'figures',
  'tables',
])

/**
 * Writes files to a temporary folder beside the target and puts it in the place of the target, which must be absent,
 * empty, or an earlier report. If anything fails, the target is as it was.
 *
 * @returns the folder as it was asked for
 */
export async function replaceFolder(outDir: string, files: readonly BundleFile[]): Promise<string> {
  const target = resolve(outDir)
  await refuseForeignFolder(target)
  await mkdir(dirname(target), { recursive: true })
  await whileAlone(target, () => replaceAlone(target, files))
  return outDir.replace(/[/\\]+$/, '')
}

async function replaceAlone(target: string, files: readonly BundleFile[]): Promise<void> {
  const ofTarget = `.${basename(target)}-new-`
  await clearLeftovers(
    target,
    (name) => name.startsWith(ofTarget) && /^[0-9a-f-]{36}(-earlier)?$/.test(name.slice(ofTarget.length)),
    (name) => (name.endsWith('-earlier') ? '' : undefined),
  )
  await refuseForeignFolder(target)
  const fresh = join(dirname(target), `.${basename(target)}-new-${randomUUID()}`)
  await mkdir(fresh)
  try {
    for (const folder of new Set(files.map(({ path }) => dirname(path)))) {
      await mkdir(join(fresh, folder), { recursive: true })
    }
    await Promise.all(files.map(({ path, content }) => writeFile(join(fresh, path), content)))
    await exchange(fresh, target)
  } finally {
    await rm(fresh, { recursive: true, force: true })
  }
}

/** Moves the earlier report aside, the fresh one in its place, and only then removes the earlier one. */
async function exchange(fresh: string, target: string): Promise<void> {
  const aside = `${fresh}-earlier`
  const existed = await renamed(target, aside)
  try {
    await rename(fresh, target)
  } catch (cause) {
    if (existed) await rename(aside, target)
    throw cause
  }
  if (existed) await rm(aside, { recursive: true, force: true })
}

async function renamed(from: string, to: string): Promise<boolean> {
  try {
    await rename(from, to)
    return true
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'ENOENT') return false
    throw cause
  }
}

async function refuseForeignFolder(target: string): Promise<void> {
  const entries = await entriesOf(target)
  if (entries === undefined || entries.length === 0) return
  if (entries.every((entry) => ours.has(entry)) && (await isReport(target))) return
  throw new UsageError({
    code: 'folder-in-use',
    problem: `the folder ${basename(target)} holds files that are not those of a report.`,
    expected: 'a folder that does not exist, is empty, or holds an earlier report and nothing else.',
    mend: 'name another folder with --out, or move these files away.',
  })
}

async function entriesOf(target: string): Promise<readonly string[] | undefined> {
  try {
    return await readdir(target)
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException
    if (code === 'ENOENT') return undefined
    if (code !== 'ENOTDIR') throw cause
    throw new UsageError({
      code: 'folder-in-use',
      problem: `${basename(target)} is a file.`,
      expected: 'the name of a folder.',
      mend: 'name another folder with --out.',
    })
  }
}

/** Format that the provenance of a report of chosen results names: it has no results.json. */
export const chosenFormat = 'holdfast-chosen-results-1'

async function isReport(target: string): Promise<boolean> {
  return (await isAudit(target)) || (await isChosen(target))
}

async function isChosen(target: string): Promise<boolean> {
  try {
    const found = parseJson(await readFile(join(target, 'provenance.json'), 'utf8')) as { format?: unknown }
    return found.format === chosenFormat
  } catch {
    return false
  }
}

async function isAudit(target: string): Promise<boolean> {
  try {
    const results = parseJson(await readFile(join(target, 'results.json'), 'utf8')) as { format?: unknown }
    return isResultsFormat(results.format)
  } catch {
    return false
  }
}
