import { type Field, fieldOf, type SheetName, tableNames } from '../../vocabulary/fields.js'
import { oneSheetOwnFields } from '../../vocabulary/oneSheet.js'
import type { FieldCompleteness, RecordSource } from '../dataset.js'
import { ProblemList } from '../problems.js'
import { type LocatedSource, sheetOfName } from '../read/locate.js'
import type { SourceTable, SourceTables } from '../read/readTables.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { type ArrangedSheet, arrange, linkedBySite, needsArranging, stacked } from './arrange.js'
import { ownCompleteness } from './checkOneSheet.js'
import { type ColumnMap, type MappedSheet, placeWithin } from './columnMap.js'
import { type DateOrder, dateOrderOfFormat } from './dates.js'
import { leaveOut } from './faults.js'
import { checkMap, headerWord, type MatchedColumn, matchColumns, missing } from './matchColumns.js'
import { readFields } from './readFields.js'
import type { TypedTable } from './typedTable.js'
import { type TypedTables, unfoldOneSheet } from './unfoldOneSheet.js'
import { readVisitColumns, readVisitRows, type VisitColumns } from './visitColumns.js'

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

/** What a data set becomes: the three tables, typed. */
export interface SourceInTables {
  readonly typed: TypedTables
  readonly form: RecordSource['form']
  /** Of what the one-sheet form says in columns that no table has. */
  readonly ownCompleteness?: readonly FieldCompleteness[]
}

