import { describe, expect, test } from 'vitest'
import { dayNumber } from '../../src/core/calendar.js'
import { isNumber } from '../../src/core/estimate.js'
import { shortReport } from '../../src/documents/kinds/shortReport.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { type TrendResult, yearTrend } from '../../src/questions/trend/answer.js'
import { trendChart } from '../../src/questions/trend/chart.js'
import { mainSentence, trendBlocks } from '../../src/questions/trend/section.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { trendOfPractice, yearsOfPractice } from '../../src/verification/simulation/yearTrend.js'
import { practice, type TestRestoration, times } from './practice.js'

const one = { ...defaultSettings, horizonsYears: [1] }

/** So many crowns of each year of delivery, of which so many come loose after half a year; checks at 1 and 2 years. */
function years(
  crowns: number,
  loose: readonly number[],
  checks: (year: number) => readonly number[] = () => [366, 740],
): readonly TestRestoration[] {
  return loose.flatMap((events, index) => {
    const delivery = dayNumber(2010 + index, 7, 1)!
    return [
      ...times(events, { delivery, loose: 180 }),
      ...times(crowns - events, { delivery, checks: checks(index) }),
    ]
  })
}

function said(result: TrendResult): string {
  const definition = auditCohort(practice(years(20, [1, 1]))).definition
  return speaker().text(mainSentence(result, pathsOf(result, 'trend'), { definition }))
}

