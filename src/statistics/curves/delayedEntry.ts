import type { RiskSet } from '../kernel/riskSet.js'
import type { NumberColumn } from '../numeric/columns.js'

/** Weight that comes under observation at one time after the start. */
export interface EntryStep {
  readonly time: number
  readonly entered: number
}

/** Delayed entries of each stratum, times ascending; empty lists where every row is at risk from the start. */
export function entrySteps(
  entry: NumberColumn | undefined,
  stratum: Int32Array,
  risk: RiskSet,
): readonly (readonly EntryStep[])[] {
  const sums = Array.from({ length: risk.strata }, () => new Map<number, number>())
  for (let row = 0; entry !== undefined && row < entry.length; row++) {
    const time = entry[row]!
    if (risk.rowCell[row] === -1 || time === 0) continue
    const sum = sums[stratum[row]!]!
    sum.set(time, (sum.get(time) ?? 0) + (risk.weights === undefined ? 1 : risk.weights[row]!))
  }
  return sums.map((sum) => [...sum].sort((a, b) => a[0] - b[0]).map(([time, entered]) => ({ time, entered })))
}

/** Weight at risk at time 0 where nobody leaves then: the first risk set of a stratum less those who entered after 0. */
export function atRiskAtStart(risk: RiskSet, stratum: number, entries: readonly EntryStep[]): number {
  const first = risk.start[stratum]!
  return atRiskJustBefore([{ time: risk.time[first]!, atRisk: risk.atRisk[first]! }], entries, 0)
}

/**
 * Weight at risk just before any time: that of the first exit at or after it, less what entered between.
 *
 * @param steps times of exit with the weight at risk just before each, ascending
 */
export function atRiskJustBefore(
  steps: readonly { readonly time: number; readonly atRisk: number }[],
  entries: readonly EntryStep[],
  time: number,
): number {
  const next = steps.find((step) => step.time >= time)
  if (next === undefined) return 0
  let atRisk = next.atRisk
  for (const { time: entered, entered: weight } of entries) {
    if (entered >= time && entered < next.time) atRisk -= weight
  }
  return Math.max(0, atRisk)
}
