import { allRows, numbersOfRows, rowsWhere } from '../../core/columns.js'
import type { HoledColumn } from '../numeric/columns.js'
import { type FilledCells, roomForColumns } from '../numeric/filledCells.js'
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

/**
 * All columns side by side as predictors, the constant first, then the outcome where there is one. The cells of a row are
 * those that are not 0, and a place for every value that is missing, which the chain keeps in step with what it fills.
 */
export interface PredictorTable {
  readonly width: number
  readonly cells: FilledCells
  /** Where the first cell of each missing row of a column lies, by column. */
  readonly places: ReadonlyMap<string, Int32Array>
  /** The outcome as columns without gaps. */
  readonly outcome: readonly WorkingColumn[]
}

/**
 * Reads a column of the caller into its working form.
 *
 * @param everyRow all rows, which columns without gaps share; made where not given
 */
export function workingColumn(
  name: string,
  source: ImputationColumn,
  firstPredictor: number,
  everyRow?: Int32Array,
): WorkingColumn {
  const levels =
    source.kind === 'categorical' ? orderedLevels(source.values.filter((level) => level !== '')) : []
  const codes = new Map(levels.map((level, code) => [level, code]))
  const { length } = source.values
  const values =
    source.kind === 'categorical'
      ? numbersOfRows(length, (row) => codes.get(source.values[row]!) ?? Number.NaN)
      : numbersOfRows(length, (row) => source.values[row]!)
  const missing = rowsWhere(length, (row) => Number.isNaN(values[row]))
  const observed =
    missing.length === 0
      ? (everyRow ?? allRows(length))
      : rowsWhere(length, (row) => !Number.isNaN(values[row]))
  const { centre, scale } = scaleOf(values, observed)
  return {
    name,
    source,
    values,
    levels,
    observed,
    missing,
    firstPredictor,
    predictorCount: source.kind === 'categorical' ? Math.max(0, levels.length - 1) : 1,
    centre,
    scale,
  }
}

/** Lists the cells of all columns; those of missing values hold 0 until they are filled. */
export function predictorTable(
  columns: readonly WorkingColumn[],
  rows: number,
  outcome: readonly WorkingColumn[],
): PredictorTable {
  const all = [...outcome, ...columns]
  const last = all[all.length - 1]
  const width = last === undefined ? 1 : last.firstPredictor + last.predictorCount
  const places = new Map(columns.map(({ name, missing }) => [name, new Int32Array(missing.length)]))
  const met = new Map(columns.map(({ name }) => [name, 0]))
  const first = new Int32Array(rows + 1)
  const room = rows + sumOf(all, cellsOf)
  const column = roomForColumns(width, room)
  const value = new Float64Array(room)
  let count = 0
  for (let row = 0; row < rows; row++) {
    value[count++] = 1
    for (const one of all) {
      const held = one.values[row]!
      if (Number.isNaN(held)) {
        places.get(one.name)![met.get(one.name)!] = count
        met.set(one.name, met.get(one.name)! + 1)
        for (let k = 0; k < one.predictorCount; k++) column[count++] = one.firstPredictor + k
      } else if (one.source.kind !== 'categorical') {
        const scaled = (held - one.centre) / one.scale
        if (scaled === 0) continue
        column[count] = one.firstPredictor
        value[count++] = scaled
      } else if (held > 0) {
        column[count] = one.firstPredictor + held - 1
        value[count++] = 1
      }
    }
    first[row + 1] = count
  }
  return { width, cells: { first, column, value }, places, outcome }
}

/** Cells that a column takes in the table. */
function cellsOf({ values, source, centre, scale, predictorCount }: WorkingColumn): number {
  let count = 0
  for (let row = 0; row < values.length; row++) {
    const held = values[row]!
    if (Number.isNaN(held)) count += predictorCount
    else if (source.kind === 'categorical' ? held > 0 : (held - centre) / scale !== 0) count++
  }
  return count
}

function sumOf<One>(list: readonly One[], of: (one: One) => number): number {
  let sum = 0
  for (const one of list) sum += of(one)
  return sum
}

