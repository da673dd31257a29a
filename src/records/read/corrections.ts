import { basename } from 'node:path'
import { RecordError, UsageError } from '../../core/errors.js'
import { identifierOfValue } from '../identities/identifierValues.js'
import { ProblemList } from '../problems.js'
import { importCsv } from './importCsv.js'
import { inspectFile } from './inspect.js'
import type { SourceTables } from './readTables.js'
import type { TextColumn, TextTable } from './textTable.js'

/** One value that the user corrects, in place of changing the file. */
export interface Correction {
  /** Name of the file, and of the sheet where a workbook has several, as problems name it. */
  readonly file: string
  /** Row of the file; the header is row 1. */
  readonly row: number
  readonly column: string
  /** Value as it stands in the file. */
  readonly old: string
  /** Value that counts instead; empty where it is not known. */
  readonly new: string
  readonly why: string
}

const columns = ['file', 'row', 'column', 'old', 'new', 'why'] as const

/**
 * Reads a correction file: CSV with the columns file, row, column, old, new and why.
 *
 * @throws UsageError `no-such-corrections` where there is no such file
 * @throws RecordError `bad-corrections` where a column is missing, a row is no number, or a reason is not given
 */
export async function readCorrections(path: string): Promise<readonly Correction[]> {
  const file = basename(path)
  const problems = new ProblemList()
  const inspection = await inspectFile(path).catch(() => undefined)
  if (inspection === undefined) {
    throw new UsageError({
      code: 'no-such-corrections',
      problem: `there is no correction file at ${path}, or it may not be read.`,
      expected: 'a CSV file with the columns file, row, column, old, new and why.',
      mend: 'check the spelling of the path.',
    })
  }
  const text = inspection.content === 'text' ? await importCsv(path, file, inspection, problems) : undefined
  const missing = columns.filter(
    (name) => !text?.columns.some((column) => column.header.toLowerCase() === name),
  )
  if (text === undefined || missing.length > 0) throw bad(file, `columns are missing: ${missing.join(', ')}`)
  return Object.freeze(Array.from({ length: text.rowCount }, (_, index) => correctionOf(text, index, file)))
}

function correctionOf(text: TextTable, index: number, file: string): Correction {
  const cell = (name: string): string => {
    const column = text.columns.find((one) => one.header.toLowerCase() === name)!
    return column.values[column.codes[index]!]!
  }
  const row = Number(cell('row'))
  const line = text.sourceRow[index]!
  if (!Number.isInteger(row) || row < 2) throw bad(file, `row ${line}: "row" is no row of a file`)
  if (cell('why') === '') throw bad(file, `row ${line}: "why" is empty`)
  return Object.freeze({
    file: cell('file'),
    row,
    column: cell('column'),
    old: cell('old'),
    new: cell('new'),
    why: cell('why'),
  })
}

function bad(file: string, what: string): RecordError {
  return new RecordError(
    {
      code: 'bad-corrections',
      problem: `the correction file cannot be used: ${what}.`,
      expected: 'the columns file, row, column, old, new and why, with a reason on every row.',
      mend: 'put it right; the data set itself stays as it is.',
    },
    { file },
  )
}

/** Applies corrections to the texts of a data set; each is listed, and one that does not fit stops. */
export function applyCorrections(
  read: SourceTables,
  corrections: readonly Correction[],
  problems: ProblemList,
): SourceTables {
  if (corrections.length === 0) return read
  const texts = new Map(read.tables.map(({ text }) => [text.file, text]))
  for (const correction of corrections) {
    const text = texts.get(correction.file)
    const corrected = text === undefined ? undefined : correctedTable(text, correction)
    if (corrected === undefined) problems.add(doesNotFit(correction), correction.row)
    else {
      texts.set(correction.file, corrected)
      problems.add(applied(correction), correction.row)
    }
  }
  return { ...read, tables: read.tables.map((table) => ({ ...table, text: texts.get(table.text.file)! })) }
}

function correctedTable(text: TextTable, correction: Correction): TextTable | undefined {
  const row = text.sourceRow.indexOf(correction.row)
  const matching = text.columns.filter((one) => one.header === correction.column)
  const column = matching[0]
  if (row < 0 || column === undefined || matching.length > 1) return undefined
  if (column.values[column.codes[row]!] !== correction.old) return undefined
  const corrected = withValue(column, row, correction.new)
  return { ...text, columns: text.columns.map((one) => (one === column ? corrected : one)) }
}

function withValue(column: TextColumn, row: number, value: string): TextColumn {
  const known = column.values.indexOf(value)
  const values = known >= 0 ? column.values : [...column.values, value]
  // The codes of a column may be too narrow for one more text.
  const codes = Int32Array.from(column.codes)
  codes[row] = known >= 0 ? known : values.length - 1
  return { ...column, values, codes }
}

function applied({ file, column, why }: Correction) {
  // A reason is free text of the user, so that it passes the gate before it is printed.
  const isSafe = why.length <= 80 && identifierOfValue(why) === undefined
  return {
    severity: 'note',
    code: 'corrected',
    parameters: { told: isSafe ? 'yes' : 'other', why: isSafe ? why : '' },
    file,
    column,
    problem: `a value was corrected by the correction file${isSafe ? ` (${why})` : ''}.`,
    expected: 'corrections with a reason.',
    mend: 'nothing needs doing.',
  } as const
}

function doesNotFit({ file, column }: Correction) {
  return {
    severity: 'stop',
    code: 'correction-does-not-fit',
    file,
    column,
    problem:
      'a correction names a file, row or column that is not there, or an old value that the cell does not have.',
    expected: 'corrections that fit the file as it is.',
    mend: 'correct the correction file; it may have been made for another export.',
  } as const
}
