import { UsageError } from '../../core/errors.js'
import type { SheetName } from '../../vocabulary/fields.js'
import type { ProblemList } from '../problems.js'
import type { HeaderSettings } from './headerRow.js'
import { importCsv } from './importCsv.js'
import type { SheetFacts } from './importWorkbook.js'
import { type FileInspection, inspectFile, tooMuchUnpacked } from './inspect.js'
import { type LocatedFile, type LocatedSource, unreadable } from './locate.js'
import {
  openReadingThread,
  type ReadBeside,
  type ReadingThread,
  type ReadingThreadOptions,
  readsAlike,
} from './readingBeside.js'
import type { TextTable } from './textTable.js'

/** A sheet as text, with the file it came from. */
export interface SourceTable {
  readonly sheet: SheetName | undefined
  readonly text: TextTable
  /** Not read as records, but passed through the gate all the same. */
  readonly spare: boolean
  /** What the workbook says of the sheet; absent for text files. */
  readonly facts?: SheetFacts
}

/** Every sheet of a data set as text. */
export interface SourceTables {
  readonly tables: readonly SourceTable[]
  readonly files: readonly { readonly name: string; readonly sha256: string }[]
  /** Every file gave at least one table. */
  readonly complete: boolean
}

/** How the files of a data set are read. */
export interface TableReadingOptions {
  /** Where the header of a file or sheet is, what it looks like, and how the sheet is read, by its place. */
  readonly headerOf?: (place: string) => HeaderSettings
  readonly onProgress?: (share: number) => void
  /** When a second thread reads some of the files. */
  readonly thread?: ReadingThreadOptions
}

interface InspectedFile {
  readonly file: LocatedFile
  readonly inspection: FileInspection
}

/** Reads every file of a data set into text tables; what is wrong with a file goes to the problems. */
export async function readTables(
  source: LocatedSource,
  problems: ProblemList,
  options: TableReadingOptions = {},
): Promise<SourceTables> {
  const inspected: InspectedFile[] = []
  for (const file of source.files) {
    const inspection = await inspectedOrProblem(file, problems)
    if (inspection !== undefined) inspected.push({ file, inspection })
  }
  const found = await tablesOfFiles(inspected, problems, options)
  return {
    tables: found.flat(),
    complete: inspected.length === source.files.length && found.every((tables) => tables.length > 0),
    files: inspected.map(({ file, inspection }) => ({ name: file.name, sha256: inspection.sha256 })),
  }
}

/**
 * The tables of all files. With much to read a second thread takes files from the end while this one takes them from the front;
 * problems are told in the order of the files either way.
 */
async function tablesOfFiles(
  files: readonly InspectedFile[],
  problems: ProblemList,
  options: TableReadingOptions,
): Promise<readonly (readonly SourceTable[])[]> {
  const bytes = files.reduce((sum, { inspection }) => sum + inspection.bytes, 0)
  const readOf = new Float64Array(files.length)
  const reading = (at: number) => (now: number) => {
    readOf[at] = now
    options.onProgress?.(readOf.reduce((sum, one) => sum + one, 0) / bytes)
  }
  const found: (readonly SourceTable[])[] = []
  const beside: (ReadBeside | undefined)[] = []
  let end = files.length
  const thread = canShare(files, options) ? openReadingThread(bytes, options.thread) : undefined
  const readFromTheEnd = async (): Promise<void> => {
    // The first file is read here in any case.
    while (thread !== undefined && found.length + 1 < end) {
      end -= 1
      const at = end
      beside[at] = await readBeside(files[at]!, thread, options, reading(at))
    }
  }
  const others = readFromTheEnd()
  try {
    const readHere = (at: number) => tablesOfFile(files[at]!, problems, options, reading(at))
    while (found.length < end) found.push(await readHere(found.length))
    await others
    for (let at = end; at < files.length; at++) {
      const text = beside[at]?.text
      beside[at]?.tell(problems)
      found.push(text === undefined ? await readHere(at) : tablesOfText(files[at]!.file, text, problems))
    }
  } finally {
    thread?.close()
  }
  return found
}

