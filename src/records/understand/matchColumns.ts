import { type Field, fieldOf, type SheetName, sheetFields } from '../../vocabulary/fields.js'
import type { ProblemList } from '../problems.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import {
  type EssentialColumn,
  type MappedColumn,
  type MappedSheet,
  openDecisions,
  sheetOfColumn,
  undecided,
} from './columnMap.js'
import type { DateOrder } from './dates.js'
import { decides } from './faults.js'

/** A column of the file and the field that it holds. */
export interface MatchedColumn {
  readonly field: Field
  readonly column: TextColumn
  /** What the column map says of it. */
  readonly mapped: MappedColumn | undefined
}

/** Header in the spelling of field names. */
export function headerWord(header: string): string {
  return header
    .toLowerCase()
    .replace(/[\s.()-]+/g, '_')
    .replace(/^_+|_+$/g, '')
}

/**
 * Finds the column of each field: by the column map, else by the names of the data dictionary (letter case, spaces and
 * hyphens do not matter). Missing and doubled columns stop; columns that belong to no field are noted and not used.
 *
 * @param requires whether missing columns are problems (default true), or those that another sheet holds
 * @param statedOrders order of the dates of a column by its header, as the data package states it
 */
export function matchColumns(
  text: TextTable,
  sheet: SheetName,
  map: MappedSheet | undefined,
  problems: ProblemList,
  statedOrders: ReadonlyMap<string, DateOrder> = new Map(),
  requires: boolean | readonly string[] = true,
): readonly MatchedColumn[] {
  const matched = new Map<string, MatchedColumn>()
  let unused = 0
  if (map !== undefined && requires !== false) checkMap(text, map, problems)
  for (const column of text.columns) {
    const mapped = map?.columns.find((one) => isEntryOf(one, column))
    const field = fieldOfColumn(sheet, column, mapped, map)
    if (field === undefined) {
      if (map === undefined && requires !== false && isNumberedOutcome(sheet, column))
        problems.add(numbered(text.file, column.header))
      if (mapped?.field !== undecided) unused++
      continue
    }
    const crown = map?.rows === 'patient' ? (mapped?.crown ?? '') : ''
    const key = `${mapped?.visit ?? ''} ${crown} ${field.name}`
    if (matched.has(key)) problems.add(doubled(text.file, column.header))
    else matched.set(key, { field, column, mapped: mapped ?? statedBy(statedOrders, column.header) })
  }
  const found = [...matched.values()]
  const elsewhere = typeof requires === 'boolean' ? [] : requires
  if (requires !== false) requireColumns(text, sheet, found, map, problems, elsewhere)
  if (unused > 0 && requires !== false) problems.add(notUsed(text.file, unused), undefined, unused)
  return found
}

/**
 * A header of the data dictionary with a number behind it, and values below: another crown or another visit side by side in
 * the row, of which nothing would be read.
 */
function isNumberedOutcome(sheet: SheetName, column: TextColumn): boolean {
  const stem = /^(.+?)_?[2-9]$/.exec(headerWord(column.header))?.[1]
  const field = stem === undefined ? undefined : fieldOf(sheet, stem)
  if (field === undefined) return false
  const decidesWhat = ['finding', 'tooth_position', 'restoration_status', 'patient_status'].includes(
    field.name,
  )
  const decidesWhen = decides(field) && (field.kind === 'date' || field.kind === 'day')
  const counts = countsOf(column)
  return (
    (decidesWhat || decidesWhen) && column.values.some((value, code) => value !== '' && counts[code]! > 0)
  )
}

/** What a data package says of a column, as a map would. */
function statedBy(orders: ReadonlyMap<string, DateOrder>, header: string): MappedColumn | undefined {
  const dateOrder = orders.get(header)
  return dateOrder === undefined ? undefined : { header, field: null, dateOrder }
}

/** Whether an entry of a map is that of a column: by header, and by position where the map gives one. */
function isEntryOf(entry: MappedColumn, column: TextColumn): boolean {
  if (entry.header !== column.header) return false
  return entry.position === undefined || entry.position === column.position
}

function fieldOfColumn(
  sheet: SheetName,
  column: TextColumn,
  mapped: MappedColumn | undefined,
  map: MappedSheet | undefined,
): Field | undefined {
  if (mapped === undefined) return fieldOf(sheet, headerWord(column.header))
  if (mapped.field === null || mapped.field === undecided) return undefined
  return fieldOf(sheetOfColumn(map!, mapped), mapped.field)
}

/** What the map leaves open stops, and so does a mapped column that the file does not have. */
export function checkMap(text: TextTable, map: MappedSheet, problems: ProblemList): void {
  for (const { header, what } of openDecisions(map)) problems.add(leftOpen(text.file, header, what))
  for (const entry of map.columns) {
    if (entry.field === null || text.columns.some((column) => isEntryOf(entry, column))) continue
    problems.add(mappedMissing(text.file, entry.header))
  }
}

