import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf, term } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireSameLength } from '../numeric/columns.js'
import { begunChains } from './begunChains.js'
import { type ChainTrace, isConstant } from './chain.js'
import { type CompletedChain, type PreparedChains, runChains } from './chains.js'
import type { ImputationOutcome } from './outcomePredictors.js'
import { type ImputationColumn, type WorkingColumn, workingColumn } from './predictors.js'

export type { ChainTrace } from './chain.js'
export type { CompletedChain } from './chains.js'
export type { ImputationOutcome } from './outcomePredictors.js'
export type { ImputationColumn, WorkingColumn } from './predictors.js'

/** Options of {@link imputeChained}. */
export interface ImputationOptions {
  /** Whole number; the same seed gives the same tables. */
  readonly seed: number
  /** Completed tables; default 20. */
  readonly imputations?: number
  /** Rounds of each chain; default 10. */
  readonly iterations?: number
  /** Donors of predictive mean matching; default 5. */
  readonly donors?: number
  /** Outcome of every row: the event and the cumulative hazard join the predictors. Default none. */
  readonly outcome?: ImputationOutcome
}

/** One completed table: numbers for numeric and binary columns, texts for categories. */
export type CompletedTable = Readonly<Record<string, readonly number[] | readonly string[]>>

/** Completed tables with what is needed to judge them. */
export interface ImputedTables {
  readonly tables: readonly CompletedTable[]
  /** Missing values of each column. */
  readonly missing: readonly { readonly column: string; readonly missing: number; readonly share: number }[]
  readonly completeRows: number
  /** Traces of each chain, in the order of the tables. */
  readonly traces: readonly (readonly ChainTrace[])[]
  readonly n: number
  readonly imputations: number
  readonly iterations: number
  readonly seed: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Fills missing covariates several times over by chained equations: each column in turn is drawn from its
 * distribution given all others, by predictive mean matching or a Bayesian normal model (numbers), a logistic model
 * (0 and 1) or a multinomial logistic model (categories). Analyse every table, then pool with
 * {@link poolCoefficients}.
 *
 * @param columns covariates of one length; NaN, or '' for categories, where missing. Observed values stay as they are
 * @param options seed (required), imputations, iterations, donors, outcome; see {@link ImputationOptions}
 * @throws NumericalError `unequal-length`, `wholly-missing`, `infinite-value`, `not-binary`, `count-out-of-range`
 * @see Van Buuren (2018) Flexible Imputation of Missing Data, 2nd ed.; White and Royston (2009) for the outcome
 * @example imputeChained({ age: { kind: 'numeric', values: [41, NaN, 63] } }, { seed: 1, imputations: 2 }).missing[0].missing // => 1
 */
export const imputeChained = checked(
  'imputeChained',
  (columns: Readonly<Record<string, ImputationColumn>>, options: ImputationOptions): ImputedTables => {
    const { seed, imputations = 20, iterations = 10, outcome } = options
    const rows = requireTable(columns, options)
    let first: readonly WorkingColumn[] | undefined
    const chains = Array.from(completedChains(columns, options), ({ columns: filled, traces }) => {
      // What is told of the columns is the same in every chain; keeping all would cost as much again as the tables.
      first ??= [...filled.values()]
      return { table: completedTable([...filled.values()]), traces }
    })
    return deepFreeze({
      tables: chains.map((chain) => chain.table),
      missing: first!.map((column) => ({
        column: column.name,
        missing: column.missing.length,
        share: rows === 0 ? 0 : column.missing.length / rows,
      })),
      completeRows: completeRows(first!, rows),
      traces: chains.map((chain) => chain.traces),
      n: rows,
      imputations,
      iterations,
      seed,
      method: methodOf(
        'multiple-imputation-by-chained-equations',
        term('imputed-tables', { imputations }),
        term('rounds', { iterations }),
        term('seed', { seed }),
      ),
      warnings: warningsOf(first!, outcome),
      reference: 'multiple-imputation',
    })
  },
)

/** The chains of {@link imputeChained} one after the other, so that a caller may be done with one before the next runs. */
export function* completedChains(
  columns: Readonly<Record<string, ImputationColumn>>,
  options: ImputationOptions,
): Generator<CompletedChain> {
  yield* runChains(preparedChains(columns, options))
}

/**
 * The chains of {@link imputeChained} begun at once in a thread of their own, where there is one to be had: what is asked
 * for is waited for, and the same as of {@link completedChains}.
 */
export function chainsAhead(
  columns: Readonly<Record<string, ImputationColumn>>,
  options: ImputationOptions,
): Iterable<CompletedChain> {
  return begunChains(preparedChains(columns, options))
}

function preparedChains(
  columns: Readonly<Record<string, ImputationColumn>>,
  options: ImputationOptions,
): PreparedChains {
  const { seed, imputations = 20, iterations = 10, donors = 5, outcome } = options
  const rows = requireTable(columns, options)
  const working = workingColumns(columns, outcome === undefined ? 1 : 3)
  return { columns: working, rows, seed, imputations, iterations, donors, outcome }
}

/** Number of rows of a table that can be completed. */
function requireTable(
  columns: Readonly<Record<string, ImputationColumn>>,
  { imputations = 20, iterations = 10, donors = 5, outcome }: ImputationOptions,
): number {
  for (const [name, count] of Object.entries({ imputations, iterations, donors })) requireCount(name, count)
  const lengths = Object.fromEntries(Object.entries(columns).map(([name, one]) => [name, one.values]))
  const rows = requireSameLength({ ...lengths, 'outcome.timeDays': outcome?.timeDays })
  for (const [name, column] of Object.entries(columns)) requireValues(name, column)
  return rows
}

function workingColumns(
  columns: Readonly<Record<string, ImputationColumn>>,
  firstPredictor: number,
): readonly WorkingColumn[] {
  let next = firstPredictor
  let everyRow: Int32Array | undefined
  return Object.entries(columns).map(([name, source]) => {
    const column = workingColumn(name, source, next, everyRow)
    if (column.missing.length === 0) everyRow = column.observed
    next += column.predictorCount
    return column
  })
}

function completedTable(columns: readonly WorkingColumn[]): CompletedTable {
  return Object.fromEntries(
    columns.map((column) => [
      column.name,
      column.source.kind === 'categorical'
        ? Array.from(column.values, (code) => column.levels[code]!)
        : Array.from(column.values),
    ]),
  )
}

/** Rows in which the caller's columns hold every value. */
function completeRows(columns: readonly WorkingColumn[], rows: number): number {
  const holes = new Uint8Array(rows)
  for (const column of columns) for (const row of column.missing) holes[row] = 1
  return rows - holes.reduce((sum, hole) => sum + hole, 0)
}

function warningsOf(
  columns: readonly WorkingColumn[],
  outcome: ImputationOutcome | undefined,
): readonly Warning[] {
  const warnings: Warning[] = []
  const incomplete = columns.filter((column) => column.missing.length > 0)
  if (incomplete.length === 0) {
    warnings.push(warning('nothing-missing'))
  }
  const constant = incomplete.filter(isConstant).map((column) => column.name)
  if (constant.length > 0) {
    warnings.push(warning('constant-among-observed', { names: constant }))
  }
  if (outcome === undefined && incomplete.length > 0) {
    warnings.push(warning('outcome-not-used'))
  }
  const mostly = incomplete.filter((column) => column.missing.length > column.observed.length)
  if (mostly.length > 0) {
    warnings.push(warning('mostly-missing', { names: mostly.map((column) => column.name) }))
  }
  return warnings
}

function requireValues(name: string, column: ImputationColumn): void {
  const { kind, values } = column
  let observed = 0
  for (let row = 0; row < values.length; row++) {
    const value = values[row]!
    if (kind === 'categorical' ? value === '' : Number.isNaN(value as number)) continue
    observed++
    if (kind === 'binary' && value !== 0 && value !== 1) throw notBinary(name, row, values.length)
    if (kind === 'numeric' && !Number.isFinite(value as number)) throw infiniteValue(name, row, values.length)
  }
  if (observed > 0 || values.length === 0) return
  throw new NumericalError({
    code: 'wholly-missing',
    problem: `column ${name} holds no value in any of ${values.length} rows, so that nothing can be learnt about it.`,
    expected: 'a column of which some rows are observed.',
    mend: `leave ${name} out of the imputation and of the model, and say so.`,
  })
}

function notBinary(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'not-binary',
    problem: `column ${name} holds something other than 0, 1 and missing, first in row ${row + 1} of ${rows}.`,
    expected: '0, 1, or NaN where missing.',
    mend: `code ${name} as 0 and 1, or declare it numeric or categorical.`,
  })
}

function infiniteValue(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'infinite-value',
    problem: `column ${name} holds an infinite value, first in row ${row + 1} of ${rows}.`,
    expected: 'finite numbers, or NaN where missing.',
    mend: `correct ${name}, or mark the value as missing.`,
  })
}

function requireCount(name: string, count: number): void {
  if (Number.isInteger(count) && count >= 1) return
  throw new NumericalError({
    code: 'count-out-of-range',
    problem: `${name} is ${count}.`,
    expected: 'a whole number from 1.',
    mend: `leave ${name} out to use the default.`,
  })
}
