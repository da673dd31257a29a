import { type CategoryColumn, missingDay, unknownCode } from './columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from './dataset.js'

/** One row of a table: fields of the data dictionary, absent where unknown. */
export type MemoryRow = Readonly<Record<string, string | number | undefined>>

/** Rows of the three tables; those of tightenings and visits name their restoration. */
export interface MemoryTables {
  readonly restorations: readonly MemoryRow[]
  readonly tightenings: readonly MemoryRow[]
  readonly visits: readonly MemoryRow[]
}

/**
 * Records from rows in memory, as validation would leave files of them: for practices that are made, by the thousand in studies,
 * and of which none is written. `delivery_date` is a calendar day number, other days are days since delivery.
 */
export function memoryRecords(tables: MemoryTables, title: string): RecordSet {
  const { restorations, tightenings, visits } = tables
  const position = new Map(restorations.map((row, i) => [String(row.restoration_id), i]))
  const counts = (read: number) => ({ read, setAside: 0 })
  return {
    state: 'local',
    source: {
      title,
      form: 'three-tables',
      files: [],
      sha256: '0'.repeat(64),
      generated: true,
      cannotAnswer: [],
    },
    restorations: table('restorations', restorations),
    tightenings: linked('tightenings', tightenings, position),
    visits: linked('visits', visits, position),
    quality: {
      problems: [],
      rows: {
        restorations: counts(restorations.length),
        tightenings: counts(tightenings.length),
        visits: counts(visits.length),
      },
      completeness: [],
    },
  }
}

function table(name: TableName, rows: readonly MemoryRow[]): RecordTable {
  const categories = new Map<string, CategoryColumn>()
  return {
    name,
    rowCount: rows.length,
    sourceRow: Int32Array.from(rows, (_row, i) => i + 2),
    has: (field) => rows.some((row) => row[field] !== undefined),
    category: (field) => {
      const known = categories.get(field) ?? categoryOf(rows, field)
      categories.set(field, known)
      return known
    },
    number: (field) => Float64Array.from(rows, (row) => Number(row[field] ?? Number.NaN)),
    day: (field) => Int32Array.from(rows, (row) => Number(row[field] ?? missingDay)),
  }
}

function categoryOf(rows: readonly MemoryRow[], field: string): CategoryColumn {
  const codes = new Map<string, number>()
  return {
    codes: Int32Array.from(rows, (row) => {
      const value = row[field]
      if (value === undefined) return unknownCode
      const code = codes.get(String(value)) ?? codes.size
      codes.set(String(value), code)
      return code
    }),
    labels: [...codes.keys()],
  }
}

function linked(
  name: TableName,
  rows: readonly MemoryRow[],
  position: ReadonlyMap<string, number>,
): LinkedTable {
  const place = (row: MemoryRow): number => position.get(String(row.restoration_id)) ?? -1
  const order = rows
    .filter((row) => place(row) >= 0)
    .map((row, i) => ({ row, i, restoration: place(row), day: Number(row.days_since_delivery ?? 0) }))
    .sort((left, right) => left.restoration - right.restoration || left.day - right.day || left.i - right.i)
  const firstRow = new Int32Array(position.size + 1)
  for (const { restoration } of order) firstRow[restoration + 1]! += 1
  for (let r = 0; r < position.size; r++) firstRow[r + 1]! += firstRow[r]!
  return {
    ...table(
      name,
      order.map(({ row }) => row),
    ),
    restoration: Int32Array.from(order, ({ restoration }) => restoration),
    firstRow,
  }
}
