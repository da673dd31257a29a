import type { HoledColumn } from '../numeric/columns.js'
import type { FilledCells } from '../numeric/filledCells.js'
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

/** Rows of the table cut down to some predictors: their cells that are not 0. */
export function selectedCells(table: PredictorTable, rows: Int32Array, predictors: Int32Array): FilledCells {
  const { values, width } = table
  const first = new Int32Array(rows.length + 1)
  let room = 0
  for (let i = 0; i < rows.length; i++) {
    const start = rows[i]! * width
    for (let j = 0; j < predictors.length; j++) if (values[start + predictors[j]!] !== 0) room++
  }
  const column = new Int32Array(room)
  const value = new Float64Array(room)
  for (let i = 0, count = 0; i < rows.length; i++) {
    const start = rows[i]! * width
    for (let j = 0; j < predictors.length; j++) {
      const one = values[start + predictors[j]!]!
      if (one === 0) continue
      column[count] = j
      value[count++] = one
    }
    first[i + 1] = count
  }
  return { first, column, value }
}

/** Rows whose own value was observed, with mean and spread of each predictor among them. */
export interface ObservedCells {
  readonly cells: FilledCells
  readonly means: Float64Array
  readonly spreads: Float64Array
}

/** The cells of the observed rows of a column, with the moments of its predictors. */
export function observedCells(
  table: PredictorTable,
  rows: Int32Array,
  predictors: Int32Array,
): ObservedCells {
  const cells = selectedCells(table, rows, predictors)
  const means = new Float64Array(predictors.length)
  const spreads = new Float64Array(predictors.length)
  const { column, value } = cells
  for (let at = 0; at < column.length; at++) means[column[at]!]! += value[at]! / rows.length
  for (let i = 0; i < rows.length; i++) {
    const start = rows[i]! * table.width
    for (let j = 0; j < predictors.length; j++) {
      spreads[j]! += (table.values[start + predictors[j]!]! - means[j]!) ** 2 / rows.length
    }
  }
  for (let j = 0; j < spreads.length; j++) spreads[j] = Math.sqrt(spreads[j]!)
  return { cells, means, spreads }
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
