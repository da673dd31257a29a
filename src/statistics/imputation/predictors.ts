import type { HoledColumn } from '../numeric/columns.js'
import { orderedLevels } from '../regression/design.js'

/** A column with holes: numbers with NaN, 0 and 1 with NaN, or texts with '' where the value is missing. */
export type ImputationColumn =
  | {
      readonly kind: 'numeric'
      readonly values: HoledColumn
      /** Default `predictive-mean-matching`, which draws values that were observed. */
      readonly method?: 'predictive-mean-matching' | 'normal'
    }
  | { readonly kind: 'binary'; readonly values: HoledColumn }
  | { readonly kind: 'categorical'; readonly values: readonly string[] }

/** A column in the form in which the chain works on it. */
export interface WorkingColumn {
  readonly name: string
  readonly source: ImputationColumn
  /** Numbers, or the index of the level; a copy that the chain fills. */
  readonly values: Float64Array
  /** Levels of a category; empty otherwise. */
  readonly levels: readonly string[]
  readonly observed: Int32Array
  readonly missing: Int32Array
  /** First column of the predictor table and how many it takes. */
  readonly firstPredictor: number
  readonly predictorCount: number
  readonly centre: number
  readonly scale: number
}

/** All columns side by side as predictors, row-major, the constant first; kept in step with the chain. */
export interface PredictorTable {
  readonly rows: number
  readonly width: number
  readonly values: Float64Array
}

/** Reads a column of the caller into its working form. */
export function workingColumn(name: string, source: ImputationColumn, firstPredictor: number): WorkingColumn {
  const levels =
    source.kind === 'categorical' ? orderedLevels(source.values.filter((level) => level !== '')) : []
  const codes = new Map(levels.map((level, code) => [level, code]))
  const values =
    source.kind === 'categorical'
      ? Float64Array.from(source.values, (level) => codes.get(level) ?? Number.NaN)
      : Float64Array.from(source.values)
  const rows = Array.from(values, (_, row) => row)
  const observed = Int32Array.from(rows.filter((row) => !Number.isNaN(values[row])))
  const { centre, scale } = scaleOf(values, observed)
  return {
    name,
    source,
    values,
    levels,
    observed,
    missing: Int32Array.from(rows.filter((row) => Number.isNaN(values[row]))),
    firstPredictor,
    predictorCount: source.kind === 'categorical' ? Math.max(0, levels.length - 1) : 1,
    centre,
    scale,
  }
}

/** Writes the value of a column in one row into the predictor table. */
export function writePredictor(table: PredictorTable, column: WorkingColumn, row: number): void {
  const start = row * table.width + column.firstPredictor
  const value = column.values[row]!
  if (column.source.kind === 'categorical') {
    for (let k = 0; k < column.predictorCount; k++) table.values[start + k] = value === k + 1 ? 1 : 0
  } else {
    table.values[start] = (value - column.centre) / column.scale
  }
}

/** Positions of the predictors of a column: all but its own. */
export function predictorsFor(table: PredictorTable, column: WorkingColumn): Int32Array {
  const own = (j: number): boolean =>
    j >= column.firstPredictor && j < column.firstPredictor + column.predictorCount
  return Int32Array.from(Array.from({ length: table.width }, (_, j) => j).filter((j) => !own(j)))
}

/**
 * Rows of the table cut down to some predictors, row-major.
 *
 * @param room further rows for which the buffer has room behind them
 */
export function selectedRows(
  table: PredictorTable,
  rows: Int32Array,
  predictors: Int32Array,
  room = 0,
): Float64Array {
  const width = predictors.length
  const { values } = table
  const selected = new Float64Array((rows.length + room) * width)
  for (let i = 0; i < rows.length; i++) {
    const start = rows[i]! * table.width
    const to = i * width
    for (let j = 0; j < width; j++) selected[to + j] = values[start + predictors[j]!]!
  }
  return room === 0 ? selected : selected.subarray(0, rows.length * width)
}

function scaleOf(
  values: Float64Array,
  observed: Int32Array,
): { readonly centre: number; readonly scale: number } {
  let sum = 0
  for (const row of observed) sum += values[row]!
  const centre = observed.length > 0 ? sum / observed.length : 0
  let squares = 0
  for (const row of observed) squares += (values[row]! - centre) ** 2
  const scale = Math.sqrt(squares / Math.max(1, observed.length))
  return { centre, scale: scale > 1e-12 * Math.abs(centre) ? scale : 1 }
}
