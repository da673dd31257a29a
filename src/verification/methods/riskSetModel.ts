import type { TimesAtRisk } from '../../statistics/hazardModels/timesAtRisk.js'
import { type Covariates, treatmentContrasts } from '../../statistics/regression/design.js'
import type { ReferenceCase, ReferenceTable } from '../referenceCase.js'
import { textList } from './regressionModel.js'

/** The columns that a model over risk sets names, rows with a missing value left out. */
export interface RiskSetModel {
  readonly times: TimesAtRisk
  /** Columns ready for the design, interactions included. */
  readonly covariates: Covariates
  readonly strata: readonly string[] | undefined
  /** Name that the labels of strata carry in the reference files. */
  readonly strataName: string
  readonly weights: Float64Array | undefined
  readonly offset: Float64Array | undefined
  readonly clusters: readonly string[] | undefined
  readonly frailty: readonly string[] | undefined
  /** Whether the case asks for a robust variance in words. */
  readonly robust: boolean
}

type Columns = Readonly<Record<string, unknown>>

/** Names that tables give to a column of case weights where the options leave it out. */
const weightNames = ['wt', 'weight', 'weights']

/** Where no option names the clusters, the id of a case says whether the table's column of clusters is meant. */
function clusterBySayOfId(reference: ReferenceCase, table: ReferenceTable): string | undefined {
  if (!/(^|_)cluster/.test(reference.id)) return undefined
  return table.names.find((name) => ['cl', 'cluster'].includes(name.toLowerCase()))
}

/** Reads a model: `time` or `start` and `stop`, `event`, `covariates` and all that may stand beside them. */
export function riskSetModel(reference: ReferenceCase, model: Columns): RiskSetModel {
  const { options } = reference
  const table = tableOf(reference)
  const names = textList(model.covariates)
  const interactions = Array.isArray(model.interactions) ? model.interactions.map(interactionNames) : []
  const strata = textList(model.strata)
  const categorical = new Set([...textList(model.categorical), ...strata])
  const cluster = firstColumn(table, model.cluster ?? options.cluster) ?? clusterBySayOfId(reference, table)
  const frailty = firstColumn(table, model.frailty)
  const weights = firstColumn(table, model.weights ?? options.weights) ?? unnamedWeights(table, names)
  const timeNames =
    typeof model.start === 'string' ? [model.start, String(model.stop)] : [String(model.time ?? model.stop)]
  const offset = offsetOf(table, model.offset)
  const used = [...timeNames, String(model.event), ...names, ...interactions.flat(), ...strata]
  const beside = [cluster, frailty, weights].filter((name) => name !== undefined)
  const rows = completeRows(table, [...used, ...beside], offset)
  const numbers = (name: string): Float64Array => pickedNumbers(table.numbers(name), rows)
  const texts = (name: string): readonly string[] => rows.map((row) => table.texts(name)[row]!)
  const text = memoised(texts)
  const isCategory = (name: string): boolean => categorical.has(name) || !table.isNumeric(name)
  const plain = names.map((name) => [name, isCategory(name) ? text(name) : numbers(name)] as const)
  const event = eventColumn(numbers(String(model.event)))
  return {
    times:
      timeNames.length === 2
        ? { start: numbers(timeNames[0]!), stop: numbers(timeNames[1]!), event }
        : { time: numbers(timeNames[0]!), event },
    covariates: Object.fromEntries([
      ...plain,
      ...interactions.flatMap((factors) => productColumns(factors, isCategory, numbers, text)),
    ]),
    strata:
      strata.length === 0 ? undefined : rows.map((_, i) => strata.map((name) => text(name)[i]!).join(',')),
    strataName: strata.join(','),
    weights: weights === undefined ? undefined : numbers(weights),
    offset: offset === undefined ? undefined : pickedNumbers(offset, rows),
    clusters: cluster === undefined ? undefined : text(cluster),
    frailty: frailty === undefined ? undefined : text(frailty),
    robust: options.robust !== undefined && options.robust !== false,
  }
}

