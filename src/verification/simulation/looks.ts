import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { type Interval, isNumber } from '../../core/estimate.js'
import { horizonRisks } from '../../questions/incidence/answer.js'
import { defaultSettings } from '../../questions/plan/settings.js'
import { cohortRows } from '../../questions/rows/cohortRows.js'
import { readRecords } from '../../records/read/readDataset.js'
import { writePractice } from '../../studies/practices/folder.js'
import { knownTruths } from '../../studies/practices/knownTruths.js'
import { drawPractice } from '../../studies/practices/practice.js'
import type { Scenario } from '../../studies/practices/scenario.js'
import { scenarioNamed } from '../../studies/practices/scenarios.js'
import { riskAt } from '../../studies/practices/truth.js'
import { seedOfPractice } from '../../studies/run.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** Scenarios in the order of the table; the first is the complete one. */
const scenarioNames: readonly string[] = [
  'null-600',
  'ticks-blank-20',
  'ticks-blank-30',
  'ticks-blank-80',
  'ticks-blank-80-yes',
  'findings-marked-no',
  'recall-6-months',
  'recall-24-months',
  'loosened-leave-both',
  'delayed-entry',
  'delayed-entry-unlooked',
]

/** Horizons at which the risk is held against the truth. */
const years = [1, 3] as const

/** Day on which the practices' records are read: after the last day of every practice. */
const readingDay = 20_634

/** What one practice gave at one horizon. */
interface Reading {
  readonly headline: number
  readonly found: number
  readonly ticksOnly: number | undefined
  readonly inInterval: boolean
  readonly inRange: boolean
}

/** One line of the table of the study: a scenario at a horizon. */
interface LooksLine {
  readonly scenario: string
  readonly years: number
  readonly practices: number
  readonly truth: number
  readonly headline: MeanError
  readonly found: MeanError
  readonly ticksOnly: MeanError
  readonly interval: number
  readonly range: number
  readonly either: number
  /** Shift of the headline against the first scenario, seed by seed. */
  readonly shift: MeanError
}

/** A mean with its Monte Carlo standard error. */
interface MeanError {
  readonly mean: number
  readonly standardError: number
}

const plannedPractices = 100
const seed = 1

export const looksStudy: SimulationStudy = Object.freeze({
  name: 'looks',
  question:
    'Is the risk by midpoints true, does the range hold what it leaves open, and does a blank tick move it?',
  page: 'docs/verification/looks.md',
  run: async ({ replicates, onProgress }: StudyRun) => {
    const practices = replicates ?? plannedPractices
    const scenarios = scenarioNames.map((name) => scenarioNamed(name)!)
    const rows: string[] = [looksHeader, looksHeader.map(() => '---')].map(tableLine)
    let complete: readonly (readonly Reading[])[] | undefined
    for (const [done, scenario] of scenarios.entries()) {
      const readings: (readonly Reading[])[] = []
      for (let index = 0; index < practices; index++) {
        readings.push(await readPractice(scenario, seedOfPractice(seed, index)))
        onProgress('looks', (done + (index + 1) / practices) / scenarios.length)
      }
      complete ??= readings
      for (const [at, horizon] of years.entries()) {
        const of = (all: readonly (readonly Reading[])[]): readonly Reading[] => all.map((one) => one[at]!)
        rows.push(tableLine(looksRow(lineOf(scenario, horizon, of(readings), of(complete)))))
      }
    }
    return `${practices} practices a scenario, first seed ${seed}; ± Monte Carlo standard error.\n\n${rows.join('\n')}`
  },
})

function tableLine(cells: readonly string[]): string {
  return `| ${cells.join(' | ')} |`
}

async function readPractice(scenario: Scenario, seed: number): Promise<readonly Reading[]> {
  const folder = await mkdtemp(join(tmpdir(), 'looks-'))
  try {
    writePractice(drawPractice(scenario.traits, seed).tables, folder)
    const cohort = buildCohort(await readRecords(folder, { today: readingDay }))
    const ticks = risksOf(cohort.redefined({ looks: 'ticks' }))
    return risksOf(cohort).map(({ risk, betweenLooks }, at) => {
      const truth = riskAt(knownTruths[scenario.name]!.overall, years[at]!)!
      const ticked = ticks[at]!.risk.estimate
      return {
        headline: numberOf(risk.estimate),
        found: numberOf(betweenLooks.found.estimate),
        ticksOnly: isNumber(ticked) ? ticked : undefined,
        inInterval: holds(risk.interval, truth),
        inRange: holds(betweenLooks.range, truth),
      }
    })
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

function risksOf(cohort: Cohort) {
  return horizonRisks(cohort, cohortRows(cohort), { ...defaultSettings, horizonsYears: years })
}

function numberOf(quantity: Parameters<typeof isNumber>[0]): number {
  return isNumber(quantity) ? quantity : Number.NaN
}

function holds({ lower, upper }: Interval, truth: number): boolean {
  return isNumber(lower) && isNumber(upper) && lower <= truth && truth <= upper
}

function lineOf(
  scenario: Scenario,
  horizon: number,
  readings: readonly Reading[],
  complete: readonly Reading[],
): LooksLine {
  const truth = riskAt(knownTruths[scenario.name]!.overall, horizon)!
  const share = (flag: (one: Reading) => boolean): number => readings.filter(flag).length / readings.length
  return {
    scenario: scenario.name,
    years: horizon,
    practices: readings.length,
    truth,
    headline: meanError(readings.map((one) => one.headline - truth)),
    found: meanError(readings.map((one) => one.found - truth)),
    ticksOnly: meanError(
      readings.flatMap((one) => (one.ticksOnly === undefined ? [] : [one.ticksOnly - truth])),
    ),
    interval: share((one) => one.inInterval),
    range: share((one) => one.inRange),
    either: share((one) => one.inInterval || one.inRange),
    shift: meanError(readings.map((one, i) => one.headline - complete[i]!.headline)),
  }
}

function meanError(values: readonly number[]): MeanError {
  const n = values.length
  const mean = values.reduce((sum, value) => sum + value, 0) / n
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, standardError: n < 2 ? 0 : Math.sqrt(squares / (n - 1) / n) }
}

const looksHeader = [
  'scenario',
  'years',
  'truth, %',
  'headline: mean error, points',
  'day of finding',
  'ticks only',
  'interval holds truth, %',
  'range, %',
  'either, %',
  'shift against complete records, points',
] as const

function looksRow(line: LooksLine): readonly string[] {
  const points = ({ mean, standardError }: MeanError): string =>
    `${(100 * mean).toFixed(2)} ± ${(100 * standardError).toFixed(2)}`
  return [
    line.scenario,
    String(line.years),
    (100 * line.truth).toFixed(2),
    points(line.headline),
    points(line.found),
    points(line.ticksOnly),
    (100 * line.interval).toFixed(0),
    (100 * line.range).toFixed(0),
    (100 * line.either).toFixed(0),
    points(line.shift),
  ]
}
