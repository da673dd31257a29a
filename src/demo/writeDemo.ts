import { createHash, type Hash } from 'node:crypto'
import { type FileHandle, mkdir, mkdtemp, open, rename, rm, writeFile } from 'node:fs/promises'
import { dirname, join, resolve } from 'node:path'
import { stringify } from 'csv-stringify/sync'
import { UsageError } from '../core/errors.js'
import { stableJson } from '../core/plain.js'
import type { SheetName } from '../vocabulary/fields.js'
import { demoDataPackage, type WrittenFile } from './dataPackage.js'
import { type DemoTargetState, demoTarget, temporaryPrefix } from './demoFolder.js'
import { generatePatients } from './generator.js'
import type { SheetRows } from './mistakes.js'
import { demoReadme } from './readme.js'
import type { DemoSettings } from './settings.js'
import { demoColumns, demoFiles, demoSheets } from './tables.js'
import { type DemoTruth, truthTally } from './truth.js'

/** What was written. */
export interface WrittenDemo {
  readonly directory: string
  readonly files: readonly string[]
  readonly truth: DemoTruth
}

/** Settings of the writing itself. */
export interface WriteDemoOptions {
  /** Called now and then with the share done, 0 to 1; default none. */
  readonly onProgress?: (share: number) => void
}

/** Patients whose rows are gathered before they go to disk. */
const patientsPerWrite = 500

/**
 * Writes a generated study group to a folder: three linked tables, the one-sheet form, the data package, the truth and
 * a page that explains them. Written to a temporary place first, then renamed. Rows are never held all at once, so
 * a million restorations need no more memory than a thousand.
 *
 * @param directory new, empty, or a folder of demo data (which is replaced)
 * @param settings from `demoSettings`
 * @throws UsageError `not-a-demo-folder` where the folder holds anything else, `not-a-folder`, `cannot-write`,
 *   `demo-settings`
 */
export async function writeDemo(
  directory: string,
  settings: DemoSettings,
  options: WriteDemoOptions = {},
): Promise<WrittenDemo> {
  const target = resolve(directory)
  try {
    return await writeAndRename(target, await demoTarget(target, directory), settings, options)
  } catch (error) {
    throw cannotWrite(error, directory)
  }
}

async function writeAndRename(
  target: string,
  state: DemoTargetState,
  settings: DemoSettings,
  options: WriteDemoOptions,
): Promise<WrittenDemo> {
  const place = state === 'absent' ? dirname(target) : target
  await mkdir(place, { recursive: true })
  const temporary = await mkdtemp(join(place, temporaryPrefix))
  try {
    // A folder made by mkdtemp is closed to others; the one inside it has the usual permissions.
    const folder = join(temporary, 'demo')
    await mkdir(folder)
    const { files, truth } = await writeFiles(folder, settings, options.onProgress ?? (() => {}))
    if (state === 'absent') await rename(folder, target)
    else for (const file of files) await rename(join(folder, file), join(target, file))
    return Object.freeze({ directory: target, files: Object.freeze(files), truth })
  } finally {
    await rm(temporary, { recursive: true, force: true })
  }
}

const placeFaults = new Set(['EACCES', 'EPERM', 'EROFS', 'ENOTDIR', 'ENAMETOOLONG', 'ENOSPC', 'EXDEV'])

/** A place that cannot be written to is a matter of the call, not a fault of the software. */
function cannotWrite(error: unknown, asGiven: string): unknown {
  if (!placeFaults.has((error as NodeJS.ErrnoException).code ?? '')) return error
  return new UsageError({
    code: 'cannot-write',
    problem: `${asGiven} cannot be written to (${(error as NodeJS.ErrnoException).code}).`,
    expected: 'a folder that may be written to, with room in it.',
    mend: 'give another folder.',
  })
}

async function writeFiles(
  folder: string,
  settings: DemoSettings,
  onProgress: (share: number) => void,
): Promise<{ readonly files: readonly string[]; readonly truth: DemoTruth }> {
  const tally = truthTally(settings.scenario)
  const tables = await openTables(folder)
  try {
    let patients = 0
    let waiting = emptyRows()
    for (const rows of generatePatients(settings, tally)) {
      for (const sheet of demoSheets) waiting[sheet].push(...rows[sheet])
      patients++
      if (patients % patientsPerWrite !== 0) continue
      for (const table of tables) await table.write(waiting[table.sheet])
      waiting = emptyRows()
      onProgress(patients / settings.patients)
    }
    for (const table of tables) await table.write(waiting[table.sheet])
  } finally {
    for (const table of tables) await table.close()
  }
  const truth = tally.truth(settings)
  const rows = bySheet(tables, (table) => table.rows())
  const written = bySheet(tables, (table) => table.written())
  await writeFile(join(folder, 'truth.json'), `${stableJson(truth, 2)}\n`)
  await writeFile(join(folder, 'README.md'), demoReadme(truth, rows))
  // Last, so that a folder with a data package is a whole one.
  await writeFile(join(folder, 'datapackage.json'), demoDataPackage(settings, written))
  onProgress(1)
  return {
    files: [...demoSheets.map((sheet) => demoFiles[sheet]), 'truth.json', 'README.md', 'datapackage.json'],
    truth,
  }
}

interface TableFile {
  readonly sheet: SheetName
  write(rows: SheetRows[SheetName]): Promise<void>
  rows(): number
  written(): WrittenFile
  close(): Promise<void>
}

async function openTables(folder: string): Promise<readonly TableFile[]> {
  const tables: TableFile[] = []
  for (const sheet of demoSheets) tables.push(await openTable(folder, sheet))
  return tables
}

async function openTable(folder: string, sheet: SheetName): Promise<TableFile> {
  const columns = demoColumns(sheet)
  const file = await open(join(folder, demoFiles[sheet]), 'w')
  const hash = createHash('sha256')
  let rowCount = 0
  let bytes = await append(file, hash, `${columns.join(',')}\n`)
  return {
    sheet,
    write: async (rows) => {
      if (rows.length === 0) return
      rowCount += rows.length
      bytes += await append(file, hash, stringify(rows, { columns: [...columns] }))
    },
    rows: () => rowCount,
    written: () => ({ bytes, sha256: hash.copy().digest('hex') }),
    close: () => file.close(),
  }
}

async function append(file: FileHandle, hash: Hash, text: string): Promise<number> {
  const content = Buffer.from(text, 'utf8')
  hash.update(content)
  await file.writeFile(content)
  return content.length
}

function emptyRows(): SheetRows {
  return { restorations: [], tightenings: [], visits: [], one_sheet: [] }
}

function bySheet<Value>(
  tables: readonly TableFile[],
  value: (table: TableFile) => Value,
): Readonly<Record<SheetName, Value>> {
  return Object.fromEntries(tables.map((table) => [table.sheet, value(table)])) as Record<SheetName, Value>
}
