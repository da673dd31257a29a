import { Readable } from 'node:stream'
import { CsvError, type Options, Parser } from 'csv-parse'
import type { ProblemList } from '../problems.js'
import type { HeaderSettings } from './headerRow.js'
import { type FileInspection, openContent, type TextEncoding } from './inspect.js'
import { takePlainRows } from './plainRows.js'
import { type TextTable, TextTableBuilder } from './textTable.js'

/** Largest row that is read, in bytes: more than this is a quotation mark that never closes, or no table. */
const largestRow = 8 << 20

/**
 * Reads a separated text file into columns, streaming: comma, semicolon, tab or bar; UTF-8, UTF-16 or Windows-1252;
 * compressed or not. What is wrong with the file goes to the problems.
 */
export async function importCsv(
  path: string,
  file: string,
  inspection: FileInspection,
  problems: ProblemList,
  header: HeaderSettings = {},
  onRead: (bytes: number) => void = () => {},
): Promise<TextTable> {
  const { encoding } = inspection
  const { separator, statedInFirstLine } = layoutOf(new TextDecoder(encoding).decode(inspection.head))
  noteEncoding(encoding, file, problems)
  const builder = new TextTableBuilder(file, problems, header)
  let row = statedInFirstLine ? 1 : 0
  const content = openContent(path, inspection.compressed)
  let read = 0
  content.on('data', (chunk: Buffer) => {
    read += chunk.length
    onRead(read)
  })
  const text = encoding === 'utf-8' ? content : recoded(content, encoding)
  if (!inspection.quotes) {
    let toSkip = row
    const whole = await takePlainRows(text, { separator, longest: largestRow }, (cells) => {
      if (toSkip-- > 0) return
      row++
      builder.addRow(cells, row)
    })
    if (!whole) problems.add(unreadable(file, 'CSV_MAX_RECORD_SIZE'), row + 1)
    return builder.finish()
  }
  const options = { ...splitting(separator), from_line: statedInFirstLine ? 2 : 1 }
  const parser = new RowParser(options, (cells) => {
    row++
    if (cells.some((cell) => cell.includes('\n') && swallowsRows(cell, cells.length, separator))) {
      problems.add(swallowed(file), row)
    }
    builder.addRow(cells, row)
  })
  try {
    await drained(text, parser)
  } catch (error) {
    if (!(error instanceof CsvError)) throw error
    problems.add(unreadable(file, error.code), row + 1)
  }
  return builder.finish()
}

/**
 * A parser whose rows go straight where they are wanted: neither do they wait in a queue, nor is an account of each written, which
 * took a fifth of the time of reading.
 */
class RowParser extends Parser {
  readonly #takeRow: (cells: readonly string[]) => void

  constructor(options: Options, takeRow: (cells: readonly string[]) => void) {
    super(options)
    this.#takeRow = takeRow
  }

  override push(cells: readonly string[] | null): boolean {
    if (cells === null) return super.push(null)
    try {
      this.#takeRow(cells)
    } catch (error) {
      this.destroy(error as Error)
    }
    return true
  }
}

/** How text with quotation marks is split. */
export function splitting(separator: Separator): Options {
  return {
    bom: true,
    delimiter: separator,
    record_delimiter: ['\r\n', '\n', '\r'],
    relax_column_count: true,
    // Inches (5") and text kept by a formula (="0012") have quotation marks inside values that do not begin with one.
    relax_quotes: true,
    trim: true,
    max_record_size: largestRow,
  }
}

/** Whether a value between quotation marks holds a whole row: a mark that should have been closed earlier. */
function swallowsRows(cell: string, width: number, separator: Separator): boolean {
  return width > 2 && cell.split(/\r\n|\n/).some((line) => line.split(separator).length >= width)
}

function drained(source: Readable, parser: Parser): Promise<void> {
  return new Promise((resolve, reject) => {
    const fail = (error: Error): void => {
      source.destroy()
      parser.destroy()
      reject(error)
    }
    parser.on('error', fail).on('end', resolve).resume()
    source.on('error', fail).pipe(parser)
  })
}

function recoded(content: Readable, encoding: TextEncoding): Readable {
  const decoder = new TextDecoder(encoding)
  async function* texts(): AsyncGenerator<Buffer> {
    for await (const chunk of content) {
      const text = decoder.decode(chunk as Buffer, { stream: true })
      if (text !== '') yield Buffer.from(text)
    }
    const rest = decoder.decode()
    if (rest !== '') yield Buffer.from(rest)
  }
  return Readable.from(texts(), { objectMode: false })
}

