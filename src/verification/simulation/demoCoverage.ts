import { type Estimate, isNumber } from '../../core/estimate.js'
import { demoSettings } from '../../demo/settings.js'
import {
  type ComparisonFit,
  type ComparisonRows,
  demoComparison,
  fitComparison,
  joinedRows,
} from './demoComparison.js'
import { type IntervalPerformance, intervalPerformance } from './intervalPerformance.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** Sizes and seeds of the study; the plan page states them. */
export interface DemoCoveragePlan {
  readonly replicates: number
  readonly firstReplicateSeed: number
  readonly truthGroups: number
  readonly truthRestorations: number
  readonly firstTruthSeed: number
}

/** The plan as it stands in docs/verification/demo-coverage.md. */
const demoCoveragePlan: DemoCoveragePlan = Object.freeze({
  replicates: 500,
  firstReplicateSeed: 1001,
  truthGroups: 10,
  truthRestorations: 80_000,
  firstTruthSeed: 900_001,
})

/** What the study found. */
export interface DemoCoverage {
  /** Large-sample limit of the estimator: the marginal log hazard ratio. */
  readonly truth: ComparisonFit
  readonly conditionalLogHazardRatio: number
  readonly robust: IntervalPerformance
  readonly naive: IntervalPerformance
  /** Groups without an estimate. */
  readonly notEstimable: number
  readonly meanEvents: number
  readonly meanRows: number
}

/** Coverage of the patient-robust interval over demo groups of other seeds. */
export const demoCoverageStudy: SimulationStudy = Object.freeze({
  name: 'demo-coverage',
  question:
    'Does the 95% interval of the patient-robust Cox regression cover the marginal truth of the demo data?',
  page: 'docs/verification/demo-coverage.md',
  run: async (settings: StudyRun) => {
    const replicates = settings.replicates ?? demoCoveragePlan.replicates
    const found = await runDemoCoverage({ ...demoCoveragePlan, replicates }, settings.onProgress)
    return coverageTable(found)
  },
})

/** Runs the study: the truth by large groups, then the replicates. */
export async function runDemoCoverage(
  plan: DemoCoveragePlan,
  onProgress: StudyRun['onProgress'] = () => {},
): Promise<DemoCoverage> {
  const truth = await largeSampleLimit(plan, onProgress)
  const fits: ComparisonFit[] = []
  for (let replicate = 0; replicate < plan.replicates; replicate++) {
    const rows = await demoComparison(demoSettings({ seed: plan.firstReplicateSeed + replicate }))
    const fit = fitComparison(rows)
    if (fit !== undefined) fits.push(fit)
    onProgress('groups', (replicate + 1) / plan.replicates)
  }
  const mean = (value: (fit: ComparisonFit) => number): number =>
    fits.reduce((sum, fit) => sum + value(fit), 0) / fits.length
  const { single, repeated_in_window } = demoSettings().scenario.hazardRatios.tightening
  return Object.freeze({
    truth,
    conditionalLogHazardRatio: Math.log(repeated_in_window / single),
    robust: intervalPerformance(
      truth.robust.estimate,
      fits.map((fit) => fit.robust),
    ),
    naive: intervalPerformance(
      truth.robust.estimate,
      fits.map((fit) => fit.naive),
    ),
    notEstimable: plan.replicates - fits.length,
    meanEvents: mean((fit) => fit.events),
    meanRows: mean((fit) => fit.rows),
  })
}

async function largeSampleLimit(
  plan: DemoCoveragePlan,
  onProgress: StudyRun['onProgress'],
): Promise<ComparisonFit> {
  const groups: ComparisonRows[] = []
  for (let group = 0; group < plan.truthGroups; group++) {
    const seed = plan.firstTruthSeed + group
    groups.push(await demoComparison(demoSettings({ seed, restorations: plan.truthRestorations })))
    onProgress('truth', (group + 1) / plan.truthGroups)
  }
  const fit = fitComparison(joinedRows(groups))
  if (fit === undefined)
    throw new RangeError('the large groups gave no estimate, so there is no truth to cover')
  return fit
}

/** The result as two Markdown tables, as they stand in the page. */
export function coverageTable(found: DemoCoverage): string {
  const { truth } = found
  const ratio = (logRatio: number): string => Math.exp(logRatio).toFixed(3)
  const number = (value: number): string => value.toFixed(4)
  const line = (what: string, value: (one: IntervalPerformance) => string): string =>
    `| ${what} | ${value(found.robust)} | ${value(found.naive)} |`
  return [
    '| truth | log hazard ratio | hazard ratio |',
    '|---|---|---|',
    `| conditional, as put in | ${number(found.conditionalLogHazardRatio)} | ${ratio(found.conditionalLogHazardRatio)} |`,
    `| marginal, the large-sample limit (${truth.rows} restorations compared, ${truth.events} events) | ${number(truth.robust.estimate)} (standard error ${number(truth.robust.standardError)}) | ${ratio(truth.robust.estimate)} |`,
    '',
    `${found.robust.replicates} groups with an estimate, ${found.notEstimable} without; on average ${found.meanRows.toFixed(0)} restorations compared and ${found.meanEvents.toFixed(1)} events.`,
    '',
    '| | patient-robust | naive |',
    '|---|---|---|',
    line(
      'coverage of the 95% interval',
      (one) => `${percent(shareOf(one.coverage))} (Monte Carlo error ${percent(one.coverageError)})`,
    ),
    line('Wilson interval of the coverage', (one) => limitsOf(one.coverage)),
    line(
      'intervals wholly above, wholly below the truth',
      (one) => `${percent(one.above)}, ${percent(one.below)}`,
    ),
    line(
      'bias of the log hazard ratio',
      (one) => `${number(one.bias)} (Monte Carlo error ${number(one.biasError)})`,
    ),
    line('standard deviation of the estimates', (one) => number(one.empiricalError)),
    line('standard error reported (root mean square)', (one) => number(one.reportedError)),
    '',
  ].join('\n')
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)}%`
}

function shareOf(coverage: Estimate): number {
  return isNumber(coverage.estimate) ? coverage.estimate : 0
}

function limitsOf(coverage: Estimate): string {
  const { lower, upper } = coverage.interval
  return isNumber(lower) && isNumber(upper) ? `${percent(lower)} to ${percent(upper)}` : 'none'
}
