import { requireSameLength } from '../numeric/columns.js'
import {
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  expandToColumns,
  isCategory,
  orderedLevels,
} from './design.js'
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
  return { rows, order, ...gathered(columns, order), ...gatheredRows(rows, order) }
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
  order: RiskOrder,
): Pick<CoxDesign, 'columns' | 'names' | 'size' | 'x' | 'centre' | 'scale' | 'spread'> {
  const size = columns.length
  const places = order.row.length
  const x = new Float64Array(places * size)
  const centre = new Float64Array(size)
  const scale = new Float64Array(size).fill(1)
  const spread = new Float64Array(size)
  columns.forEach((column, j) => {
    const values = column.values
    let sum = 0
    for (let place = 0; place < places; place++) sum += values[order.row[place]!]!
    const middle = places === 0 ? 0 : sum / places
    let deviation = 0
    let widest = 0
    for (let place = 0; place < places; place++) {
      const distance = values[order.row[place]!]! - middle
      x[place * size + j] = distance
      deviation += Math.abs(distance)
      if (Math.abs(distance) > widest) widest = Math.abs(distance)
    }
    const mean = places === 0 ? 0 : deviation / places
    centre[j] = middle
    if (mean > 1e-13 * Math.abs(middle)) {
      scale[j] = mean
      for (let at = j; at < x.length; at += size) x[at]! /= mean
    } else {
      for (let at = j; at < x.length; at += size) x[at] = 0
    }
    spread[j] = widest / scale[j]!
  })
  return { columns, names: columns.map((column) => column.name), size, x, centre, scale, spread }
}

function gatheredRows(rows: CheckedRows, order: RiskOrder): Pick<CoxDesign, 'weight' | 'offset'> {
  const gather = (column: Float64Array | undefined): Float64Array | undefined =>
    column === undefined ? undefined : Float64Array.from(order.row, (row) => column[row]!)
  return { weight: gather(rows.weight), offset: gather(rows.offset) }
}
