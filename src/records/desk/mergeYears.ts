import { resolve } from 'node:path'
import { isoFromDay } from '../../core/calendar.js'
import { RecordError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { sheetFields, tableNames } from '../../vocabulary/fields.js'
import { missingDay } from '../columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from '../dataset.js'
import { csvText } from '../identities/csvText.js'
import { plainColumn } from '../identities/sharedRows.js'
import { type FileWriter, writeFolder } from '../identities/writeFolder.js'
import { dataPackageText } from './dataPackageText.js'

/** A field of a restoration that is not as it was. */
export interface ChangedField {
  readonly restoration_id: string
  readonly field: string
}

/** What a later export of the same practice brings against an earlier one. */
export interface YearComparison {
  /** Restorations that only the later has. */
  readonly added: readonly string[]
  /** Restorations that only the earlier has; they are kept in the merged records. */
  readonly gone: readonly string[]
  /** Fields of restorations whose known value is another one now; the later counts. */
  readonly changed: readonly ChangedField[]
  /** Rows of visits and tightenings that only the later, and that only the earlier has. */
  readonly rows: Readonly<Record<'tightenings' | 'visits', { readonly added: number; readonly gone: number }>>
}

/** The merged records as text, and what is new, changed and gone. */
export interface MergedYears {
  readonly comparison: YearComparison
  readonly tables: Readonly<Record<TableName, MergedTable>>
}

/** A merged table: its header and rows. */
export interface MergedTable {
  readonly header: readonly string[]
  readonly rows: readonly (readonly string[])[]
}

/**
 * Joins an earlier and a later export of the same practice, or two shareable forms made with the same key. Restorations
 * are matched by restoration_id: the later values count, and an unknown never replaces a known one. Rows of visits and
 * tightenings are joined; equal ones count once, and earlier ones that the later lacks are kept.
 *
 * @param earlier records of the earlier export
 * @param later records of the later export, in the same state
 * @throws RecordError `years-do-not-match` where no restoration is in both, or only one of them has dates
 */
export function mergeYears<State extends 'local' | 'shareable'>(
  earlier: RecordSet<State>,
  later: RecordSet<State>,
): MergedYears {
  const dated = later.restorations.has('delivery_date')
  if (dated !== earlier.restorations.has('delivery_date'))
    throw doNotMatch('only one of them has dates of delivery')
  const restorations = mergeRestorations(
    rowsById(earlier.restorations, dated),
    rowsById(later.restorations, dated),
  )
  const linked = {
    tightenings: mergeLinked(earlier, later, 'tightenings', dated),
    visits: mergeLinked(earlier, later, 'visits', dated),
  }
  return deepFreeze({
    comparison: {
      added: restorations.added,
      gone: restorations.gone,
      changed: restorations.changed,
      rows: { tightenings: linked.tightenings.count, visits: linked.visits.count },
    },
    tables: {
      restorations: textTable('restorations', restorations.rows, dated),
      tightenings: textTable('tightenings', linked.tightenings.rows, dated),
      visits: textTable('visits', linked.visits.rows, dated),
    },
  })
}

type Row = ReadonlyMap<string, string>

/** Fields as they are written: dates of delivery where there are dates, days since delivery for all else. */
function writtenFields(name: TableName, dated: boolean): readonly string[] {
  return sheetFields[name]
    .filter((field) => field.kind !== 'date' || field.name === 'delivery_date')
    .filter((field) => field.name !== (dated ? 'delivery_year' : 'delivery_date'))
    .filter((field) => !['arch', 'region'].includes(field.name) || !dated)
    .map((field) => field.name)
}

function rowReader(table: RecordTable, dated: boolean): (row: number) => Row {
  const wanted = new Set(writtenFields(table.name, dated))
  const columns = sheetFields[table.name]
    .filter((field) => wanted.has(field.name) && table.has(field.name))
    .map((field) => (field.name === 'delivery_date' ? deliveryColumn(table) : plainColumn(table, field)))
  return (row) => new Map(columns.map((column) => [column.name, column.textOf(row)]))
}

function deliveryColumn(table: RecordTable) {
  const days = table.day('delivery_date')
  return {
    name: 'delivery_date',
    textOf: (row: number) => (days[row] === missingDay ? '' : isoFromDay(days[row]!)),
  }
}

function rowsById(table: RecordTable, dated: boolean): ReadonlyMap<string, Row> {
  const read = rowReader(table, dated)
  return new Map(
    Array.from({ length: table.rowCount }, (_, index) => {
      const row = read(index)
      return [row.get('restoration_id')!, row] as const
    }),
  )
}

function mergeRestorations(earlier: ReadonlyMap<string, Row>, later: ReadonlyMap<string, Row>) {
  const added = [...later.keys()].filter((id) => !earlier.has(id))
  const gone = [...earlier.keys()].filter((id) => !later.has(id))
  if (gone.length === earlier.size && earlier.size > 0) throw doNotMatch('no restoration is in both')
  const changed: ChangedField[] = []
  const rows: Row[] = []
  for (const [id, before] of earlier) {
    const now = later.get(id)
    if (now === undefined) {
      rows.push(before)
      continue
    }
    const merged = new Map(before)
    for (const [field, value] of now) {
      const old = before.get(field) ?? ''
      if (value === '' || value === old) continue
      if (old !== '') changed.push({ restoration_id: id, field })
      merged.set(field, value)
    }
    rows.push(merged)
  }
  for (const id of added) rows.push(later.get(id)!)
  return { added, gone, changed, rows }
}

function mergeLinked(earlier: RecordSet, later: RecordSet, name: 'tightenings' | 'visits', dated: boolean) {
  const before = linkedRows(earlier[name], dated)
  const now = linkedRows(later[name], dated)
  const ofNow = new Set(now.map(textOfRow))
  const ofBefore = new Set(before.map(textOfRow))
  const gone = before.filter((row) => !ofNow.has(textOfRow(row)))
  const added = now.filter((row) => !ofBefore.has(textOfRow(row)))
  return { rows: [...now, ...gone], count: { added: added.length, gone: gone.length } }
}

function linkedRows(table: LinkedTable, dated: boolean): readonly Row[] {
  const read = rowReader(table, dated)
  return Array.from({ length: table.rowCount }, (_, row) => read(row))
}

function textOfRow(row: Row): string {
  return [...row]
    .filter(([, value]) => value !== '')
    .map(([field, value]) => `${field}=${value}`)
    .join('\u0000')
}

function textTable(name: TableName, rows: readonly Row[], dated: boolean): MergedTable {
  const used = new Set(
    rows.flatMap((row) => [...row].filter(([, value]) => value !== '').map(([field]) => field)),
  )
  const needed = new Set(sheetFields[name].filter((field) => field.required).map((field) => field.name))
  const header = writtenFields(name, dated).filter((field) => used.has(field) || needed.has(field))
  return { header, rows: rows.map((row) => header.map((field) => row.get(field) ?? '')) }
}

/** How merged records are written. */
export interface WriteMergedOptions {
  readonly title?: string
  /** Whether the records are generated (demo); every page made from them says so. Default false. */
  readonly generated?: boolean
  /** Writer of files; only tests give one. */
  readonly writer?: FileWriter
}

/**
 * Writes merged records to a folder of their own, with the list of what is new, changed and gone.
 *
 * @returns full path of the folder
 * @throws UsageError `folder-not-ours`, `cannot-write`
 */
export async function writeMergedYears(
  merged: MergedYears,
  state: 'local' | 'shareable',
  directory: string,
  options: WriteMergedOptions = {},
): Promise<string> {
  const packageState = state === 'shareable' ? 'shareable' : 'local-merged'
  const heading = {
    name: 'holdfast-merged',
    title: options.title ?? 'Restoration records of several years',
    state: packageState,
    ...(options.generated === true ? { generated: true } : {}),
  }
  const packaged = tableNames.map((sheet) => ({
    sheet,
    path: `${sheet}.csv`,
    columns: merged.tables[sheet].header,
  }))
  const files = new Map<string, string>(
    tableNames.map((name) => [`${name}.csv`, csvText(merged.tables[name].header, merged.tables[name].rows)]),
  )
  files.set('datapackage.json', dataPackageText(heading, packaged))
  files.set('changes.csv', changesText(merged.comparison))
  const writer = options.writer === undefined ? {} : { writer: options.writer }
  await writeFolder({ directory, state: packageState, files, ...writer })
  return resolve(directory)
}

/** What is new, changed and gone, as CSV. */
function changesText({ added, gone, changed }: YearComparison): string {
  return csvText(
    ['restoration_id', 'what', 'field'],
    [
      ...added.map((id) => [id, 'new', '']),
      ...changed.map(({ restoration_id, field }) => [restoration_id, 'changed', field]),
      ...gone.map((id) => [id, 'gone', '']),
    ],
  )
}

function doNotMatch(what: string): RecordError {
  return new RecordError({
    code: 'years-do-not-match',
    problem: `the two data sets cannot be joined: ${what}.`,
    expected:
      'two exports of the same practice with the same restoration_id, or two shareable forms of one key file.',
    mend: 'give exports of the same practice; make the shareable form of each year with the same key file.',
  })
}
