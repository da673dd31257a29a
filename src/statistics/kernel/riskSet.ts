import { NumericalError } from '../../core/errors.js'
import { asDoubles, type NumberColumn, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { timeAxis } from '../numeric/timeAxis.js'
import { type Codes, singleCode } from './codes.js'
import { type CellLayout, cellLayout } from './riskSetCells.js'

/** What a risk set is counted from besides time and cause. */
export interface RiskSetOptions {
  /** Delayed entry; default: every row at risk from the start. */
  readonly entry?: NumberColumn | undefined
  /** Weights, zero or more; rows of weight 0 are left out of every count. Default: 1 each. */
  readonly weights?: NumberColumn | undefined
  /** Groups counted side by side on the times of their stratum. Default: one group. */
  readonly group?: Codes | undefined
  /** Strata, each with times of its own. Default: one stratum. */
  readonly stratum?: Codes | undefined
  /** Number of causes; a higher one is refused. Default: the highest that occurs, at least 1. */
  readonly causes?: number | undefined
}

/**
 * The one source of at-risk and event counts. A cell is a time at which some row of its stratum exits; the cells of
 * stratum s are start[s] … start[s + 1] − 1, times ascending. Counts of group g stand at g · cells + cell, counts of
 * events of cause k (from 1) at ((k − 1) · groups + g) · cells + cell.
 */
export interface RiskSet {
  readonly cells: number
  readonly strata: number
  readonly groups: number
  readonly causes: number
  readonly start: Int32Array
  readonly time: Float64Array
  /** Sum of weights at risk just before the time: entry < t ≤ exit. */
  readonly atRisk: Float64Array
  readonly events: Float64Array
  readonly censored: Float64Array
  /** The same in rows, whatever their weight; the very arrays above where no weights were given. */
  readonly atRiskRows: Float64Array
  readonly eventRows: Float64Array
  readonly censoredRows: Float64Array
  /** Cell in which a row exits; −1 where its weight is 0. */
  readonly rowCell: Int32Array
  /** First cell in which a row is at risk; undefined where all are from the start. */
  readonly rowEntryCell: Int32Array | undefined
  readonly cause: Uint8Array
  readonly weights: Float64Array | undefined
  /** Rows of positive weight. */
  readonly rows: number
}

/**
 * Counts who is at risk and who has the event, by stratum, time, group and cause.
 *
 * @param time time of exit, zero or more
 * @param cause 0 where the row was censored, k where it ended with the event of cause k (0 and 1 for one cause)
 * @param options delayed entry, weights, groups, strata
 * @throws NumericalError for columns of unequal length, no rows, missing or negative times or weights, an entry that
 * is not before its exit, or a cause that is not a whole number from 0 to 250
 */
export function riskSet(time: NumberColumn, cause: NumberColumn, options: RiskSetOptions = {}): RiskSet {
  const { entry, group, stratum } = options
  const rows = requireSameLength({
    time,
    event: cause,
    entry,
    weights: options.weights,
    group: group?.codes,
    stratum: stratum?.codes,
  })
  if (rows === 0) throw noRows()
  const weights = options.weights === undefined ? undefined : asDoubles(options.weights)
  if (weights !== undefined) requireNonNegative('weights', weights)
  const { codes, highest } = causeCodes(cause, options.causes ?? 250)
  const axis = timeAxis(time, entry)
  const layout = cellLayout(axis, stratum ?? singleCode(rows), weights)
  const groups = group ?? singleCode(rows)
  const causes = options.causes ?? Math.max(1, highest)
  const counted = counts(layout, groups, codes, causes, undefined)
  const weighted = weights === undefined ? counted : counts(layout, groups, codes, causes, weights)
  if (weights !== undefined) emptyWhereNobodyIs(weighted.atRisk, counted.atRisk)
  return {
    cells: layout.cells,
    strata: layout.start.length - 1,
    groups: groups.count,
    causes,
    start: layout.start,
    time: layout.time,
    atRisk: weighted.atRisk,
    events: weighted.events,
    censored: weighted.censored,
    atRiskRows: counted.atRisk,
    eventRows: counted.events,
    censoredRows: counted.censored,
    rowCell: layout.rowCell,
    rowEntryCell: layout.rowEntryCell,
    cause: codes,
    weights,
    rows: layout.rows,
  }
}

/** Causes as bytes; refuses what is not a whole number from 0 to the number of causes. */
function causeCodes(
  cause: NumberColumn,
  most: number,
): { readonly codes: Uint8Array; readonly highest: number } {
  const codes = new Uint8Array(cause.length)
  let highest = 0
  for (let row = 0; row < codes.length; row++) {
    const value = cause[row]!
    codes[row] = value
    if (codes[row] !== value || value > most) throw notACause(row, codes.length, most)
    if (value > highest) highest = value
  }
  return { codes, highest }
}

function notACause(row: number, rows: number, most: number): NumericalError {
  return new NumericalError({
    code: most === 1 ? 'not-zero-one' : 'not-a-cause',
    problem: `column event holds something other than ${
      most === 1 ? '0 and 1' : `whole numbers from 0 to ${most}`
    }, first in row ${row + 1} of ${rows}.`,
    expected:
      most === 1
        ? '1 where the event was observed and 0 where it was not.'
        : '0 where the row was censored, otherwise the number of the cause: 1, 2, …',
    mend: 'code censoring as 0 and events as 1, 2, …; leave out rows without an outcome.',
  })
}

interface Counts {
  readonly atRisk: Float64Array
  readonly events: Float64Array
  readonly censored: Float64Array
}

function counts(
  layout: CellLayout,
  group: Codes,
  cause: Uint8Array,
  causes: number,
  weights: Float64Array | undefined,
): Counts {
  const { cells, rowCell, rowEntryCell } = layout
  const width = group.count * cells
  const all = new Float64Array(width * (causes + 1))
  const entered = rowEntryCell === undefined ? undefined : new Float64Array(width)
  const groupOf = group.codes
  for (let row = 0; row < rowCell.length; row++) {
    const cell = rowCell[row]!
    if (cell < 0) continue
    const weight = weights === undefined ? 1 : weights[row]!
    const at = groupOf[row]! * cells
    all[cause[row]! * width + at + cell]! += weight
    if (entered !== undefined) entered[at + rowEntryCell![row]!]! += weight
  }
  const censored = all.subarray(0, width)
  const events = all.subarray(width)
  return { atRisk: atRiskFrom(all, entered, layout, group.count, causes), events, censored }
}

/** Adds exits from the last time backwards, so that the last risk set is exact; entries are taken off again. */
function atRiskFrom(
  all: Float64Array,
  entered: Float64Array | undefined,
  layout: CellLayout,
  groups: number,
  causes: number,
): Float64Array {
  const { cells, start } = layout
  const width = groups * cells
  const atRisk = new Float64Array(width)
  for (let g = 0; g < groups; g++) {
    for (let s = 0; s + 1 < start.length; s++) {
      let sum = 0
      let lost = 0
      for (let cell = start[s + 1]! - 1; cell >= start[s]!; cell--) {
        const at = g * cells + cell
        let change = cell + 1 < start[s + 1]! && entered !== undefined ? -entered[at + 1]! : 0
        for (let k = 0; k <= causes; k++) change += all[k * width + at]!
        const next = sum + change
        lost += Math.abs(sum) >= Math.abs(change) ? sum - next + change : change - next + sum
        sum = next
        atRisk[at] = sum + lost
      }
    }
  }
  return atRisk
}

/** Weights taken off again leave a rounding rest where nobody is at risk any more. */
function emptyWhereNobodyIs(atRisk: Float64Array, atRiskRows: Float64Array): void {
  for (let at = 0; at < atRisk.length; at++) if (atRiskRows[at] === 0) atRisk[at] = 0
}

function noRows(): NumericalError {
  return new NumericalError({
    code: 'no-rows',
    problem: 'the columns hold no rows.',
    expected: 'at least one row.',
    mend: 'check the selection that made the columns.',
  })
}

/** Rows of positive weight in a stratum. */
export function rowsOfStratum(risk: RiskSet, stratum: number): number {
  const { start, strata, groups, causes, cells, eventRows, censoredRows } = risk
  if (strata === 1) return risk.rows
  let rows = 0
  for (let cell = start[stratum]!; cell < start[stratum + 1]!; cell++) {
    for (let g = 0; g < groups; g++) rows += censoredRows[g * cells + cell]!
    for (let at = 0; at < causes * groups; at++) rows += eventRows[at * cells + cell]!
  }
  return rows
}

/** Rows with an event of a cause in a stratum, over all groups. */
export function eventsOfStratum(risk: RiskSet, stratum: number, cause = 1): number {
  let rows = 0
  for (let g = 0; g < risk.groups; g++) {
    const base = ((cause - 1) * risk.groups + g) * risk.cells
    for (let cell = risk.start[stratum]!; cell < risk.start[stratum + 1]!; cell++) {
      rows += risk.eventRows[base + cell]!
    }
  }
  return rows
}

/** Numbers of all causes of a risk set. */
export function allCauses(risk: RiskSet): readonly number[] {
  return Array.from({ length: risk.causes }, (_unused, k) => k + 1)
}
