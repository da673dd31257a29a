import { sharedColumn } from '../core/columns.js'
import { type CategoryColumn, missingDay, unknownCode } from './columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from './dataset.js'

/** Columns of a table by field. */
export interface TableColumns {
  readonly categories: ReadonlyMap<string, CategoryColumn>
  readonly numbers: ReadonlyMap<string, Float64Array>
  readonly days: ReadonlyMap<string, Int32Array>
}

/** Which rows of a linked table belong to which restoration. */
type Links = Pick<LinkedTable, 'restoration' | 'firstRow'>

/** A table as plain data, which another thread can be given. */
interface PlainTable<Linked> {
  readonly name: TableName
  readonly sourceRow: Int32Array
  readonly columns: TableColumns
  readonly links: Linked
}

/** Records as plain data, which another thread can be given. */
export interface PlainRecords extends Omit<RecordSet, TableName> {
  readonly tables: {
    readonly restorations: PlainTable<undefined>
    readonly tightenings: PlainTable<Links>
    readonly visits: PlainTable<Links>
  }
}

/** Fields of dates and days that are two names of one column of days since delivery. */
const dayAliases: Readonly<Record<string, string>> = {
  visit_date: 'days_since_delivery',
  tightening_date: 'days_since_delivery',
  onset_date: 'onset_day',
  observation_start_date: 'observation_start_day',
  implant_placement_date: 'implant_placement_day',
  device_last_calibration_date: 'device_last_calibration_day',
}

const plain = new WeakMap<RecordTable, PlainTable<Links | undefined>>()

/** The table of restorations over its columns. */
export function restorationTable(sourceRow: Int32Array, columns: TableColumns): RecordTable {
  const table = Object.freeze(tableOver('restorations', sourceRow, columns))
  plain.set(table, { name: 'restorations', sourceRow, columns, links: undefined })
  return table
}

/** A table over its columns whose rows belong to restorations. */
export function linkedTable(
  name: 'tightenings' | 'visits',
  sourceRow: Int32Array,
  columns: TableColumns,
  links: Links,
): LinkedTable {
  const table = Object.freeze({ ...tableOver(name, sourceRow, columns), ...links })
  plain.set(table, { name, sourceRow, columns, links })
  return table
}

function tableOver(name: TableName, sourceRow: Int32Array, columns: TableColumns): RecordTable {
  const rowCount = sourceRow.length
  const { categories, numbers, days } = columns
  const noCategory = (): CategoryColumn => ({ labels: [], codes: new Int32Array(rowCount).fill(unknownCode) })
  return {
    name,
    rowCount,
    sourceRow,
    has: (field) =>
      categories.has(field) || numbers.has(field) || days.has(field) || days.has(dayAliases[field] ?? field),
    category: (field) => categories.get(field) ?? noCategory(),
    number: (field) => numbers.get(field) ?? new Float64Array(rowCount).fill(Number.NaN),
    day: (field) =>
      days.get(field) ?? days.get(dayAliases[field] ?? field) ?? new Int32Array(rowCount).fill(missingDay),
  }
}

/** Records as plain data; undefined where a table was made in another way than by reading. */
export function plainRecords(records: RecordSet): PlainRecords | undefined {
  const { restorations, tightenings, visits, ...rest } = records
  const tables = {
    restorations: plain.get(restorations),
    tightenings: plain.get(tightenings),
    visits: plain.get(visits),
  }
  const complete = Object.values(tables).every((one) => one !== undefined)
  return complete ? { ...rest, tables: tables as PlainRecords['tables'] } : undefined
}

/** The records of plain data. */
export function recordsOfPlain({ tables, ...rest }: PlainRecords): RecordSet {
  const { restorations, tightenings, visits } = tables
  return Object.freeze({
    ...rest,
    restorations: restorationTable(restorations.sourceRow, restorations.columns),
    tightenings: linkedTable('tightenings', tightenings.sourceRow, tightenings.columns, tightenings.links),
    visits: linkedTable('visits', visits.sourceRow, visits.columns, visits.links),
  })
}

/**
 * The same records with their columns in memory that threads share, so that another thread gets them without a copy; as they are
 * where a table was made in another way than by reading.
 */
export function sharedRecords<Kind extends RecordSet>(records: Kind): Kind {
  const come = plainRecords(records)
  if (come === undefined) return records
  const { restorations, tightenings, visits } = come.tables
  const tables = {
    restorations: sharedTable(restorations),
    tightenings: sharedTable(tightenings),
    visits: sharedTable(visits),
  }
  return recordsOfPlain({ ...come, tables }) as Kind
}

function sharedTable<Linked extends Links | undefined>(table: PlainTable<Linked>): PlainTable<Linked> {
  const { categories, numbers, days } = table.columns
  const links = table.links && {
    restoration: sharedColumn(table.links.restoration),
    firstRow: sharedColumn(table.links.firstRow),
  }
  return {
    name: table.name,
    sourceRow: sharedColumn(table.sourceRow),
    columns: {
      categories: mapped(categories, (one) =>
        Object.freeze({ labels: one.labels, codes: sharedColumn(one.codes) }),
      ),
      numbers: mapped(numbers, sharedColumn),
      days: mapped(days, sharedColumn),
    },
    links: links as Linked,
  }
}

function mapped<One, Other>(map: ReadonlyMap<string, One>, turn: (one: One) => Other): Map<string, Other> {
  return new Map(Array.from(map, ([field, one]) => [field, turn(one)]))
}
