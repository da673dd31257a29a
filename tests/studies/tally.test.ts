import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { answerShape } from '../../src/studies/answer.js'
import { type AuditOutcome, inFolder } from '../../src/studies/auditor.js'
import { scenarioNamed } from '../../src/studies/practices/scenarios.js'
import type { Truth } from '../../src/studies/practices/truth.js'
import { runScenario } from '../../src/studies/run.js'
import { tallyOf, tallyRow } from '../../src/studies/tally.js'

const truth: Truth = {
  overall: [0.02, 0.04, 0.06, 0.08, 0.1],
  overlap: { single: [0.02, 0.04, 0.06, 0.08, 0.1], repeated: [0.02, 0.04, 0.06, 0.08, 0.1] },
  overlapShare: 0.9,
}

/** An answer in the published format, with what a test is about in it. */
function answered(
  verdict: string,
  lower: number,
  upper: number,
  contradicting: readonly string[] = [],
): AuditOutcome {
  const answer = answerShape.parse({
    schema: 'holdfast-answer-1',
    restorations: { inRecords: 100, eligible: 100, analysed: 90, neverChecked: 10 },
    howOften: {
      years: 3,
      verdict: 'estimate',
      risk: { estimate: 0.1, lower: 0.09, upper: 0.12 },
      betweenLooks: { lower: 0.07, upper: 0.13 },
    },
    comparison: {
      verdict,
      years: 3,
      difference: { estimate: (lower + upper) / 2, lower, upper },
      objections: contradicting.map((code) => ({ code, effect: 'contradicts' })),
    },
  })
  return { kind: 'answered', answer }
}

describe('the counts of a study', () => {
  it('counts verdicts, coverage, bias, contradictions and failures', () => {
    const tally = tallyOf(scenarioNamed('null-600')!, truth, [
      answered('lower', -0.06, -0.02),
      answered('open', -0.01, 0.03),
      answered('open', -0.03, 0.01, ['loss', 'loss']),
      { kind: 'failed', why: 'no answer' },
    ])
    expect(tally.verdicts).toEqual({ lower: 1, open: 2 })
    expect(tally.wrongDirections).toBe(1)
    expect(tally.rightDirections).toBe(0)
    expect(tally.differenceCovered).toEqual({ of: 3, held: 2 })
    expect(tally.differenceBias.mean).toBeCloseTo((-0.04 + 0.01 - 0.01) / 3, 12)
    // The interval 9 to 12 % misses the true 8 %; the range 7 to 13 % holds it.
    expect(tally.riskCovered).toEqual({ of: 3, held: 0 })
    expect(tally.riskOrRangeCovered).toEqual({ of: 3, held: 3 })
    expect(tally.riskBias.mean).toBeCloseTo(0.02, 12)
    expect(tally.contradictions).toEqual({ loss: 1 })
    expect(tally.anyContradiction).toEqual({ of: 3, held: 1 })
    expect(tally.failed).toEqual({ 'no answer': 1 })
    expect(tally.meanNeverChecked).toBeCloseTo(0.1, 12)
    expect(tallyRow(tally)[2]).toBe('1 / 0 / 2 / 0 / 0')
  })

  it('takes a direction as right where it is the true one, and as wrong where it is the other', () => {
    const tally = tallyOf(scenarioNamed('halved-1000')!, truth, [
      answered('lower', -0.06, -0.02),
      answered('higher', 0.02, 0.06),
    ])
    expect([tally.rightDirections, tally.wrongDirections]).toEqual([1, 1])
  })

  it('judges at the horizon that the answer names', () => {
    const outcome = answered('open', -0.01, 0.01)
    if (outcome.kind !== 'answered') throw new Error('an answer was made above')
    const { howOften } = outcome.answer
    const atOneYear = { ...outcome.answer, howOften: { ...howOften!, years: 1 } }
    const tally = tallyOf(scenarioNamed('null-600')!, truth, [{ kind: 'answered', answer: atOneYear }])
    expect(tally.riskBias.mean).toBeCloseTo(0.06, 12)
  })

  it('refuses an answer with null in place of an absent field', () => {
    expect(answerShape.safeParse({ schema: 'x', restorations: null }).success).toBe(false)
  })
})

describe('the run of a study', () => {
  it('hands every practice on once, by seed, and keeps failures', async () => {
    const seen: string[] = []
    const tally = await runScenario(
      scenarioNamed('crowns-30')!,
      { practices: 4, seed: 3, jobs: 2 },
      (tables) =>
        inFolder(tables, async (records) => {
          seen.push(readFileSync(join(records, 'restorations.csv'), 'utf8'))
          if (seen.length === 2) throw new Error('it could not be read')
          return { schema: 's', restorations: { inRecords: 30, eligible: 30, analysed: 30, neverChecked: 0 } }
        }),
    )
    expect(new Set(seen).size).toBe(4)
    expect(seen[0]!.trim().split('\n').length).toBe(31)
    expect(tally.failed).toEqual({ 'Error: it could not be read': 1 })
    expect(tally.verdicts).toEqual({ 'no comparison': 3 })
  })
})