function noteEncoding(encoding: TextEncoding, file: string, problems: ProblemList): void {
  if (encoding !== 'windows-1252') return
  problems.add({
    severity: 'note',
    code: 'read-as-windows-1252',
    file,
    problem: 'the file is not in UTF-8; it was read as Windows-1252.',
    expected: 'UTF-8, or Windows-1252 as Western spreadsheets write it.',
    mend: 'where letters with accents look wrong, save the file as UTF-8.',
  })
}

function swallowed(file: string) {
  return {
    severity: 'stop',
    code: 'quotation-mark-swallows-rows',
    file,
    problem: 'a value between quotation marks holds whole rows of the table.',
    expected: 'every opening quotation mark closed at the end of its value.',
    mend: 'close the quotation mark in this row, or write a quotation mark inside a value twice.',
  } as const
}

const csvFaults: Readonly<Record<string, readonly [code: string, problem: string, mend: string]>> = {
  CSV_QUOTE_NOT_CLOSED: [
    'quotation-mark-not-closed',
    'a quotation mark opens and never closes.',
    'close the quotation mark, or write a quotation mark inside a value twice.',
  ],
  CSV_NON_TRIMABLE_CHAR_AFTER_CLOSING_QUOTE: [
    'quotation-mark-misplaced',
    'something follows a closing quotation mark before the next separator.',
    'write a quotation mark inside a value twice, or close it at the end of the value.',
  ],
  CSV_MAX_RECORD_SIZE: [
    'row-too-large',
    `a row is larger than ${largestRow >> 20} MB: a quotation mark that never closes, or no table.`,
    'look at the row in a text editor; close the quotation mark or remove the text.',
  ],
}

/** The message of the parser may quote the data, so that only its code is used. */
function unreadable(file: string, fault: string) {
  const [code, problem, mend] = csvFaults[fault] ?? [
    'unreadable-text',
    'the text cannot be split into rows and values.',
    'open the file in a text editor, look at this row, and save it as CSV again.',
  ]
  return {
    severity: 'stop',
    code,
    file,
    problem,
    expected: 'separated text in which values with quotation marks follow RFC 4180.',
    mend,
  } as const
}

const candidates = [',', ';', '\t', '|'] as const

/** A character that sets values apart. */
export type Separator = (typeof candidates)[number]

/** How the rows of a text are laid out. */
export interface TextLayout {
  readonly separator: Separator
  /** First line says which separator is used ("sep=;") and is no row of the table. */
  readonly statedInFirstLine: boolean
}

/**
 * Finds the separator from the beginning of a text: as the first line states it, else the one that occurs most often
 * outside quotation marks in the first line that has any, and of equals the one that the next lines have as often.
 */
export function layoutOf(beginning: string): TextLayout {
  const text = beginning.replace(/^\ufeff/, '')
  const stated = /^sep=(.)\r?\n/.exec(text)
  if (stated !== null && candidates.includes(stated[1] as Separator)) {
    return { separator: stated[1] as Separator, statedInFirstLine: true }
  }
  const lines = linesOutsideQuotes(text, 21)
  const header = lines.find((line) => candidates.some((one) => countOf(line, one) > 0)) ?? ''
  const following = lines.slice(lines.indexOf(header) + 1)
  const scores = candidates.map((separator) => {
    const inHeader = countOf(header, separator)
    const agreeing = following.filter((line) => countOf(line, separator) === inHeader).length
    return { separator, inHeader, agreeing }
  })
  const best = scores
    .filter((score) => score.inHeader > 0)
    .sort((left, right) => right.inHeader - left.inHeader || right.agreeing - left.agreeing)[0]
  return { separator: best?.separator ?? ',', statedInFirstLine: false }
}

/** Lines with what stands between quotation marks taken out. */
function linesOutsideQuotes(text: string, count: number): readonly string[] {
  return text
    .replace(/"(?:[^"]|"")*"/g, '""')
    .split(/\r\n|\n|\r/)
    .filter((line) => line.trim() !== '')
    .slice(0, count)
}

function countOf(line: string, separator: string): number {
  return line.split(separator).length - 1
}
