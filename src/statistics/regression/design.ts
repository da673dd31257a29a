import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { asDoubles, type NumberColumn, requireFinite, requireSameLength } from '../numeric/columns.js'

/** One covariate: numbers as they are, or the level of a category in every row. */
export type CovariateColumn = NumberColumn | readonly string[]

/** Covariates by name, one entry per row; the order of the names is the order of the coefficients. */
export type Covariates = Readonly<Record<string, CovariateColumn>>

/** One column of a design matrix. */
export interface DesignColumn {
  readonly name: string
  readonly values: Float64Array
}

/** Columns of covariates side by side, row-major (rows × names.length), without an intercept. */
export interface DesignMatrix {
  readonly names: readonly string[]
  readonly rows: number
  readonly values: Float64Array
}

/** How covariates become columns. */
export interface DesignOptions {
  /** Products of covariates, named `a:b`; default none. */
  readonly interactions?: readonly (readonly string[])[]
  /** Level that the others are compared with, by covariate; default the first in alphabetical order. */
  readonly baselines?: Readonly<Record<string, string>>
}

/** Levels of a category in the order of their contrasts: by number where all are numbers, else by code unit. */
export function orderedLevels(values: readonly string[]): readonly string[] {
  const levels = [...new Set(values)]
  const numeric = levels.every((level) => level.trim() !== '' && Number.isFinite(Number(level)))
  return numeric ? levels.sort((a, b) => Number(a) - Number(b)) : levels.sort()
}

/**
 * Expands a category into treatment contrasts: one column of 0 and 1, named `name=level`, for every level but the
 * baseline.
 *
 * @param name name of the covariate
 * @param values level in every row; an empty text counts as missing and is refused
 * @param baseline level that the others are compared with; default the first level
 * @throws NumericalError `missing-level`, `single-level`, `unknown-baseline`
 * @example treatmentContrasts('jaw', ['lower', 'upper', 'lower'])[0].name // => "jaw=upper"
 */
export const treatmentContrasts = checked(
  'treatmentContrasts',
  (name: string, values: readonly string[], baseline?: string): readonly DesignColumn[] => {
    const levels = orderedLevels(values)
    if (levels.includes('')) throw missingLevel(name, values)
    if (levels.length < 2) throw singleLevel(name)
    const against = baseline ?? levels[0]!
    if (!levels.includes(against)) throw unknownBaseline(name)
    const contrasts = levels
      .filter((level) => level !== against)
      .map((level) => ({ level, name: `${name}=${level}`, values: new Float64Array(values.length) }))
    const columns = new Map(contrasts.map((contrast) => [contrast.level, contrast.values]))
    for (let row = 0; row < values.length; row++) {
      const column = columns.get(values[row]!)
      if (column !== undefined) column[row] = 1
    }
    return contrasts.map((contrast) => ({ name: contrast.name, values: contrast.values }))
  },
)

/**
 * Expands covariates into the columns of a design matrix: numbers as they are, categories as treatment contrasts,
 * then the interactions.
 *
 * @param covariates columns of one length
 * @param rows number of rows, needed where there may be no covariate; default that of the first covariate
 * @throws NumericalError `unequal-length`, `not-finite`, `missing-level`, `single-level`, `unknown-covariate`
 */
export function expandCovariates(
  covariates: Covariates,
  rows?: number,
  options: DesignOptions = {},
): DesignMatrix {
  const length = requireSameLength(covariates)
  const count = rows ?? length
  if (Object.keys(covariates).length > 0) requireSameLength({ rows: { length: count }, ...covariates })
  return sideBySide(expandToColumns(covariates, options), count)
}

/**
 * Expands covariates as `expandCovariates` does, but leaves the columns apart. A column that is a Float64Array
 * already is handed on as it is, not copied: callers never write to it.
 */
