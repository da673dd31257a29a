import { NumericalError } from '../core/errors.js'
import type { ClusteredRows } from './influence.js'
import type { Codes } from './kernel/codes.js'
import type { RiskSet } from './riskSet.js'

/**
 * Nelson's (1995) unbiased variance of the mean cumulative count between units, at every cell of a stratum; NaN from
 * the first event with fewer than two units left, and where the estimate falls below zero.
 *
 * With r_k units left at event time k, the mean count there has the variance of a sample mean, and its covariance with
 * an earlier time j is the sample covariance among those r_k units over r_j. Summed over j, each unit needs only the
 * running sum of its events over the numbers then at risk.
 *
 * @throws NumericalError where a unit is not followed from 0 without a gap, or weights were given
 */
export function nelsonVariances(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  units: Codes | undefined,
): Float64Array {
  if (risk.weights !== undefined) throw weighted()
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  const { order, offset } = rows.exits
  const unitOf = (row: number): number => (units === undefined ? row : units.codes[row]!)
  const last = lastCells(risk, stratum, rows, units)
  const running = new Float64Array(units?.count ?? risk.rowCell.length)
  const variances = new Float64Array(to - from)
  let sum = 0
  let variance = 0
  for (let cell = from; cell < to; cell++) {
    const left = risk.atRiskRows[cell]!
    const events = risk.eventRows[cell]!
    let own = 0
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      if (risk.cause[order[k]!] === 1) own += running[unitOf(order[k]!)]!
    }
    if (events > 0) {
      const within = (events - (events * events) / left) / (left * (left - 1))
      variance += left > 1 ? within + (2 * (own - (events * sum) / left)) / (left - 1) : Number.NaN
    }
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const unit = unitOf(order[k]!)
      if (risk.cause[order[k]!] === 1) {
        running[unit]! += 1 / left
        sum += 1 / left
      }
      if (last[unit] === cell) sum -= running[unit]!
    }
    variances[cell - from] = variance >= 0 ? variance : Number.NaN
  }
  return variances
}

/** Last cell of each unit; refuses units whose stretches do not follow one another from the start. */
function lastCells(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  units: Codes | undefined,
): Int32Array {
  const { order, offset } = rows.exits
  const last = new Int32Array(units?.count ?? risk.rowCell.length).fill(-1)
  for (let cell = risk.start[stratum]!; cell < risk.start[stratum + 1]!; cell++) {
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const row = order[k]!
      const unit = units === undefined ? row : units.codes[row]!
      const entry = risk.rowEntryCell === undefined ? risk.start[stratum]! : risk.rowEntryCell[row]!
      const expected = last[unit] === -1 ? risk.start[stratum]! : last[unit]! + 1
      if (entry !== expected) throw gap()
      last[unit] = cell
    }
  }
  return last
}

function gap(): NumericalError {
  return new NumericalError({
    code: 'unit-not-followed-through',
    problem: 'a unit enters late, or its stretches overlap or leave a gap.',
    expected: "for Nelson's variance, every unit followed from 0 to its end without a gap.",
    mend: "give the column unit, correct the stretches, or use the variance 'lawless-nadeau'.",
  })
}

function weighted(): NumericalError {
  return new NumericalError({
    code: 'weights-not-supported',
    problem: "weights were given for Nelson's variance.",
    expected: 'units that count alike.',
    mend: "leave the weights out, or use the variance 'lawless-nadeau'.",
  })
}
