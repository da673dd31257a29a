import { rm, stat, writeFile } from 'node:fs/promises'
import { basename, extname, join } from 'node:path'
import { HoldfastError, RecordError, UsageError } from '../core/errors.js'
import { openScratch } from '../core/scratch.js'
import type { Protocol } from '../pooling/protocol/protocol.js'
import {
  identifier,
  literal,
  neededColumns,
  type RowsSource,
  rowColumns,
  rowsQuery,
  type ScoreRow,
  scoreKey,
  statusCode,
} from '../pooling/site/countedSql.js'
import { groupNames } from '../pooling/site/siteRows.js'

/** Memory that the embedded engine may use before it writes to the disk. */
const memoryLimit = '1200MB'

/** Asks the engine. */
export type Ask = (sql: string) => Promise<readonly Readonly<Record<string, unknown>>[]>

/** Rows at risk of a file inside the embedded engine, in the table `rows_asked_for`. */
export interface OpenEngine {
  readonly ask: Ask
  /** Puts scores into the table `given_scores`. */
  giveScores(scores: readonly ScoreRow[], size: number): Promise<void>
  close(): Promise<void>
}

/**
 * Opens the embedded engine on a CSV or Parquet file of rows at risk: checks the columns and the rows, and holds those
 * that the protocol asks for in a table of a temporary file.
 *
 * @throws UsageError `no-such-path`, `no-rows-at-risk`; RecordError `bad-rows-at-risk`
 */
export async function openEngine(file: string, protocol: Protocol): Promise<OpenEngine> {
  const reader = await readerOf(file)
  const { DuckDBInstance } = await import('@duckdb/node-api')
  const folder = openScratch('engine')
  const instance = await DuckDBInstance.create(join(folder, 'rows.duckdb'), {
    memory_limit: memoryLimit,
    threads: '2',
    temp_directory: folder,
    preserve_insertion_order: 'false',
  })
  const connection = await instance.connect()
  const read = async (sql: string) => (await connection.runAndReadAll(sql)).getRowObjectsJS()
  const close = async (): Promise<void> => {
    connection.closeSync()
    instance.closeSync()
    await rm(folder, { recursive: true, force: true })
  }
  const ask: Ask = (sql) => read(sql)
  const giveScores = async (scores: readonly ScoreRow[], size: number): Promise<void> => {
    const path = join(folder, 'scores.csv')
    const names = Array.from({ length: size }, (_one, j) => `s${j}`)
    const lines = scores.map(({ scores: own, ...of }) => [identifier(scoreKey(of)), ...own].join(','))
    await writeFile(path, `${['score_of', ...names].join(',')}\n${lines.join('\n')}\n`)
    const types = [`'score_of': 'VARCHAR'`, ...names.map((name) => `'${name}': 'DOUBLE'`)]
    await connection.run(
      `CREATE TABLE given_scores AS SELECT * FROM read_csv(${literal(path)}, header = true, auto_detect = false, delim = ',', quote = '"', escape = '"', columns = {${types.join(', ')}})`,
    )
  }
  try {
    const described = await read(`DESCRIBE SELECT * FROM ${reader}`)
    const columns = described.map((row) => String(row.column_name))
    const source = { relation: reader, columns, name: siteName(file) }
    await requireRows(ask, source, protocol, basename(file))
    await connection.run(`CREATE TABLE rows_asked_for AS ${rowsQuery(protocol, source)}`)
    const [all] = await ask('SELECT COUNT(*) AS n FROM rows_asked_for')
    if (Number(all!.n) === 0) throw nobodyAtRisk()
    return { ask, giveScores, close }
  } catch (error) {
    await close()
    if (error instanceof HoldfastError) throw error
    // What the engine says quotes the file, so that only its kind is told on.
    throw /space left|out of memory/i.test(String(error)) ? noRoom() : unreadableRows(basename(file))
  }
}

/** The file as SQL reads it; every column of a CSV file as text, so that codes keep their zeros. */
async function readerOf(file: string): Promise<string> {
  const kind = extname(file).toLowerCase()
  const there = await stat(file).then(
    (found) => found.isFile(),
    () => false,
  )
  if (there && kind === '.parquet') return `read_parquet(${literal(file)})`
  if (there && kind === '.csv') return `read_csv(${literal(file)}, header = true, all_varchar = true)`
  throw new UsageError({
    code: 'no-rows-at-risk',
    problem: there ? `${basename(file)} is neither CSV nor Parquet.` : `${basename(file)} is not a file.`,
    expected: 'a CSV or Parquet file of rows at risk, as docs/pooling.md says.',
    mend: 'write the rows at risk to a file ending in .csv or .parquet, or leave --sql out.',
  })
}

/** Name of a site whose file has no column of clinics. */
function siteName(file: string): string {
  return basename(file, extname(file))
}