export function expandToColumns(
  covariates: Covariates,
  options: DesignOptions = {},
): readonly DesignColumn[] {
  const { interactions = [], baselines = {} } = options
  const expanded = new Map(
    Object.entries(covariates).map(([name, column]) => [name, columnsOf(name, column, baselines[name])]),
  )
  const products = interactions.flatMap((names) => productColumns(names, expanded))
  return [...[...expanded.values()].flat(), ...products]
}

/** Sets columns side by side, row-major. */
export function sideBySide(columns: readonly DesignColumn[], rows: number): DesignMatrix {
  const width = columns.length
  const values = new Float64Array(rows * width)
  columns.forEach((column, j) => {
    for (let row = 0; row < rows; row++) values[row * width + j] = column.values[row]!
  })
  return { names: columns.map((column) => column.name), rows, values }
}

function columnsOf(name: string, column: CovariateColumn, baseline?: string): readonly DesignColumn[] {
  if (isCategory(column)) return treatmentContrasts(name, column, baseline)
  requireFinite(name, column)
  const values = asDoubles(column)
  requireWorkableUnit(name, values)
  return [{ name, values }]
}

/** Squares of numbers beyond these leave the range of doubles, and with them every variance. */
const smallestUnit = 1e-100
const largestUnit = 1e100

function requireWorkableUnit(name: string, values: Float64Array): void {
  let widest = 0
  for (let row = 0; row < values.length; row++) widest = Math.max(widest, Math.abs(values[row]!))
  if (widest === 0 || (widest >= smallestUnit && widest <= largestUnit)) return
  throw new NumericalError({
    code: 'unit-out-of-range',
    problem: `covariate ${name} reaches ${widest.toExponential(0)} at most.`,
    expected: `numbers between ${smallestUnit} and ${largestUnit}, so that their squares can be computed.`,
    mend: `give ${name} in another unit.`,
  })
}

/** Whether a covariate is a category, told by its first entry. */
export function isCategory(column: CovariateColumn): column is readonly string[] {
  return typeof column[0] === 'string'
}

function productColumns(
  names: readonly string[],
  expanded: ReadonlyMap<string, readonly DesignColumn[]>,
): readonly DesignColumn[] {
  return names.map((name) => expandedOf(name, expanded)).reduce(crossed)
}

/** All products of two sets of columns, the first set varying fastest. */
function crossed(left: readonly DesignColumn[], right: readonly DesignColumn[]): readonly DesignColumn[] {
  return right.flatMap((b) =>
    left.map((a) => ({
      name: `${a.name}:${b.name}`,
      values: a.values.map((value, i) => value * b.values[i]!),
    })),
  )
}

function expandedOf(
  name: string,
  expanded: ReadonlyMap<string, readonly DesignColumn[]>,
): readonly DesignColumn[] {
  const columns = expanded.get(name)
  if (columns !== undefined) return columns
  throw new NumericalError({
    code: 'unknown-covariate',
    problem: `an interaction names ${name}, which is not among the covariates.`,
    expected: `names out of ${[...expanded.keys()].join(', ')}.`,
    mend: 'add the covariate or correct the interaction.',
  })
}

function missingLevel(name: string, values: readonly string[]): NumericalError {
  return new NumericalError({
    code: 'missing-level',
    problem: `covariate ${name} is empty in ${values.filter((value) => value === '').length} of ${values.length} rows.`,
    expected: 'a level in every row.',
    mend: `leave out rows without ${name}, give them a level of their own, or impute them, before the call.`,
  })
}

function singleLevel(name: string): NumericalError {
  return new NumericalError({
    code: 'single-level',
    problem: `covariate ${name} has the same level in every row.`,
    expected: 'at least two levels to compare.',
    mend: `leave ${name} out of the model.`,
  })
}

function unknownBaseline(name: string): NumericalError {
  return new NumericalError({
    code: 'unknown-baseline',
    problem: `the baseline asked for ${name} is not one of its levels.`,
    expected: 'a level that some row holds.',
    mend: `choose another baseline for ${name}.`,
  })
}
