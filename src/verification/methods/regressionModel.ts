import type { Covariates } from '../../statistics/regression/design.js'
import type { ReferenceCase, ReferenceTable } from '../referenceCase.js'

/** The columns that `options.model` of a regression case names, rows with a missing value left out. */
export interface RegressionModel {
  readonly response: Float64Array
  readonly covariates: Covariates
  readonly interactions: readonly (readonly string[])[]
  readonly offset: Float64Array | undefined
  readonly weights: Float64Array | undefined
  readonly strata: readonly string[] | undefined
  /** Column that options name as cluster or id. */
  readonly clusters: readonly string[] | undefined
}

/** Reads the model of a case. */
export function regressionModel(reference: ReferenceCase): RegressionModel {
  const table = reference.table()
  const { options } = reference
  const model = isObject(options.model) ? options.model : {}
  const names = textList(model.covariates)
  const categorical = new Set(textList(model.categorical))
  const offset = offsetColumn(table, model.offset)
  const response = table.numbers(String(model.response))
  const numeric = (name: string): boolean => table.isNumeric(name) && !categorical.has(name)
  const weightsName = textOf(model.weights ?? options.weights)
  const weights = weightsName === undefined ? undefined : table.numbers(weightsName)
  const numbers = [
    response,
    ...(offset === undefined ? [] : [offset]),
    ...(weights === undefined ? [] : [weights]),
    ...names.filter(numeric).map((name) => table.numbers(name)),
  ]
  const strata = textOf(model.strata)
  const cluster = textOf(options.cluster ?? options.id ?? model.cluster ?? model.id)
  const texts = names.filter((name) => !numeric(name)).map((name) => table.texts(name))
  const kept = Array.from({ length: table.rowCount }, (_, row) => row).filter(
    (row) =>
      numbers.every((column) => !Number.isNaN(column[row])) && texts.every((column) => column[row] !== ''),
  )
  const some = <T>(column: ArrayLike<T>): T[] => kept.map((row) => column[row]!)
  return {
    response: Float64Array.from(some(response)),
    covariates: Object.fromEntries(
      names.map((name) => [name, numeric(name) ? some(table.numbers(name)) : some(table.texts(name))]),
    ),
    interactions: Array.isArray(model.interactions) ? model.interactions.map(textList) : [],
    offset: offset === undefined ? undefined : Float64Array.from(some(offset)),
    weights: weights === undefined ? undefined : Float64Array.from(some(weights)),
    strata: strata === undefined ? undefined : some(table.texts(strata)),
    clusters: cluster === undefined ? undefined : some(table.texts(cluster)),
  }
}

/** Values by coefficient name, the constant term under the name that the reference files use. */
export function byName<T>(
  coefficients: readonly { readonly name: string }[],
  read: (index: number) => T,
): Readonly<Record<string, T>> {
  return Object.fromEntries(coefficients.map((one, index) => [referenceName(one.name), read(index)]))
}

/** Name of a coefficient in the reference files. */
export function referenceName(name: string): string {
  return name === 'intercept' ? '(Intercept)' : name
}

/** A list of texts, or nothing where it is none. */
export function textList(value: unknown): readonly string[] {
  if (typeof value === 'string') return [value]
  return Array.isArray(value) ? value.map(String) : []
}

function textOf(value: unknown): string | undefined {
  return typeof value === 'string' ? value : undefined
}

/** An offset is a column, or the logarithm of one. */
function offsetColumn(table: ReferenceTable, offset: unknown): Float64Array | undefined {
  if (typeof offset === 'string') return table.numbers(offset)
  if (!isObject(offset)) return undefined
  if (typeof offset.log_of === 'string') return table.numbers(offset.log_of).map(Math.log)
  return typeof offset.column === 'string' ? table.numbers(offset.column) : undefined
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
