import { takenCodes, takenRows } from '../../core/columns.js'
import {
  addRow,
  addRowProducts,
  cellProduct,
  type FilledCells,
} from '../../statistics/numeric/filledCells.js'
import { choleskyFactor, solveFactored } from '../../statistics/numeric/matrix.js'
import { incidenceDerivative } from '../../statistics/weighting/overlapRisks.js'
import type { Choice } from './choice.js'
import { type Outcome, type OverlapEstimate, pooledRange } from './estimate.js'

/**
 * The lead with a model of the outcome besides that of the choice: pseudo-observations of each restoration's risk by the
 * horizon (Andersen, Klein and Rosthøj 2003, Biometrika 90:15), regressed on what is allowed for in each group, and
 * averaged over the overlap population, with the weighted residuals added (Robins, Rotnitzky and Zhao 1994).
 */
export function doublyRobust(
  choice: Choice,
  outcome: Outcome,
  horizonDays: number,
  level: number,
  lead: OverlapEstimate,
): OverlapEstimate | undefined {
  const { kept } = choice
  const { compared } = choice.designs
  const n = kept.length
  const entry = takenRows(outcome.entryDays, kept)
  const columns = {
    time: takenRows(outcome.timeDays, kept),
    status: takenCodes(outcome.status, kept),
    entry: entry.some((one) => one > 0) ? entry : undefined,
  }
  const inGroup = takenCodes(compared.inGroup, kept)
  const members = [0, 1].map((arm) => inGroup.reduce((sum, one) => sum + (one === arm ? 1 : 0), 0))
  const pseudo = new Float64Array(n)
  for (const arm of [0, 1]) {
    const { risk, derivative } = incidenceDerivative(columns, (row) => inGroup[row] === arm, horizonDays)
    for (let i = 0; i < n; i++) if (inGroup[i] === arm) pseudo[i] = risk + members[arm]! * derivative[i]!
  }
  const tables = choice.scores.map(({ cells, width, weight, score }) => {
    const fits = [0, 1].map((arm) =>
      weightedFit(
        cells,
        width,
        pseudo,
        weight.map((one, i) => (inGroup[i] === arm ? one : 0)),
      ),
    )
    const tilt = score.map((e) => e * (1 - e))
    const tilted = tilt.reduce((sum, one) => sum + one, 0)
    const sums = [0, 0]
    for (let i = 0; i < n; i++) sums[inGroup[i]!]! += weight[i]!
    const predicted = [0, 1].map((arm) =>
      Float64Array.from(tilt, (_one, i) => cellProduct(cells, i, fits[arm]!)),
    )
    let difference = 0
    for (let i = 0; i < n; i++) {
      const arm = inGroup[i]!
      difference += (tilt[i]! / tilted) * (predicted[1]![i]! - predicted[0]![i]!)
      difference += ((arm === 1 ? 1 : -1) * weight[i]! * (pseudo[i]! - predicted[arm]![i]!)) / sums[arm]!
    }
    const known = new Float64Array(compared.patients)
    for (let i = 0; i < n; i++) {
      const arm = inGroup[i]!
      const own =
        (tilt[i]! / tilted) * (predicted[1]![i]! - predicted[0]![i]! - difference) +
        ((arm === 1 ? 1 : -1) * weight[i]! * (pseudo[i]! - predicted[arm]![i]!)) / sums[arm]!
      known[compared.patient[kept[i]!]!]! += own
    }
    return { difference, known, estimated: known }
  })
  const ranged = pooledRange(
    tables.map((one) => one.difference),
    tables.map((one) => one.known.reduce((sum, value) => sum + value * value, 0)),
    Math.max(1, lead.patientsWithEvent - 2),
    level,
  )
  return {
    ...lead,
    difference: { estimate: ranged.estimate, lower: ranged.lower, upper: ranged.upper },
    standardError: ranged.standardError,
    degreesOfFreedom: ranged.degreesOfFreedom,
    pValue: ranged.pValue,
    tables,
  }
}

/** Weighted least squares; columns that follow from those before them get a coefficient of 0. */
function weightedFit(cells: FilledCells, width: number, y: Float64Array, weight: Float64Array): Float64Array {
  const products = new Float64Array(width * width)
  const right = new Float64Array(width)
  for (let i = 0; i < y.length; i++) {
    if (weight[i] === 0) continue
    addRow(right, cells, i, weight[i]! * y[i]!)
    addRowProducts(products, width, cells, i, weight[i]!)
  }
  for (let a = 0; a < width; a++)
    for (let b = 0; b < a; b++) products[b * width + a] = products[a * width + b]!
  return solveFactored(choleskyFactor(products, width, 1e-9), right)
}
