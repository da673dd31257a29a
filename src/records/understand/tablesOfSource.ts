import { type Field, fieldOf, type SheetName, tableNames } from '../../vocabulary/fields.js'
import { oneSheetOwnFields } from '../../vocabulary/oneSheet.js'
import type { RecordSource } from '../dataset.js'
import type { ProblemList } from '../problems.js'
import { type LocatedSource, sheetOfName } from '../read/locate.js'
import type { SourceTables } from '../read/readTables.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import type { ColumnMap, MappedSheet } from './columnMap.js'
import { type DateOrder, dateOrderOfFormat } from './dates.js'
import { headerWord, type MatchedColumn, matchColumns } from './matchColumns.js'
import { readFields } from './readFields.js'
import type { TypedTable } from './typedTable.js'
import { type TypedTables, unfoldOneSheet } from './unfoldOneSheet.js'
import { readVisitColumns, type VisitColumns } from './visitColumns.js'

/** The gate, as it is called for every sheet. */
export type Gate = (
  text: TextTable,
  fieldOfColumn: ((column: TextColumn) => Field | undefined) | undefined,
  problems: ProblemList,
) => void

/** How the sheets of a data set become tables. */
export interface TablingOptions {
  readonly today: number
  readonly gate: Gate
  readonly columnMap?: ColumnMap
}

interface TypedSheet {
  readonly table: TypedTable
  /** Visits that stand side by side in the rows of the one-sheet form. */
  readonly visits: readonly VisitColumns[]
}

/**
 * Makes typed tables of the sheets of a data set, in either form; undefined where something stops before there are
 * tables to check. Every sheet passes the gate.
 */
export function tablesOfSource(
  read: SourceTables,
  source: LocatedSource,
  problems: ProblemList,
  options: TablingOptions,
): { readonly typed: TypedTables; readonly form: RecordSource['form'] } | undefined {
  const sheets = new Map<SheetName, TypedSheet>()
  const records = read.tables.filter((table) => !table.spare)
  for (const { text, spare } of read.tables) if (spare) options.gate(text, undefined, problems)
  for (const { sheet: named, text } of records) {
    const map = mapOf(options.columnMap, text, named, records.length)
    const sheet = map?.sheet ?? sheetOf(named, text, source)
    if (text.rowCount === 0) addNoRows(text, sheet, problems)
    if (sheets.has(sheet)) problems.add(twice(text.file, sheet))
    sheets.set(sheet, typedSheet(text, sheet, map, problems, options.gate, statedOrders(source, sheet)))
  }
  if (read.complete && sheets.size > 0 && !sheets.has('one_sheet')) requireTables(sheets, problems)
  const stops = problems.all().some((one) => one.severity === 'stop' && !leavesRowsReadable.has(one.code))
  if (stops || sheets.size === 0) return undefined
  const oneSheet = sheets.get('one_sheet')
  if (oneSheet !== undefined) {
    const typed = unfoldOneSheet(oneSheet.table, oneSheet.visits, options.today, problems)
    return { typed, form: 'one-sheet' }
  }
  const [restorations, tightenings, visits] = tableNames.map((name) => sheets.get(name)!.table)
  return {
    typed: { restorations: restorations!, tightenings: tightenings!, visits: visits! },
    form: 'three-tables',
  }
}

/** Without its required columns a sheet cannot be checked further, but the problems of its values can be listed. */
function typedSheet(
  text: TextTable,
  sheet: SheetName,
  map: MappedSheet | undefined,
  problems: ProblemList,
  gate: Gate,
  orders: ReadonlyMap<string, DateOrder>,
): TypedSheet {
  const matched = matchColumns(text, sheet, map, problems, orders)
  gate(text, fieldFinder(matched), problems)
  const own = matched.filter((one) => one.mapped?.visit === undefined)
  return {
    table: readFields(text, sheet, own, problems, map?.constants),
    visits: readVisitColumns(text, matched, problems),
  }
}

/** Order of the dates of each column, as the data package states it. */
function statedOrders(source: LocatedSource, sheet: SheetName): ReadonlyMap<string, DateOrder> {
  const resource = source.dataPackage?.resources.find((one) => sheetOfName(one.name) === sheet)
  const stated = (resource?.schema?.fields ?? []).map(
    (field) => [field.name, dateOrderOfFormat(field.format)] as const,
  )
  return new Map(stated.filter((one): one is readonly [string, DateOrder] => one[1] !== undefined))
}

