import { describe, expect, it } from 'vitest'
import { speaker } from '../../../src/messages/speaker.js'
import { type ComparisonResult, compareTightenings } from '../../../src/questions/comparison/answer.js'
import {
  armsTable,
  countsSentence,
  objectionSentences,
  verdictSentence,
} from '../../../src/questions/comparison/section.js'
import { pathsOf } from '../../../src/questions/words/place.js'
import { practice } from '../practice.js'

const cohort = practice(
  Array.from({ length: 160 }, (_one, i) => ({
    operator: `A${i % 4 === 3 ? 2 : 1}`,
    delivery: 17_000 + 9 * ((i * 37) % 160),
    repeated: i % 4 === 3 || i % 5 < 2,
    checks: [200, 700, 1300],
    ...((i * 7) % 6 === 0 ? { loose: 300 + i } : {}),
  })),
)
const planned = { group: 'repeated in the window', against: 'single' } as const
const result = compareTightenings(cohort, planned)!
const setting = { definition: cohort.definition } as never
const spoken = (changed: Partial<ComparisonResult>): string => {
  const one = { ...result, ...changed } as ComparisonResult
  return speaker().text(verdictSentence(one, pathsOf(one), setting))
}
const ranged = (estimate: number) => ({ estimate, lower: estimate - 0.1, upper: estimate + 0.1 })

describe('words of the comparison', () => {
  it('gives a range over placements that holds the estimate itself, and calls it no more than that', () => {
    const text = spoken({
      verdict: 'open',
      reason: 'interval-holds-zero',
      rangeLeads: true,
      lead: { ...result.lead!, difference: ranged(-0.061) },
      ends: { found: ranged(-0.054), afterLastLook: ranged(-0.026) },
    })
    expect(text).toContain('from −6.1 to −2.6 percentage points, before chance is allowed for')
  })

  it('says by when too few events had come, and that at risk is not the same as followed', () => {
    const unknown = { verdict: 'cannot-be-known', horizonYears: 0.5 } as const
    expect(spoken({ ...unknown, reason: 'few-events' })).toContain(
      'By half a year, fewer than 10 restorations of both groups together had it',
    )
    expect(spoken({ ...unknown, reason: 'few-at-risk' })).toContain('still at risk at half a year')
  })

  it('says whose way is settled by the operator, and what matters at a shorter horizon', () => {
    const one: ComparisonResult = {
      ...result,
      verdict: 'open',
      horizonYears: 0.5,
      smallestDifference: 0.02 / 6,
      plan: { source: 'default', sha256: 'a'.repeat(64), smallestDifference: 0.02, horizonYears: 3 },
    }
    const text = speaker().text(countsSentence(one, pathsOf(one), setting))
    expect(result.overlap?.oneWayOnly).toBe(0.25)
    expect(text).toContain('Of these, 25.0% are of operators with one way only')
    expect(text).toContain('the horizon is half a year')
    expect(text).toContain('by that time 0.3 percentage points')
  })

  it('says of another time that excludes zero why it decides nothing, where the answer is open for that alone', () => {
    const arm = (years: number, difference: ReturnType<typeof ranged>) => ({
      ...result.arms[0]!,
      years,
      difference,
    })
    const notes = (changed: Partial<ComparisonResult>): string => {
      const one = { ...result, horizonYears: 3, ...changed } as ComparisonResult
      const table = armsTable(one, pathsOf(one), {
        definition: cohort.definition,
        settings: { leastAtRisk: 10, level: 0.95 },
      } as never)
      return (table.notes ?? []).map((note) => speaker().text(note as never)).join(' ')
    }
    const arms = [arm(1, ranged(-0.02)), arm(3, ranged(-0.04)), arm(5, ranged(-0.2))]
    expect(notes({ reason: 'interval-holds-zero', arms })).toContain(
      'By 5 years the interval excludes zero. What may be claimed is tied to 3 years',
    )
    expect(notes({ reason: 'interval-holds-zero', arms: arms.slice(0, 2) })).not.toContain('excludes zero')
    expect(notes({ reason: 'interval-excludes-zero', arms })).not.toContain('is tied to')
  })

  it('says of what weakens that it does not exclude zero only where it does not', () => {
    const said = (lower: number, upper: number): string => {
      const weakens = {
        code: 'loss',
        effect: 'weakens',
        estimate: (lower + upper) / 2,
        lower,
        upper,
      } as const
      const one: ComparisonResult = { ...result, challenges: [weakens] }
      return speaker().text(objectionSentences(one, pathsOf(one), setting)[0]!)
    }
    expect(said(-0.06, 0.02)).toMatch(/\(95% interval −6\.0 to \+2\.0\), which does not exclude zero\.$/)
    expect(said(-0.06, -0.02)).toMatch(/\(95% interval −6\.0 to −2\.0\)\.$/)
  })
})
