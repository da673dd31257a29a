import type { RecordPlace } from '../core/errors.js'
import type { CodeParameters } from '../core/estimate.js'
import type { TableName } from '../vocabulary/fields.js'
import type { CategoryColumn } from './columns.js'

export type { TableName }

/**
 * One validated table in typed columns. Fields go by the names of the data dictionary (`schema.ts`); a field that the
 * source lacked is absent, and one that it had is complete with unknowns marked.
 */
export interface RecordTable {
  readonly name: TableName
  readonly rowCount: number
  /** Row of the source file (the header is row 1) of each row. */
  readonly sourceRow: Int32Array
  /** Whether the source had the field. */
  has(field: string): boolean
  /** Category or key column; every row unknown where the source lacked the field. */
  category(field: string): CategoryColumn
  /** Number column, NaN where missing; every row NaN where the source lacked the field. */
  number(field: string): Float64Array
  /**
   * Column of whole days since the delivery of the restoration, `missingDay` where unknown. Dates of the source have
   * been turned into such days; `delivery_date` itself gives the calendar day number (core/calendar.ts).
   */
  day(field: string): Int32Array
}

/** A linked table: rows of one restoration stand together, in order of day, sequence and source row. */
export interface LinkedTable extends RecordTable {
  /** Position of each row's restoration in the restorations table. */
  readonly restoration: Int32Array
  /** Rows of restoration r are those from `firstRow[r]` to below `firstRow[r + 1]`; length restorations + 1. */
  readonly firstRow: Int32Array
}

/** How bad a problem is: stop the run, set the row aside, keep it and warn, or only note it. */
export type Severity = 'stop' | 'set-aside' | 'warn' | 'note'

/** What goes where a problem that stops is set aside by name: the restoration with all its rows, the row, the value. */
export type LeftOut = 'restoration' | 'row' | 'value'

/** One kind of problem found by validation, with the rows in which it was found. */
export interface RecordProblem {
  readonly severity: Severity
  /** Stable kebab-case code. */
  readonly code: string
  readonly place: RecordPlace
  /** What was found, in words that identify nobody. */
  readonly problem: string
  readonly expected: string
  readonly mend: string
  /** What its words need in another language; absent where they need nothing. */
  readonly parameters?: CodeParameters
  /** What was left out where the user set the problem aside by name. */
  readonly leftOut?: LeftOut
  /** How many rows (or columns, or files) have it. */
  readonly count: number
  /** Source rows, the first 1,000 of them. */
  readonly rows: readonly number[]
}

/** How complete one field is. */
export interface FieldCompleteness {
  readonly table: TableName
  readonly field: string
  readonly known: number
  readonly unknown: number
}

/** How complete one field is among the rows of one group. */
export interface GroupCompleteness extends FieldCompleteness {
  /** Pseudonym of the clinic, or reported tightening group; "unknown" where the restoration has none. */
  readonly group: string
}

/** What validation found, and what it left out. */
export interface QualityReport {
  readonly problems: readonly RecordProblem[]
  /** What the user had set aside by name (`--set-aside`), with the rows that it left out; absent where nothing was. */
  readonly setAsideByName?: readonly { readonly code: string; readonly count: number }[]
  /**
   * Restorations that were left out by the user's word since something of them cannot be read: unknown, never "nothing
   * happened". Absent where there is none.
   */
  readonly withdrawnRestorations?: number
  /** Rows read and rows set aside, by table. */
  readonly rows: Readonly<Record<TableName, { readonly read: number; readonly setAside: number }>>
  readonly completeness: readonly FieldCompleteness[]
  /** By clinic; absent where the source has no clinics. */
  readonly completenessByClinic?: readonly GroupCompleteness[]
  /** By reported tightening group; absent where the source does not report it. */
  readonly completenessByTighteningGroup?: readonly GroupCompleteness[]
}

/** What a form of the records cannot answer, worded in the messages under `cohort.gap.…`. */
export type FormGap = 'dated-repeats' | 'every-visit' | 'other-complications' | 'undoing-between-tightenings'

/** Where records came from. */
export interface RecordSource {
  /** Name for headings: the title of the data package, or the name of the folder or file. */
  readonly title: string
  readonly form: 'three-tables' | 'one-sheet'
  /** File names without folders, with the SHA-256 of their bytes. */
  readonly files: readonly { readonly name: string; readonly sha256: string }[]
  /** SHA-256 over the files' hashes, for provenance. */
  readonly sha256: string
  /** Whether the data package says that the data are generated (demo). */
  readonly generated: boolean
  /** What this form of the records cannot answer (one sheet: dated repeats, other complications, every visit). */
  readonly cannotAnswer: readonly FormGap[]
}

/**
 * Validated records without direct identifiers. *Local* ones may hold calendar dates and never leave the practice;
 * *shareable* ones have days since delivery and delivery years only. Either can become a cohort; raw tables cannot.
 */
export interface RecordSet<State extends 'local' | 'shareable' = 'local' | 'shareable'> {
  readonly state: State
  readonly source: RecordSource
  readonly restorations: RecordTable
  readonly tightenings: LinkedTable
  readonly visits: LinkedTable
  /**
   * 1 for each restoration of which something was recorded that may be a finding and cannot be read, such as a date that
   * is none; absent where there is no such restoration. Its outcome is unknown, never "nothing happened".
   */
  readonly unreadableOutcome?: Uint8Array
  readonly quality: QualityReport
}
