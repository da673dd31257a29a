import type { ProblemKind, ProblemList } from '../problems.js'
import { cleaned, isBlank, keptCharacters } from './cellText.js'
import {
  type FileRow,
  type HeaderSettings,
  headerAmong,
  isTotal,
  joinedHeader,
  rowsSearched,
} from './headerRow.js'
import { isExample } from './templateMarks.js'

/** One column of a file as text: every distinct text once, and which of them each row holds. */
export interface TextColumn {
  /** Header as written, trimmed. */
  readonly header: string
  /** Position in the file, counted from 1. */
  readonly position: number
  /** Distinct texts, trimmed; the first is always the empty one. */
  readonly values: readonly string[]
  readonly codes: TextCodes
}

/** Places among the distinct texts of a column: a byte each while so few bear them all, which most columns never exceed. */
export type TextCodes = Uint8Array | Uint16Array | Int32Array

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
  /** Texts that stand above the header: titles and the like, for the gate. */
  readonly outside: readonly string[]
}

/** Widest file that is read; {@link tooManyColumns} names it. */
const widestTable = 2_000

/**
 * Takes rows of text one by one and keeps them as columns of distinct texts, so that memory is bounded by the distinct
 * values and one number a cell, whatever the size of the file. The header is looked for among the first rows.
 */
export class TextTableBuilder {
  readonly #file: string
  readonly #problems: ProblemList
  readonly #settings: HeaderSettings
  readonly #endsBlank: boolean
  #searched: FileRow[] | undefined = []
  #headerCells: readonly string[] = []
  #named = 0
  #isRefused = false
  #columns: GrowingColumn[] = []
  #outside: string[] = []
  #sourceRow = new Int32Array(1_024)
  #rowCount = 0
  #setAsideRows = 0
  #totalSeen = false

  /** @param endsBlank whether a row that ends before the header does has blank cells there, as rows of a workbook have */
  constructor(file: string, problems: ProblemList, settings: HeaderSettings = {}, endsBlank = false) {
    this.#file = file
    this.#problems = problems
    this.#settings = settings
    this.#endsBlank = endsBlank
  }

  /** Takes the next row of the file. */
  addRow(cells: readonly string[], sourceRow: number): void {
    if (this.#searched !== undefined) {
      if (!isBlank(cells)) this.#searched.push({ cells: cells.slice(), sourceRow })
      if (this.#searched.length === rowsSearched) this.#findHeader()
      return
    }
    if (this.#isRefused) return
    // Below a total a row with one cell is a line of the foot, such as a date of printing.
    if (this.#totalSeen && isFoot(cells)) {
      this.#note(footRow, sourceRow)
      return
    }
    if (this.#isRaggedOrBlank(cells, sourceRow)) return
    if (isExample(cells)) this.#note(exampleRow, sourceRow)
    else if (isTotal(cells)) {
      this.#totalSeen = true
      this.#note(totalRow, sourceRow)
    } else if (cleaned(cells[0]!) === this.#headerCells[0] && this.#repeatsHeader(cells)) {
      this.#note(repeatedHeader, sourceRow)
    } else this.#keepRow(cells, sourceRow)
  }

  finish(): TextTable {
    if (this.#searched !== undefined) this.#findHeader()
    return {
      file: this.#file,
      columns: this.#columns
        .map((column, index) => column.finish(index + 1, this.#rowCount))
        .filter((column) => column.header !== '' || column.values.length > 1),
      rowCount: this.#rowCount,
      sourceRow: this.#sourceRow.slice(0, this.#rowCount),
      setAsideRows: this.#setAsideRows,
      outside: this.#outside,
    }
  }

  #keepRow(cells: readonly string[], sourceRow: number): void {
    if (this.#rowCount === this.#sourceRow.length) this.#sourceRow = grown(this.#sourceRow)
    this.#sourceRow[this.#rowCount] = sourceRow
    const width = this.#columns.length
    for (let column = 0; column < width; column++) {
      this.#columns[column]!.set(this.#rowCount, cells[column] ?? '')
    }
    this.#rowCount++
  }

  #findHeader(): void {
    const rows = this.#searched ?? []
    this.#searched = undefined
    if (rows.length === 0) return
    const at = headerAmong(rows, this.#settings)
    const header = rows[at]!
    for (const row of rows.slice(0, at))
      this.#outside.push(...row.cells.map(cleaned).filter((cell) => cell !== ''))
    if (header.sourceRow > 1) this.#note(headerBelowTop, header.sourceRow)
    const two = this.#settings.headerRows === 2 && at + 1 < rows.length
    this.#takeHeader(two ? joinedHeader(header.cells, rows[at + 1]!.cells) : header.cells)
    for (const row of rows.slice(at + (two ? 2 : 1))) this.addRow(row.cells, row.sourceRow)
  }

  #takeHeader(cells: readonly string[]): void {
    const headers = cells.map(cleaned)
    const named = headers.reduce((last, header, column) => (header === '' ? last : column + 1), 0)
    if (named > widestTable) {
      this.#problems.add({
        ...tooManyColumns,
        file: this.#file,
        problem: `the header row has ${named} columns.`,
      })
      this.#isRefused = true
      return
    }
    // Columns may go on beyond the last header: what stands there has to pass the gate, though it has no name.
    this.#named = named
    this.#headerCells = headers.slice(0, widestTable)
    this.#columns = this.#headerCells.map((header) => new GrowingColumn(header))
  }

  #isRaggedOrBlank(cells: readonly string[], sourceRow: number): boolean {
    const width = this.#columns.length
    if (cells.length === width && cells[0] !== '') return isBlank(cells)
    if (isBlank(cells)) return true
    const values = this.#named
    const expected = { expected: `${values} values in every row.`, parameters: { values } }
    if (cells.length > width && !isBlank(cells.slice(width))) {
      this.#setAsideRows++
      this.#problems.add({ ...rowTooLong, file: this.#file, ...expected }, sourceRow)
      return true
    }
    if (cells.length < this.#named && !this.#endsBlank && !isTotal(cells)) {
      this.#problems.add({ ...rowTooShort, file: this.#file, ...expected }, sourceRow)
    }
    return false
  }

  #repeatsHeader(cells: readonly string[]): boolean {
    return this.#headerCells.every((header, column) => cleaned(cells[column] ?? '') === header)
  }

  #note(kind: Omit<ProblemKind, 'file'>, sourceRow: number): void {
    this.#problems.add({ ...kind, file: this.#file }, sourceRow)
  }
}

