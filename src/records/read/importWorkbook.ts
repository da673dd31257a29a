import { readFile } from 'node:fs/promises'
import { inflateRawSync } from 'node:zlib'
import { type CellObject, read, SSF, type WorkBook, type WorkSheet } from '@e965/xlsx'
import type { SheetName } from '../../vocabulary/fields.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { headerWord } from '../understand/matchColumns.js'
import { unitOf } from '../understand/numbers.js'
import { type DateEpoch, isoOfSerial } from '../understand/serialDates.js'
import type { HeaderSettings } from './headerRow.js'
import { type LocatedFile, sheetOfName } from './locate.js'
import { isTemplateNote } from './templateMarks.js'
import { type TextTable, TextTableBuilder } from './textTable.js'

/** A sheet of a workbook as text; spare where it is not read as records. */
export interface WorkbookSheet {
  readonly sheet: SheetName | undefined
  readonly text: TextTable
  readonly spare: boolean
  readonly facts: SheetFacts
}

/** What a workbook says of a sheet beyond its cells. */
export interface SheetFacts {
  /** Name of the sheet; it may be anything, a name of a person too. */
  readonly name: string
  readonly hidden: boolean
  /** Rows of the sheet that are hidden, and rows in which a merged cell goes on from the row above. */
  readonly hiddenRows: readonly number[]
  readonly mergedRows: readonly number[]
}

/**
 * Reads the sheets of a workbook as text: dates as ISO dates in the epoch of the workbook, formulas as their values.
 * Sizes are limited before anything is unzipped. Hidden sheets, comments and the names in the properties are reported.
 */
export async function importWorkbook(
  file: LocatedFile,
  isZip: boolean,
  problems: ProblemList,
  settingsOf: (place: string) => HeaderSettings = () => ({}),
): Promise<readonly WorkbookSheet[]> {
  const bytes = await readFile(file.path)
  const workbook = openWorkbook(file.name, bytes, isZip, problems)
  if (workbook === undefined) return []
  reportProperties(workbook, file.name, problems)
  const epoch: DateEpoch = workbook.Workbook?.WBProps?.date1904 === true ? 1904 : 1900
  const sheets = workbook.SheetNames.flatMap((name, index) => {
    const sheet = workbook.Sheets[name]
    if (sheet === undefined) return []
    const hidden = (workbook.Workbook?.Sheets?.[index]?.Hidden ?? 0) > 0
    const place = placeOfSheet(file.name, workbook.SheetNames, index)
    const settings = settingsOf(place)
    const text = textOfSheet(sheet, place, epoch, settings, problems)
    const facts = { name, hidden, hiddenRows: hiddenRowsOf(sheet), mergedRows: mergedRowsOf(sheet) }
    return [{ settings, text, facts }]
  }).filter(({ text }) => text.columns.length > 0)
  for (const { facts, text, settings } of sheets) {
    if (facts.hidden && settings.use === undefined) problems.add(hiddenSheet(text.file))
  }
  return chosenSheets(sheets, file, problems)
}

/** A sheet goes by its number, unless its name is that of a table: other names may be anything. */
function placeOfSheet(file: string, names: readonly string[], index: number): string {
  if (names.length === 1) return file
  const name = names[index]!
  return `${file}, sheet ${sheetOfName(name) === undefined ? index + 1 : name}`
}

function openWorkbook(
  file: string,
  bytes: Buffer,
  isZip: boolean,
  problems: ProblemList,
): WorkBook | undefined {
  const tooLarge = bytes.length > workbookLimits.fileBytes ? 'too-large' : undefined
  const refusal = isZip ? refusalOfWorkbook(bytes) : tooLarge
  if (refusal !== undefined) {
    problems.add(refusal === 'too-large' ? largeWorkbook(file) : brokenWorkbook(file))
    return undefined
  }
  try {
    return read(bytes, {
      type: 'buffer',
      dense: true,
      cellNF: true,
      cellFormula: true,
      cellText: false,
      cellHTML: false,
      // Only so are hidden rows told.
      cellStyles: true,
    })
  } catch (error) {
    const locked = /password|encrypt/i.test(String((error as Error).message))
    problems.add(locked ? lockedWorkbook(file) : brokenWorkbook(file))
    return undefined
  }
}

