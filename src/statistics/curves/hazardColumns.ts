import type { RiskSet } from '../kernel/riskSet.js'
import type { InfluenceProcess } from './influence.js'

/** Cumulative hazard of one stratum, one entry per cell, with what its variances need. */
export interface HazardColumns {
  readonly hazard: Float64Array
  /** Sum of events over the square of those at risk (Aalen 1978). */
  readonly variance: Float64Array
  readonly influence: InfluenceProcess
}

/**
 * Cumulative hazard of the events of one cause.
 *
 * @param oneByOne whether tied events leave the risk set one after the other (Fleming and Harrington 1984); with
 * weights each of m tied events stands for an m-th of their weight
 */
export function hazardColumns(risk: RiskSet, stratum: number, oneByOne: boolean, cause = 1): HazardColumns {
  const from = risk.start[stratum]!
  const cells = risk.start[stratum + 1]! - from
  const hazard = new Float64Array(cells)
  const variance = new Float64Array(cells)
  const jump = new Float64Array(cells)
  let sum = 0
  let squares = 0
  for (let at = 0; at < cells; at++) {
    const place = (cause - 1) * risk.groups * risk.cells + from + at
    const rows = risk.eventRows[place]!
    if (rows > 0) {
      const parts = oneByOne ? rows : 1
      const share = risk.events[place]! / parts
      for (let gone = 0; gone < parts; gone++) {
        const left = risk.atRisk[from + at]! - gone * share
        sum += share / left
        squares += share / (left * left)
        jump[at]! += 1 / (parts * left) + (share * gone) / (parts * left * left)
      }
    }
    hazard[at] = sum
    variance[at] = squares
  }
  const jumps: Float64Array[][] = [[]]
  jumps[cause] = [jump]
  const influence = {
    cumulative: [variance.map((value) => -value)],
    loading: [new Float64Array(cells).fill(1)],
    jump: jumps,
  }
  return { hazard, variance, influence }
}