/** The table of a case: its CSV, or its inline columns. */
export function tableOf(reference: ReferenceCase): ReferenceTable {
  const columns = Object.entries(reference.data).filter((entry): entry is [string, unknown[]] =>
    Array.isArray(entry[1]),
  )
  if (columns.length === 0) return reference.table()
  const texts = new Map(
    columns.map(([name, values]) => [name, values.map((value) => (value === null ? '' : String(value)))]),
  )
  const textsOf = (name: string): readonly string[] => texts.get(name) ?? []
  return {
    names: [...texts.keys()],
    rowCount: columns[0]![1].length,
    texts: textsOf,
    numbers: (name) => Float64Array.from(textsOf(name), (text) => (text === '' ? Number.NaN : Number(text))),
    isNumeric: (name) => textsOf(name).every((text) => text === '' || Number.isFinite(Number(text))),
  }
}

/** An object of named columns, or an empty one. */
export function columnsNamed(value: unknown): Columns {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Columns) : {}
}

/** Events coded 1 and 2 mean censored and event, as older data sets have it. */
function eventColumn(column: Float64Array): Float64Array {
  const codes = new Set(column)
  return codes.has(2) && !codes.has(0) ? column.map((code) => (code === 2 ? 1 : 0)) : column
}

function interactionNames(interaction: unknown): readonly string[] {
  return typeof interaction === 'string' ? interaction.split(':') : textList(interaction)
}

/** The column that a text begins with, such as "wt (non-integer)". */
function firstColumn(table: ReferenceTable, value: unknown): string | undefined {
  if (typeof value !== 'string') return undefined
  if (table.names.includes(value)) return value
  const word = value.trim().split(/[\s(,;]/)[0]!
  return table.names.includes(word) ? word : undefined
}

function unnamedWeights(table: ReferenceTable, covariates: readonly string[]): string | undefined {
  return table.names.find((name) => weightNames.includes(name.toLowerCase()) && !covariates.includes(name))
}

function offsetOf(table: ReferenceTable, offset: unknown): Float64Array | undefined {
  if (typeof offset === 'string') return table.numbers(offset)
  const { log_of: logOf, column } = columnsNamed(offset)
  if (typeof logOf === 'string') return table.numbers(logOf).map(Math.log)
  return typeof column === 'string' ? table.numbers(column) : undefined
}

function completeRows(
  table: ReferenceTable,
  names: readonly string[],
  offset?: Float64Array,
): readonly number[] {
  const columns = [...new Set(names)].map((name) => table.texts(name))
  return Array.from({ length: table.rowCount }, (_, row) => row).filter(
    (row) =>
      columns.every((column) => column[row] !== '') && (offset === undefined || Number.isFinite(offset[row])),
  )
}

function pickedNumbers(column: Float64Array, rows: readonly number[]): Float64Array {
  return Float64Array.from(rows, (row) => column[row]!)
}

function memoised(read: (name: string) => readonly string[]): (name: string) => readonly string[] {
  const known = new Map<string, readonly string[]>()
  return (name) => {
    const found = known.get(name) ?? read(name)
    known.set(name, found)
    return found
  }
}

/** Products of numbers and of the contrasts of categories, the first factor varying fastest. */
function productColumns(
  factors: readonly string[],
  isCategory: (name: string) => boolean,
  numbers: (name: string) => Float64Array,
  texts: (name: string) => readonly string[],
): readonly (readonly [string, Float64Array])[] {
  const columns = factors.map((name) =>
    isCategory(name) ? treatmentContrasts(name, texts(name)) : [{ name, values: numbers(name) }],
  )
  return columns
    .reduce((left, right) =>
      right.flatMap((b) =>
        left.map((a) => ({
          name: `${a.name}:${b.name}`,
          values: a.values.map((value, i) => value * b.values[i]!),
        })),
      ),
    )
    .map(({ name, values }) => [name, values] as const)
}