/** The sheets that are records by their names; else the only one that is shown and filled. */
function chosenSheets(
  sheets: readonly {
    readonly settings: HeaderSettings
    readonly text: TextTable
    readonly facts: SheetFacts
  }[],
  file: LocatedFile,
  problems: ProblemList,
): readonly WorkbookSheet[] {
  const named = sheets.map((one) => ({
    ...one,
    sheet: one.facts.hidden ? undefined : sheetOfName(one.facts.name),
  }))
  if (named.some(({ settings }) => settings.use !== undefined)) {
    return named.map(({ sheet, text, facts, settings }) => ({
      sheet,
      text,
      facts,
      spare: settings.use !== true,
    }))
  }
  if (named.some((one) => one.sheet !== undefined)) {
    const three = named.some((one) => one.sheet === 'restorations')
    for (const one of named) {
      if (one.sheet === undefined && !one.facts.hidden && holdsRecords(one.text, named))
        problems.add(sheetBeside(one.text.file))
      if (three && one.sheet === 'one_sheet') problems.add(sheetNotRead(one.text.file))
    }
    return named.map(({ sheet, text, facts }) => {
      const wanted = three && sheet === 'one_sheet' ? undefined : sheet
      return { sheet: wanted, text, facts, spare: wanted === undefined }
    })
  }
  const shown = named.filter(({ facts }) => !facts.hidden && !isDictionary(facts.name))
  if (shown.length === 0) problems.add(emptyWorkbook(file.name))
  if (shown.length > 1) problems.add(whichSheet(file.name, shown.length))
  return named.map(({ text, facts }) => {
    const spare = shown.length !== 1 || text !== shown[0]!.text
    return { sheet: spare ? undefined : file.sheet, text, facts, spare }
  })
}

/** Whether the headers of a sheet are those of a sheet that is read: rows of it would be missing without a word. */
function holdsRecords(
  text: TextTable,
  named: readonly { readonly sheet: SheetName | undefined; readonly text: TextTable }[],
): boolean {
  const words = (table: TextTable): readonly string[] => table.columns.map(({ header }) => headerWord(header))
  const own = new Set(words(text))
  if (text.rowCount === 0) return false
  return named.some(({ sheet, text: other }) => {
    const theirs = words(other)
    return sheet !== undefined && theirs.filter((word) => own.has(word)).length * 2 > theirs.length
  })
}

/** The explanation that comes with our own templates. */
function isDictionary(name: string): boolean {
  return name.toLowerCase() === 'dictionary'
}

function textOfSheet(
  sheet: WorkSheet,
  place: string,
  epoch: DateEpoch,
  header: HeaderSettings,
  problems: ProblemList,
): TextTable {
  const builder = new TextTableBuilder(place, problems, header, true)
  const rows = (sheet['!data'] ?? []) as readonly (readonly (CellObject | undefined)[] | undefined)[]
  const seen = { withoutValue: 0, errors: 0, comments: 0 }
  // The rows of a sheet have holes where nothing was written; the row of the sheet is its place, not its turn.
  const filled = header.mergedCells === 'fill' ? firstCellOfMerged(sheet) : undefined
  const hidden = new Set(header.hiddenRows === 'leave-out' ? hiddenRowsOf(sheet) : [])
  for (let row = 0; row < rows.length; row++) {
    const cells = rows[row]
    if ((cells === undefined && filled === undefined) || hidden.has(row + 1)) continue
    const width = Math.max(cells?.length ?? 0, filled?.width ?? 0)
    const texts = Array.from({ length: width }, (_, column) => {
      const cell = filled?.of(row, column) ?? cells?.[column]
      return cell === undefined ? '' : textOfCell(cell, epoch, seen)
    })
    builder.addRow(texts, row + 1)
  }
  if (seen.withoutValue + seen.errors > 0) {
    problems.add(formulaWithoutValue(place), undefined, seen.withoutValue + seen.errors)
  }
  if (seen.comments > 0) problems.add(cellComments(place), undefined, seen.comments)
  const text = builder.finish()
  const firstRow = text.sourceRow[0] ?? Number.POSITIVE_INFINITY
  const merged = mergedRowsOf(sheet).filter((row) => row > firstRow)
  if (merged.length > 0 && header.mergedCells === undefined) {
    for (const row of merged) problems.add(mergedCells(place), row)
  }
  if (hiddenRowsOf(sheet).length > 0 && header.hiddenRows === undefined) {
    for (const row of hiddenRowsOf(sheet)) problems.add(hiddenRows(place), row)
  }
  return text
}

