import { beforeAll, describe, expect, it } from 'vitest'
import { buildCohort, type Cohort } from '../../../src/cohort/cohort.js'
import { recordsUntil } from '../../../src/cohort/recordsUntil.js'
import { dayNumber } from '../../../src/core/calendar.js'
import { randomStream } from '../../../src/core/random.js'
import { auditDocument } from '../../../src/documents/kinds/auditDocument.js'
import { documentOfKind } from '../../../src/documents/kinds/auditKinds.js'
import { speaker } from '../../../src/messages/speaker.js'
import { auditCohort } from '../../../src/questions/audit.js'
import { comparisonQuestion } from '../../../src/questions/comparison/question.js'
import { howOften } from '../../../src/questions/howOften/answer.js'
import { whatIsNeeded } from '../../../src/questions/needed/answer.js'
import { neededChart } from '../../../src/questions/needed/chart.js'
import { neededQuestion } from '../../../src/questions/needed/question.js'
import { neededSentence } from '../../../src/questions/needed/section.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { pathsOf } from '../../../src/questions/words/place.js'
import { type PracticeScenario, simulatedPractice } from '../../documents/simulatedPractice.js'
import { textsOfDocument } from '../../documents/wordChecks.js'

const scenario: PracticeScenario = {
  name: 'even use of both',
  patients: 300,
  hazardRatio: 1,
  cumulativeHazardAt3Years: 0.08,
  perDeliveryYear: 1,
  repeatShareOf: () => 0.5,
  recallDays: { single: 365, repeated: 365 },
  symptomatic: 0.3,
  tightenedAtRecall: 0,
}

function practice(changes: Partial<PracticeScenario> = {}, seed = 3): Cohort {
  return buildCohort(
    recordsUntil(
      simulatedPractice({ ...scenario, ...changes }, randomStream(seed)),
      dayNumber(2020, 12, 31)!,
    ),
  )
}

function words(cohort: Cohort, options = {}): string {
  const result = whatIsNeeded(cohort, defaultSettings, options)
  return neededQuestion
    .section(result, pathsOf(result), {} as never)
    .flatMap((block) => (block.kind === 'paragraph' ? [speaker().text(block.content)] : []))
    .join('\n')
}

describe('what is needed', () => {
  let cohort: Cohort
  beforeAll(() => {
    cohort = practice()
  })

  it('begins with the interval that the audit prints', () => {
    const result = whatIsNeeded(cohort)
    const { risk } = howOften(cohort).horizon!
    expect(result.scenarios[0]!.risk).toBe(risk.estimate)
    const { lower, upper } = risk.interval as { lower: number; upper: number }
    expect(result.halfWidthNow).toBeCloseTo((upper - lower) / 2, 12)
    expect(result.scenarios[0]!.course[0]!.risk).toBeCloseTo((upper - lower) / 2, 6)
  })

  it('is one computation: an audit whose comparison is open says what is said by itself', () => {
    const whole = buildCohort(simulatedPractice(scenario, randomStream(3)))
    const audit = auditCohort(whole)
    expect(audit.tightening!.verdict).toBe('open')
    expect(audit.needed).toEqual(whatIsNeeded(whole))
    const options = { date: '2026-05-04', version: '0.1.0' }
    const sentence = speaker().text(neededSentence(audit.needed!, pathsOf(audit.needed!, 'needed')))
    const report = documentOfKind(audit, 'audit', options)
    for (const document of [report, auditDocument(audit, options)]) {
      expect(textsOfDocument(document).join('\n')).toContain(sentence)
      const tables = document.sections.flatMap(({ blocks }) => blocks.filter(({ kind }) => kind === 'table'))
      expect(tables.map((block) => ('id' in block ? block.id : ''))).toContain('table-needed')
    }
  })

  it('is asked by no audit that claims a direction, or whose groups cannot be compared', () => {
    for (const verdict of ['lower', 'higher', 'cannot-be-compared'] as const) {
      const tightening = { ...comparisonQuestion.answer(cohort, defaultSettings)!, verdict }
      expect(neededQuestion.answer(cohort, defaultSettings, { tightening })).toBeUndefined()
    }
    expect(neededQuestion.answer(cohort, defaultSettings, {})).toBeUndefined()
  })

  it('takes longer for less width, and less time for more practices', () => {
    const wide = whatIsNeeded(cohort, defaultSettings, { within: 0.025 }).scenarios[0]!.risksWidth
    const narrow = whatIsNeeded(cohort, defaultSettings, { within: 0.02 }).scenarios[0]!.risksWidth
    expect(narrow.years!).toBeGreaterThan(wide.years!)
    expect(narrow.restorations!).toBeGreaterThan(cohort.n)
    expect(narrow.range!.from!).toBeLessThanOrEqual(narrow.years!)
    const years = whatIsNeeded(cohort, defaultSettings, { practices: 40 }).scenarios[0]!.studyGroup!.map(
      ({ reached }) => reached.years ?? Number.POSITIVE_INFINITY,
    )
    expect(years).toHaveLength(5)
    expect([...years].sort((one, two) => two - one)).toEqual(years)
  })

  it('assumes three risks where fewer than ten events were seen, and says so', () => {
    const few = practice({ patients: 60, cumulativeHazardAt3Years: 0.03 })
    const result = whatIsNeeded(few)
    expect(result.events).toBeLessThan(10)
    expect(result.scenarios.map(({ risk, own }) => [risk, own])).toEqual([
      [0.03, false],
      [0.05, false],
      [0.1, false],
    ])
    expect(words(few)).toMatch(
      /too few to know the practice's own risk, so that 3\.0%, 5\.0% and 10\.0% are assumed/,
    )
  })

  it('plans no comparison where operators and periods hold one way each', () => {
    const changed = practice({ repeatShareOf: (year) => (year < 3 ? 0.0001 : 0.9999), patients: 400 })
    const result = whatIsNeeded(changed)
    expect(result.withheld).toBe('overlap')
    expect(result.scenarios[0]!.comparisonsWidth).toBeUndefined()
    expect(words(changed)).toContain('hardly overlap by operator and period')
  })

  it('draws both intervals, and reads them out', () => {
    const chart = JSON.stringify(neededChart(whatIsNeeded(cohort)))
    expect(chart).toContain('One tightening against two, in 5 years')
    expect(chart).toContain('Half width of the interval')
  })

  it('refuses what cannot be reached', () => {
    expect(() => whatIsNeeded(cohort, defaultSettings, { within: 2, power: 1 })).toThrow(
      /within and difference from above 0 to below 0\.5, power above 0\.5 and below 1/,
    )
  })
})

describe('where the answer withholds the risk', () => {
  it('is not put at a figure here either', () => {
    const cohort = practice()
    const { looks } = cohort.summary
    const withLeftOut = (leftOut: number): Cohort => ({
      ...cohort,
      summary: { ...cohort.summary, looks: { ...looks, leftOut } },
    })
    const unseen = withLeftOut(looks.eligible / 2)
    expect(words(withLeftOut(0))).toContain('the risk by 3 years is put at')
    expect(words(unseen)).not.toContain('is put at')
    expect(words(unseen)).toContain('The risk by 3 years is withheld')
  })
})
