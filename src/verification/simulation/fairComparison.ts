import { comparedRows, countEvents } from '../../analysis/compared.js'
import { leadingEstimate } from '../../analysis/fairComparison.js'
import { defaultPlan } from '../../analysis/planFile.js'
import { claimOf, type Reading } from '../../analysis/reading.js'
import { immortalTimeVariants } from '../../analysis/sensitivity/hazards.js'
import { crudeRiskVariant } from '../../analysis/variants/risk.js'
import { buildCohort } from '../../cohort/cohort.js'
import { type Interval, isNumber } from '../../core/estimate.js'
import { randomStream } from '../../core/random.js'
import { fairScenarios, trueRiskDifference } from './fairScenarios.js'
import { type PracticeScenario, simulatedPractice } from './simulatedPractice.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** Sizes and seeds as docs/verification/fair-comparison.md states them. */
export const fairComparisonPlan = Object.freeze({ replicates: 1000, seed: 20260301 })

/** What one practice ended in. */
export interface FairRun {
  readonly events: number
  readonly kind: 'estimate' | 'range' | 'not-comparable' | 'cannot-be-known'
  readonly variant: string
  readonly estimate: number | undefined
  readonly interval: Limits | undefined
  readonly reading: Reading
  readonly crude: Limits | undefined
  /** Interval of the deliberately wrong hazard ratio, where screws were tightened at recall. */
  readonly wrong: Limits | undefined
}

interface Limits {
  readonly lower: number
  readonly upper: number
}

export const fairComparisonStudy: SimulationStudy = Object.freeze({
  name: 'fair-comparison',
  question:
    'Does what leads the comparison of one tightening against two cover the truth, and end in the right words?',
  page: 'docs/verification/fair-comparison.md',
  run: ({ replicates = fairComparisonPlan.replicates, onProgress }: StudyRun) => {
    const found = fairScenarios.map((scenario, index) => ({
      scenario,
      runs: Array.from({ length: replicates }, (_one, replicate) => {
        if (replicate % 50 === 0) onProgress(scenario.name, replicate / replicates)
        return fairRun(scenario, fairComparisonPlan.seed, index * 1_000_000 + replicate)
      }),
    }))
    return Promise.resolve(fairTable(found))
  },
})

/** Most practices that are drawn for one with the number of events that a scenario asks for. */
const mostDraws = 1000

/** Draws a practice of the scenario and takes it down the road from records to the lead. */
export function fairRun(scenario: PracticeScenario, seed: number, stream: number): FairRun {
  const random = randomStream(seed, stream)
  for (let draw = 0; draw < mostDraws; draw++) {
    const cohort = buildCohort(simulatedPractice(scenario, random))
    const compared = comparedRows(cohort, { group: defaultPlan.group, against: defaultPlan.against })
    if (compared === undefined) continue
    const events = countEvents(compared)
    if (scenario.exactEvents !== undefined && events !== scenario.exactEvents) continue
    const lead = leadingEstimate(cohort)!
    const { estimate, interval } = lead.contrast
    const [wrong] = scenario.tightenedAtRecall > 0 ? immortalTimeVariants(cohort, compared, 0.95) : []
    return {
      events,
      kind: lead.kind,
      variant: lead.variant,
      estimate: isNumber(estimate) ? estimate : undefined,
      interval: limitsOf(interval),
      reading: lead.reading,
      crude: limitsOf(crudeRiskVariant(compared, 3, 0.95).contrast.interval),
      wrong: wrong === undefined ? undefined : limitsOf(wrong.contrast.interval),
    }
  }
  throw new RangeError(`no practice of scenario ${scenario.name} had the events that it asks for`)
}

function limitsOf({ lower, upper }: Interval): Limits | undefined {
  return isNumber(lower) && isNumber(upper) ? { lower, upper } : undefined
}

/** Runs of one scenario. */
export interface ScenarioRuns {
  readonly scenario: PracticeScenario
  readonly runs: readonly FairRun[]
}