/** Writes what a column holds in its missing rows into the table. */
export function writePredictor({ cells, places }: PredictorTable, column: WorkingColumn): void {
  const at = places.get(column.name)!
  for (let i = 0; i < at.length; i++) {
    const held = column.values[column.missing[i]!]!
    if (column.source.kind !== 'categorical') cells.value[at[i]!] = (held - column.centre) / column.scale
    else for (let k = 0; k < column.predictorCount; k++) cells.value[at[i]! + k] = held === k + 1 ? 1 : 0
  }
}

/** Positions of the predictors of a column: all but its own. */
export function predictorsFor(table: PredictorTable, column: WorkingColumn): Int32Array {
  const own = (j: number): boolean =>
    j >= column.firstPredictor && j < column.firstPredictor + column.predictorCount
  return allRows(table.width).filter((j) => !own(j))
}

/** Coefficients of some predictors at the places of all, with 0 for those that take no part. */
export function spreadOut(coefficients: Float64Array, predictors: Int32Array, width: number): Float64Array {
  const all = new Float64Array(width)
  for (let j = 0; j < predictors.length; j++) all[predictors[j]!] = coefficients[j]!
  return all
}

/** Mean and spread of every predictor among some rows; 0 where nobody asked. */
export interface PredictorMoments {
  readonly means: Float64Array
  readonly spreads: Float64Array
}

/**
 * Moments of all predictors but those of a column, among the rows in which it was observed.
 *
 * @param known moments of an earlier round, in which only those of columns with missing values are renewed
 */
export function momentsAmong(
  column: WorkingColumn,
  columns: readonly WorkingColumn[],
  { width, outcome }: PredictorTable,
  known: PredictorMoments | undefined,
): PredictorMoments {
  const moments = known ?? { means: new Float64Array(width), spreads: new Float64Array(width) }
  const rows = column.observed
  if (known === undefined) {
    // That of the constant, summed as all others are.
    for (let i = 0; i < rows.length; i++) moments.means[0]! += 1 / rows.length
    for (const one of outcome) fillMoments(moments, one, rows)
  }
  for (const one of columns) {
    if (one.name === column.name || (known !== undefined && one.missing.length === 0)) continue
    fillMoments(moments, one, rows)
  }
  return moments
}

function fillMoments(moments: PredictorMoments, column: WorkingColumn, rows: Int32Array): void {
  if (column.source.kind === 'categorical') fillShares(moments, column, rows)
  else fillMean(moments, column, rows)
}

function fillMean(
  { means, spreads }: PredictorMoments,
  { values, centre, scale, firstPredictor }: WorkingColumn,
  rows: Int32Array,
): void {
  let mean = 0
  for (let i = 0; i < rows.length; i++) mean += (values[rows[i]!]! - centre) / scale / rows.length
  let spread = 0
  for (let i = 0; i < rows.length; i++) {
    spread += ((values[rows[i]!]! - centre) / scale - mean) ** 2 / rows.length
  }
  means[firstPredictor] = mean
  spreads[firstPredictor] = Math.sqrt(spread)
}

/** The same of the indicators of levels, which add one of two amounts a row. */
function fillShares(
  { means, spreads }: PredictorMoments,
  { values, firstPredictor, predictorCount }: WorkingColumn,
  rows: Int32Array,
): void {
  const from = firstPredictor
  const end = from + predictorCount
  means.fill(0, from, end)
  for (let i = 0; i < rows.length; i++) {
    const level = values[rows[i]!]!
    if (level > 0) means[from + level - 1]! += 1 / rows.length
  }
  for (let j = from; j < end; j++) {
    const without = (0 - means[j]!) ** 2 / rows.length
    const within = (1 - means[j]!) ** 2 / rows.length
    const level = j - from + 1
    let spread = 0
    for (let i = 0; i < rows.length; i++) spread += values[rows[i]!] === level ? within : without
    spreads[j] = Math.sqrt(spread)
  }
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
