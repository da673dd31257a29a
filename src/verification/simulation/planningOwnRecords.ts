import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { recordsUntil } from '../../cohort/recordsUntil.js'
import { daysPerYear } from '../../core/calendar.js'
import { formatNumber } from '../../core/format.js'
import { randomStream } from '../../core/random.js'
import { type NeededResult, whatIsNeeded } from '../../questions/needed/answer.js'
import { defaultSettings } from '../../questions/plan/settings.js'
import { firstDelivery, type SteadyPractice, steadyPractice } from './steadyPractice.js'
import type { SimulationStudy, StudyRun } from './study.js'

interface Setting {
  readonly name: string
  readonly practice: SteadyPractice
  /** Years since the first delivery at which is planned. */
  readonly now: number
}

/** Years from the day of planning to the day on which the width is looked at. */
const ahead = 3

const usual: SteadyPractice = {
  crownsPerYear: 300,
  years: 12,
  risk: 0.1,
  frailtyVariance: 0.5,
  lossPerYear: 0.04,
  shareRepeated: 0.5,
}

/** The settings that docs/verification/planning-own-records.md states. */
export const planningSettings: readonly Setting[] = [
  { name: 'many events', practice: usual, now: 5 },
  { name: 'few events', practice: { ...usual, crownsPerYear: 100, risk: 0.06 }, now: 5 },
  { name: 'likeness', practice: { ...usual, crownsPerYear: 200, frailtyVariance: 2 }, now: 5 },
  { name: 'loss', practice: { ...usual, crownsPerYear: 200, lossPerYear: 0.15 }, now: 5 },
  { name: 'overlap 90:10', practice: { ...usual, shareRepeated: 0.9 }, now: 5 },
  { name: 'short follow-up', practice: usual, now: 2.5 },
]

/** Width reached over width foretold, for the risk and for the comparison. */
export interface WidthReached {
  readonly risk?: number
  readonly comparison?: number
}

/** Plans in a practice on one day, and looks three years later. */
export function widthReached({ practice, now }: Setting, seed: number, replicate: number): WidthReached {
  const records = steadyPractice(practice, randomStream(seed, replicate))
  const answerOn = (years: number): NeededResult =>
    whatIsNeeded(cohortOn(years), defaultSettings, { resamples: 1 })
  const cohortOn = (years: number): Cohort =>
    buildCohort(recordsUntil(records, firstDelivery + Math.floor(years * daysPerYear)))
  const planned = answerOn(now)
  const later = answerOn(now + ahead)
  const foretold = planned.scenarios[0]!.course[ahead]!
  const own = planned.scenarios[0]!.own
  return {
    ...(own && foretold.risk !== undefined && later.halfWidthNow !== undefined
      ? { risk: later.halfWidthNow / foretold.risk }
      : {}),
    ...(own && foretold.comparison !== undefined && later.comparisonNow !== undefined
      ? { comparison: later.comparisonNow.halfWidth / foretold.comparison }
      : {}),
  }
}

/** Median of numbers; undefined of none. */
function median(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((one, two) => one - two)
  return sorted[sorted.length >> 1]
}

/** Is the interval as narrow as was foretold? */
export const planningOwnRecordsStudy: SimulationStudy = {
  name: 'planning-own-records',
  question: 'Is the interval as narrow on a later day as holdfast needed foretold?',
  page: 'docs/verification/planning-own-records.md',
  run: async ({ replicates = 40, onProgress }: StudyRun) => {
    const rows = planningSettings.map((setting, s) => {
      const found = Array.from({ length: replicates }, (_one, replicate) => {
        onProgress(setting.name, replicate / replicates)
        return widthReached(setting, 20260101 + s, replicate)
      })
      const shown = (side: 'risk' | 'comparison'): string => {
        const own = found.flatMap((one) => one[side] ?? [])
        const middle = median(own)
        return `${middle === undefined ? '–' : formatNumber(middle, 2)} (${own.length})`
      }
      return `| ${setting.name} | ${shown('risk')} | ${shown('comparison')} |`
    })
    return [
      '| setting | risk: reached over foretold, median (practices) | comparison |',
      '|---|---|---|',
      ...rows,
    ].join('\n')
  },
}