/** Looks at columns and rows before anything is counted. */
async function requireRows(ask: Ask, source: RowsSource, protocol: Protocol, file: string): Promise<void> {
  const missing = neededColumns(protocol).filter((name) => !source.columns.includes(name))
  if (missing.length > 0) throw badRows(file, `the columns ${missing.join(', ')} are missing`)
  // Of two columns whose names differ in letter case at most the engine calls the second by another name.
  const twice = Object.values(rowColumns).filter((one) => isThereTwice(one, source.columns))
  if (twice.length > 0) throw badRows(file, `the columns ${twice.join(', ')} are there twice`)
  const name = (key: keyof typeof rowColumns): string => identifier(rowColumns[key])
  const days = (key: 'time' | 'entry'): string => `TRY_CAST(${name(key)} AS DOUBLE)`
  // What is no number compares as larger than all others.
  const whole = (day: string): string => `${day} BETWEEN 0 AND ${longestDays} AND ${day} = FLOOR(${day})`
  const blank = (key: keyof typeof rowColumns): string =>
    `COALESCE(TRIM(CAST(${name(key)} AS VARCHAR)), '') = ''`
  const entry = source.columns.includes(rowColumns.entry)
    ? `${name('entry')} IS NULL OR (COALESCE(${whole(days('entry'))}, false) AND ${days('entry')} <= ${days('time')})`
    : 'true'
  const faults = {
    'have no whole day of leaving': `NOT COALESCE(${whole(days('time'))}, false)`,
    'enter on no whole day, or after they leave': `NOT COALESCE(${entry}, false)`,
    'have a status that is none of 0, 1, 2, censored, endpoint, competing': `${statusCode(name('status'))} IS NULL`,
    'have no patient': blank('patient'),
    'have no restoration': blank('restoration'),
    'have an exposure that is a group but for letter case or blanks': likeGroup(name('group'), protocol),
    ...(protocol.release.from === null
      ? {}
      : { 'have no delivery date': `TRY_CAST(${name('delivery')} AS DATE) IS NULL` }),
  }
  const counts = Object.values(faults).map(
    (fault, i) => `SUM(CASE WHEN ${fault} THEN 1 ELSE 0 END) AS fault_${i}`,
  )
  const repeats = `COUNT(*) - COUNT(DISTINCT ${name('restoration')}) AS repeats`
  const [found] = await ask(`SELECT COUNT(*) AS n, ${repeats}, ${counts.join(', ')} FROM ${source.relation}`)
  Object.keys(faults).forEach((words, i) => {
    const count = Number(found![`fault_${i}`])
    if (count > 0) throw badRows(file, `${count} rows ${words}`)
  })
  if (Number(found!.repeats) > 0)
    throw badRows(file, `${found!.repeats} rows repeat a restoration, or have none`)
}

/** Days of a hundred years: nobody is followed longer. */
const longestDays = 36_525

function isThereTwice(name: string, columns: readonly string[]): boolean {
  return columns.filter((one) => one.toLowerCase() === name || one.toLowerCase() === `${name}_1`).length > 1
}

/** Whether an exposure would be one of the two groups if it were written as the protocol has it. */
function likeGroup(column: string, protocol: Protocol): string {
  const groups = groupNames(protocol)
  const text = `CAST(${column} AS VARCHAR)`
  const alike = `REGEXP_REPLACE(LOWER(TRIM(${text})), '[\\s_-]+', ' ', 'g')`
  const wanted = groups.map((one) => literal(one.toLowerCase().replace(/[\s_-]+/g, ' '))).join(', ')
  return `${text} NOT IN (${groups.map(literal).join(', ')}) AND ${alike} IN (${wanted})`
}

function noRoom(): UsageError {
  return new UsageError({
    code: 'no-room',
    problem: 'the disk or the memory of this machine is full; nothing was written.',
    expected: 'room for the rows at risk in the folder of temporary files.',
    mend: 'make room, and run again.',
  })
}

function unreadableRows(file: string): RecordError {
  return new RecordError(
    {
      code: 'unreadable-rows-at-risk',
      problem: 'the rows at risk cannot be read: the file is damaged, or is not what its name says.',
      expected: 'a whole Parquet file, or CSV in UTF-8 with a header.',
      mend: 'write the file again.',
    },
    { file },
  )
}

function badRows(file: string, what: string): RecordError {
  return new RecordError(
    {
      code: 'bad-rows-at-risk',
      problem: `the rows at risk cannot be counted: ${what}.`,
      expected: 'one row for each restoration, with the columns that docs/pooling.md names.',
      mend: 'mend the query that made the file, and make it again.',
    },
    { file },
  )
}

function nobodyAtRisk(): UsageError {
  return new UsageError({
    code: 'no-rows',
    problem: 'no row falls into either group of the protocol.',
    expected: 'rows whose exposure is one of the two groups, word for word.',
    mend: 'check the protocol and the column exposure.',
  })
}