interface TypedSheet {
  readonly table: TypedTable
  /** The sheet with a row for each restoration, where the map arranges it. */
  readonly arranged?: ArrangedSheet
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
): SourceInTables | undefined {
  const sheets = new Map<SheetName, TypedSheet>()
  const records = read.tables.filter((table) => !table.spare)
  for (const { text, spare } of read.tables) if (spare) options.gate(text, undefined, problems)
  const visitRows: { readonly text: TextTable; readonly map: MappedSheet }[] = []
  const elsewhere =
    records.length > 1 && options.columnMap?.sheets.some(holdsVisitsAlone) === true ? heldByVisits : []
  for (const { sheet: named, text } of stackedByMap(records, options.columnMap)) {
    const map = mapOf(options.columnMap, text, named, records.length)
    if (map !== undefined && holdsVisitsAlone(map) && records.length > 1) {
      visitRows.push({ text, map })
      continue
    }
    const sheet = map?.sheet ?? sheetOf(named, text, source)
    if (text.rowCount === 0) addNoRows(text, sheet, problems)
    if (sheets.has(sheet)) problems.add(twice(text.file, sheet))
    sheets.set(
      sheet,
      typedSheet(text, sheet, map, problems, options.gate, statedOrders(source, sheet), elsewhere),
    )
  }
  if (read.complete && sheets.size > 0 && !sheets.has('one_sheet')) requireTables(sheets, problems)
  const stops = problems.all().some((one) => one.severity === 'stop' && !leavesRowsReadable.has(one.code))
  if (stops || sheets.size === 0) return undefined
  const oneSheet = sheets.get('one_sheet')
  if (oneSheet !== undefined) {
    const linked = visitRows.map((one) => linkedVisits(one, oneSheet, problems, options.gate))
    if (problems.all().some((one) => one.severity === 'stop' && !leavesRowsReadable.has(one.code)))
      return undefined
    const visits = [...oneSheet.visits, ...linked]
    leaveOutWithVisits(oneSheet.table, visits)
    const typed = unfoldOneSheet(oneSheet.table, visits, options.today, problems)
    return { typed, form: 'one-sheet', ownCompleteness: ownCompleteness(oneSheet.table) }
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
  elsewhere: readonly string[],
): TypedSheet {
  if (sheet === 'one_sheet' && needsArranging(map)) return arrangedSheet(text, map, problems, gate, elsewhere)
  const matched = matchColumns(text, sheet, map, problems, orders, elsewhere)
  gate(text, fieldFinder(matched), problems)
  const own = matched.filter((one) => one.mapped?.visit === undefined)
  return {
    table: readFields(text, sheet, own, problems, map?.constants),
    visits: readVisitColumns(text, matched, problems),
    ...(map === undefined ? {} : { arranged: { text, map, contradicting: [] } }),
  }
}

/** A sheet that is arranged by its map before it is read. The gate sees it as it lies in the file. */
function arrangedSheet(
  text: TextTable,
  map: MappedSheet,
  problems: ProblemList,
  gate: Gate,
  elsewhere: readonly string[],
): TypedSheet {
  const asFound = matchColumns(text, 'one_sheet', map, new ProblemList())
  gate(text, fieldFinder(asFound), problems)
  checkMap(text, map, problems)
  const arranged = arrange(text, map, problems)
  const below = arranged.visits
  const columns =
    below === undefined ? [] : matchColumns(below.text, 'visits', below.map, problems, undefined, false)
  const matched = matchColumns(
    arranged.text,
    'one_sheet',
    arranged.map,
    problems,
    undefined,
    below === undefined ? elsewhere : false,
  )
  const own = matched.filter((one) => one.mapped?.visit === undefined)
  const table = readFields(arranged.text, 'one_sheet', own, problems, map.constants)
  for (const row of arranged.contradicting) leaveOut(table, row, 'restoration')
  const visits = below === undefined ? [] : [readVisitRows(below, columns, problems)]
  if (below !== undefined) requireVisitColumns(text, matched, columns, problems)
  return { table, visits: [...readVisitColumns(arranged.text, matched, problems), ...visits], arranged }
}

/** Rows of visits need a delivery, the day of the visit and what was found; without them there is no answer. */
function requireVisitColumns(
  text: TextTable,
  own: readonly MatchedColumn[],
  visits: readonly MatchedColumn[],
  problems: ProblemList,
): void {
  const has = (columns: readonly MatchedColumn[], ...names: readonly string[]): boolean =>
    columns.some((one) => names.includes(one.field.name))
  if (!has(own, 'patient_id')) problems.add(missing(text.file, fieldOf('one_sheet', 'patient_id')!))
  if (!has(own, 'delivery_date')) problems.add(missing(text.file, fieldOf('one_sheet', 'delivery_date')!))
  if (!has(visits, 'visit_date', 'days_since_delivery'))
    problems.add(missing(text.file, fieldOf('visits', 'visit_date')!))
  if (!has(visits, 'finding') && !has(own, 'first_loosening_date')) {
    problems.add(missing(text.file, fieldOf('visits', 'finding')!))
  }
}

/** Columns that a sheet of crowns need not have where another sheet holds the visits. */
const heldByVisits: readonly string[] = ['last_check_date', 'first_loosening_date']

/** Whether a sheet of visits says nothing of deliveries, so that its restorations stand in another sheet. */
function holdsVisitsAlone(map: MappedSheet): boolean {
  return map.rows === 'visit' && !map.columns.some((one) => one.field === 'delivery_date')
}

/** Reads a sheet of visits whose restorations stand in another sheet, and links them by identifier or site. */
function linkedVisits(
  { text, map }: { readonly text: TextTable; readonly map: MappedSheet },
  { arranged }: TypedSheet,
  problems: ProblemList,
  gate: Gate,
): VisitColumns {
  const matched = matchColumns(text, 'one_sheet', map, new ProblemList())
  gate(text, fieldFinder(matched), problems)
  checkMap(text, map, problems)
  const rows = arrange(text, { ...map, rows: 'restoration' }, problems)
  const sheetRow = linkedBySite(arranged!, rows)
  const visits = { ...rows, map, sheetRow }
  sheetRow.forEach((row, index) => {
    if (row < 0) problems.add({ ...visitWithoutRestoration, file: text.file }, rows.text.sourceRow[index]!)
  })
  const columns = matchColumns(rows.text, 'visits', map, problems, undefined, false)
  for (const name of ['visit_date', 'finding']) {
    if (!columns.some((one) => one.field.name === name))
      problems.add(missing(text.file, fieldOf('visits', name)!))
  }
  return readVisitRows(visits, columns, problems)
}

/** Where the day or finding of a visit is set aside by name, its restoration is left out. */
function leaveOutWithVisits(sheet: TypedTable, visits: readonly VisitColumns[]): void {
  for (const { table, sheetRow } of visits) {
    for (const row of table.withdrawn) {
      const target = sheetRow === undefined ? row : sheetRow[row]!
      if (target >= 0) leaveOut(sheet, target, 'restoration')
    }
  }
}

/** Sheets of one form that the map puts below each other, as one. */
function stackedByMap(
  records: readonly SourceTable[],
  map: ColumnMap | undefined,
): readonly { readonly sheet: SheetName | undefined; readonly text: TextTable }[] {
  const taken = new Set<SourceTable>()
  return records.flatMap((record) => {
    if (taken.has(record)) return []
    const isPlace = (place: string, text: TextTable): boolean =>
      place === text.file || (placeWithin(place) !== '' && placeWithin(place) === placeWithin(text.file))
    const also = map?.sheets.find((one) => isPlace(one.file, record.text))?.alsoIn ?? []
    const below = records.filter((one) => also.some((place) => isPlace(place, one.text)))
    for (const one of below) taken.add(one)
    if (below.length === 0) return [record]
    const text = stacked([record.text, ...below.map((one) => one.text)])
    return [{ sheet: record.sheet, text: { ...text, file: record.text.file } }]
  })
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

const visitWithoutRestoration = {
  severity: 'stop',
  leavesOut: 'row',
  code: 'no-such-restoration',
  parameters: { form: 'visit' },
  problem: 'a visit belongs to no restoration of the other sheet, or to more than one.',
  expected: 'visits with the identifier, or patient and tooth position, of one restoration.',
  mend: 'correct the row, or add the restoration, in a copy.',
} as const

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
