import { readFile } from 'node:fs/promises'
import { type CellObject, read, SSF, type WorkBook, type WorkSheet } from '@e965/xlsx'
import type { SheetName } from '../../vocabulary/fields.js'
import type { ProblemKind, ProblemList } from '../problems.js'
import { type DateEpoch, isoOfSerial } from '../understand/serialDates.js'
import type { HeaderSettings } from './headerRow.js'
import { type LocatedFile, sheetOfName } from './locate.js'
import { type TextTable, TextTableBuilder } from './textTable.js'
import { refusalOfWorkbook, workbookLimits } from './workbookLimits.js'

/** A sheet of a workbook as text; spare where it is not read as records. */
export interface WorkbookSheet {
  readonly sheet: SheetName | undefined
  readonly text: TextTable
  readonly spare: boolean
}

/**
 * Reads the sheets of a workbook as text: dates as ISO dates in the epoch of the workbook, formulas as their values.
 * Sizes are limited before anything is unzipped. Hidden sheets, comments and the names in the properties are reported.
 */
export async function importWorkbook(
  file: LocatedFile,
  isZip: boolean,
  problems: ProblemList,
  header: HeaderSettings = {},
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
    return [{ name, hidden, text: textOfSheet(sheet, place, epoch, header, problems) }]
  }).filter(({ text }) => text.columns.length > 0)
  for (const { hidden, text } of sheets) if (hidden) problems.add(hiddenSheet(text.file))
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
    })
  } catch (error) {
    const locked = /password|encrypt/i.test(String((error as Error).message))
    problems.add(locked ? lockedWorkbook(file) : brokenWorkbook(file))
    return undefined
  }
}

/** The sheets that are records by their names; else the only one that is shown and filled. */
function chosenSheets(
  sheets: readonly { readonly name: string; readonly hidden: boolean; readonly text: TextTable }[],
  file: LocatedFile,
  problems: ProblemList,
): readonly WorkbookSheet[] {
  const named = sheets.map((one) => ({ ...one, sheet: one.hidden ? undefined : sheetOfName(one.name) }))
  if (named.some((one) => one.sheet !== undefined)) {
    const three = named.some((one) => one.sheet === 'restorations')
    return named.map(({ sheet, text }) => {
      const wanted = three && sheet === 'one_sheet' ? undefined : sheet
      return { sheet: wanted, text, spare: wanted === undefined }
    })
  }
  const shown = named.filter((one) => !one.hidden && !isDictionary(one.name))
  if (shown.length === 0) problems.add(emptyWorkbook(file.name))
  if (shown.length > 1) problems.add(whichSheet(file.name, shown.length))
  return named.map(({ text }) => {
    const spare = shown.length !== 1 || text !== shown[0]!.text
    return { sheet: spare ? undefined : file.sheet, text, spare }
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
  const builder = new TextTableBuilder(place, problems, header)
  const rows = (sheet['!data'] ?? []) as readonly (readonly (CellObject | undefined)[] | undefined)[]
  const seen = { withoutValue: 0, errors: 0, comments: 0 }
  // The rows of a sheet have holes where nothing was written; the row of the sheet is its place, not its turn.
  for (let row = 0; row < rows.length; row++) {
    const cells = rows[row]
    if (cells === undefined) continue
    const texts = Array.from(cells, (cell) => (cell === undefined ? '' : textOfCell(cell, epoch, seen)))
    builder.addRow(texts, row + 1)
  }
  if (seen.withoutValue + seen.errors > 0) {
    problems.add(formulaWithoutValue(place), undefined, seen.withoutValue + seen.errors)
  }
  if (seen.comments > 0) problems.add(cellComments(place), undefined, seen.comments)
  if ((sheet['!merges'] ?? []).length > 0) {
    problems.add(mergedCells(place), undefined, sheet['!merges']!.length)
  }
  return builder.finish()
}

function textOfCell(
  cell: CellObject,
  epoch: DateEpoch,
  seen: { withoutValue: number; errors: number; comments: number },
): string {
  if (cell.c !== undefined && cell.c.length > 0) seen.comments++
  if (cell.t === 'e') {
    seen.errors++
    return ''
  }
  if (cell.v === undefined || cell.v === null) {
    if (cell.f !== undefined) seen.withoutValue++
    return ''
  }
  if (cell.t === 'n' && typeof cell.v === 'number') {
    if (isDateFormat(cell.z)) return isoOfSerial(cell.v, epoch) ?? String(cell.v)
    return String(cell.v)
  }
  if (cell.t === 'd' && cell.v instanceof Date) return cell.v.toISOString().slice(0, 10)
  return String(cell.v)
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

function formulaWithoutValue(file: string): Unplaced {
  return {
    severity: 'warn',
    code: 'formula-without-value',
    file,
    problem: 'a formula has no value or gives an error; the cell counts as unknown.',
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
    severity: 'warn',
    code: 'merged-cells',
    file,
    problem: 'cells are merged; only the first cell of each has the value, and the others count as empty.',
    expected: 'one value in one cell.',
    mend: 'split the merged cells and fill in their values, in a copy.',
  }
}

function largeWorkbook(file: string): Unplaced {
  return {
    severity: 'stop',
    code: 'workbook-too-large',
    file,
    problem: 'the workbook, or what is packed in it, is too large to be opened.',
    expected: `up to ${workbookLimits.fileBytes >> 20} MB, and up to ${workbookLimits.unzippedBytes >> 20} MB unpacked.`,
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
    mend: 'name the sheets so, in a copy, or delete those that are not records.',
  }
}