describe('over the years of delivery', () => {
  test('every year is counted for the same time, by hand', () => {
    const result = yearTrend(practice(years(40, [8, 6, 4, 3, 2])), one)!
    expect(result.followedYears).toBe(1)
    expect(result.years.map((year) => [year.year, year.restorations, year.events, year.atRisk])).toEqual([
      [2010, 40, 8, 32],
      [2011, 40, 6, 34],
      [2012, 40, 4, 36],
      [2013, 40, 3, 37],
      [2014, 40, 2, 38],
    ])
    for (const [index, events] of [8, 6, 4, 3, 2].entries())
      expect(result.years[index]!.risk.estimate).toBeCloseTo(events / 40, 12)
    expect(result.firm).toEqual({ years: 5, events: 23, patientsWithEvents: 23 })
  })

  test('the rate for each later year is that of a Poisson regression, against R', () => {
    // R 4.2: e <- c(8,6,4,3,2); t <- (e*180 + (40-e)*365.25)/365.25
    // exp(coef(glm(e ~ I(0:4) + offset(log(t)), poisson))[2]) gives 0.694806584196
    const result = yearTrend(practice(years(40, [8, 6, 4, 3, 2])), one)!
    expect(result.perYear!.estimate).toBeCloseTo(0.694806584196, 9)
    expect(result.verdict).toBe('fell')
    expect(said(result)).toMatch(
      /^From one year of delivery to the next, the rate of first screw loosening within 1 year of delivery changed by a factor of 0\.69 .*23 events in 5 years of delivery\)\. The whole interval lies on the side of a fall\.$/,
    )
  })

  test('turned round, it rises by the same factor', () => {
    const fell = yearTrend(practice(years(40, [8, 6, 4, 3, 2])), one)!
    const rose = yearTrend(practice(years(40, [2, 3, 4, 6, 8])), one)!
    expect(rose.verdict).toBe('rose')
    expect((rose.perYear!.estimate as number) * (fell.perYear!.estimate as number)).toBeCloseTo(1, 8)
  })

  test('crowns of one patient count as one patient: the interval is wider, the estimate the same', () => {
    const apart = years(40, [8, 6, 4, 3, 2])
    const together = apart.map((crown, i) => ({ ...crown, patient: i >> 1 }))
    const [wide, narrow] = [together, apart].map((crowns) => {
      const { estimate, interval } = yearTrend(practice(crowns), one)!.perYear!
      return {
        estimate: estimate as number,
        width: Math.log(interval.upper as number) - Math.log(interval.lower as number),
      }
    }) as [{ estimate: number; width: number }, { estimate: number; width: number }]
    expect(wide.estimate).toBeCloseTo(narrow.estimate, 10)
    expect(wide.width).toBeGreaterThan(1.2 * narrow.width)
  })

  test('no trend of few years, few events, or years that were looked at unequally', () => {
    expect(yearTrend(practice(years(40, [8, 6, 4, 3])), one)!.verdict).toBe('few-years')
    expect(yearTrend(practice(years(12, [3, 3, 3, 3, 3])), one)!.verdict).toBe('few-years')
    expect(yearTrend(practice(years(40, [3, 2, 2, 1, 1])), one)!.verdict).toBe('few-events')
    const oftener = years(40, [2, 3, 4, 6, 8], (year) => (year < 2 ? [366, 740] : [90, 180, 270, 366, 740]))
    const unequal = yearTrend(practice(oftener), one)!
    expect(unequal.verdict).toBe('unequal-looks')
    expect(unequal.perYear).toBeUndefined()
    expect(said(unequal)).toContain('times as often as those of the earlier ones')
    const unseen = yearTrend(
      practice(years(40, [8, 6, 4, 3, 2], (year) => (year < 3 ? [800] : [366, 740]))),
      one,
    )!
    expect(unseen.verdict).toBe('unequal-looks')
    expect(said(unseen)).toMatch(/cannot be set side by side, since one of them had no look/)
    expect(yearTrend(practice(years(40, [5])), one)).toBeUndefined()
  })

  test('deliveries that could not be followed so long are left out and counted, whatever became of them', () => {
    const late = { delivery: dayNumber(2016, 5, 1)!, checks: [100] }
    const result = yearTrend(
      practice([...years(40, [8, 6, 4, 3, 2]), ...times(9, late), { ...late, checks: [], loose: 60 }]),
      one,
    )!
    expect(result.leftOut.tooLate).toBe(10)
    expect(result.years.map(({ year }) => year)).not.toContain(2016)
  })

  test('the longest horizon at which five years have enough at risk is taken', () => {
    const followed = (checks: readonly number[]) =>
      yearTrend(practice(years(40, [3, 3, 3, 3, 3], () => checks)), defaultSettings)!.followedYears
    expect(followed([366, 740, 1100])).toBe(3)
    expect(followed([366, 740])).toBe(1)
  })

  test('the figure has a row for each year with its numbers; years with few at risk neither drawn nor setting the axis', () => {
    const few = [
      ...years(40, [8, 6, 4, 3, 2]),
      ...times(6, { delivery: dayNumber(2008, 7, 1)!, loose: 100 }),
      ...times(4, { delivery: dayNumber(2008, 7, 1)!, checks: [400] }),
    ]
    const result = yearTrend(practice(few), one)!
    const chart = trendChart(result)!
    expect(chart.description).toContain('2010: 8 of 40')
    expect(chart.description).not.toContain('2008')
    expect(JSON.stringify(chart)).toContain('Years with fewer than 10 at risk at the end are not drawn')
    expect(trendChart(yearTrend(practice(years(40, [8, 6])), one)!)).toBeUndefined()
    const table = trendBlocks(result, pathsOf(result, 'trend'), {
      definition: {} as never,
      settings: one,
      answers: {},
    })
    expect(table.some((block) => block.kind === 'table' && block.rows.length === 6)).toBe(true)
  })

  test('a line of the report where something is said, and none where nothing is', () => {
    const options = { date: '2026-05-04', version: '0.1.0' }
    const line = (crowns: readonly TestRestoration[]): boolean =>
      JSON.stringify(shortReport(auditCohort(practice(crowns)), options)).includes('Over the years')
    const loose = [8, 6, 4, 3, 2]
    expect(line(years(40, loose, () => [366, 740, 1100]))).toBe(true)
    expect(line(years(40, [8, 6, 4]))).toBe(false)
  })

  test('practices of known truth: a steady one claims nothing, one that falls by a fifth a year is found', () => {
    const of = (course: 'nothing' | 'hazard falls') =>
      Array.from({ length: 12 }, (_one, k) => trendOfPractice(course === 'nothing' ? 100 : 300, course, k))
    expect(of('nothing').filter((one) => one === 'fell' || one === 'rose').length).toBeLessThanOrEqual(2)
    expect(of('hazard falls').filter((one) => one === 'fell').length).toBeGreaterThanOrEqual(7)
  })

  test('a direction that does not stand with each event right after its last clean look is not claimed, and the sentence says so', () => {
    // Attendance falls from 95 to 45 %, and nothing else changes.
    const result = yearsOfPractice(300, 'attendance falls', 1)!
    const { lower } = result.perYear!.interval
    expect(isNumber(lower) && lower > 1).toBe(true)
    expect(result.verdict).toBe('open')
    expect(said(result)).toMatch(
      /With each event right after its last clean look the interval holds both directions: whether it fell or rose over the years stays open\.$/,
    )
  })

  test('leaves its cohort as it was, and its result cannot be changed', () => {
    const cohort = practice(years(40, [8, 6, 4, 3, 2]))
    const before = JSON.stringify([...cohort.timeDays, ...cohort.status])
    const result = yearTrend(cohort, one)!
    expect(JSON.stringify([...cohort.timeDays, ...cohort.status])).toBe(before)
    expect(Object.isFrozen(result.years[0])).toBe(true)
    expect(isNumber(result.looksRatio)).toBe(true)
  })
})
