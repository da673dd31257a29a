import { type AuditOutcome, type Auditor, auditByCommand } from './auditor.js'
import { knownTruths } from './practices/knownTruths.js'
import { drawPractice } from './practices/practice.js'
import type { Scenario } from './practices/scenario.js'
import { type Tally, tallyOf } from './tally.js'

/** How many practices are audited, from which seed on, and how many at a time. */
export interface RunOptions {
  readonly practices: number
  readonly seed: number
  readonly jobs: number
}

/** Seed of one practice: scenarios share seeds, so that two of them differ by what they change and nothing else. */
export function seedOfPractice(firstSeed: number, index: number): number {
  return firstSeed * 100_003 + index
}

/**
 * Audits practices of one scenario, a few at a time.
 *
 * @param audit what audits them; by default the built command
 */
export async function runScenario(
  scenario: Scenario,
  options: RunOptions,
  audit: Auditor = auditByCommand,
): Promise<Tally> {
  const outcomes: AuditOutcome[] = new Array(options.practices)
  let next = 0
  const worker = async (): Promise<void> => {
    while (next < options.practices) {
      const index = next++
      const { tables } = drawPractice(scenario.traits, seedOfPractice(options.seed, index))
      outcomes[index] = await audit(tables)
    }
  }
  await Promise.all(Array.from({ length: options.jobs }, worker))
  return tallyOf(scenario, knownTruths[scenario.name]!, outcomes)
}
