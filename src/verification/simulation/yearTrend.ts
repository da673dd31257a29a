import { buildCohort } from '../../cohort/cohort.js'
import { recordsUntil } from '../../cohort/recordsUntil.js'
import { daysPerYear } from '../../core/calendar.js'
import { formatPercent } from '../../core/format.js'
import { randomStream } from '../../core/random.js'
import { type TrendResult, type TrendVerdict, yearTrend } from '../../questions/trend/answer.js'
import { firstDelivery, steadyPractice } from './steadyPractice.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** What happens over the years of a simulated practice. */
export type CourseOfYears = 'nothing' | 'hazard falls' | 'attendance falls'

const courses: readonly CourseOfYears[] = ['nothing', 'hazard falls', 'attendance falls']
const practiceYears = 9
const fallPerYear = 0.8

/** Sizes and practices of each that docs/verification/trend.md states. */
const sizes = [
  { crownsPerYear: 30, practices: 400 },
  { crownsPerYear: 100, practices: 400 },
  { crownsPerYear: 300, practices: 200 },
] as const

/** The verdict on the years of one practice of known truth. */
export function trendOfPractice(
  crownsPerYear: number,
  course: CourseOfYears,
  replicate: number,
): TrendVerdict | 'none' {
  return yearsOfPractice(crownsPerYear, course, replicate)?.verdict ?? 'none'
}

/** The years of one practice of known truth. */
export function yearsOfPractice(
  crownsPerYear: number,
  course: CourseOfYears,
  replicate: number,
): TrendResult | undefined {
  const records = steadyPractice(
    {
      crownsPerYear,
      years: practiceYears,
      risk: 0.08,
      frailtyVariance: 0.5,
      lossPerYear: 0.04,
      shareRepeated: 0.5,
      attendance: (year) => (course === 'attendance falls' ? 0.95 - (0.5 * year) / practiceYears : 0.9),
      ...(course === 'hazard falls' ? { hazardOfYear: (year: number) => fallPerYear ** year } : {}),
    },
    randomStream(20260401 + crownsPerYear, replicate),
  )
  const end = firstDelivery + Math.floor(practiceYears * daysPerYear)
  return yearTrend(buildCohort(recordsUntil(records, end)))
}

const read = ['fell', 'rose', 'open', 'unequal-looks', 'few-events', 'few-years'] as const

async function run({ replicates, onProgress }: StudyRun): Promise<string> {
  const lines: string[] = []
  for (const [index, course] of courses.entries()) {
    for (const [place, { crownsPerYear, practices }] of sizes.entries()) {
      const many = replicates ?? practices
      const verdicts = Array.from({ length: many }, (_one, k) => trendOfPractice(crownsPerYear, course, k))
      const shares = read.map((one) =>
        formatPercent(verdicts.filter((verdict) => verdict === one).length / many),
      )
      lines.push(`| ${course} | ${crownsPerYear} | ${many} | ${shares.join(' | ')} |`)
      onProgress(course, (index * sizes.length + place + 1) / (courses.length * sizes.length))
    }
  }
  return [
    `| over the years | crowns a year | practices | ${read.join(' | ')} |`,
    `|---|---:|---:|${'---:|'.repeat(read.length)}`,
    ...lines,
  ].join('\n')
}

/** How often a trend over the years is claimed where there is none, and found where there is one. */
export const yearTrendStudy: SimulationStudy = Object.freeze({
  name: 'year-trend',
  question: 'How often is a trend over the years of delivery claimed, with and without one?',
  page: 'docs/verification/trend.md',
  run,
})
