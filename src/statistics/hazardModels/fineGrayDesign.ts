import { NumericalError } from '../../core/errors.js'
import { productLimitColumns } from '../curves/productLimit.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type RowsByCell, rowsByCell } from '../kernel/riskSetCells.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { type Covariates, type DesignOptions, expandCovariates } from '../regression/design.js'
import { standardiseDesign } from '../regression/standardise.js'

/**
 * Censorings tied with events, in the curve of being uncensored: 'together' keeps the events of that time at risk of
 * being censored, 'events-first' takes them out before.
 */
export type CensoringTies = 'together' | 'events-first'

/** Rows in order of time, with what the subdistribution weights need. */
export interface FineGrayDesign {
  readonly names: readonly string[]
  readonly rows: number
  readonly size: number
  /** Scaled covariates in order of time, row-major rows × size. */
  readonly x: Float64Array
  /** Scale of each covariate: coefficients in the units of the input are the scaled ones divided by it. */
  readonly scale: Float64Array
  /** Widest value of each scaled covariate from its mean. */
  readonly spread: Float64Array
  /** Cell of each row, and 0 censored, 1 the cause of interest, 2 another cause. */
  readonly cell: Int32Array
  readonly outcome: Uint8Array
  /** Row of the input at each place in order of time. */
  readonly order: Int32Array
  readonly cells: number
  readonly time: Float64Array
  /** Rows of cell c are those from offset[c] to offset[c + 1]. */
  readonly offset: Int32Array
  /** Events of interest, and censorings, of each cell. */
  readonly events: Float64Array
  readonly censored: Float64Array
  /** Case weight of each place; undefined where all are 1. */
  readonly weight: Float64Array | undefined
  /** First cell in which each place is at risk; undefined where all are from the start. */
  readonly entryCell: Int32Array | undefined
  /** Places by the cell from which on they are at risk; undefined where all are from the start. */
  readonly entering: RowsByCell | undefined
  /**
   * Probability of being uncensored just before each cell's time; with delayed entry, times that of having entered
   * before it.
   */
  readonly uncensoredBefore: Float64Array
  /** At risk of being censored in each cell. */
  readonly atRiskOfCensoring: Float64Array
  readonly censoringTies: CensoringTies
}

/** Columns beside time and cause. */
interface RowColumns {
  readonly entry?: NumberColumn | undefined
  readonly weights?: NumberColumn | undefined
}

/** Orders rows by time and estimates the distribution of censoring. */
export function prepareFineGray(
  time: NumberColumn,
  cause: NumberColumn,
  ofInterest: number,
  covariates: Covariates,
  censoringTies: CensoringTies,
  options: DesignOptions & RowColumns,
): FineGrayDesign {
  requireSameLength({ time, cause, ...covariates })
  const { entry, weights } = options
  const risk = riskSet(time, cause, { entry, weights })
  if (!risk.cause.includes(ofInterest)) throw noSuchEvent(ofInterest)
  const matrix = expandCovariates(covariates, time.length, options)
  if (matrix.names.length === 0) throw noCovariates()
  const { order, offset } = rowsByCell(risk.rowCell, risk.cells)
  const scaled = standardiseDesign(matrix, true, risk.weights)
  const size = matrix.names.length
  const x = new Float64Array(risk.rows * size)
  const outcome = new Uint8Array(risk.rows)
  const cell = new Int32Array(risk.rows)
  const events = new Float64Array(risk.cells)
  const spread = new Float64Array(size)
  for (let place = 0; place < order.length; place++) {
    const row = order[place]!
    const own = risk.cause[row]!
    outcome[place] = own === 0 ? 0 : own === ofInterest ? 1 : 2
    cell[place] = risk.rowCell[row]!
    if (own === ofInterest) events[cell[place]!]! += risk.weights?.[row] ?? 1
    for (let j = 0; j < size; j++) {
      const value = scaled.values[row * scaled.width + j + 1]!
      x[place * size + j] = value
      spread[j] = Math.max(spread[j]!, Math.abs(value))
    }
  }
  const entryCell = risk.rowEntryCell === undefined ? undefined : order.map((row) => risk.rowEntryCell![row]!)
  return {
    names: matrix.names,
    rows: risk.rows,
    size,
    x,
    scale: Float64Array.from(matrix.names, (_name, j) => 1 / scaled.map[(j + 1) * scaled.width + j + 1]!),
    spread,
    cell,
    outcome,
    order,
    cells: risk.cells,
    time: risk.time,
    offset,
    events,
    censored: risk.censored,
    weight: risk.weights === undefined ? undefined : Float64Array.from(order, (row) => risk.weights![row]!),
    entryCell,
    entering: entryCell === undefined ? undefined : rowsByCell(entryCell, risk.cells),
    ...censoringCurve(risk, censoringTies, entry),
    censoringTies,
  }
}

