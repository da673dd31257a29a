import { requireSameLength } from '../numeric/columns.js'
import {
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  expandToColumns,
  isCategory,
  orderedLevels,
} from '../regression/design.js'
import { orderAtRisk, type RiskOrder } from './riskOrder.js'
import { type CheckedRows, checkRows, type RowOptions, type TimesAtRisk } from './timesAtRisk.js'

/** Everything that a model over risk sets needs, in the order of the risk sets. */
export interface CoxDesign {
  readonly rows: CheckedRows
  readonly order: RiskOrder
  readonly columns: readonly DesignColumn[]
  readonly names: readonly string[]
  readonly size: number
  /** Covariates of each place, row-major, centred and scaled. */
  readonly x: Float64Array
  readonly centre: Float64Array
  readonly scale: Float64Array
  /** Widest distance of a scaled covariate from its centre. */
  readonly spread: Float64Array
  /** Case weight of each place; undefined where all are 1. */
  readonly weight: Float64Array | undefined
  readonly offset: Float64Array | undefined
}

/**
 * Checks the columns, puts the rows in the order of the risk sets, and centres and scales the covariates.
 *
 * @param beside further columns that must have the same length
 */
export function prepareCox(
  times: TimesAtRisk,
  covariates: Covariates,
  options: RowOptions & DesignOptions,
  beside: Readonly<Record<string, ArrayLike<unknown> | undefined>> = {},
): CoxDesign {
  requireSameLength({ ...times, ...covariates, ...beside })
  const rows = checkRows(times, options)
  const columns = expandToColumns(covariates, options)
  const order = orderAtRisk(rows)
  return { rows, order, ...gathered(columns, rows, order), ...gatheredRows(rows, order) }
}

/** What each coefficient compares: a level against its baseline, or one unit more of a number. */
export function comparatorsOf(
  covariates: Covariates,
  options: DesignOptions,
): ReadonlyMap<string, { readonly group: string; readonly against: string }> {
  const comparators = new Map<string, { readonly group: string; readonly against: string }>()
  for (const [name, column] of Object.entries(covariates)) {
    if (!isCategory(column)) continue
    const levels = orderedLevels(column)
    const against = options.baselines?.[name] ?? levels[0]!
    for (const level of levels)
      if (level !== against) comparators.set(`${name}=${level}`, { group: level, against })
  }
  return comparators
}

function gathered(
  columns: readonly DesignColumn[],
  rows: CheckedRows,
  order: RiskOrder,
): Pick<CoxDesign, 'columns' | 'names' | 'size' | 'x' | 'centre' | 'scale' | 'spread'> {
  const size = columns.length
  const places = order.row.length
  const x = new Float64Array(places * size)
  const spans = columns.map((column) => spanOf(column.values, rows.weight))
  columns.forEach(({ values }, j) => {
    const { centre, scale } = spans[j]!
    for (let place = 0, at = j; place < places; place++, at += size) {
      x[at] = (values[order.row[place]!]! - centre) / scale
    }
  })
  return {
    columns,
    names: columns.map((column) => column.name),
    size,
    x,
    centre: Float64Array.from(spans, (span) => span.centre),
    scale: Float64Array.from(spans, (span) => span.scale),
    spread: Float64Array.from(spans, (span) => span.spread),
  }
}

/** Mean, mean absolute deviation, and the widest deviation in units of it; a constant column keeps the scale 1. */
function spanOf(
  values: Float64Array,
  weight: Float64Array | undefined,
): { readonly centre: number; readonly scale: number; readonly spread: number } {
  let count = 0
  let sum = 0
  let least = Number.POSITIVE_INFINITY
  let most = Number.NEGATIVE_INFINITY
  for (let row = 0; row < values.length; row++) {
    if (weight !== undefined && weight[row] === 0) continue
    const value = values[row]!
    count++
    sum += value
    if (value < least) least = value
    if (value > most) most = value
  }
  if (!(most > least)) return { centre: least, scale: 1, spread: 0 }
  const centre = sum / count
  let deviation = 0
  for (let row = 0; row < values.length; row++) {
    if (weight === undefined || weight[row] !== 0) deviation += Math.abs(values[row]! - centre)
  }
  const scale = deviation / count
  return { centre, scale, spread: Math.max(most - centre, centre - least) / scale }
}

function gatheredRows(rows: CheckedRows, order: RiskOrder): Pick<CoxDesign, 'weight' | 'offset'> {
  const gather = (column: Float64Array | undefined): Float64Array | undefined =>
    column === undefined ? undefined : Float64Array.from(order.row, (row) => column[row]!)
  return { weight: gather(rows.weight), offset: gather(rows.offset) }
}