function hiddenRowsOf(sheet: WorkSheet): readonly number[] {
  return (sheet['!rows'] ?? []).flatMap((row, index) => (row?.hidden === true ? [index + 1] : []))
}

/** Rows in which a merged cell goes on from the row above. */
function mergedRowsOf(sheet: WorkSheet): readonly number[] {
  const rows = new Set<number>()
  for (const { s, e } of sheet['!merges'] ?? []) for (let row = s.r + 1; row <= e.r; row++) rows.add(row + 1)
  return [...rows].sort((left, right) => left - right)
}

/** The cell that a merged cell repeats, going down; across columns a merged cell is a heading and is not repeated. */
function firstCellOfMerged(sheet: WorkSheet) {
  const rows = sheet['!data'] ?? []
  const first = new Map<string, CellObject | undefined>()
  let width = 0
  for (const { s, e } of sheet['!merges'] ?? []) {
    if (e.r === s.r) continue
    width = Math.max(width, s.c + 1)
    for (let row = s.r + 1; row <= e.r; row++) first.set(`${row} ${s.c}`, rows[s.r]?.[s.c])
  }
  return { width, of: (row: number, column: number) => first.get(`${row} ${column}`) }
}

/** Stands for a cell that gives an error: not empty, since an empty cell may mean that nothing happened. */
const errorText = '#ERROR'

function textOfCell(
  cell: CellObject,
  epoch: DateEpoch,
  seen: { withoutValue: number; errors: number; comments: number },
): string {
  if (cell.c?.some((note) => !isTemplateNote(note)) === true) seen.comments++
  if (cell.t === 'e') {
    seen.errors++
    return errorText
  }
  if (cell.v === undefined || cell.v === null) {
    if (cell.f === undefined) return ''
    seen.withoutValue++
    return errorText
  }
  if (cell.t === 'n' && typeof cell.v === 'number') {
    if (isDateFormat(cell.z)) return isoOfSerial(cell.v, epoch) ?? String(cell.v)
    return withUnitOfFormat(cell.v, cell.z)
  }
  if (cell.t === 'd' && cell.v instanceof Date) return cell.v.toISOString().slice(0, 10)
  return String(cell.v)
}

/**
 * A number with what its format writes behind it, where that is a unit or a percent sign: 12 that a sheet shows as "12 h" are
 * hours. Anything else behind or before a number is dress.
 */