/** The part of a map that is meant for a sheet: by the name of the file, by its headers, or as the only one. */
function mapOf(
  map: ColumnMap | undefined,
  text: TextTable,
  named: SheetName | undefined,
  tables: number,
): MappedSheet | undefined {
  if (map === undefined) return undefined
  const headers = new Set(text.columns.map((column) => column.header))
  const fits = (sheet: MappedSheet): boolean =>
    sheet.columns.every((column) => column.field === null || headers.has(column.header))
  const byName = map.sheets.find((sheet) => sheet.file === text.file)
  const byKind = map.sheets.find((sheet) => sheet.sheet === named && fits(sheet))
  const only = map.sheets.length === 1 && tables === 1 ? map.sheets[0] : undefined
  return byName ?? byKind ?? map.sheets.find(fits) ?? only
}

function sheetOf(named: SheetName | undefined, text: TextTable, source: LocatedSource): SheetName {
  const alone = named === 'restorations' && source.files.length === 1
  return named === undefined || (alone && holdsOneSheet(text)) ? sheetOfHeaders(text) : named
}

/** Problems that stop the run and leave the rows readable, so that the checks across rows can still be made. */
const leavesRowsReadable: ReadonlySet<string> = new Set([
  'identifier-column',
  'identifier-value',
  'torque-unit-in-doubt',
  'other-unit',
  'unknown-word',
  'not-a-date',
  'not-a-number',
  'out-of-range',
  'missing-value',
  'row-too-long',
  'field-mostly-unreadable',
  'several-crowns',
  'position-scheme-in-doubt',
])

function holdsOneSheet(text: TextTable): boolean {
  const words = new Set(text.columns.map((column) => headerWord(column.header)))
  return oneSheetOwnFields.some((field) => field.name !== 'target_torque_ncm' && words.has(field.name))
}

/** The sheet whose fields most headers name; the one-sheet form where none stands out. */
function sheetOfHeaders(text: TextTable): SheetName {
  const words = text.columns.map((column) => headerWord(column.header))
  const named = (sheet: SheetName): number =>
    words.filter((word) => fieldOf(sheet, word) !== undefined).length
  if (holdsOneSheet(text)) return 'one_sheet'
  const best = (['tightenings', 'visits'] as const).find((sheet) => named(sheet) > named('restorations'))
  return best ?? 'one_sheet'
}

function fieldFinder(matched: readonly MatchedColumn[]): (column: TextColumn) => Field | undefined {
  const fields = new Map(matched.map((one) => [one.column, one.field]))
  return (column) => fields.get(column)
}

function requireTables(sheets: ReadonlyMap<SheetName, TypedSheet>, problems: ProblemList): void {
  for (const name of tableNames) {
    if (sheets.has(name)) continue
    problems.add({
      severity: 'stop',
      code: 'missing-table',
      file: name,
      problem: `the table ${name} is missing.`,
      expected: 'the three tables restorations, tightenings and visits, or one file in the one-sheet form.',
      mend: 'give the folder in which all three lie; a table without rows still needs its header.',
    })
  }
}

/** Says why a table has no rows, unless reading has stopped before there were any. */
function addNoRows(text: TextTable, sheet: SheetName, problems: ProblemList): void {
  const { file, setAsideRows } = text
  if (setAsideRows > 0) problems.add(allSetAside(file, setAsideRows))
  else if (!problems.stopsFor(file)) problems.add(noRows(file, sheet))
}

function allSetAside(file: string, count: number) {
  return {
    severity: 'stop',
    code: 'too-many-set-aside',
    file,
    problem: `all ${count} rows are set aside.`,
    expected: 'few rows with slips; more point to a fault of the whole file or of its reading.',
    mend: 'mend the problem that sets the rows aside.',
  } as const
}

function noRows(file: string, sheet: SheetName) {
  const needed = sheet === 'restorations' || sheet === 'one_sheet'
  return {
    severity: needed ? 'stop' : 'warn',
    code: 'no-rows',
    file,
    problem: 'the table has a header and no rows.',
    expected: 'at least one row below the header.',
    mend: needed ? 'fill the table, or export it again.' : 'nothing, where there is nothing to record yet.',
  } as const
}

function twice(file: string, sheet: SheetName) {
  return {
    severity: 'stop',
    code: 'table-twice',
    file,
    problem: `the table ${sheet} is there twice.`,
    expected: 'each table once.',
    mend: 'remove or rename the file that does not belong.',
  } as const
}
