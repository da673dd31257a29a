import { describe, expect, test } from 'vitest'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { defaultDefinition } from '../../src/cohort/definition.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { settingOf } from '../../src/documents/model/citation.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { repeats } from '../../src/questions/repeats/answer.js'
import { repeatsChart } from '../../src/questions/repeats/chart.js'
import { mainSentence as repeatsSentence } from '../../src/questions/repeats/section.js'
import { pathsOf } from '../../src/questions/words/place.js'
import type { RecordSet } from '../../src/records/dataset.js'
import { check, crown, recordsOf, tightening } from '../cohort/recordsOf.js'

interface Course {
  readonly loose?: readonly number[]
  readonly watched?: readonly number[]
  readonly checks?: readonly number[]
  readonly removed?: number
  readonly fields?: Readonly<Record<string, string | number>>
}

function recordsOfCourses(courses: readonly Course[]): RecordSet {
  return recordsOf({
    restorations: courses.map(({ fields }, i) => crown(`R${i}`, fields)),
    tightenings: courses.map((_, i) => tightening(`R${i}`, 0)),
    visits: courses.flatMap(({ loose = [], watched = [], checks = [], removed }, i) => [
      ...checks.map((day) => check(`R${i}`, day)),
      ...loose.map((day) => check(`R${i}`, day, { finding: 'screw_loosening', action_taken: 'tightened' })),
      ...watched.map((day) => check(`R${i}`, day, { finding: 'screw_loosening', action_taken: 'watched' })),
      ...(removed === undefined
        ? []
        : [check(`R${i}`, removed, { screw_checked: 'no', restoration_status: 'removed' })]),
    ]),
  })
}

const cohortOf = (courses: readonly Course[]): Cohort => buildCohort(recordsOfCourses(courses))

/** Loose twice in the first, twice in the second; the fourth removed on day 500. */
const four: readonly Course[] = [
  { loose: [100, 300], checks: [1000] },
  { loose: [200, 600], checks: [1000] },
  { checks: [1000] },
  { checks: [400], removed: 500 },
]
const settings = { ...defaultSettings, horizonsYears: [1, 2, 5], leastAtRisk: 1 }
const result = repeats(cohortOf(four), settings)!

describe('repeated events', () => {
  test('are counted every time', () => {
    expect(result.overall).toMatchObject({ restorations: 4, events: 4, withOne: 2, withTwo: 2, mostOfOne: 2 })
  })

  test("give Nelson's count while in place and the one in which the removed count on, by hand", () => {
    const [one, two, five] = result.overall.horizons
    // 4 at risk on days 100, 200 and 300.
    expect(one!.whileInPlace.estimate).toBeCloseTo(3 / 4, 12)
    expect(one!.terminalCounted.estimate).toBeCloseTo(3 / 4, 12)
    // 3 at risk on day 600; of four, three are in place.
    expect(two!.whileInPlace.estimate).toBeCloseTo(3 / 4 + 1 / 3, 12)
    expect(two!.terminalCounted.estimate).toBeCloseTo(3 / 4 + (3 / 4) * (1 / 3), 12)
    expect(five!.whileInPlace.estimate).toEqual({ state: 'not-estimable', reason: 'follow-up-ends-before' })
    expect([one!.atRisk, two!.atRisk, five!.atRisk]).toEqual([4, 3, 0])
  })

  test('come again after the first by its own clock, by hand: after 200 days in one and 400 in the other', () => {
    const [one, three] = result.overall.again
    expect(one!.risk.estimate).toBeCloseTo(0.5, 12)
    expect(three!.risk.estimate).toBe(1)
    expect(one!.thin).toBe(false)
  })

  test('are one where the screw was only watched, until a check was clear', () => {
    const watched = cohortOf([
      { watched: [100], loose: [150], checks: [900] },
      { watched: [100, 200], checks: [150, 900] },
    ])
    expect(watched.repeatedFindings().map(({ days }) => days)).toEqual([[100], [100, 200]])
  })

  test('of one day are one, and one on the day of removal comes before it', () => {
    const cohort = cohortOf([{ loose: [100, 100, 400], removed: 400 }, { checks: [900] }])
    expect(cohort.repeatedFindings()[0]).toEqual({ days: [100, 400], endDay: 400, terminal: true })
    const [, two] = repeats(cohort, settings)!.overall.horizons
    // Both at risk on days 100 and 400.
    expect(two!.whileInPlace.estimate).toBeCloseTo(1, 12)
  })

  test('count from the day on which observation began, and a removal long after the last look is none', () => {
    const late = cohortOf([
      { checks: [50, 300], loose: [500], fields: { observation_start_date: 200 } },
      { checks: [100], removed: 700 },
    ])
    expect(late.repeatedFindings()).toEqual([
      { days: [500], endDay: 500, terminal: false },
      { days: [], endDay: 100, terminal: false },
    ])
  })

  test('on the day of delivery count half a day later', () => {
    const { overall } = repeats(cohortOf([{ loose: [0], checks: [800] }, { checks: [800] }]), settings)!
    expect(overall.horizons[0]!.whileInPlace.estimate).toBeCloseTo(0.5, 12)
  })

  test('need an endpoint that can repeat, and records that hold every visit', () => {
    const records = recordsOfCourses(four)
    const removal = buildCohort(records, { ...defaultDefinition, endpoint: 'removal' })
    expect(repeats(removal)).toBeUndefined()
    const sheet = { ...records, source: { ...records.source, form: 'one-sheet' as const } }
    expect(repeats(buildCohort(sheet))).toBeUndefined()
  })
})

describe('repeats in the report', () => {
  const audit = auditCohort(cohortOf(four), { ...defaultSettings, detail: 'full' })
  const said = (courses: readonly Course[]): string => {
    const one = { ...audit, repeats: repeats(cohortOf(courses)) }
    return speaker().text(repeatsSentence(one.repeats!, pathsOf(one).repeats, settingOf(one)))
  }

  test('say how many, how often again, and that none came', () => {
    expect(said(four)).toMatch(
      /^Counting every time, 4 screw loosenings were found in 2 of 4 restorations, 2 of them more than once and one as often as 2 times\. .*After a first one, another was found in 50\.0% within 1 year \(95% interval .*\) and 100\.0% within 3 years \(95% interval .*\)\.$/,
    )
    expect(said([{ loose: [100], checks: [900] }, { checks: [900] }])).toContain(
      'of 2 restorations, none more than once.',
    )
    expect(said([{ checks: [900] }])).toBe('No screw loosenings were found, so that none could come again.')
  })

  test('have their tables, and a curve for each group that is drawn', () => {
    const section = auditDocument(audit, { date: 'd', version: 'v' }).sections.find(
      ({ id }) => id === 'repeats',
    )!
    expect(section.blocks.flatMap((block) => ('id' in block ? [block.id] : []))).toEqual([
      'table-repeats',
      'table-repeats-in-place',
      'table-repeats-terminal',
      'table-repeats-again',
      'figure-repeats',
    ])
    const { layer } = repeatsChart(result, { groups: ['all'] })
    const curve = layer.find(({ name }) => name?.startsWith('curve_'))!
    expect(curve.mark.interpolate).toBe('step-after')
    expect(curve.data.values.map(({ y }) => y)).toEqual(
      result.overall.steps.map(({ meanCount }) => 100 * meanCount),
    )
  })
})