/** The study as Markdown tables, as they stand in the page. */
export function fairTable(found: readonly ScenarioRuns[]): string {
  return [
    '| scenario | truth, points | events, mean | what led | mean lead, points | coverage | beyond, below and above | crude interval covers | words right |',
    '|---|---:|---:|---|---:|---:|---|---:|---:|',
    ...found.map(coverageLine),
    '',
    '| scenario | readings of the lead, % of runs |',
    '|---|---|',
    ...found.map(
      ({ scenario, runs }) => `| ${scenario.name} | ${sharesOf(runs.map((run) => run.reading))} |`,
    ),
    '',
    ...found.flatMap(wrongLine),
  ].join('\n')
}

function coverageLine({ scenario, runs }: ScenarioRuns): string {
  const truth = trueRiskDifference(scenario, 3)
  const led = runs.filter((run) => claims(run) && run.interval !== undefined)
  const covered = (limits: readonly (Limits | undefined)[], value: number): string => {
    const known = limits.filter((one) => one !== undefined)
    return known.length === 0
      ? '–'
      : shareCell(known.filter(({ lower, upper }) => lower <= value && value <= upper).length, known.length)
  }
  const beyond = (side: (one: Limits) => boolean): string =>
    led.length === 0 ? '–' : percent(led.filter((run) => side(run.interval!)).length / led.length)
  const estimates = led.flatMap((run) => (run.estimate === undefined ? [] : [run.estimate]))
  return `| ${[
    scenario.name,
    points(truth),
    mean(runs.map((run) => run.events)).toFixed(1),
    sharesOf(runs.map((run) => (claims(run) ? `${run.kind}: ${run.variant}` : run.kind))),
    estimates.length === 0 ? '–' : points(mean(estimates)),
    covered(
      led.map((run) => run.interval),
      truth,
    ),
    `${beyond(({ upper }) => upper < truth)}, ${beyond(({ lower }) => lower > truth)}`,
    covered(
      runs.map((run) => run.crude),
      truth,
    ),
    shareCell(runs.filter((run) => wordsRight(run, scenario, truth)).length, runs.length),
  ].join(' | ')} |`
}

function claims({ kind }: FairRun): boolean {
  return kind === 'estimate' || kind === 'range'
}

/** Whether what is said is true: the claim holds the truth, and nothing is claimed where nothing can be. */
export function wordsRight(run: FairRun, scenario: PracticeScenario, truth: number): boolean {
  if (scenario.rightKind !== undefined) return run.kind === scenario.rightKind
  if (!claims(run)) return false
  const { above, below } = claimOf(run.reading, defaultPlan.smallestDifference)
  return above <= truth && truth <= below
}

function wrongLine({ scenario, runs }: ScenarioRuns): readonly string[] {
  const wrong = runs.flatMap((run) => (run.wrong === undefined ? [] : [run.wrong]))
  if (wrong.length === 0) return []
  const truth = scenario.hazardRatio
  const held = wrong.filter(({ lower, upper }) => lower <= truth && truth <= upper).length
  return [
    `In the scenario "${scenario.name}" the deliberately wrong analysis, which counts a tightening at recall from delivery on, had an interval of the hazard ratio that held the truth (${truth}) in ${shareCell(held, wrong.length)} of ${wrong.length} runs.`,
  ]
}

function sharesOf(labels: readonly string[]): string {
  const counts = new Map<string, number>()
  for (const label of labels) counts.set(label, (counts.get(label) ?? 0) + 1)
  return [...counts]
    .sort(([leftLabel, left], [rightLabel, right]) => right - left || (leftLabel < rightLabel ? -1 : 1))
    .map(([label, count]) => `${label} ${percent(count / labels.length)}`)
    .join('; ')
}

function shareCell(count: number, of: number): string {
  const share = count / of
  return `${percent(share)} ± ${percent(Math.sqrt((share * (1 - share)) / of))}`
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}

function percent(share: number): string {
  return (100 * share).toFixed(1)
}

function points(difference: number): string {
  return (100 * difference).toFixed(2)
}
