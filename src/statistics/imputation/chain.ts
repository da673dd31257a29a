import { takenRows } from '../../core/columns.js'
import type { RandomStream } from '../../core/random.js'
import { type CategoryStart, categoryDraws, drawCategory } from './categoryDraws.js'
import { drawLinear, matchedDraws, normalDraws } from './numericDraws.js'
import {
  observedCells,
  type PredictorTable,
  predictorsFor,
  selectedCells,
  type WorkingColumn,
  writePredictor,
} from './predictors.js'

/** Mean and spread of the imputed values of a column after each round: for judging whether the chain has settled. */
export interface ChainTrace {
  readonly column: string
  readonly means: readonly number[]
  readonly standardDeviations: readonly number[]
}

/**
 * Runs one chain from random starting values; fills the columns in place and answers their traces.
 *
 * @param starts where fits of categories may start, by column; filled by the first chain, used by all
 */
export function runChain(
  columns: readonly WorkingColumn[],
  table: PredictorTable,
  iterations: number,
  donors: number,
  random: RandomStream,
  starts: Map<string, CategoryStart> = new Map(),
): readonly ChainTrace[] {
  const visited = columns
    .filter((column) => column.missing.length > 0)
    .sort((a, b) => a.missing.length - b.missing.length)
  for (const column of visited) fill(column, table, startingValues(column, random))
  const means = new Map(visited.map((column) => [column.name, [] as number[]]))
  const spreads = new Map(visited.map((column) => [column.name, [] as number[]]))
  for (let iteration = 0; iteration < iterations; iteration++) {
    for (const column of visited) {
      fill(column, table, drawnValues(column, table, donors, starts, random))
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
  table: PredictorTable,
  donors: number,
  starts: Map<string, CategoryStart>,
  random: RandomStream,
): Float64Array {
  if (isConstant(column)) return startingValues(column, random)
  const predictors = predictorsFor(table, column)
  const missing = selectedCells(table, column.missing, predictors)
  const observedY = takenRows(column.values, column.observed)
  if (column.source.kind === 'numeric') {
    const observed = selectedCells(table, column.observed, predictors)
    const draw = drawLinear(observed, observedY, predictors.length, random)
    return column.source.method === 'normal'
      ? normalDraws(missing, draw, random)
      : matchedDraws(observed, observedY, missing, draw, donors, random)
  }
  const levels = column.source.kind === 'binary' ? 2 : column.levels.length
  const { estimate, factor, drawn } = drawCategory(
    observedCells(table, column.observed, predictors),
    observedY,
    levels,
    random,
    starts.get(column.name),
  )
  starts.set(column.name, { estimate, factor })
  return categoryDraws(missing, drawn, levels, random)
}

/** Observed values drawn at random. */
function startingValues(column: WorkingColumn, random: RandomStream): Float64Array {
  return Float64Array.from(
    column.missing,
    () => column.values[column.observed[random.index(column.observed.length)]!]!,
  )
}

function fill(column: WorkingColumn, table: PredictorTable, values: Float64Array): void {
  column.missing.forEach((row, i) => {
    column.values[row] = values[i]!
    writePredictor(table, column, row)
  })
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
