import type { Dirent, Stats } from 'node:fs'
import { readdir, readFile, realpath, stat } from 'node:fs/promises'
import { basename, dirname, isAbsolute, join, resolve, sep } from 'node:path'
import { z } from 'zod'
import { UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import type { SheetName } from '../../vocabulary/fields.js'
import { ProblemList } from '../problems.js'

/** A file of a data set, and which sheet it holds; undefined where only its header can tell. */
export interface LocatedFile {
  readonly sheet: SheetName | undefined
  readonly path: string
  /** Name without folders, for messages. */
  readonly name: string
}

/** The files of a data set. */
export interface LocatedSource {
  readonly title: string
  readonly files: readonly LocatedFile[]
  readonly dataPackage: DataPackage | undefined
}

const tableFile = /\.(csv|tsv|txt)(\.gz)?$/i
const workbookFile = /\.(xlsx|xlsm|xlsb|xls|ods)$/i

/**
 * Finds the files of a data set: a folder (by its data package, or by the names of its files) or one file.
 *
 * @throws UsageError `no-such-path` where there is nothing at the path
 */
export async function locateSource(path: string, problems: ProblemList): Promise<LocatedSource> {
  const absolute = resolve(path)
  const found = await statOf(absolute, path)
  if (!found.isDirectory()) return locatedFile(absolute, found, problems)
  const dataPackage = await readDataPackage(absolute, problems)
  const title = dataPackage?.title ?? dataPackage?.name ?? basename(absolute)
  if (dataPackage !== undefined) {
    return { title, dataPackage, files: await filesOfPackage(absolute, dataPackage, problems) }
  }
  if (problems.stops) return { title, dataPackage, files: [] }
  return { title, dataPackage, files: await filesOfFolder(absolute, problems) }
}

async function statOf(absolute: string, asGiven: string): Promise<Stats> {
  try {
    return await stat(absolute)
  } catch {
    throw new UsageError({
      code: 'no-such-path',
      problem: `there is nothing at ${asGiven}, or it may not be looked at.`,
      expected: 'a folder with restorations, tightenings and visits, a one-sheet file, or a workbook.',
      mend: 'check the spelling of the path.',
    })
  }
}

async function locatedFile(absolute: string, found: Stats, problems: ProblemList): Promise<LocatedSource> {
  const name = basename(absolute)
  const title = name.replace(/\.gz$/i, '').replace(/\.[^.]*$/, '') || name
  if (!found.isFile()) {
    problems.add({
      severity: 'stop',
      code: 'not-a-file',
      file: name,
      problem: 'it is neither a file nor a folder.',
      expected: 'a CSV file, a workbook, or a folder with tables.',
      mend: 'give the path of the file itself.',
    })
    return { title, files: [], dataPackage: undefined }
  }
  const dataPackage = await packageBeside(absolute)
  return { title, files: [{ sheet: sheetOfName(name), path: absolute, name }], dataPackage }
}

/** The data package of the folder in which a file lies, where it names that file. */
async function packageBeside(absolute: string): Promise<DataPackage | undefined> {
  const dataPackage = await readDataPackage(dirname(absolute), new ProblemList())
  const names = dataPackage?.resources.map((resource) => resource.path.replace(/^\.\//, ''))
  return names?.includes(basename(absolute)) ? dataPackage : undefined
}

async function filesOfPackage(
  folder: string,
  dataPackage: DataPackage,
  problems: ProblemList,
): Promise<LocatedFile[]> {
  const files: LocatedFile[] = []
  for (const resource of dataPackage.resources) {
    const sheet = sheetOfName(resource.name)
    if (sheet === undefined) continue
    const file = await insideFolder(folder, resource.path, problems)
    if (file !== undefined) files.push({ sheet, path: file, name: basename(file) })
  }
  if (files.length === 0 && !problems.stops) problems.add(noData('datapackage.json'))
  return preferred(files)
}

/** Full path of a file of the folder, or undefined (and a problem that stops) where it is missing or leaves it. */
async function insideFolder(
  folder: string,
  relative: string,
  problems: ProblemList,
): Promise<string | undefined> {
  const path = join(folder, relative)
  const outside = isAbsolute(relative) || /^[a-z][a-z+.-]*:/i.test(relative) || !isBelow(folder, path)
  if (outside || !(await staysBelow(folder, path))) {
    const missing = !outside && (await realpath(path).catch(() => undefined)) === undefined
    problems.add(missing ? missingFile(basename(path)) : leavesFolder(basename(path)))
    return undefined
  }
  return path
}

async function staysBelow(folder: string, path: string): Promise<boolean> {
  try {
    return isBelow(await realpath(folder), await realpath(path))
  } catch {
    return false
  }
}

function isBelow(folder: string, path: string): boolean {
  return path.startsWith(folder.endsWith(sep) ? folder : folder + sep)
}

async function filesOfFolder(folder: string, problems: ProblemList): Promise<LocatedFile[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => undefined)
  if (entries === undefined) {
    problems.add(unreadable(basename(folder)))
    return []
  }
  const tables = entries.filter(isTable).sort((left, right) => (left.name < right.name ? -1 : 1))
  const named = tables.filter((entry) => sheetOfName(entry.name) !== undefined)
  const chosen = named.length > 0 ? named : tables
  if (chosen.length === 0) problems.add(noData(basename(folder)))
  if (named.length === 0 && tables.length > 1) problems.add(whichFile(basename(folder), tables.length))
  if (named.length > 0) tellOfOthers(basename(folder), tables, named, problems)
  const files: LocatedFile[] = []
  for (const entry of chosen) {
    const path = await insideFolder(folder, entry.name, problems)
    if (path !== undefined) files.push({ sheet: sheetOfName(entry.name), path, name: entry.name })
  }
  return preferred(files)
}

/**
 * Tables of the folder that are not read: a second file of a name (visits-2025.csv beside visits.csv) may hold what the first
 * lacks and stops; any other is counted.
 */
function tellOfOthers(
  folder: string,
  tables: readonly Dirent[],
  named: readonly Dirent[],
  problems: ProblemList,
): void {
  const hasThree = named.some(({ name }) => sheetOfName(name) !== 'one_sheet')
  const isRead = ({ name }: Dirent): boolean => {
    const sheet = sheetOfName(name)
    return sheet !== undefined && !(hasThree && sheet === 'one_sheet')
  }
  const others = tables.filter((one) => !isRead(one) && !/^corrections\b|\.txt$/i.test(one.name))
  const read = new Set(named.map(({ name }) => sheetOfName(name)))
  const versions = others.filter(({ name }) => read.has(versionOf(name)))
  for (const { name } of versions) problems.add(tableInVersions(name))
  if (others.length > versions.length) problems.add(notRead(folder, others.length - versions.length))
}

/** The table of which a file is a copy or a version by its name: the name of a table with something behind it. */
function versionOf(name: string): SheetName | undefined {
  const stem = /^(restorations|tightenings|visits|one[\s_-]?sheet)(?![a-z]).*\.[a-z]+(?:\.gz)?$/i.exec(
    name,
  )?.[1]
  return stem === undefined || sheetOfName(name) !== undefined ? undefined : sheetOfName(stem)
}

function tableInVersions(file: string) {
  return {
    severity: 'stop',
    code: 'table-in-versions',
    file,
    problem:
      'the file has the name of a table with something behind it, and the table is there besides: which of them counts is not known.',
    expected: 'each table once.',
    mend: 'move the file that does not count out of the folder, or join an earlier and a later export with holdfast merge.',
  } as const
}

function notRead(file: string, count: number) {
  return {
    severity: 'warn',
    code: 'files-not-read',
    parameters: { files: count },
    file,
    problem: `${count === 1 ? '1 other file of the folder could be a table and was' : `${count} other files of the folder could be tables and were`} not read.`,
    expected: 'nothing but the tables in the folder of a data set.',
    mend: 'nothing, where the tables are the records; else give the path of the file that is meant.',
  } as const
}

function isTable(entry: Dirent): boolean {
  const { name } = entry
  return !entry.isDirectory() && !/^[.~]/.test(name) && (tableFile.test(name) || workbookFile.test(name))
}

/** Where the three tables are there, they are read and the one sheet beside them is not. */
function preferred(files: readonly LocatedFile[]): LocatedFile[] {
  const tables = files.filter((file) => file.sheet !== 'one_sheet')
  return tables.some((file) => file.sheet !== undefined) ? tables : [...files]
}

/** The sheet that a name stands for: restorations, tightenings, visits or one_sheet, whatever its ending. */
export function sheetOfName(name: string): SheetName | undefined {
  const stem = name
    .toLowerCase()
    .replace(/\.gz$/, '')
    .replace(/\.[a-z]+$/, '')
    .replace(/[\s-]+/g, '_')
  if (stem === 'restorations' || stem === 'tightenings' || stem === 'visits') return stem
  return stem === 'one_sheet' || stem === 'onesheet' ? 'one_sheet' : undefined
}

const tablesExpected = 'restorations.csv, tightenings.csv and visits.csv, or one file in the one-sheet form.'

function noData(file: string) {
  return {
    severity: 'stop',
    code: 'no-data',
    file,
    problem: 'the folder holds no tables.',
    expected: tablesExpected,
    mend: 'give the folder in which the tables lie, or write empty ones with holdfast template.',
  } as const
}

function whichFile(file: string, count: number) {
  return {
    severity: 'stop',
    code: 'which-file',
    file,
    problem: `the folder holds ${count} files that could be tables, and none has the name of one.`,
    expected: tablesExpected,
    mend: 'name the files so, or give the path of the one-sheet file itself.',
  } as const
}

function leavesFolder(file: string) {
  return {
    severity: 'stop',
    code: 'path-leaves-folder',
    file,
    problem: 'the path of a table leads out of the folder of the data set.',
    expected: 'tables inside the folder, by relative paths and without links that lead elsewhere.',
    mend: 'copy the table into the folder.',
  } as const
}

function missingFile(file: string) {
  return {
    severity: 'stop',
    code: 'missing-file',
    file,
    problem: 'the data package names this file, and it is not there.',
    expected: 'every file that the data package names.',
    mend: 'put the file there, or take it out of datapackage.json.',
  } as const
}

/** A file or folder that may not be read. */
export function unreadable(file: string) {
  return {
    severity: 'stop',
    code: 'unreadable-file',
    file,
    problem: 'it may not be read.',
    expected: 'a file that the user who runs the toolkit may read.',
    mend: 'change its permissions, or copy it.',
  } as const
}

const tableField = z.object({ name: z.string(), format: z.string().optional() })

/** What is read of a data package (Data Package and Table Schema standard); the rest is left alone. */
const dataPackageShape = z.object({
  title: z.string().optional(),
  name: z.string().optional(),
  generated: z.boolean().optional(),
  state: z.string().optional(),
  resources: z
    .array(
      z.object({
        name: z.string(),
        path: z.string(),
        schema: z.object({ fields: z.array(tableField).optional() }).optional(),
      }),
    )
    .min(1),
})

/** A data package as far as the toolkit reads it. */
export type DataPackage = z.infer<typeof dataPackageShape>

const dataPackageFile = 'datapackage.json'

/** Reads a folder's data package; undefined where there is none or where it cannot be used (then it stops). */
export async function readDataPackage(
  folder: string,
  problems: ProblemList,
): Promise<DataPackage | undefined> {
  let text: string
  try {
    text = await readFile(join(folder, dataPackageFile), 'utf8')
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined
    stop(problems, 'it cannot be read.')
    return undefined
  }
  try {
    return dataPackageShape.parse(parseJson(text))
  } catch (error) {
    const where = error instanceof z.ZodError ? error.issues[0]?.path.join('.') : undefined
    stop(
      problems,
      where === undefined ? 'it is not JSON.' : `${where === '' ? 'it' : where} is not as the standard says.`,
    )
    return undefined
  }
}

function stop(problems: ProblemList, what: string): void {
  problems.add({
    severity: 'stop',
    code: 'bad-data-package',
    file: dataPackageFile,
    problem: `the data package cannot be used: ${what}`,
    expected: 'a Data Package with resources, each with a name and one path.',
    mend: 'put it right, or remove it: tables named restorations, tightenings and visits are found without it.',
  })
}
