import { incidenceDerivative } from '../../statistics/weighting/overlapRisks.js'
import type { Choice } from './choice.js'
import { type Outcome, pooledRange, type Ranged } from './estimate.js'

/** The contrast within patients who have both ways. */
export interface WithinPatients {
  /** Patients with both ways, and those of them in whom the event came in one way only. */
  readonly patients: number
  readonly discordant: number
  /** Mean difference of the risks within patients; absent below ten discordant patients. */
  readonly difference?: Ranged
}

/** Fewest discordant patients from which a figure is given. */
const leastDiscordant = 10

/**
 * Difference of the risks by the horizon within patients who have both ways: each restoration's pseudo-observation,
 * averaged by way in each patient; patients count by the harmonic mean of their restorations of both ways.
 */
export function withinPatients(
  choice: Choice,
  outcome: Outcome,
  horizonDays: number,
  level: number,
): WithinPatients | undefined {
  const { compared } = choice.designs
  const n = compared.row.length
  const columns = {
    time: outcome.timeDays,
    status: outcome.status,
    entry: outcome.entryDays.some((one) => one > 0) ? outcome.entryDays : undefined,
  }
  const pseudo = new Float64Array(n)
  for (const arm of [0, 1]) {
    const members = compared.inGroup.reduce((sum, one) => sum + (one === arm ? 1 : 0), 0)
    const { risk, derivative } = incidenceDerivative(columns, (i) => compared.inGroup[i] === arm, horizonDays)
    for (let i = 0; i < n; i++) {
      if (compared.inGroup[i] === arm) pseudo[i] = risk + members * derivative[i]!
    }
  }
  const sums = [0, 1].map(() => new Float64Array(compared.patients))
  const counts = [0, 1].map(() => new Float64Array(compared.patients))
  const events = [0, 1].map(() => new Float64Array(compared.patients))
  for (let i = 0; i < n; i++) {
    const arm = compared.inGroup[i]!
    const patient = compared.patient[i]!
    sums[arm]![patient]! += pseudo[i]!
    counts[arm]![patient]! += 1
    if (outcome.status[i] === 1 && outcome.timeDays[i]! <= horizonDays) events[arm]![patient]! += 1
  }
  let all = 0
  let weighted = 0
  let discordant = 0
  const differences: { readonly weight: number; readonly difference: number }[] = []
  for (let patient = 0; patient < compared.patients; patient++) {
    const [against, group] = [counts[0]![patient]!, counts[1]![patient]!]
    if (against === 0 || group === 0) continue
    const weight = (against * group) / (against + group)
    const difference = sums[1]![patient]! / group - sums[0]![patient]! / against
    differences.push({ weight, difference })
    all += weight
    weighted += weight * difference
    if (events[0]![patient]! > 0 !== events[1]![patient]! > 0) discordant += 1
  }
  if (differences.length === 0) return undefined
  if (discordant < leastDiscordant) return { patients: differences.length, discordant }
  const estimate = weighted / all
  let variance = 0
  for (const { weight, difference } of differences)
    variance += ((weight / all) * (difference - estimate)) ** 2
  const ranged = pooledRange([estimate], [variance], discordant - 2, level)
  return {
    patients: differences.length,
    discordant,
    difference: { estimate, lower: ranged.lower, upper: ranged.upper },
  }
}