function withUnitOfFormat(value: number, format: CellObject['z']): string {
  if (typeof format !== 'string') return String(value)
  if (/%/.test(format.replace(/"[^"]*"|\\./g, ''))) return `${Number((value * 100).toPrecision(12))}%`
  const behind = /[0#?]((?:"[^"]*"|\\.| )+)(?:;|$)/.exec(format)?.[1]
  const word = behind?.replace(/"/g, '').replace(/\\(.)/g, '$1').trim() ?? ''
  return unitOf(word) === undefined ? String(value) : `${value} ${word}`
}

/** A format with a day or a year; a time or a duration alone is a number. */
function isDateFormat(format: CellObject['z']): boolean {
  if (typeof format !== 'string' || !SSF.is_date(format)) return false
  return /[dy]/i.test(format.replace(/"[^"]*"|\[[^\]]*\]|\\./g, ''))
}

function reportProperties(workbook: WorkBook, file: string, problems: ProblemList): void {
  const { Author, LastAuthor, Manager, Company } = workbook.Props ?? {}
  if (![Author, LastAuthor, Manager, Company].some((text) => (text ?? '').trim() !== '')) return
  problems.add({
    severity: 'warn',
    code: 'document-properties',
    file,
    problem: 'the properties of the workbook name a person or a practice.',
    expected: 'a workbook without names in its properties.',
    mend: 'nothing inside the practice; do not send the workbook itself, and share the shareable form instead.',
  })
}

type Unplaced = ProblemKind

function hiddenSheet(file: string): Unplaced {
  return {
    severity: 'warn',
    code: 'hidden-sheet',
    file,
    problem: 'the sheet is hidden; it was not read as records.',
    expected: 'no hidden sheets.',
    mend: 'look at it and delete it, in a copy.',
  }
}

function sheetBeside(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'sheet-beside',
    file,
    problem:
      'the sheet has the headers of a sheet that is read, and another name: whether its rows are records is not known.',
    expected: 'all rows of a table on the sheet of its name, or your word on which sheets hold records.',
    mend: 'say with holdfast map which sheets hold records, or move or delete the sheet, in a copy.',
  }
}

function sheetNotRead(file: string): Unplaced {
  return {
    severity: 'warn',
    code: 'sheet-not-read',
    file,
    problem: 'the three tables are there, and the one sheet beside them was not read.',
    expected: 'the records in one form.',
    mend: 'nothing, where the three tables are the records; else delete them, in a copy.',
  }
}

function formulaWithoutValue(file: string): Unplaced {
  return {
    severity: 'warn',
    code: 'formula-without-value',
    file,
    problem: 'a formula has no value or gives an error; the cell cannot be read.',
    expected: 'values; formulas are read as the values that they had when the workbook was saved.',
    mend: 'open the workbook in a spreadsheet program, let it calculate, and save it.',
  }
}

function cellComments(file: string): Unplaced {
  return {
    severity: 'warn',
    code: 'cell-comments',
    file,
    problem: 'cells have comments, which may name people; they were not read.',
    expected: 'no comments.',
    mend: 'delete the comments, in a copy.',
  }
}

function mergedCells(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'merged-cells',
    file,
    problem: 'cells are merged over several rows; whether their value holds for every row is not known.',
    expected: 'one value in one cell, or your word on what merged cells mean.',
    mend: 'answer the question on merged cells in holdfast map, or fill in their values, in a copy.',
  }
}

function hiddenRows(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'hidden-rows',
    file,
    problem: 'rows are hidden; whether they belong to the records is not known.',
    expected: 'every row shown, or your word on what is hidden.',
    mend: 'answer the question on hidden rows in holdfast map, or show or delete them, in a copy.',
  }
}

function largeWorkbook(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'workbook-too-large',
    file,
    problem: 'the workbook, or what is packed in it, is too large to be opened.',
    expected: `up to ${workbookLimits.fileBytes >> 20} MB, and up to ${workbookLimits.unzippedBytes >> 20} MB unpacked, or a hundred times its size.`,
    mend: 'save the sheet as CSV (UTF-8), which is read at any size.',
  }
}

function brokenWorkbook(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'unreadable-workbook',
    file,
    problem: 'the file is no workbook that can be opened, or it is damaged.',
    expected: 'an undamaged workbook (.xlsx, .xlsm, .xlsb, .xls or .ods).',
    mend: 'open it in a spreadsheet program and save it again, or save the sheet as CSV (UTF-8).',
  }
}

