import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { buildCohort, type Cohort } from '../../../src/cohort/cohort.js'
import { UsageError } from '../../../src/core/errors.js'
import { type ComparisonResult, compareTightenings } from '../../../src/questions/comparison/answer.js'
import { comparisonPart, mostObjections, objectionsOf } from '../../../src/questions/comparison/answerPart.js'
import { compare } from '../../../src/questions/comparison/asked.js'
import { forestChallenges } from '../../../src/questions/comparison/chart.js'
import { neededQuestion } from '../../../src/questions/needed/question.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { readRecords } from '../../../src/records/read/readDataset.js'
import { writePractice } from '../../../src/studies/practices/folder.js'
import { drawPractice } from '../../../src/studies/practices/practice.js'
import { scenarioNamed } from '../../../src/studies/practices/scenarios.js'

const scratch = mkdtempSync(join(tmpdir(), 'holdfast-comparison-'))
afterAll(() => rmSync(scratch, { recursive: true }))
const planned = { group: 'repeated in the window', against: 'single' } as const

/** One practice of a scenario whose truth is known, read as a user's would be. */
async function practice(name: string, seed = 11): Promise<Cohort> {
  const folder = join(scratch, `${name}-${seed}`)
  writePractice(drawPractice(scenarioNamed(name)!.traits, seed).tables, folder)
  return buildCohort(await readRecords(folder, { today: 20634 }))
}

async function compared(name: string, seed = 11): Promise<ComparisonResult> {
  return compareTightenings(await practice(name, seed), planned)!
}

describe('verdicts of practices with a known truth', () => {
  it('cannot compare where the operator settles the way, and gives no figure', async () => {
    const result = await compared('operators-decide')
    expect(result).toMatchObject({ verdict: 'cannot-be-compared', reason: 'overlap' })
    const part = comparisonPart(result)
    expect(part.difference).toBeUndefined()
    expect(part.risks).toBeUndefined()
    expect(part.betweenLooks).toBeUndefined()
  })

  it('cannot compare what was charted at later visits', async () => {
    const result = await compared('charted-afterwards-all')
    expect(result).toMatchObject({
      verdict: 'cannot-be-compared',
      reason: 'immortal-time',
      groups: { by: 'chart', group: 'repeated, wait not recorded', against: 'single, by the chart' },
    })
    expect(result.immortalTime?.earlyEvents.group).toBe(0)
    expect(result.exposure?.documentedShare).toBe(0)
  })

  it('cannot know from thirty crowns, and says what it would take', async () => {
    const cohort = await practice('crowns-30')
    const result = compareTightenings(cohort, planned)!
    expect(result.verdict).toBe('cannot-be-known')
    const needed = neededQuestion.answer(cohort, defaultSettings, { tightening: result })
    expect(needed?.scenarios.map(({ risk }) => risk)).toEqual([0.03, 0.05, 0.1])
    expect(comparisonPart(result).difference).toBeUndefined()
  })

  it('never gives a direction to what the chart alone says', async () => {
    for (const name of ['chart-only', 'chart-only-halved']) {
      const result = await compared(name)
      expect(result.groups.by).toBe('chart')
      expect(['lower', 'higher']).not.toContain(result.verdict)
      expect(result.numberNeeded).toBeUndefined()
    }
  })

  it('agrees at both ends where every loosening was looked for the day before', async () => {
    const result = await compared('looked-at-daily')
    const { found, afterLastLook } = result.ends!
    const lead = result.lead!.difference
    for (const end of [found, afterLastLook]) {
      expect(Math.abs(end.estimate - lead.estimate)).toBeLessThan(0.002)
      expect(Math.sign(end.lower)).toBe(Math.sign(lead.lower))
      expect(Math.sign(end.upper)).toBe(Math.sign(lead.upper))
    }
    expect(result.rangeLeads).toBe(false)
  })
})

describe('one estimate', async () => {
  const cohort = await practice('doubled-1000-frequent')
  const result = compareTightenings(cohort, planned)!

  it('stands in the answer as it stands in the result', () => {
    const part = comparisonPart(result)
    expect(part.difference).toEqual(result.lead!.difference)
    const { group, against } = part.risks!
    expect(group.estimate - against.estimate).toBeCloseTo(part.difference!.estimate, 12)
    expect(result.arms.find(({ years }) => years === result.horizonYears)!.difference).toEqual(
      part.difference,
    )
  })

  it('is the same again', () => {
    expect(compareTightenings(cohort, planned)).toEqual(result)
  })

  it('has a number needed only with a direction', () => {
    const claims = result.verdict === 'lower' || result.verdict === 'higher'
    expect(result.numberNeeded !== undefined).toBe(claims)
    const needed = neededQuestion.answer(cohort, defaultSettings, { tightening: result })
    expect(needed !== undefined).toBe(!claims)
  })

  it('lists at most three objections, contradictions first, and eight rows in the figure', () => {
    const [first] = result.challenges
    const more = {
      ...result,
      challenges: Array.from({ length: 12 }, () => ({ ...first!, effect: 'weakens' as const })),
    }
    const mixed = { ...more, challenges: [...more.challenges, { ...first!, effect: 'contradicts' as const }] }
    expect(objectionsOf(mixed)).toHaveLength(mostObjections)
    expect(objectionsOf(mixed)[0]!.effect).toBe('contradicts')
    expect(forestChallenges(mixed).length).toBeLessThanOrEqual(7)
    expect(objectionsOf({ ...result, challenges: [{ ...first!, effect: 'agrees' }] })).toEqual([])
  })

  it('allows for operator and day by default', () => {
    expect(result.adjustedFor.slice(0, 2)).toEqual(['operator', 'delivery_day'])
  })

  it('compares any two groups of a field, without what belongs to tightening', () => {
    const { labels, codes } = cohort.category('connection')
    const counts = labels.map((label, code) => ({ label, n: codes.filter((one) => one === code).length }))
    const [one, other] = counts.sort((left, right) => right.n - left.n).map(({ label }) => label)
    const answer = compare(cohort, { by: 'connection', group: one!, against: other! }, { imputations: 2 })
    expect(answer?.exposure).toBeUndefined()
    expect(answer?.immortalTime).toBeUndefined()
    expect(answer?.adjustedFor).not.toContain('connection')
    const refused = (groups: object) => () => compare(cohort, { by: 'connection', ...groups } as never)
    expect(refused({})).toThrow(UsageError)
    expect(refused({ group: one, against: one })).toThrow(/two different of/)
    expect(() => compare(cohort, { by: 'connection', group: 'oval', against: other! })).toThrow(
      'no restoration has connection = oval.',
    )
  })
})