/** Product-limit curve of being uncensored, from the counts of the risk set with the parts exchanged. */
function censoringCurve(
  risk: RiskSet,
  ties: CensoringTies,
  entry: NumberColumn | undefined,
): { readonly uncensoredBefore: Float64Array; readonly atRiskOfCensoring: Float64Array } {
  const atRiskOfCensoring = risk.atRisk.slice()
  if (ties === 'events-first') {
    for (let k = 0; k < risk.causes; k++) {
      for (let cell = 0; cell < risk.cells; cell++) {
        atRiskOfCensoring[cell]! -= risk.events[k * risk.cells + cell]!
      }
    }
  }
  const exchanged: RiskSet = {
    ...risk,
    causes: 1,
    atRisk: atRiskOfCensoring,
    atRiskRows: atRiskOfCensoring,
    events: risk.censored,
    eventRows: risk.censored,
  }
  const { survivalBefore } = productLimitColumns(exchanged, 0)
  if (risk.rowEntryCell === undefined || entry === undefined)
    return { uncensoredBefore: survivalBefore, atRiskOfCensoring }
  const entered = enteredBefore(risk, entry)
  return { uncensoredBefore: survivalBefore.map((value, c) => value * entered[c]!), atRiskOfCensoring }
}

/**
 * Probability of having entered before each cell's time: the product-limit estimate with time reversed, in which a row
 * comes under observation when it leaves and has its event when it enters (Geskus 2011).
 */
function enteredBefore(risk: RiskSet, entry: NumberColumn): Float64Array {
  const weightOf = (row: number): number => risk.weights?.[row] ?? 1
  const rows = Array.from(risk.rowCell.keys()).filter((row) => risk.rowCell[row]! >= 0)
  const byEntry = rows.filter((row) => entry[row]! > 0).sort((a, b) => entry[b]! - entry[a]!)
  const byExit = [...rows].sort((a, b) => risk.rowCell[b]! - risk.rowCell[a]!)
  const entered = new Float64Array(risk.cells)
  let share = 1
  let under = 0
  let next = 0
  let left = 0
  const exitOf = (row: number): number => risk.time[risk.rowCell[row]!]!
  for (let c = risk.cells - 1; c >= 0; c--) {
    while (next < byEntry.length && entry[byEntry[next]!]! >= risk.time[c]!) {
      const day = entry[byEntry[next]!]!
      for (; left < byExit.length && exitOf(byExit[left]!) > day; left++) under += weightOf(byExit[left]!)
      let entering = 0
      for (; next < byEntry.length && entry[byEntry[next]!]! === day; next++)
        entering += weightOf(byEntry[next]!)
      share *= 1 - entering / under
      under -= entering
    }
    entered[c] = share
  }
  return entered
}

/** Clusters in order of time. */
export function orderedClusters(
  design: FineGrayDesign,
  cluster: CodeColumn | undefined,
): { readonly codes: Int32Array; readonly count: number } {
  if (cluster === undefined) return { codes: design.order, count: design.rows }
  requireSameLength({ time: { length: design.rows }, cluster })
  const coded = codesOf('cluster', cluster)
  return { codes: design.order.map((row) => coded.codes[row]!), count: coded.count }
}

function noSuchEvent(cause: number): NumericalError {
  return new NumericalError({
    code: 'no-events',
    problem: `no row has an event of cause ${cause}.`,
    expected: 'at least one event of the cause of interest.',
    mend: 'check the number of the cause, or compare nothing.',
  })
}

function noCovariates(): NumericalError {
  return new NumericalError({
    code: 'no-covariates',
    problem: 'no covariate was given.',
    expected: 'at least one covariate.',
    mend: 'use the cumulative incidence where there is nothing to adjust for.',
  })
}