type RowFault = Omit<ProblemKind, 'file'>

const repeatedHeader: RowFault = {
  severity: 'note',
  code: 'repeated-header',
  problem: 'the header row is repeated among the rows; the repeats were skipped.',
  expected: 'one header row, at the top.',
  mend: 'nothing needs doing.',
}

const exampleRow: RowFault = {
  severity: 'note',
  code: 'example-row',
  problem: 'the example of the template was skipped.',
  expected: 'rows of records only.',
  mend: 'nothing needs doing.',
}

const headerBelowTop: RowFault = {
  severity: 'note',
  code: 'header-below-top',
  problem: 'the header row is not the first row of the file; what stands above it was skipped.',
  expected: 'one header row, at the top.',
  mend: 'nothing, where the row is right; else say in the column map which it is ("headerRow").',
}

const totalRow: RowFault = {
  severity: 'note',
  code: 'total-row',
  problem: 'a row holds a total or another summary of the rows and was skipped.',
  expected: 'rows of records only.',
  mend: 'nothing needs doing.',
}

const footRow: RowFault = {
  ...totalRow,
  code: 'foot-row',
  problem: 'a row below the total holds a single cell, as a line of the foot does, and was skipped.',
}

/** Whether only one cell of a row is filled. */
function isFoot(cells: readonly string[]): boolean {
  return cells.filter((cell) => cleaned(cell) !== '').length === 1
}

const tooManyColumns: RowFault = {
  severity: 'stop',
  code: 'too-many-columns',
  problem: '',
  expected: 'at most 2,000 columns.',
  mend: 'remove the columns that are not part of the records, in a copy of the file.',
}

const rowTooLong: RowFault = {
  severity: 'stop',
  leavesOut: 'row',
  code: 'row-too-long',
  problem: 'the row has more values than the header has columns.',
  expected: '',
  mend: 'put a value that holds the separator between quotation marks, or remove the extra value.',
}

const rowTooShort: RowFault = {
  severity: 'warn',
  code: 'row-too-short',
  problem: 'the row has fewer values than the header has columns; the missing ones count as unknown.',
  expected: '',
  mend: 'fill the row up to its last column.',
}

class GrowingColumn {
  readonly #header: string
  readonly #values: string[] = ['']
  /** Code of every text as written, so that a text is cleaned once only. */
  readonly #codeOfText = new Map<string, number>([['', 0]])
  #codes: TextCodes = new Uint8Array(1_024)

  constructor(header: string) {
    this.#header = header
  }

  set(row: number, text: string): void {
    const code = this.#codeOfText.get(text) ?? this.#newCode(text)
    if (row >= this.#codes.length) this.#codes = grown(this.#codes)
    this.#codes[row] = code
  }

  #newCode(text: string): number {
    const value = copied(cleaned(text))
    let code = this.#codeOfText.get(value)
    if (code === undefined) {
      code = this.#values.length
      this.#values.push(value)
      this.#codeOfText.set(value, code)
      if (code === widest.byte + 1) this.#codes = Uint16Array.from(this.#codes)
      if (code === widest.two + 1) this.#codes = Int32Array.from(this.#codes)
    }
    if (text.length <= keptCharacters && text !== value) this.#codeOfText.set(copied(text), code)
    return code
  }

  finish(position: number, rowCount: number): TextColumn {
    return { header: this.#header, position, values: this.#values, codes: this.#codes.slice(0, rowCount) }
  }
}

/** Longest text that the engine copies by itself where a piece is taken of a longer one; a longer piece keeps the whole in memory. */
const copiedByEngine = 12

/** A text that shares no memory with the rows that it was read from. */
function copied(text: string): string {
  return text.length > copiedByEngine ? Buffer.from(text).toString() : text
}

/** Largest codes of one byte and of two. */
const widest = { byte: 0xff, two: 0xffff } as const

function grown<Column extends TextCodes>(column: Column): Column {
  const larger = new (column.constructor as new (length: number) => Column)(column.length * 2)
  larger.set(column)
  return larger
}

const counted = new WeakMap<TextColumn, Int32Array>()

/** How many rows hold each distinct text of a column; counted once, since all that look at a column ask for it. */
export function countsOf(column: TextColumn): Int32Array {
  const known = counted.get(column)
  if (known !== undefined) return known
  const { values, codes } = column
  const counts = new Int32Array(values.length)
  for (let row = 0; row < codes.length; row++) counts[codes[row]!]!++
  counted.set(column, counts)
  return counts
}
