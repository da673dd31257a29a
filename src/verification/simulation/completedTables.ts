import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { sampleVariance } from 'simple-statistics'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { randomStream } from '../../core/random.js'
import { scenarioDay } from '../../demo/patient.js'
import { demoSettings } from '../../demo/settings.js'
import { writeDemo } from '../../demo/writeDemo.js'
import { defaultComparison, outcomeOf } from '../../questions/comparison/answer.js'
import { type Choice, choiceDesigns, comparedRows, fitChoice } from '../../questions/comparison/choice.js'
import { overlapEstimate } from '../../questions/comparison/estimate.js'
import { tighteningGroups } from '../../questions/comparison/groups.js'
import { unknownCode } from '../../records/columns.js'
import { readRecords } from '../../records/read/readDataset.js'
import { percent } from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const restorations = 33_000
const tablesMade = 40
const horizonDays = 3 * daysPerYear
const groups = { group: 'repeated in the window', against: 'single' } as const

/** Share of the cells of every confounder that is blanked besides what is missing as generated. */
const scenarios = [
  { name: 'as generated', blanked: 0 },
  { name: 'a fifth', blanked: 0.2 },
  { name: 'two fifths', blanked: 0.4 },
] as const

/** A cell is blank less often where the event was seen, and more often in the group asked about. */
const oftener = { event: 0.5, group: 1.2 } as const

export const completedTablesStudy: SimulationStudy = Object.freeze({
  name: 'completed-tables',
  question: 'How many completed tables does a comparison of more than 20,000 restorations need?',
  page: 'docs/verification/completed-tables.md',
  run: async ({ replicates = tablesMade, onProgress }: StudyRun) => {
    const cohort = await generatedCohort()
    const rows = scenarios.map(({ name, blanked }, index) => {
      onProgress('completed tables', index / scenarios.length)
      return `| ${name} | ${rowOf(withGaps(cohort, blanked), replicates).join(' | ')} |`
    })
    return [
      `${replicates} completed tables a scenario; difference of the risks by 3 years, in percentage points.`,
      '',
      '| gaps | compared | cells missing % | estimate | its standard error | seed moves it, 5 tables, % of the error | 20 tables | spread of the error between groups of 5, % | its mean, % of that of all | farthest group of 5, in errors |',
      '|---|---:|---:|---:|---:|---:|---:|---:|---:|---:|',
      ...rows,
    ].join('\n')
  },
})

async function generatedCohort(): Promise<Cohort> {
  const scratch = await mkdtemp(join(tmpdir(), 'holdfast-simulation-'))
  try {
    const settings = demoSettings({ restorations })
    const { directory } = await writeDemo(join(scratch, 'group'), settings)
    return buildCohort(
      await readRecords(directory, { today: scenarioDay(settings.scenario.endOfObservation) }),
    )
  } finally {
    await rm(scratch, { recursive: true, force: true })
  }
}

/** The cohort with cells of its labels and numbers blanked at random, the same cells each time a field is read. */
function withGaps(cohort: Cohort, share: number): Cohort {
  if (share === 0) return cohort
  const blankIn = (field: string): Uint8Array => {
    const random = randomStream([...field].reduce((sum, sign) => sum * 31 + sign.charCodeAt(0), 7) % 1e9, 1)
    return cohort.status.map((status, row) => {
      const chance =
        share *
        (status === restorationStatus.endpoint ? oftener.event : 1) *
        (exposureGroups[cohort.exposure[row]!] === groups.group ? oftener.group : 1)
      return random.uniform() < chance ? 1 : 0
    })
  }
  return {
    ...cohort,
    category: (field) => {
      const { labels, codes } = cohort.category(field)
      const blank = blankIn(field)
      return { labels, codes: codes.map((code, row) => (blank[row] === 1 ? unknownCode : code)) }
    },
    number: (field) => {
      const blank = blankIn(field)
      return cohort.number(field).map((value, row) => (blank[row] === 1 ? Number.NaN : value))
    },
  }
}

function rowOf(cohort: Cohort, tables: number): readonly string[] {
  const compared = comparedRows(cohort, tighteningGroups(cohort, groups))!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const designs = choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys: defaultComparison.adjustFor, seed: 1, imputations: tables },
  )
  const choice = fitChoice(designs)!
  const pooled = (from: number, to: number) => {
    const some: Choice = { ...choice, scores: choice.scores.slice(from, to) }
    return overlapEstimate(some, outcome, horizonDays, { level: 0.95 })!
  }
  const all = pooled(0, tables)
  const error = all.standardError
  const estimates = all.tables.map(({ difference }) => difference)
  const between = sampleVariance(estimates)
  const ofFive = Array.from({ length: Math.floor(tables / 5) }, (_, at) => pooled(5 * at, 5 * at + 5))
  const errors = ofFive.map(({ standardError }) => standardError)
  const farthest = Math.max(
    ...ofFive.map(({ difference }) => Math.abs(difference.estimate - all.difference.estimate)),
  )
  const missing = designs.missing.reduce((sum, { share }) => sum + share, 0) / designs.adjustedFor.length
  return [
    String(compared.row.length),
    percent(missing),
    (100 * all.difference.estimate).toFixed(3),
    (100 * error).toFixed(4),
    percent(Math.sqrt(between / 5) / error),
    percent(Math.sqrt(between / 20) / error),
    percent(Math.sqrt(sampleVariance(errors)) / error),
    percent(errors.reduce((sum, one) => sum + one, 0) / errors.length / error),
    (farthest / error).toFixed(3),
  ]
}