function canShare(files: readonly InspectedFile[], { headerOf }: TableReadingOptions): boolean {
  return (
    files.length > 1 &&
    files.every(({ inspection }) => inspection.content === 'text') &&
    files.every(({ file }) => readsAlike(headerOf?.(file.name) ?? {}))
  )
}

function readBeside(
  { file, inspection }: InspectedFile,
  thread: ReadingThread,
  { headerOf }: TableReadingOptions,
  onRead: (bytes: number) => void,
): Promise<ReadBeside | undefined> {
  const { isHeader, ...header } = headerOf?.(file.name) ?? {}
  const { path, name } = file
  return thread.read({ path, name, inspection, header, knowsHeaders: isHeader !== undefined }, onRead)
}

async function tablesOfFile(
  { file, inspection }: InspectedFile,
  problems: ProblemList,
  options: TableReadingOptions,
  onRead: (bytes: number) => void,
): Promise<readonly SourceTable[]> {
  const { content } = inspection
  const headerOf = options.headerOf ?? (() => ({}))
  if (content !== 'text') {
    // What reads workbooks is the largest part of all that an import loads, and most records come as text.
    const { importWorkbook } = await import('./importWorkbook.js')
    return importWorkbook(file, content === 'zip', problems, headerOf)
  }
  const header = headerOf(file.name)
  const text = await importCsv(file.path, file.name, inspection, problems, header, onRead)
  return tablesOfText(file, text, problems)
}

function tablesOfText(file: LocatedFile, text: TextTable, problems: ProblemList): readonly SourceTable[] {
  if (text.columns.length > 0) return [{ sheet: file.sheet, text, spare: false }]
  if (!problems.stops) problems.add(emptyFile(file.name))
  return []
}

async function inspectedOrProblem(
  file: LocatedFile,
  problems: ProblemList,
): Promise<FileInspection | undefined> {
  let inspection: FileInspection
  try {
    inspection = await inspectFile(file.path)
  } catch (error) {
    problems.add(problemOfReading(file.name, error))
    return undefined
  }
  const isWorkbook = inspection.content === 'zip' || inspection.content === 'old-workbook'
  if (inspection.content === 'text' || (isWorkbook && !inspection.compressed)) return inspection
  problems.add(inspection.content === 'empty' ? emptyFile(file.name) : binaryFile(file.name))
  return undefined
}

function problemOfReading(file: string, error: unknown) {
  const code = (error as NodeJS.ErrnoException).code ?? ''
  if (error instanceof UsageError) throw error
  if (code === tooMuchUnpacked) {
    return {
      severity: 'stop',
      code: 'archive-too-large',
      file,
      problem: 'the compressed file unpacks to more than a hundred times its size.',
      expected: 'a compressed table.',
      mend: 'look at what is packed in it, and give the table uncompressed.',
    } as const
  }
  if (code.startsWith('Z_')) {
    return {
      severity: 'stop',
      code: 'broken-compression',
      file,
      problem: 'the compressed file is damaged or cut short.',
      expected: 'a whole gzip file.',
      mend: 'compress the table again, or give it uncompressed.',
    } as const
  }
  if (['EACCES', 'EPERM', 'EIO', 'EISDIR', 'ENOENT', 'ELOOP'].includes(code)) return unreadable(file)
  throw error
}

function emptyFile(file: string) {
  return {
    severity: 'stop',
    code: 'empty-file',
    file,
    problem: 'the file is empty.',
    expected: 'a header row and at least one row below it.',
    mend: 'export the table again.',
  } as const
}

function binaryFile(file: string) {
  return {
    severity: 'stop',
    code: 'binary-file',
    file,
    problem: 'the file is no text: it holds bytes that no text has.',
    expected: 'a CSV file, or a workbook.',
    mend: 'export the table as CSV (UTF-8).',
  } as const
}
