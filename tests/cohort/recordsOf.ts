import { type CategoryColumn, missingDay, unknownCode } from '../../src/records/columns.js'
import type { LinkedTable, RecordSet, RecordTable, TableName } from '../../src/records/dataset.js'

type Row = Readonly<Record<string, string | number>>

/** A records table of plain rows, as validation would leave it. */
function table(name: TableName, rows: readonly Row[]): RecordTable {
  return {
    name,
    rowCount: rows.length,
    sourceRow: Int32Array.from(rows, (_row, i) => i + 2),
    has: (field) => rows.some((row) => field in row),
    category: (field) => category(rows.map((row) => row[field])),
    number: (field) => Float64Array.from(rows, (row) => Number(row[field] ?? Number.NaN)),
    day: (field) => Int32Array.from(rows, (row) => Number(row[field] ?? missingDay)),
  }
}

function category(values: readonly (string | number | undefined)[]): CategoryColumn {
  const labels = [...new Set(values.filter((value) => value !== undefined).map(String))]
  return {
    labels,
    codes: Int32Array.from(values, (value) =>
      value === undefined ? unknownCode : labels.indexOf(String(value)),
    ),
  }
}

function linked(name: TableName, rows: readonly Row[], ids: readonly string[]): LinkedTable {
  const order = [...rows].sort(
    (left, right) =>
      ids.indexOf(String(left.restoration_id)) - ids.indexOf(String(right.restoration_id)) ||
      Number(left.days_since_delivery ?? 0) - Number(right.days_since_delivery ?? 0),
  )
  const restoration = Int32Array.from(order, (row) => ids.indexOf(String(row.restoration_id)))
  const firstRow = Int32Array.from({ length: ids.length + 1 }, (_one, id) => {
    const first = restoration.findIndex((code) => code >= id)
    return first < 0 ? order.length : first
  })
  return { ...table(name, order), restoration, firstRow }
}

/** Records made of plain rows: a test's stand-in for files that have been read and checked. */
export function recordsOf(parts: {
  readonly restorations: readonly Row[]
  readonly tightenings?: readonly Row[]
  readonly visits?: readonly Row[]
  readonly setAside?: number
}): RecordSet {
  const { restorations, tightenings = [], visits = [], setAside = 0 } = parts
  const ids = restorations.map((row) => String(row.restoration_id))
  const counts = (read: number): { read: number; setAside: number } => ({ read, setAside: 0 })
  return {
    state: 'local',
    source: {
      title: 'made by a test',
      form: 'three-tables',
      files: [],
      sha256: '0'.repeat(64),
      generated: false,
      cannotAnswer: [],
    },
    restorations: table('restorations', restorations),
    tightenings: linked('tightenings', tightenings, ids),
    visits: linked('visits', visits, ids),
    quality: {
      problems: [],
      rows: {
        restorations: { read: restorations.length + setAside, setAside },
        tightenings: counts(tightenings.length),
        visits: counts(visits.length),
      },
      completeness: [],
    },
  }
}

/** A single crown with the fields that a cohort needs. */
export function crown(id: string, more: Row = {}): Row {
  return {
    restoration_id: id,
    patient_id: `patient_${id}`,
    delivery_date: 18_000,
    restoration_type: 'single_crown',
    connection: 'internal_hex',
    ...more,
  }
}

/** A visit in person at which the screw was checked. */
export function check(id: string, day: number, more: Row = {}): Row {
  return {
    restoration_id: id,
    days_since_delivery: day,
    visit_type: 'scheduled',
    screw_checked: 'yes',
    finding: 'none',
    restoration_status: 'in_place',
    ...more,
  }
}

/** A tightening on the day of delivery. */
export function tightening(id: string, minutes: number, more: Row = {}): Row {
  return {
    restoration_id: id,
    minutes_since_first: minutes,
    context: 'delivery',
    action: minutes === 0 ? 'tighten' : 'tighten_again',
    ...more,
  }
}
