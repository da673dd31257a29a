import type { RiskSet } from '../kernel/riskSet.js'
import type { InfluenceProcess } from './influence.js'

/** Columns of the product-limit estimate of one stratum, one entry per cell. */
export interface ProductLimitColumns {
  /** Survival up to and including the time. */
  readonly survival: Float64Array
  /** Survival just before the time. */
  readonly survivalBefore: Float64Array
  /** Greenwood's (1926) variance of log survival; Infinity once the curve has reached zero. */
  readonly varianceLog: Float64Array
}

/** Weight and rows of events of any of the given causes in a cell. */
export interface CellEvents {
  readonly weight: number
  /** Whether everyone at risk had the event. */
  readonly all: boolean
}

/** Counts the events of the causes that end survival. */
export function cellEvents(risk: RiskSet, cell: number, causes: readonly number[]): CellEvents {
  let weight = 0
  let rows = 0
  for (const cause of causes) {
    const at = (cause - 1) * risk.groups * risk.cells + cell
    weight += risk.events[at]!
    rows += risk.eventRows[at]!
  }
  return { weight, all: rows > 0 && (rows === risk.atRiskRows[cell]! || weight >= risk.atRisk[cell]!) }
}

/** Product-limit estimate of a stratum (Kaplan and Meier 1958), for the events of the given causes. */
export function productLimitColumns(
  risk: RiskSet,
  stratum: number,
  causes: readonly number[] = [1],
): ProductLimitColumns {
  const from = risk.start[stratum]!
  const cells = risk.start[stratum + 1]! - from
  const survival = new Float64Array(cells)
  const survivalBefore = new Float64Array(cells)
  const varianceLog = new Float64Array(cells)
  let current = 1
  let variance = 0
  for (let at = 0; at < cells; at++) {
    survivalBefore[at] = current
    const { weight, all } = cellEvents(risk, from + at, causes)
    const atRisk = risk.atRisk[from + at]!
    if (all) {
      current = 0
      variance = Number.POSITIVE_INFINITY
    } else if (weight > 0) {
      current *= (atRisk - weight) / atRisk
      variance += weight / (atRisk * (atRisk - weight))
    }
    survival[at] = current
    varianceLog[at] = variance
  }
  return { survival, survivalBefore, varianceLog }
}

/**
 * How rows move log survival: a row at risk lowers the hazard at every event, its own event raises it. Where
 * everyone at risk has the event survival is zero whatever the weights, so that nothing is added there.
 */
export function logSurvivalInfluence(
  risk: RiskSet,
  stratum: number,
  causes: readonly number[] = [1],
): InfluenceProcess {
  const from = risk.start[stratum]!
  const cells = risk.start[stratum + 1]! - from
  const cumulative = new Float64Array(cells)
  const jump = new Float64Array(cells)
  let sum = 0
  for (let at = 0; at < cells; at++) {
    const { weight, all } = cellEvents(risk, from + at, causes)
    const atRisk = risk.atRisk[from + at]!
    if (!all && weight > 0) {
      sum += weight / (atRisk * (atRisk - weight))
      jump[at] = -1 / (atRisk - weight)
    }
    cumulative[at] = sum
  }
  const jumps: Float64Array[][] = [[]]
  for (const cause of causes) jumps[cause] = [jump]
  return { cumulative: [cumulative], loading: [new Float64Array(cells).fill(1)], jump: jumps }
}