function lockedWorkbook(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'workbook-locked',
    file,
    problem: 'the workbook is protected by a password.',
    expected: 'a workbook that opens without a password.',
    mend: 'save a copy without a password inside the practice.',
  }
}

function emptyWorkbook(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'empty-file',
    file,
    problem: 'no sheet of the workbook that is shown holds anything.',
    expected: 'a header row and at least one row below it.',
    mend: 'export the table again.',
  }
}

function whichSheet(file: string, count: number): Unplaced {
  return {
    severity: 'stop',
    code: 'which-sheet',
    file,
    problem: `${count} sheets of the workbook are filled, and none has the name of a table.`,
    expected: 'sheets named restorations, tightenings and visits, or one sheet in the one-sheet form.',
    mend: 'say with holdfast map which sheets hold records, or name the sheets so, in a copy.',
  }
}

/** What a workbook may hold at most; more than this is a bomb, or better kept as CSV. */
const workbookLimits = Object.freeze({
  /** Bytes of the file. */
  fileBytes: 100 << 20,
  /** Bytes of its parts, unzipped. */
  unzippedBytes: 400 << 20,
  /** How often the size of the file, where its parts unzip to more than fits in memory without a thought. */
  timesItsSize: 100,
  alwaysBytes: 50 << 20,
  parts: 2_000,
})

/** Why a workbook is not opened, or undefined where it may be. */
export type WorkbookRefusal = 'too-large' | 'not-a-zip' | undefined

const endOfDirectory = 0x06054b50
const directoryEntry = 0x02014b50
const localEntry = 0x04034b50

/**
 * Looks at the parts of a zipped workbook before anything opens it: how many there are, and how large each really
 * becomes, by unzipping it against the size that it declares. A part that becomes larger than declared is refused.
 */
function refusalOfWorkbook(bytes: Buffer): WorkbookRefusal {
  if (bytes.length > workbookLimits.fileBytes) return 'too-large'
  const end = bytes.lastIndexOf(Buffer.from([0x50, 0x4b, 0x05, 0x06]))
  if (end < 0 || end + 22 > bytes.length || bytes.readUInt32LE(end) !== endOfDirectory) return 'not-a-zip'
  const parts = bytes.readUInt16LE(end + 10)
  if (parts > workbookLimits.parts) return 'too-large'
  let at = bytes.readUInt32LE(end + 16)
  let unzipped = 0
  for (let part = 0; part < parts; part++) {
    if (at + 46 > bytes.length || bytes.readUInt32LE(at) !== directoryEntry) return 'not-a-zip'
    const declared = bytes.readUInt32LE(at + 24)
    unzipped += declared
    if (unzipped > workbookLimits.unzippedBytes) return 'too-large'
    const isPacked = unzipped > workbookLimits.timesItsSize * bytes.length
    if (unzipped > workbookLimits.alwaysBytes && isPacked) return 'too-large'
    const refusal = refusalOfPart(bytes, at, declared)
    if (refusal !== undefined) return refusal
    at += 46 + bytes.readUInt16LE(at + 28) + bytes.readUInt16LE(at + 30) + bytes.readUInt16LE(at + 32)
  }
  return undefined
}

function refusalOfPart(bytes: Buffer, entry: number, declared: number): WorkbookRefusal {
  const method = bytes.readUInt16LE(entry + 10)
  const packed = bytes.readUInt32LE(entry + 20)
  const local = bytes.readUInt32LE(entry + 42)
  if (local + 30 > bytes.length || bytes.readUInt32LE(local) !== localEntry) return 'not-a-zip'
  const from = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28)
  if (from + packed > bytes.length) return 'not-a-zip'
  if (method === 0) return packed === declared ? undefined : 'not-a-zip'
  if (method !== 8) return 'not-a-zip'
  try {
    inflateRawSync(bytes.subarray(from, from + packed), { maxOutputLength: Math.max(1, declared) })
    return undefined
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'ERR_BUFFER_TOO_LARGE' ? 'too-large' : 'not-a-zip'
  }
}