function requireColumns(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  map: MappedSheet | undefined,
  problems: ProblemList,
  elsewhere: readonly string[],
): void {
  const has = (name: string | undefined): boolean =>
    matched.some((one) => one.field.name === name && one.mapped?.visit === undefined) ||
    (name !== undefined && map?.constants?.[name] !== undefined)
  const hasVisit = (name: string): boolean =>
    matched.some((one) => one.field.name === name && one.mapped?.visit !== undefined)
  for (const field of sheetFields[sheet]) {
    if (!field.required || has(field.name) || has(field.alternative) || elsewhere.includes(field.name))
      continue
    if (sheet === 'one_sheet' && field.name === 'last_check_date' && hasVisit('visit_date')) continue
    if (sheet === 'one_sheet' && field.name === 'first_loosening_date' && hasVisit('finding')) continue
    const absent = map?.absent?.find((one) => absentFields[one].includes(field.name))
    problems.add(absent === undefined ? missing(text.file, field) : saidAbsent(text.file, field, absent))
  }
}

const absentFields: Readonly<Record<EssentialColumn, readonly string[]>> = {
  patient: ['patient_id'],
  delivery: ['delivery_date', 'delivery_year'],
  lastCheck: ['last_check_date'],
  loosening: ['first_loosening_date'],
  tightenings: [],
}

const withoutIt: Readonly<Record<Exclude<EssentialColumn, 'tightenings'>, string>> = {
  patient: 'which crowns are in one mouth is not known, and no interval could allow for it',
  delivery: 'no crown has a day from which its time at risk would run',
  lastCheck: 'how long each screw is known to have held is not known, and no risk has a denominator',
  loosening:
    'every crown would count as never loosened; how often screws loosen cannot be told from this sheet',
}

/** A column that an audit rests on and that is not there by the user's word: what that means is said, and it stops. */
function saidAbsent(file: string, field: Field, absent: EssentialColumn) {
  return {
    severity: 'stop',
    code: 'no-such-column',
    file,
    column: field.name,
    problem: `by the column map no column holds it: ${withoutIt[absent as keyof typeof withoutIt]}.`,
    expected: `a column ${field.name}: ${field.description}`,
    mend: 'add the column to the file, in a copy, and run holdfast map anew with --redo.',
  } as const
}

/** The problem that a column is missing. */
export function missing(file: string, field: Field) {
  const or = field.alternative === undefined ? '' : ` or ${field.alternative}`
  return {
    severity: 'stop',
    code: 'missing-column',
    file,
    column: field.name,
    problem: 'the column is missing.',
    expected: `a column ${field.name}${or}: ${field.description}`,
    mend: 'add it, or where it has another header run holdfast map and confirm the column map.',
  } as const
}

function leftOpen(file: string, column: string, what: string) {
  return {
    severity: 'stop',
    code: 'map-undecided',
    file,
    column,
    problem: `the column map leaves open "${what}" of this column.`,
    expected: 'a map without question marks.',
    mend: `write in the column map, at the entry of this header, what "${what}" is in place of "?".`,
  } as const
}

function mappedMissing(file: string, column: string) {
  return {
    severity: 'stop',
    code: 'mapped-column-missing',
    file,
    column,
    problem: 'the column map names this header, and the file does not have it.',
    expected: 'the headers for which the map was confirmed.',
    mend: 'make a new map for this form of the file with holdfast map, or take the entry out of the map.',
  } as const
}

function doubled(file: string, header: string) {
  return {
    severity: 'stop',
    code: 'doubled-column',
    file,
    column: header,
    problem: 'two columns stand for the same field.',
    expected: 'one column for each field.',
    mend: 'rename or remove one of them, in a copy, or say in the column map which one counts.',
  } as const
}

function numbered(file: string, header: string) {
  return {
    severity: 'stop',
    code: 'column-of-another',
    file,
    column: header,
    problem:
      'the header is that of a field with a number behind it: the row holds more than one crown or visit.',
    expected: 'one crown on a row of its own, or a column map that says what the columns side by side are.',
    mend: 'say in holdfast map what a row is and which crown or visit each column belongs to, or that the column is not used.',
  } as const
}

/** Headers of unused columns are not repeated: they may be anything, a name too. */
function notUsed(file: string, count: number) {
  return {
    severity: 'note',
    code: 'columns-not-used',
    parameters: { columns: count },
    file,
    problem: `${count === 1 ? '1 column belongs' : `${count} columns belong`} to no field of the data dictionary and ${count === 1 ? 'is' : 'are'} not used.`,
    expected: 'the headers of the data dictionary, or a column map.',
    mend: 'nothing needs doing, unless a field that you record is missing from the report.',
  } as const
}
