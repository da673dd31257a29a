import { takenRows } from '../../core/columns.js'
import type { RandomStream } from '../../core/random.js'
import { type CategoryStart, categoryDraws, drawCategory } from './categoryDraws.js'
import {
  drawLinear,
  type ModelRows,
  matchedDraws,
  normalDraws,
  type SteadyProducts,
  steadyProducts,
} from './numericDraws.js'
import {
  momentsAmong,
  type PredictorMoments,
  type PredictorTable,
  predictorsFor,
  type WorkingColumn,
  writePredictor,
} from './predictors.js'

/** Mean and spread of the imputed values of a column after each round: for judging whether the chain has settled. */
export interface ChainTrace {
  readonly column: string
  readonly means: readonly number[]
  readonly standardDeviations: readonly number[]
}

/** What one chain leaves to the next, by column. */
export interface ChainMemory {
  /** Where fits of categories may start. */
  readonly starts: Map<string, CategoryStart>
  /** Moments of the predictors among the rows observed, of which the next chain renews some. */
  readonly moments: Map<string, PredictorMoments>
  /** What the rows bring to linear models in which no predictor is filled in. */
  readonly products: Map<string, SteadyProducts>
}

/** A memory of nothing, for the first chain. */
export function emptyMemory(): ChainMemory {
  return { starts: new Map(), moments: new Map(), products: new Map() }
}

/** Runs one chain from random starting values; fills the columns in place and answers their traces. */
export function runChain(
  columns: readonly WorkingColumn[],
  table: PredictorTable,
  iterations: number,
  donors: number,
  random: RandomStream,
  memory: ChainMemory,
  onRound: () => void = () => undefined,
): readonly ChainTrace[] {
  const visited = columns
    .filter((column) => column.missing.length > 0)
    .sort((a, b) => a.missing.length - b.missing.length)
  for (const column of visited) fill(column, table, startingValues(column, random))
  const means = new Map(visited.map((column) => [column.name, [] as number[]]))
  const spreads = new Map(visited.map((column) => [column.name, [] as number[]]))
  for (let iteration = 0; iteration < iterations; iteration++) {
    for (const column of visited) {
      fill(column, table, drawnValues(column, columns, table, donors, memory, random))
      onRound()
      const { mean, spread } = momentsOf(column)
      means.get(column.name)!.push(mean)
      spreads.get(column.name)!.push(spread)
    }
  }
  return visited.map(({ name }) => ({
    column: name,
    means: means.get(name)!,
    standardDeviations: spreads.get(name)!,
  }))
}

function drawnValues(
  column: WorkingColumn,
  columns: readonly WorkingColumn[],
  table: PredictorTable,
  donors: number,
  { starts, moments, products }: ChainMemory,
  random: RandomStream,
): Float64Array {
  if (isConstant(column)) return startingValues(column, random)
  const { cells, width } = table
  const predictors = predictorsFor(table, column)
  const known = { cells, rows: column.observed, predictors, width }
  const asked = { ...known, rows: column.missing }
  const observed = takenRows(column.values, column.observed)
  if (column.source.kind === 'numeric') {
    const steady = products.get(column.name) ?? productsOf(column, columns, known, observed)
    products.set(column.name, steady)
    const draw = drawLinear(known, observed, steady, random)
    return column.source.method === 'normal'
      ? normalDraws(asked, draw, random)
      : matchedDraws(known, observed, asked, draw, donors, random)
  }
  const levels = column.source.kind === 'binary' ? 2 : column.levels.length
  const among = momentsAmong(column, columns, table, moments.get(column.name))
  moments.set(column.name, among)
  const { drawn, ...start } = drawCategory(
    { ...known, ...among },
    observed,
    levels,
    random,
    starts.get(column.name),
  )
  starts.set(column.name, start)
  return categoryDraws(asked, drawn, levels, random)
}

function productsOf(
  { name }: WorkingColumn,
  columns: readonly WorkingColumn[],
  known: ModelRows,
  observed: Float64Array,
): SteadyProducts {
  const changes = new Set<number>()
  for (const one of columns) if (one.name !== name) for (const row of one.missing) changes.add(row)
  return steadyProducts(known, observed, changes)
}

/** Observed values drawn at random. */
function startingValues(column: WorkingColumn, random: RandomStream): Float64Array {
  return Float64Array.from(
    column.missing,
    () => column.values[column.observed[random.index(column.observed.length)]!]!,
  )
}

function fill(column: WorkingColumn, table: PredictorTable, values: Float64Array): void {
  for (let i = 0; i < values.length; i++) column.values[column.missing[i]!] = values[i]!
  writePredictor(table, column)
}

/** Whether all observed values are the same, so that there is nothing to model. */
export function isConstant(column: WorkingColumn): boolean {
  const first = column.values[column.observed[0]!]!
  return column.observed.every((row) => column.values[row] === first)
}

function momentsOf(column: WorkingColumn): { readonly mean: number; readonly spread: number } {
  let sum = 0
  for (const row of column.missing) sum += column.values[row]!
  const mean = sum / column.missing.length
  let squares = 0
  for (const row of column.missing) squares += (column.values[row]! - mean) ** 2
  return { mean, spread: Math.sqrt(squares / Math.max(1, column.missing.length - 1)) }
}
