import type { ProblemList } from '../problems.js'

/** One column of a file as text: every distinct text once, and which of them each row holds. */
export interface TextColumn {
  /** Header as written, trimmed. */
  readonly header: string
  /** Position in the file, counted from 1. */
  readonly position: number
  /** Distinct texts, trimmed; the first is always the empty one. */
  readonly values: readonly string[]
  readonly codes: Int32Array
}

/** A sheet as text, in columns. */
export interface TextTable {
  /** Name of the file (and sheet) for messages. */
  readonly file: string
  readonly columns: readonly TextColumn[]
  readonly rowCount: number
  /** Row of the file of each row; the header counts, and so do blank rows. */
  readonly sourceRow: Int32Array
  /** Rows that could not be read as rows and were set aside while reading. */
  readonly setAsideRows: number
}

/** Longest text that is kept of a cell; more than this is never a value of the records. */
const keptCharacters = 4_096
/** Widest file that is read. */
export const widestTable = 2_000

/**
 * Takes rows of text one by one and keeps them as columns of distinct texts, so that memory is bounded by the
 * distinct values and one number a cell, whatever the size of the file. The first row that is not blank is the header.
 */
export class TextTableBuilder {
  readonly #file: string
  readonly #problems: ProblemList
  #headerCells: readonly string[] = []
  #columns: GrowingColumn[] = []
  #sourceRow = new Int32Array(1_024)
  #rowCount = 0
  #setAsideRows = 0

  constructor(file: string, problems: ProblemList) {
    this.#file = file
    this.#problems = problems
  }

  get rowCount(): number {
    return this.#rowCount
  }

  /** Takes the next row of the file. */
  addRow(cells: readonly string[], sourceRow: number): void {
    if (this.#columns.length === 0) {
      if (!isBlank(cells)) this.#takeHeader(cells, sourceRow)
      return
    }
    if (this.#isRaggedOrBlank(cells, sourceRow)) return
    if (cells[0]!.trim() === this.#headerCells[0] && this.#repeatsHeader(cells)) {
      this.#note(
        'repeated-header',
        'the header row is repeated among the rows; the repeats were skipped.',
        sourceRow,
      )
      return
    }
    if (this.#rowCount === this.#sourceRow.length) this.#sourceRow = grown(this.#sourceRow)
    this.#sourceRow[this.#rowCount] = sourceRow
    const width = this.#columns.length
    for (let column = 0; column < width; column++) {
      this.#columns[column]!.set(this.#rowCount, cells[column] ?? '')
    }
    this.#rowCount++
  }

  finish(): TextTable {
    return {
      file: this.#file,
      columns: this.#columns.map((column, index) => column.finish(index + 1, this.#rowCount)),
      rowCount: this.#rowCount,
      sourceRow: this.#sourceRow.slice(0, this.#rowCount),
      setAsideRows: this.#setAsideRows,
    }
  }

  #takeHeader(cells: readonly string[], sourceRow: number): void {
    let width = cells.length
    while (width > 0 && cleaned(cells[width - 1]!) === '') width--
    if (width > widestTable) {
      this.#problems.add({
        severity: 'stop',
        code: 'too-many-columns',
        file: this.#file,
        problem: `the header row has ${width} columns.`,
        expected: `at most ${widestTable} columns.`,
        mend: 'remove the columns that are not part of the records, in a copy of the file.',
      })
      width = 1
    }
    this.#headerCells = cells.slice(0, width).map(cleaned)
    this.#columns = this.#headerCells.map((header) => new GrowingColumn(header))
    if (sourceRow > 1) {
      this.#note(
        'header-below-top',
        'the header row is not the first row of the file; the rows above were skipped.',
        sourceRow,
      )
    }
  }

  #isRaggedOrBlank(cells: readonly string[], sourceRow: number): boolean {
    const width = this.#columns.length
    if (cells.length === width && cleaned(cells[0]!) !== '') return false
    if (isBlank(cells)) return true
    if (cells.length > width && !isBlank(cells.slice(width))) {
      this.#setAsideRows++
      this.#problems.add(
        {
          severity: 'set-aside',
          code: 'row-too-long',
          file: this.#file,
          problem: 'the row has more values than the header has columns.',
          expected: `${width} values in every row.`,
          mend: 'put a value that holds the separator between quotation marks, or remove the extra value.',
        },
        sourceRow,
      )
      return true
    }
    if (cells.length < width) {
      this.#problems.add(
        {
          severity: 'warn',
          code: 'row-too-short',
          file: this.#file,
          problem: 'the row has fewer values than the header has columns; the missing ones count as unknown.',
          expected: `${width} values in every row.`,
          mend: 'fill the row up to its last column.',
        },
        sourceRow,
      )
    }
    return false
  }

  #repeatsHeader(cells: readonly string[]): boolean {
    return this.#headerCells.every((header, column) => cleaned(cells[column] ?? '') === header)
  }

  #note(code: string, problem: string, sourceRow: number): void {
    this.#problems.add(
      {
        severity: 'note',
        code,
        file: this.#file,
        problem,
        expected: 'one header row, at the top.',
        mend: 'nothing needs doing.',
      },
      sourceRow,
    )
  }
}

/** Text of a cell without white space at its ends (no-break and zero-width space too), in Unicode form C. */
export function cleaned(text: string): string {
  const trimmed = text.replace(/^[\s\u200b\ufeff]+|[\s\u200b\ufeff]+$/gu, '')
  const kept =
    trimmed.length > keptCharacters ? Buffer.from(trimmed.slice(0, keptCharacters)).toString() : trimmed
  return kept.normalize('NFC')
}

class GrowingColumn {
  readonly #header: string
  readonly #values: string[] = ['']
  /** Code of every text as written, so that a text is cleaned once only. */
  readonly #codeOfText = new Map<string, number>([['', 0]])
  #codes = new Int32Array(1_024)

  constructor(header: string) {
    this.#header = header
  }

  set(row: number, text: string): void {
    if (row >= this.#codes.length) this.#codes = grown(this.#codes)
    this.#codes[row] = this.#codeOfText.get(text) ?? this.#newCode(text)
  }

  #newCode(text: string): number {
    const value = cleaned(text)
    let code = this.#codeOfText.get(value)
    if (code === undefined) {
      code = this.#values.length
      this.#values.push(value)
      this.#codeOfText.set(value, code)
    }
    if (text.length <= keptCharacters && text !== value) this.#codeOfText.set(text, code)
    return code
  }

  finish(position: number, rowCount: number): TextColumn {
    return { header: this.#header, position, values: this.#values, codes: this.#codes.slice(0, rowCount) }
  }
}

function grown(column: Int32Array): Int32Array<ArrayBuffer> {
  const larger = new Int32Array(column.length * 2)
  larger.set(column)
  return larger
}

function isBlank(cells: readonly string[]): boolean {
  return cells.every((cell) => cleaned(cell) === '')
}

/** How many rows hold each distinct text of a column. */
export function countsOf(column: TextColumn): Int32Array {
  const counts = new Int32Array(column.values.length)
  for (const code of column.codes) counts[code]!++
  return counts
}

/** Rows of the file that hold one of the texts (flagged by code). */
export function rowsHolding(
  table: TextTable,
  column: TextColumn,
  flagged: ArrayLike<number | boolean>,
): number[] {
  const rows: number[] = []
  for (let row = 0; row < table.rowCount; row++) {
    if (flagged[column.codes[row]!]) rows.push(table.sourceRow[row]!)
  }
  return rows
}
