import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { cohortRows } from '../analysis/cohortRows.js'
import { horizonRisks } from '../analysis/incidence.js'
import { defaultSettings } from '../analysis/settings.js'
import { buildCohort, type Cohort } from '../cohort/cohort.js'
import { type Interval, isNumber } from '../core/estimate.js'
import { readRecords } from '../records/read/readDataset.js'
import { writePractice } from './practices/folder.js'
import { knownTruths } from './practices/knownTruths.js'
import { drawPractice } from './practices/practice.js'
import type { Scenario } from './practices/scenario.js'
import { riskAt } from './practices/truth.js'
import { seedOfPractice } from './run.js'

/** Scenarios of the study of looks, in the order of its table; the first is the complete one. */
export const looksScenarios: readonly string[] = [
  'null-600',
  'ticks-blank-20',
  'ticks-blank-30',
  'ticks-blank-80',
  'findings-marked-no',
  'recall-6-months',
  'recall-24-months',
  'loosened-leave-both',
  'delayed-entry',
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
export interface LooksLine {
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
export interface MeanError {
  readonly mean: number
  readonly standardError: number
}

/**
 * Audits how often in practices of each scenario, and holds risk, interval and range to the truth.
 *
 * @param scenarios those to be run; the first is what the others are compared with, seed by seed
 */
export async function studyLooks(
  scenarios: readonly Scenario[],
  options: { readonly practices: number; readonly seed: number },
  onLine: (line: LooksLine) => void = () => undefined,
): Promise<readonly LooksLine[]> {
  const lines: LooksLine[] = []
  let complete: readonly (readonly Reading[])[] | undefined
  for (const scenario of scenarios) {
    const readings: (readonly Reading[])[] = []
    for (let index = 0; index < options.practices; index++) {
      readings.push(await readPractice(scenario, seedOfPractice(options.seed, index)))
    }
    complete ??= readings
    years.forEach((horizon, at) => {
      const line = lineOf(
        scenario,
        horizon,
        readings.map((one) => one[at]!),
        complete!.map((one) => one[at]!),
      )
      lines.push(line)
      onLine(line)
    })
  }
  return lines
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

/** Header of the table that `looksRow` fills. */
export const looksHeader = [
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

/** One row of the printed table. */
export function looksRow(line: LooksLine): readonly string[] {
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
